// Package filename makes names that can be opened wherever a studio is seen from.
//
// On Linux a name is any bytes but "/" and zero. People reach a studio's prints over
// a share (SMB), from machines that open fewer names: a share then shows none, or one
// of its own making such as "A2MA~X.TIF". [Safe] is the name that the program gives
// instead, and the print record has the true one.
//
// What Windows opens is from Microsoft, "Naming Files, Paths, and Namespaces"
// (learn.microsoft.com/windows/win32/fileio/naming-a-file): none of < > : " / \ | ? *
// nor characters 0 to 31; no space or full stop at the end; and neither CON, PRN, AUX,
// NUL, COM0 to COM9, LPT0 to LPT9 nor those with a superscript 1, 2 or 3, with
// whatever ending. CONIN$ and CONOUT$ are from its "Console Handles".
package filename

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"sizewright/internal/plaintext"
)

// Most is NAME_MAX of Linux (limits.h) in bytes. A name within it is within the 255
// UTF-16 units of Windows.
const Most = 255

// Safe is name where every machine can open it, and otherwise the name nearest to it:
// each character that cannot be is "_", and so is each byte that is not UTF-8 and
// each character that [plaintext.Safe] is not, since a name must be read as it is.
// (The two joiners stay: Persian and Indian words are spelt with them.) "con.jpg" is
// "con_.jpg". Safe of a safe name is that name. Two names can become one; [Fold] and
// numbering are for that. Not seen to are a dash or a dot at the front, and "".
func Safe(name string) string {
	var b strings.Builder
	for len(name) > 0 {
		r, n := utf8.DecodeRuneInString(name)
		if r == utf8.RuneError && n == 1 || refused(r) {
			r = '_'
		}
		b.WriteRune(r)
		name = name[n:]
	}
	return closed(Shorten(noDevice(b.String()), Most))
}

func refused(r rune) bool {
	return strings.ContainsRune(`<>:"/\|?*`, r) || !plaintext.Safe(r) && !unicode.Is(unicode.Join_Control, r)
}

// device is a name that means a device, whatever follows its first full stop. Spaces
// before that stop are not looked at by Windows.
var device = regexp.MustCompile(`(?i)^(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³]) *(\.|$)`)

// noDevice puts a "_" where the device's name ends.
func noDevice(name string) string {
	if at := device.FindStringSubmatchIndex(name); at != nil {
		return name[:at[3]] + "_" + name[at[3]:]
	}
	return name
}

// closed ends in neither a space nor a full stop.
func closed(name string) string {
	if strings.HasSuffix(name, " ") || strings.HasSuffix(name, ".") {
		return name[:len(name)-1] + "_"
	}
	return name
}

// Shorten cuts s to at most limit bytes, between two characters.
func Shorten(s string, limit int) string {
	if len(s) <= limit {
		return s
	}
	cut := max(limit, 0)
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	if !utf8.ValidString(s) {
		cut = max(limit, 0) // no characters to be kind to
	}
	return s[:cut]
}

// Fold maps names to one key where some machine a share is seen from takes them for
// the same: letters of either case, and accents written as one character or as two.
func Fold(name string) string {
	return norm.NFC.String(strings.ToLower(strings.ToUpper(norm.NFC.String(name))))
}

// IsFor tells whether a folder of this name, in outbox, originals or held, is that of
// a drop folder: it has the drop folder's name made safe, in letters of either case.
func IsFor(folder, dropFolder string) bool {
	return folder == dropFolder || Fold(folder) == Fold(Safe(dropFolder))
}
