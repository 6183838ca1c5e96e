package config

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"sizewright/internal/printsize"
	"sizewright/internal/sheet"
)

// A resolved is one way in which tables come together to make prints: those of [print]
// alone, of a stock, or of one drop folder.
type resolved struct {
	tables   []*table // from [print] inwards
	settings Settings
}

// giver is the table whose word for a key counts, nil where none has one.
func (c resolved) giver(key string) *table {
	for _, t := range slices.Backward(c.tables) {
		if t.gives(key) {
			return t
		}
	}
	return nil
}

// resolutions are all of them, in the order of the file.
func (r *reader) resolutions() []resolved {
	of := func(keep func(t *table) bool) (list []*table) {
		for _, t := range r.opened {
			if t.own != nil && keep(t) {
				list = append(list, t)
			}
		}
		return list
	}
	base := of(func(t *table) bool { return t.name == printTable })
	all := []resolved{{base, r.config.Settings("", "")}}
	for _, t := range r.opened {
		switch {
		case t.stock != "":
			all = append(all, resolved{slices.Concat(base, []*table{t}), r.config.Settings("", t.stock)})
		case t.folder != nil:
			stock := of(func(o *table) bool { return o.stock != "" && o.stock == t.folder.Stock })
			wider := of(func(o *table) bool { return o.folder != nil && o.holdsFor(t) })
			all = append(all, resolved{slices.Concat(base, stock, wider, []*table{t}), r.config.Settings(t.folder.Name(), "")})
		}
	}
	return all
}

// holdsFor tells whether a folder's table holds for another's prints too: the name of
// the other adds a resolution or a job.
func (t *table) holdsFor(other *table) bool {
	return t != other && slices.Contains(newPrinted(*other.folder).wider(), newPrinted(*t.folder))
}

// A placed is a key of a table.
type placed struct {
	table *table
	key   string
}

// findEffects reports, as mistakes that keep nothing from starting, what in the file
// does nothing or spoils paper. A key does nothing if it does nothing in any of the
// prints for which its table's word counts. What spoils a print is reported wherever
// it does.
func (r *reader) findEffects() {
	counts, idle, said := map[placed]int{}, map[placed][]finding{}, map[string]bool{}
	for _, c := range r.resolutions() {
		for _, k := range printKeys {
			counts[placed{c.giver(k.name), k.name}]++
		}
		for _, f := range findingsIn(c.settings, r.config.MediaOf(c.settings)) {
			t := c.giver(f.key)
			switch {
			case f.spoils:
				r.sayOnce(said, c, f)
			case t != nil:
				idle[placed{t, f.key}] = append(idle[placed{t, f.key}], f)
			}
		}
	}
	for at, found := range idle {
		if len(found) == counts[at] {
			r.mistake(at.table, at.key, found[0].text)
		}
	}
	r.unusedTables()
	r.unusedServer()
	r.findOdd()
}

// unusedServer reports what belongs to a server where none is given.
func (r *reader) unusedServer() {
	t, m := r.tables[pathID([]string{machineTable})], r.config.Machines
	for key, value := range map[string]string{"credentials": m.Credentials, "ca": m.CA} {
		if value != "" && m.NATS == "" {
			r.mistake(t, key, "it has no effect without a server: give nats, or take the line out")
		}
	}
}

// sayOnce reports what spoils a print at the line that says so, or at the one that
// makes it matter.
func (r *reader) sayOnce(said map[string]bool, c resolved, f finding) {
	for _, key := range []string{f.key, "border", "media"} {
		t := c.giver(key)
		if t == nil {
			continue
		}
		if id := fmt.Sprint(pathID(t.path), f); !said[id] {
			said[id] = true
			if inner := c.tables[len(c.tables)-1]; inner != t {
				f.text = "for " + title(inner.path) + ", " + f.text
			}
			r.mistake(t, key, f.text)
		}
		return
	}
}

// mistake reports one about a key that the table gives, or about the table.
func (r *reader) mistake(t *table, key, text string) {
	at, path := t.start, t.path
	if t.gives(key) {
		at, path = t.at[key], slices.Concat(t.path, []string{key})
	}
	r.warn(at, path, text).Mistake = true
}

// unusedTables reports media that nothing names, and folders on a stock that is not there.
func (r *reader) unusedTables() {
	named := map[string]bool{}
	for _, c := range r.resolutions() {
		for _, m := range mediaNames(c.settings.Media) {
			named[m] = true
		}
	}
	for _, t := range r.opened {
		switch {
		case t.name == mediaTable && len(t.path) == 2 && !named[t.path[1]]:
			r.mistake(t, "", fmt.Sprintf("nothing names this media, so no print lies on it: give media = %q under [stock.NAME] or [print]", t.path[1]))
		case t.folder != nil && t.folder.Stock != "" && len(r.config.stocks) > 0 && r.config.stocks[t.folder.Stock] == nil:
			r.mistake(t, "", "the file has no [stock."+dotted([]string{t.folder.Stock})+"]: "+r.config.StockRemedy(t.folder.Folder))
		}
	}
}

