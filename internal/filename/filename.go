// Package filename makes file names that every operating system can open.
//
// On Linux a name is any bytes but "/" and zero. People reach a studio's prints over a
// file share (SMB), from machines that accept fewer names. The share then hides such a
// file, or shows it under a generated name such as "A2MA~X.TIF". [Safe] is the name
// that the program uses instead; the print record keeps the original one.
//
// The rules of Windows are from Microsoft, "Naming Files, Paths, and Namespaces"
// (learn.microsoft.com/windows/win32/fileio/naming-a-file): none of < > : " / \ | ? *
// nor characters 0 to 31; no space or full stop at the end; and neither CON, PRN, AUX,
// NUL, COM0 to COM9, LPT0 to LPT9 nor those with a superscript 1, 2 or 3, with any
// extension. CONIN$ and CONOUT$ are from its "Console Handles".
package filename

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"sizewright/internal/plaintext"
)

// MaxBytes is the longest name in bytes: NAME_MAX of Linux (limits.h). Such a name is also
// within the 255 UTF-16 units of Windows.
const MaxBytes = 255

// Safe returns name if every machine can open it, and otherwise the nearest name that
// every machine can open. It replaces with "_" each forbidden character, each byte that
// is not UTF-8, and each character that [plaintext.Safe] rejects, since what people
// read must be the real name. It keeps the two joiners, which Persian and Indian words
// need. "con.jpg" becomes "con_.jpg".
//
// Safe(Safe(name)) equals Safe(name). Two names can have the same result; use [Fold]
// and numbering to tell them apart. Safe does not change a leading dash or dot, nor "".
func Safe(name string) string {
	var b strings.Builder
	for len(name) > 0 {
		r, n := utf8.DecodeRuneInString(name)
		if r == utf8.RuneError && n == 1 || forbidden(r) {
			r = '_'
		}
		b.WriteRune(r)
		name = name[n:]
	}
	return fixEnd(Shorten(avoidDevice(b.String()), MaxBytes))
}

func forbidden(r rune) bool {
	return strings.ContainsRune(`<>:"/\|?*`, r) || !plaintext.Safe(r) && !unicode.Is(unicode.Join_Control, r)
}

// device matches names that Windows reserves for devices, whatever follows the first
// full stop. Windows ignores spaces before that full stop.
var device = regexp.MustCompile(`(?i)^(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³]) *(\.|$)`)

// avoidDevice inserts a "_" after a device's name.
func avoidDevice(name string) string {
	if at := device.FindStringSubmatchIndex(name); at != nil {
		return name[:at[3]] + "_" + name[at[3]:]
	}
	return name
}

// fixEnd replaces a space or full stop at the end of name.
func fixEnd(name string) string {
	if strings.HasSuffix(name, " ") || strings.HasSuffix(name, ".") {
		return name[:len(name)-1] + "_"
	}
	return name
}

// Shorten cuts s to at most limit bytes. Where s is UTF-8 it cuts between two
// characters.
func Shorten(s string, limit int) string {
	if len(s) <= limit {
		return s
	}
	cut := max(limit, 0)
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	if !utf8.ValidString(s) {
		cut = max(limit, 0) // not UTF-8: any byte will do
	}
	return s[:cut]
}

// Fold maps names to one key if some machine takes them for the same name: it ignores
// letter case and whether an accented letter is one character or two.
func Fold(name string) string {
	return norm.NFC.String(strings.ToLower(strings.ToUpper(norm.NFC.String(name))))
}

// SafePath returns a path with each of its names made safe. Its slashes stay.
func SafePath(path string) string {
	names := strings.Split(path, "/")
	for i, name := range names {
		names[i] = Safe(name)
	}
	return strings.Join(names, "/")
}

// IsFor reports whether a folder in outbox, originals or held belongs to a drop folder,
// both as paths from there: each name is the drop folder's safe name, in upper or lower
// case.
func IsFor(folder, dropFolder string) bool {
	return folder == dropFolder || Fold(folder) == Fold(SafePath(dropFolder))
}
