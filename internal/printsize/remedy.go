package printsize

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// whatWouldDo ends the error for a name that resembles no size.
const whatWouldDo = "name it like A2, 24x36in, 50x70cm or 610x914mm, with a stock after it if you like (A2 lustre)"

// errNotASize is the fault of a name that does not begin with a size.
var errNotASize = errors.New("is not a size")

// wordsFor words the fault of a tidied name, of which f could be read.
func wordsFor(err error, text string, f Folder) string {
	err = remedied(err, text)
	if fault, ok := err.(fault); ok {
		return fault.in(f)
	}
	return err.Error()
}

// remedied looks for what would do in place of a name.
func remedied(err error, text string) error {
	if err == errNotASize {
		return nearMiss(text)
	}
	if s, ok := err.(stockFault); ok {
		return s.withoutSigns()
	}
	return err
}

// nearMiss is errNotASize with the remedy for what the tidied name resembles.
func nearMiss(text string) error {
	for _, remedy := range []func(string) error{copiesInFront, spaceMissing, outsideISO, timesMissing, sizeElsewhere} {
		if err := remedy(text); err != nil {
			return err
		}
	}
	return fmt.Errorf("%w: %s", errNotASize, whatWouldDo)
}

// instead is errNotASize where one folder is meant.
func instead(lead string, meant Folder) error {
	return fault{text: errNotASize.Error(), lead: lead, offers: []Folder{meant}}
}

// copiesInFront answers "3x A4".
func copiesInFront(text string) error {
	m := copiesFirst.FindStringSubmatch(text)
	if m == nil {
		return nil
	}
	if f, err := readFolder(m[2]); err == nil && f.Copies == 0 {
		f.Copies, _ = strconv.Atoi(m[1])
		return instead("put the copies at the end:", f)
	}
	return nil
}

// A stockFault is what is wrong with the stock that follows a size.
type stockFault struct {
	error
	size Size
	rest string
}

// withoutSigns words it. Where signs in the name are the fault, the name without them is
// offered.
func (s stockFault) withoutSigns() error {
	words := strings.Join(strings.FieldsFunc(s.rest, func(c rune) bool { return !inStock(c) }), " ")
	f, err := readFolder(strings.ToLower(s.size.Name) + " " + strings.Trim(words, "- "))
	if err != nil || f.Stock == "" {
		return fmt.Errorf("has %w", s.error)
	}
	what, _, _ := strings.Cut(s.Error(), ": ")
	return fault{text: "has " + what, lead: "name it", offers: []Folder{f}}
}

// spaceMissing answers "a4lustre".
func spaceMissing(text string) error {
	text = closeUp(text)
	for _, s := range spellings {
		rest, ok := strings.CutPrefix(text, s.text)
		if !ok || rest == "" || !isLetter(rest[0]) || !isDigit(s.text[len(s.text)-1]) {
			continue
		}
		if f, err := readFolder(s.text + " " + rest); err == nil {
			return instead("put a space before the stock:", f)
		}
	}
	return nil
}

// outside is a name of a series that has no such size.
var outside = regexp.MustCompile(`^([abc])([0-9]+)([+]?)`)

// outsideISO answers "a12", "a2+" and "c4".
func outsideISO(text string) error {
	const both = "give two sides and their unit, such as "
	m := outside.FindStringSubmatch(closeUp(text))
	switch {
	case m == nil:
		return nil
	case m[1] == "c":
		return fmt.Errorf("%w: ISO 216 has A and B sizes; C sizes are envelopes, so %s229x324mm", errNotASize, both)
	case m[3] != "":
		return fmt.Errorf("%w: of sizes with a + there is A3+ alone; for another %s432x610mm", errNotASize, both)
	}
	series := strings.ToUpper(m[1])
	return fmt.Errorf("%w: ISO 216 has %[2]s0 to %[2]s10; for another size %[3]s50x70cm", errNotASize, series, both)
}

// twoNumbers are two sides with nothing but a space or a dash between them.
var twoNumbers = regexp.MustCompile(`^([0-9]+(?:[.,][0-9]+)?(?: ?[a-z"']+)?)[ -]+([0-9].*)$`)

// timesMissing answers "24 36in".
func timesMissing(text string) error {
	m := twoNumbers.FindStringSubmatch(text)
	if m == nil {
		return nil
	}
	if f, err := readFolder(m[1] + "x" + m[2]); err == nil {
		return instead("put an x between the sides:", f)
	}
	return nil
}

// sizeElsewhere answers "lustre a4". A name that is longer than a folder's can be is
// not looked through.
func sizeElsewhere(text string) error {
	const longest = 255 // bytes, NAME_MAX
	for i, c := range text {
		if c != ' ' || len(text) > longest {
			continue
		}
		if _, err := readFolder(text[i+1:]); err != nil {
			continue
		}
		if f, err := readFolder(text[i+1:] + " " + text[:i]); err == nil {
			return instead("put the size first:", f)
		}
	}
	return nil
}
