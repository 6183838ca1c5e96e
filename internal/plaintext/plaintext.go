// Package plaintext makes text from outside the program safe to show: on a terminal, in
// a log, in a text file, in JSON and on a page.
//
// On Linux a file name is any bytes but "/" and zero. A file name, an EXIF string, a
// profile's description or another program's output can hold control sequences. ESC
// controls a terminal (ECMA-48), BEL rings it, and a newline starts a line that looks
// like the program's own. Unicode's direction controls (UAX #9) show letters in another
// order than the bytes have: U+202E shows "gpj.exe" as "exe.jpg", an attack known as
// "Trojan Source" (Boucher and Anderson, 2021). Invisible characters make two names
// look the same.
//
// So there is one rule, [Safe]. What breaks it is not dropped but escaped, as in Go
// source: \x1b, \n, \u202e, and \xff for a byte that is not UTF-8. JSON also has
// \u202e, which programs read back as the character itself. A backslash stays as it is,
// so escaping safe text again does not change it. Letters of scripts that run from
// right to left are text and stay; on a page, each name is also isolated from its
// neighbours (<bdi>).
//
// [Writer] and [JSONWriter] escape everything that the program writes, and let only
// newlines and tabs pass. [Line] and [Fprintf] also escape those, for text that is put
// into a line.
package plaintext

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Safe reports whether a character is visible text or a space. Not safe are control
// characters (C0, DEL, C1), format characters (direction marks, zero widths, tags, soft
// hyphens), line and paragraph separators, invisible fillers, and unassigned or private
// code points. Spaces of every width are safe: they are visible, and file names of some
// systems contain them.
func Safe(r rune) bool {
	return unicode.IsGraphic(r) && !unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// Line returns s in one line, with everything that is not safe escaped as in Go source.
func Line(s string) string { return escape(s, goEscape, "") }

// XML returns [Line] of s, escaped for XML and HTML.
func XML(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(Line(s))) // a Builder returns no error
	return b.String()
}

// escape rewrites each character that is neither safe nor in keep.
func escape(s string, form func(b []byte, r rune, bad string) []byte, keep string) string {
	at := firstUnsafe(s, keep)
	if at < 0 {
		return s
	}
	b := append(make([]byte, 0, len(s)+16), s[:at]...)
	for at < len(s) {
		r, n := utf8.DecodeRuneInString(s[at:])
		if isSafe(r, n) || strings.ContainsRune(keep, r) {
			b = append(b, s[at:at+n]...)
		} else {
			b = form(b, r, s[at:at+n])
		}
		at += n
	}
	return string(b)
}

// isSafe reports whether a character decoded from n bytes is valid UTF-8 and safe.
func isSafe(r rune, n int) bool { return Safe(r) && (r != utf8.RuneError || n > 1) }

// firstUnsafe returns the index of the first character to be rewritten, or -1.
func firstUnsafe(s, keep string) int {
	for i := 0; i < len(s); {
		if ' ' <= s[i] && s[i] <= '~' { // the common case
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		if !isSafe(r, n) && !strings.ContainsRune(keep, r) {
			return i
		}
		i += n
	}
	return -1
}

// goEscape appends a character as Go source writes it, or a byte that is not UTF-8 by its
// value.
func goEscape(b []byte, r rune, bad string) []byte {
	if r == utf8.RuneError {
		return fmt.Appendf(b, `\x%02x`, bad[0])
	}
	quoted := strconv.QuoteRune(r)
	if escaped := quoted[1 : len(quoted)-1]; escaped[0] == '\\' {
		return append(b, escaped...)
	}
	// strconv leaves this filler as it is.
	return fmt.Appendf(b, `\u%04x`, r)
}

// jsonEscape appends a character as JSON writes it (RFC 8259, section 7), beyond U+FFFF
// as a surrogate pair. A byte that is not UTF-8 becomes U+FFFD, which JSON readers make
// of it.
func jsonEscape(b []byte, r rune, _ string) []byte {
	if r <= 0xffff {
		return fmt.Appendf(b, `\u%04x`, r)
	}
	r -= 0x10000
	return fmt.Appendf(b, `\u%04x\u%04x`, 0xd800+r>>10, 0xdc00+r&0x3ff)
}

// JSON escapes unsafe characters in a JSON text of any layout. They can only be inside
// its strings, so the text decodes to the same values.
func JSON(text []byte) []byte {
	if firstUnsafe(string(text), "\n\r\t") < 0 {
		return text
	}
	return []byte(escape(string(text), jsonEscape, "\n\r\t"))
}

// Writer returns a writer that escapes unsafe text, except newlines and tabs, and
// passes it to w. Each Write must hold whole characters.
func Writer(w io.Writer) io.Writer { return writer{w, goEscape} }

// JSONWriter is like Writer, for JSON: one object per line, or one object over many
// lines.
func JSONWriter(w io.Writer) io.Writer { return writer{w, jsonEscape} }

type writer struct {
	to   io.Writer
	form func([]byte, rune, string) []byte
}

func (w writer) Write(p []byte) (int, error) {
	if _, err := io.WriteString(w.to, escape(string(p), w.form, "\n\t")); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Fprintf is like fmt.Fprintf, but puts every string and every error among its
// arguments through [Line]. So callers need not know which of them came from outside.
func Fprintf(w io.Writer, format string, args ...any) (int, error) {
	safe := make([]any, len(args))
	for i, a := range args {
		safe[i] = argument(a)
	}
	return fmt.Fprintf(w, format, safe...)
}

func argument(a any) any {
	if err, ok := a.(error); ok {
		return Error(err)
	}
	if reflect.ValueOf(a).Kind() == reflect.String {
		return Line(fmt.Sprint(a))
	}
	return a
}

// Error returns err in one line. The parts of a joined error are separated by "; ".
func Error(err error) string { return strings.Join(each(err), "; ") }

// Lines returns err for a terminal. The parts of a joined error, such as the mistakes
// in a configuration, are on separate lines.
func Lines(err error) string { return strings.Join(each(err), "\n") }

func each(err error) []string {
	var lines []string
	for _, e := range parts(err) {
		lines = append(lines, Line(e.Error()))
	}
	return lines
}

// parts returns the errors that err joins one per line, or err alone.
func parts(err error) []error {
	var several interface{ Unwrap() []error }
	if !errors.As(err, &several) {
		return []error{err}
	}
	var all []error
	var texts []string
	for _, e := range several.Unwrap() {
		all = append(all, parts(e)...)
		texts = append(texts, e.Error())
	}
	if strings.Join(texts, "\n") != err.Error() {
		return []error{err} // its text is more than theirs
	}
	return all
}
