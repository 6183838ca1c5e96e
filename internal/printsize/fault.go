package printsize

import (
	"cmp"

	"sizewright/internal/plural"
)

// A fault is what is wrong with a name. It goes on where "drop folder X" leaves off.
type fault struct {
	text   string   // "has no unit"
	lead   string   // before the offers: "say which:"
	offers []Folder // each of which would do; none where nothing is near
	tail   string   // after them
}

func (f fault) Error() string { return f.in(Folder{}) }

// in words the fault of a name that says the rest of a folder too: each name that is
// offered has it.
func (f fault) in(rest Folder) string {
	text := f.text
	switch names := f.names(rest); {
	case len(names) > 0:
		text += ": " + f.lead + " " + plural.List(names, "or")
	case len(f.offers) > 0:
		text += ": " + whatWouldDo
	}
	if f.tail == "" {
		return text
	}
	return text + "; " + f.tail
}

// names lists the folders' names that are offered. Without its signs a stock can read as
// something else ("0! ppi"); such a name would be refused again and is not offered.
func (f fault) names(rest Folder) []string {
	var names []string
	for _, offer := range f.offers {
		offer.Stock, offer.PPI = cmp.Or(offer.Stock, rest.Stock), cmp.Or(offer.PPI, rest.PPI)
		offer.Crop, offer.Copies = cmp.Or(offer.Crop, rest.Crop), cmp.Or(offer.Copies, rest.Copies)
		if read, err := ParseFolder(offer.Name()); err == nil && read == offer {
			names = append(names, offer.Name())
		}
	}
	return names
}

func oneOffer(text, lead string, w, h decimal, u *unit) error {
	size, err := sized(w, h, u)
	if err != nil {
		return err
	}
	return fault{text: text, lead: lead, offers: []Folder{{Size: size}}}
}

func noUnit(offers []Folder) error {
	if len(offers) == 0 {
		return fault{text: "has no unit: add in, ft, cm, mm or m"}
	}
	return fault{text: "has no unit", lead: "say which:", offers: offers}
}

var tooFine = fault{text: "is finer than a printer: write at most four decimals"}

// What a number without its unit may mean: a print's long side is taken to be from a
// miniature's to a mural's, common practice, no source.
const (
	likelyLeastMM = 50
	likelyMostMM  = 3000
)

// likely lists the sizes that two numbers without a unit may mean, the likeliest
// first. Nobody means metres by 8x10, nor millimetres by 24x36.
func likely(w, h decimal) []Folder {
	return likelyOf(func(u *unit) (Size, error) { return sized(w, h, u) })
}

// likelyLong is likely of a long side alone.
func likelyLong(d decimal) []Folder {
	return likelyOf(func(u *unit) (Size, error) { return longSide(d, u) })
}

func likelyOf(in func(*unit) (Size, error)) []Folder {
	var likely []Folder
	for i := range units {
		size, err := in(&units[i])
		if err == nil && &units[i] != foot && size.LongMM() >= likelyLeastMM && size.LongMM() <= likelyMostMM {
			likely = append(likely, Folder{Size: size})
		}
	}
	return likely
}