// The narrowest paper that is believed, in mm: numbers below it are inches or centimetres.
// Common practice, no source.
const (
	narrowestRoll  = 80
	narrowestSheet = 50
)

// findOdd reports values that are possible and never meant.
func (r *reader) findOdd() {
	for _, t := range r.opened {
		switch {
		case t.name == mediaTable && len(t.path) == 2:
			r.narrow(t, r.config.media[t.path[1]])
		case t.folder != nil && t.folder.PPI != 0 && t.gives("ppi") && t.own.PPI != t.folder.PPI:
			r.mistake(t, "ppi", fmt.Sprintf("it has no effect, since the folder's own name says %v: take the line out", t.folder.PPI))
		case t.folder != nil && t.folder.Size.LongSideOnly && t.gives("fit") && t.own.Fit == FitFill:
			r.mistake(t, "fit", fmt.Sprintf("it has no effect, since %s is the long side alone and has no shape to fill: give both sides, or take the line out", t.folder.Size))
		case t.name == stockTable && t.own != nil && t.stock == "":
			_, err := printsize.ParseStock(t.path[1])
			r.mistake(t, "", err.Error())
		case t.name == limitsTable && t.gives("max_decode_mib") && r.config.Limits.MaxMemoryBytes <= r.config.Limits.MaxDecodeBytes:
			r.mistake(t, "max_decode_mib", fmt.Sprintf("it is not below max_memory_mib, which is %d and ends the decoding first: give less here, or more there", r.config.Limits.MaxMemoryBytes>>20))
		}
	}
}

// narrow reports a paper whose width was given in another unit.
func (r *reader) narrow(t *table, m *sheet.Media) {
	width, least, what := m.WidthMM, float64(narrowestRoll), "roll"
	if m.Kind == sheet.CutSheet {
		width, least, what = max(m.WidthMM, m.LengthMM), narrowestSheet, "sheet"
	}
	if width > 0 && width < least {
		v := m.WidthMM
		r.mistake(t, "width_mm", fmt.Sprintf("a %s %s mm wide is no paper: widths are in millimetres, and %s in is %.0f mm, %s cm is %s mm",
			what, showFloat(v), showFloat(v), v*printsize.MMPerInch, showFloat(v), showFloat(v*10)))
	}
}

// StockRemedy is what to do about a drop folder whose stock the file does not speak of.
func (c *Config) StockRemedy(f printsize.Folder) string {
	bare := printsize.Folder{Size: f.Size, PPI: f.PPI, Crop: f.Crop, Copies: f.Copies}
	if slices.Contains(orientations, f.Stock) {
		return fmt.Sprintf("the picture decides which way round the print is, so name the folder %q", bare.Name())
	}
	stocks := slices.Sorted(maps.Keys(c.stocks))
	near := f
	if crop, stock, _ := strings.Cut(f.Stock, " "); f.Crop == "" && slices.Contains(printsize.Crops, crop) && c.stocks[stock] != nil {
		near.Crop, near.Stock = crop, stock
		return fmt.Sprintf("where to crop is said at the end, so name the folder %q", near.Name())
	}
	if near.Stock = nearestStock(f.Stock, stocks); near.Stock != "" {
		return fmt.Sprintf("did you mean %q? Else name the folder %q, or add [stock.%s]", near.Name(), bare.Name(), dotted([]string{f.Stock}))
	}
	near.Stock = closest(f.Stock, stocks, 1)[0]
	return fmt.Sprintf("the stocks are %s; name the folder %q, %q, or add [stock.%s]", someOf(f.Stock, stocks), bare.Name(), near.Name(), dotted([]string{f.Stock}))
}

// orientations are words for what no folder decides.
var orientations = []string{"landscape", "portrait", "horizontal", "vertical", "upright"}

// nearestStock is the stock that was meant by a misspelt name, or by one with more words.
func nearestStock(name string, stocks []string) string {
	if meant := nearest(name, stocks); meant != "" {
		return meant
	}
	for _, stock := range stocks {
		if within := " " + stock + " "; strings.Contains(" "+name+" ", within) {
			return stock
		}
	}
	for _, word := range strings.Fields(name) {
		if meant := nearest(word, stocks); meant != "" {
			return meant
		}
	}
	return ""
}
