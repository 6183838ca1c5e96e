package config

import (
	"maps"
	"slices"

	"sizewright/internal/colour"
	"sizewright/internal/printsize"
)

// A layer holds the settings that one table gives, and which those are.
type layer struct {
	values Settings
	given  map[string]bool // by key name
	folder string          // the canonical path of the drop folder, if it is one's
	table  string          // and its table as it stands in the file: folder."A2"
}

func newLayer() *layer { return &layer{given: map[string]bool{}} }

// read takes a key of the table.
func (l *layer) read(key string, value any) error {
	err := into(printKeys, &l.values)(key, value)
	if err == nil {
		l.given[key] = true
	}
	return err
}

// over returns settings with the layer's own in their place. No layer, nil, has
// none. A print is converted to one space: the layer's profile puts aside an
// inherited working space, and the other way round.
func (l *layer) over(s Settings) Settings {
	if l == nil {
		return s
	}
	for _, k := range printKeys {
		if l.given[k.name] {
			k.copy(&s, &l.values)
		}
	}
	switch {
	case l.values.Profile != "":
		s.WorkingSpace = ""
	case l.values.WorkingSpace != "":
		s.Profile = ""
	}
	return s
}

// Settings returns how the prints of a drop folder are made: [print], then the
// stock's, then the folder's own. The folder is given by its name in any
// spelling; the stock is the one in that name, or the given one in place of it.
// So Settings("A4 lustre", "") and Settings("A4", "lustre") are the same. A
// folder that is no size has nothing of its own. A [folder] table speaks of its
// print, whichever way the size is written: [folder."36x24in"] of the drop
// folder "24x36in" too, and [folder."420x594mm"] of "A2". It speaks of that print in
// every job, unless its name has a job's: [folder."Marsh/A2"] lies over [folder."A2"]. A resolution in the folder's
// name counts for more than any table; the table of a name with one, as
// [folder."24x36in@300"], lies over that of the name without. A size of which only the
// long side is said ("70cm") has no shape to fill: its fit is "whole".
//
// Of the profile and the working space at most one is set: where layers give
// both, the nearer layer's counts and the other is put aside, for the layers
// after it as well. Giving "" puts nothing aside. Black point compensation is
// off with the intent "absolute", whatever the layers say.
func (c *Config) Settings(folder, stock string) Settings {
	f, sizeErr := printsize.ParsePath(folder)
	if stock, err := printsize.ParseStock(stock); err == nil {
		f.Stock = stock
	}
	s := c.stocks[f.Stock].over(c.Print)
	if sizeErr == nil {
		s = c.ofFolder(f, s)
	}
	if s.Intent == colour.Absolute {
		s.BlackPointCompensation = false
	}
	return s
}

// ofFolder lays what the file says of a folder over s, and what its name says over that.
func (c *Config) ofFolder(f printsize.Path, s Settings) Settings {
	for _, l := range c.layers(f) {
		s = l.over(s)
	}
	if f.PPI != 0 {
		s.PPI = f.PPI
	}
	if f.Copies != 0 {
		s.Copies = f.Copies
	}
	if f.Crop != "" { // the word would mean nothing of a whole picture
		s.Fit, s.Crop = FitFill, f.Crop
	}
	if f.Size.LongSideOnly {
		s.Fit = FitWhole
	}
	return s
}

// layers are the [folder] tables that speak of a folder, the nearest last.
func (c *Config) layers(f printsize.Path) (all []*layer) {
	for _, key := range newPrinted(f).wider() {
		if l := c.folders[key]; l != nil {
			all = append(all, l)
		}
	}
	return all
}

// FolderTables returns the names of the [folder] tables that speak of a drop folder, as
// they stand in the file, each laid over the one before.
func (c *Config) FolderTables(folder string) (names []string) {
	f, err := printsize.ParsePath(folder)
	if err != nil {
		return nil
	}
	for _, l := range c.layers(f) {
		names = append(names, l.table)
	}
	return names
}

// Stocks returns the canonical names of the stocks that have a table of their
// own, sorted.
func (c *Config) Stocks() []string { return slices.Sorted(maps.Keys(c.stocks)) }

// DoubtsStock reports whether a drop folder's stock holds its orders: the file has
// tables of stocks and speaks of no such one, so it may be misspelt.
func (c *Config) DoubtsStock(name string) bool {
	return name != "" && len(c.stocks) > 0 && !c.KnowsStock(name)
}

// IsLabel reports whether the words after a drop folder's size are no stock that the file
// could know: it has none.
func (c *Config) IsLabel(stock string) bool {
	return stock != "" && len(c.stocks) == 0 && !c.KnowsStock(stock)
}

// KnowsStock reports whether the file speaks of a stock, in a table of its own
// or in a folder's name.
func (c *Config) KnowsStock(name string) bool {
	stock, err := printsize.ParseStock(name)
	if err != nil {
		return false
	}
	if _, ok := c.stocks[stock]; ok {
		return true
	}
	for s := range c.folders {
		if s.stock == stock {
			return true
		}
	}
	return false
}
