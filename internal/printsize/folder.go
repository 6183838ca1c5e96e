package printsize

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// A Folder is what a drop folder's name says.
type Folder struct {
	Size  Size
	Stock string  // canonical, see [ParseStock]; "" when none is named
	PPI   float64 // the resolution that the name gives, MinPPI to MaxPPI; 0 for none

	Crop   string // where to crop, one of Crops; "" if the name does not say
	Copies int    // how many prints the name asks for, 1 to MaxCopies; 0 if it does not say
}

// MaxCopies is the most copies that a folder asks for.
const MaxCopies = 999

// The resolutions that a printer takes, in pixels per inch.
const (
	MinPPI = 72
	MaxPPI = 2880
)

// Name returns the canonical name of the drop folder: what [ParseFolder] reads back as
// the same.
func (f Folder) Name() string {
	name := f.Size.Name
	if f.PPI != 0 {
		name += "@" + strconv.FormatFloat(f.PPI, 'f', -1, 64)
	}
	if f.Stock != "" {
		name += " " + f.Stock
	}
	if f.Crop != "" {
		name += " " + f.Crop
	}
	if f.Copies != 0 {
		name += " x" + strconv.Itoa(f.Copies)
	}
	return name
}

// ParseFolder reads a drop folder's whole name: a size, and perhaps a resolution, a stock,
// a crop and copies after it. An error names the folder, what is wrong with it and what would do.
func ParseFolder(name string) (Folder, error) {
	text := tidy(name)
	f, err := readFolder(text)
	if err == nil && !f.isClear() {
		err = errors.New("reads in two ways: write both sides with their unit, such as 24x36in, and another stock's name if there is one")
	}
	if err != nil {
		return Folder{}, fmt.Errorf("drop folder %s %s", quoted(name), wordsFor(err, text, f))
	}
	return f, nil
}

// isClear reports whether the canonical name is read back as itself, with its copies and
// crop and without. Stocks called "1x" and "0ppi" would be copies and a resolution.
func (f Folder) isClear() bool {
	for _, copies := range []int{f.Copies, 0} {
		for _, crop := range []string{f.Crop, ""} {
			f.Copies, f.Crop = copies, crop
			if again, err := readFolder(tidy(f.Name())); err != nil || again != f {
				return false
			}
		}
	}
	return true
}

// readFolder reads a tidied name. With an error comes what could be read.
func readFolder(text string) (f Folder, err error) {
	if text, f.PPI, err = cutPPI(text); err != nil {
		return f, err
	}
	size, rest, err := cutSize(text)
	if err == errNotASize {
		return f, err
	}
	rest, f.Copies = cutCopies(rest)
	if rest, f.Crop = cutCrop(rest); f.Crop != "" && err == nil {
		err = cropFault(size, rest)
	}
	stock, stockErr := cutStock(rest)
	switch {
	case stockErr == nil:
		f.Stock = stock
	case err == nil:
		err = stockFault{stockErr, size, rest}
	}
	f.Size = size
	if err == nil && moreCopies.MatchString(rest) {
		err = fmt.Errorf("asks for copies in a way that is not understood: write x1 to x%d once, at the end", MaxCopies)
	}
	return f, err
}

// The ways to give a resolution: "@300", and "300 ppi" or "at 300", which cannot be anything else.
var (
	ppiBySign = regexp.MustCompile(` *@ *([0-9]+(?:[.,][0-9]+)?)(?: ?[pd]pi)?( |-|,|$)`)
	ppiByUnit = regexp.MustCompile(` (?:at )?([0-9]+(?:[.,][0-9]+)?) ?[pd]pi( |-|,|$)`)
	ppiByWord = regexp.MustCompile(` at ([0-9]+(?:[.,][0-9]+)?)( |-|,|$)`)
)

// cutPPI takes the resolution out of a tidied name, 0 if it gives none.
func cutPPI(text string) (rest string, ppi float64, err error) {
	const once = "write it once after the size, such as 24x36in@300, in pixels per inch"
	for _, form := range []*regexp.Regexp{ppiBySign, ppiByUnit, ppiByWord} {
		m := form.FindStringSubmatchIndex(text)
		if m == nil {
			continue
		}
		ppi, err = strconv.ParseFloat(strings.Replace(text[m[2]:m[3]], ",", ".", 1), 64)
		if err != nil || ppi < MinPPI || ppi > MaxPPI {
			return "", 0, fmt.Errorf("has a resolution of %s: give one from %d to %d pixels per inch", text[m[2]:m[3]], MinPPI, MaxPPI)
		}
		text = strings.Trim(text[:m[0]]+text[m[4]:], " ")
		break
	}
	if strings.Contains(text, "@") {
		return "", 0, fmt.Errorf(`has "@" and no resolution after it: %s`, once)
	}
	if ppi != 0 && (ppiByUnit.MatchString(text) || ppiByWord.MatchString(text)) {
		return "", 0, fmt.Errorf("has two resolutions: %s", once)
	}
	return text, ppi, nil
}

// How copies are asked for: at the end, or in front of the size.
var (
	copiesAlone = regexp.MustCompile(`^x ?([1-9][0-9]{0,2})$`)
	fewCopies   = regexp.MustCompile(`^x[1-9]$`)
	copiesAfter = regexp.MustCompile(`(?:^|[ ,-]+)(?:x ?([1-9][0-9]{0,2})|([1-9][0-9]{0,2}) ?x|([1-9][0-9]{0,2}) (?:copies|prints))$`)
	copiesNext  = regexp.MustCompile(`^[ ,-]*x ?([1-9][0-9]{0,2})([ ,-].*)$`)
	moreCopies  = regexp.MustCompile(`(?:^|[ ,-])x ?[0-9]+(?:[ ,-]|$)`)
	copiesFirst = regexp.MustCompile(`^([1-9][0-9]{0,2}) ?(?:x|copies|prints)(?: of)? ?([^0-9 ].*)$`)
)

// cutCopies takes a number of copies off the end of what follows a size, or off its
// front. No stock may begin or end so.
func cutCopies(rest string) (without string, copies int) {
	if m := copiesAfter.FindStringSubmatch(rest); m != nil {
		copies, _ = strconv.Atoi(m[1] + m[2] + m[3])
		return rest[:len(rest)-len(m[0])], copies
	}
	if m := copiesNext.FindStringSubmatch(rest); m != nil {
		copies, _ = strconv.Atoi(m[1])
		return m[2], copies
	}
	return rest, 0
}
