package printsize

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// MaxStockBytes is the longest name of a stock, in bytes of UTF-8: a drop
// folder's name must leave room for the names made from it.
const MaxStockBytes = 64

// ErrTwoWays is the fault of a stock whose name would be read as copies, a resolution or
// another side after a size, so that no drop folder can name it.
var ErrTwoWays = errors.New("reads as something else after a size")

// ParseStock reads a stock's name as it stands alone, in the configuration or
// on the command line. The result is canonical, for looking up: lower case,
// single spaces, NFC. A name is letters and digits of any script, with spaces
// and dashes inside. A name whose end is copies or a crop is taken, as the
// configuration of an earlier version may have one, but no folder can name it.
func ParseStock(name string) (string, error) {
	stock := tidy(name)
	if err := checkStock(stock); err != nil {
		return "", fmt.Errorf("stock %s is %w", quoted(name), err)
	}
	if a4, _, _ := cutNamed("a4"); !(Folder{Size: a4, Stock: stock}).isClear() {
		return "", fmt.Errorf("stock %s %w: use other words", quoted(name), ErrTwoWays)
	}
	return stock, nil
}

// cutStock reads what follows a size, "" when nothing does. A dash may separate
// the two: "A4 - lustre", "A4-lustre".
func cutStock(rest string) (string, error) {
	stock := strings.TrimLeft(rest, " ")
	dashed := stock != "" && strings.IndexByte("-,", stock[0]) >= 0
	stock = strings.TrimLeft(stock, " -,")
	if stock == "" && !dashed {
		return "", nil
	}
	return stock, checkStock(stock)
}

// inStock tells whether a stock's name may have a sign in it.
func inStock(c rune) bool {
	return unicode.In(c, unicode.L, unicode.M, unicode.Nd) || c == ' ' || c == '-'
}

// unitOfPPI begins no stock's name, or "A4@300 ppi" would be two things.
var unitOfPPI = regexp.MustCompile(`^[pd]pi( |-|$)`)

// checkStock says what is wrong with a tidied stock name; its errors go on
// where "the folder has" or "the stock is" leaves off.
func checkStock(stock string) error {
	if stock == "" {
		return errors.New("no stock's name: write one such as lustre")
	}
	if unitOfPPI.MatchString(stock) {
		return errors.New("a unit where a stock's name stands: write a resolution as in 24x36in@300")
	}
	if len(stock) > MaxStockBytes {
		return fmt.Errorf("a stock's name of %d bytes: keep it to %d", len(stock), MaxStockBytes)
	}
	for _, c := range stock {
		if !inStock(c) {
			return fmt.Errorf("a stock's name with %q in it: use letters, digits, spaces and dashes", c)
		}
	}
	if strings.HasPrefix(stock, "-") || strings.HasSuffix(stock, "-") {
		return fmt.Errorf("a stock's name with a dash at its end: write %s", strings.Trim(stock, "- "))
	}
	return nil
}
