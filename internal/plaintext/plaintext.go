// Package plaintext makes text that came from outside safe to show: on a
// terminal, in a log, in a text file, in JSON and on a page.
//
// A file's name on Linux is any bytes but "/" and zero, and a name, an EXIF
// string, a profile's description or another program's words can hold what is
// obeyed and not read. ESC steers a terminal (ECMA-48), BEL rings it, a newline
// begins a line that looks like the program's own, and Unicode's direction
// controls (UAX #9) have the eye read another order of letters than the bytes
// have: U+202E shows "exe.jpg" for "gpj.exe", the trick known as "Trojan Source"
// (Boucher and Anderson, 2021). Invisible characters make two names look like
// one.
//
// So there is one rule, [Safe], and what breaks it is not dropped but shown, as
// Go writes it in source: \x1b, \n, \u202e, \xff for a byte that is not UTF-8.
// In JSON it is \u202e too, which programs read back as the character itself.
// A backslash is left as it is, so that safe text stays the same however often
// it is made safe. Letters of scripts that run from right to left are text and
// stay; on a page each name is isolated from its neighbours besides (<bdi>).
//
// [Writer] and [JSONWriter] stand at the program's edges and see to all that is
// written; only newlines and tabs pass them. [Line] and [Fprintf] see to those too, where
// a text is set into a line.
package plaintext

import (
	"errors"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Safe tells a character that is read from one that is obeyed or not seen. Not
// safe are control characters (C0, DEL, C1), format characters (direction marks,
// zero widths, tags, soft hyphens), line and paragraph separators, fillers that
// look like nothing, and code points of private use or of no meaning at all.
// Spaces of every width are safe: they are seen, and file names of some systems
// hold them.
func Safe(r rune) bool {
	return unicode.IsGraphic(r) && !unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// Line is s in one line, with all that is not safe shown as Go would write it.
func Line(s string) string { return escape(s, goForm, "") }

// escape rewrites what is neither safe nor among keep.
func escape(s string, form func(b []byte, r rune, bad string) []byte, keep string) string {
	at := unsafe(s, keep)
	if at < 0 {
		return s
	}
	b := append(make([]byte, 0, len(s)+16), s[:at]...)
	for at < len(s) {
		r, n := utf8.DecodeRuneInString(s[at:])
		if good(r, n) || strings.ContainsRune(keep, r) {
			b = append(b, s[at:at+n]...)
		} else {
			b = form(b, r, s[at:at+n])
		}
		at += n
	}
	return string(b)
}

// good is Safe of a character as it was decoded from n bytes.
func good(r rune, n int) bool { return Safe(r) && (r != utf8.RuneError || n > 1) }

// unsafe is where the first character to be rewritten is, -1 for none.
func unsafe(s, keep string) int {
	for i := 0; i < len(s); {
		if ' ' <= s[i] && s[i] <= '~' { // nearly all there is
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		if !good(r, n) && !strings.ContainsRune(keep, r) {
			return i
		}
		i += n
	}
	return -1
}

// goForm is a character as Go writes it, a byte that is not UTF-8 by its value.
func goForm(b []byte, r rune, bad string) []byte {
	if r == utf8.RuneError {
		return fmt.Appendf(b, `\x%02x`, bad[0])
	}
	quoted := strconv.QuoteRune(r)
	if escaped := quoted[1 : len(quoted)-1]; escaped[0] == '\\' {
		return append(b, escaped...)
	}
	// A filler that Go prints as it is.
	return fmt.Appendf(b, `\u%04x`, r)
}

// jsonForm is a character as JSON writes it (RFC 8259, section 7), beyond U+FFFF as
// a surrogate pair. A byte that is not UTF-8 is U+FFFD, as it is to JSON's readers.
func jsonForm(b []byte, r rune, _ string) []byte {
	if r <= 0xffff {
		return fmt.Appendf(b, `\u%04x`, r)
	}
	r -= 0x10000
	return fmt.Appendf(b, `\u%04x\u%04x`, 0xd800+r>>10, 0xdc00+r&0x3ff)
}

// JSON is a JSON text of any layout that reads the same and shows nothing unsafe:
// such characters stand only within its strings, where \u202e is U+202E.
func JSON(text []byte) []byte {
	if unsafe(string(text), "\n\r\t") < 0 {
		return text
	}
	return []byte(escape(string(text), jsonForm, "\n\r\t"))
}

// Writer has all that is written to w made safe but its newlines and tabs. Each call
// is taken for whole text: a character must not be split between two.
func Writer(w io.Writer) io.Writer { return writer{w, goForm} }

// JSONWriter is Writer for JSON, one object a line or many lines of one.
func JSONWriter(w io.Writer) io.Writer { return writer{w, jsonForm} }

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

// Fprintf is fmt.Fprintf for lines to be read: of its arguments, every text and every
// error is made safe and kept in one line. It need not be told what came from
// outside.
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

// Error is an error in one line; one that is several is told one after the other.
func Error(err error) string { return strings.Join(each(err), "; ") }

// Lines is an error as a person reads it on a terminal: of one that is several, such
// as a configuration's mistakes, each has its line.
func Lines(err error) string { return strings.Join(each(err), "\n") }

func each(err error) []string {
	var lines []string
	for _, e := range parts(err) {
		lines = append(lines, Line(e.Error()))
	}
	return lines
}

// parts are the errors that err prints as one a line, or err alone.
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
		return []error{err} // a sentence about several
	}
	return all
}
