package printsize

import (
	"errors"
	"fmt"
	"strings"
)

// whatWouldDo ends the error for a name that resembles no size.
const whatWouldDo = "name it like A2, 24x36in, 50x70cm or 610x914mm, with a stock after it if you like (A2 lustre)"

// errNotASize is the fault of a name that does not begin with a size.
var errNotASize = errors.New("is not a size")

// withRemedy adds to errNotASize the remedy for the nearest miss that the
// tidied name resembles. Other errors bring their own.
func withRemedy(err error, text string) error {
	if err != errNotASize {
		return err
	}
	for _, remedy := range []func(string) string{spaceMissing, outsideISO, sizeElsewhere} {
		if found := remedy(text); found != "" {
			return fmt.Errorf("%w: %s", err, found)
		}
	}
	return fmt.Errorf("%w: %s", err, whatWouldDo)
}

// spaceMissing answers "a4lustre".
func spaceMissing(text string) string {
	for _, size := range named {
		rest, ok := strings.CutPrefix(text, strings.ToLower(size.Name))
		if ok && rest != "" && isLetter(rest[0]) {
			return fmt.Sprintf("put a space before the stock: %s %s", size.Name, rest)
		}
	}
	return ""
}

// outsideISO answers "a12" and "c4".
func outsideISO(text string) string {
	text = closeUp(text)
	if text == "" || digits(text[1:]) == "" {
		return ""
	}
	switch text[0] {
	case 'a', 'b':
		return fmt.Sprintf("ISO 216 has %[1]c0 to %[1]c10; for another size give two sides and their unit, such as 50x70cm", text[0]-'a'+'A')
	case 'c':
		return "ISO 216 has A and B sizes; C sizes are envelopes, so give two sides and their unit, such as 229x324mm"
	}
	return ""
}

// sizeElsewhere answers "lustre a4". It looks no further than a folder's name
// can be long.
func sizeElsewhere(text string) string {
	const longest = 255 // bytes, NAME_MAX
	for i, c := range text[:min(len(text), longest)] {
		if c != ' ' {
			continue
		}
		size, rest, err := cutSize(text[i+1:])
		if err != nil {
			continue
		}
		if stock := text[:i] + rest; checkStock(stock) == nil {
			return "put the size first: " + FolderName(size, stock)
		}
	}
	return ""
}
