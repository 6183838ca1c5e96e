package config

import (
	"errors"
	"fmt"
	"strings"

	"sizewright/internal/printsize"
)

// open returns the table at a path, making it when the file first comes to it.
// It returns nil for a path that opens none, which it reports once.
func (r *reader) open(path []string, at position) *table {
	for n := range path { // what stands in a reported table is passed over
		if t, seen := r.tables[pathID(path[:n])]; seen && t == nil {
			return nil
		}
	}
	id := pathID(path)
	if t, seen := r.tables[id]; seen {
		return t
	}
	t := r.newTable(path, at)
	r.tables[id] = t
	if t != nil {
		t.path, t.at, t.start = path, map[string]position{}, at
		r.opened = append(r.opened, t)
	}
	return t
}

// newTable makes the table that a path opens, nil after reporting that there is
// none.
func (r *reader) newTable(path []string, at position) *table {
	name, ok := tableAt(path)
	c := r.config
	switch {
	case !ok && len(path) == 1 && (name == stockTable || name == folderTable || name == mediaTable), name == mediaTable && len(path) == 3 && path[2] == modeTable:
		return &table{name: name} // it only holds others
	case !ok:
		r.problem(at, path, unknownTable(path))
		return nil
	case name == rootTable:
		return &table{name: name, read: func(string, any) error { return nil }} // it has no keys
	case name == intakeTable:
		return &table{name: name, read: into(intakeKeys, c)}
	case name == workTable:
		return &table{name: name, read: into(workKeys, c)}
	case name == machineTable:
		return &table{name: name, read: into(machinesKeys, &c.Machines)}
	case name == limitsTable:
		return &table{name: name, read: into(limitsKeys, &c.Limits)}
	case name == morningTable:
		return &table{name: name, read: into(morningKeys, c)}
	case name == printTable:
		return &table{name: name, read: into(printKeys, &c.Print), own: &c.Print, settings: func() Settings { return c.Print }}
	case name == mediaTable:
		return r.medium(path)
	case name == modeTable:
		return r.mode(path, at)
	case name == stockTable:
		return r.stock(path, at)
	default:
		return r.folder(path, at)
	}
}

// stock makes the table of one stock.
func (r *reader) stock(path []string, at position) *table {
	l := newLayer()
	t := &table{name: stockTable, read: l.read, own: &l.values}
	stock, err := printsize.ParseStock(path[1])
	switch {
	case errors.Is(err, printsize.ErrTwoWays): // such a file of an earlier version is used; see findOdd
	case err != nil:
		r.problem(at, path, err.Error())
	case r.claim(path, at, stock, "stock"):
		r.config.stocks[stock] = l
		t.stock = stock
		t.settings = func() Settings { return l.over(r.config.Print) }
	}
	return t
}

// folder makes the table of one drop folder.
func (r *reader) folder(path []string, at position) *table {
	l := newLayer()
	t := &table{name: folderTable, read: l.read, own: &l.values}
	f, err := printsize.ParsePath(path[1])
	if err != nil {
		if _, alone := printsize.ParseFolder(path[1]); alone != nil && !strings.Contains(path[1], "/") {
			err = alone // no picture lies in a table
		}
		r.problem(at, path, err.Error())
		return t
	}
	alone := f
	alone.Copies, alone.Crop = 0, ""
	switch own := dotted([]string{folderTable, alone.Name()}); {
	case f.Copies != 0:
		r.problem(at, path, fmt.Sprintf("a table holds for every number of copies: write copies = %d under [%s]", f.Copies, own))
		return t
	case f.Crop != "":
		r.problem(at, path, fmt.Sprintf("a table holds for every crop: write fit = \"fill\" and crop = %q under [%s]", f.Crop, own))
		return t
	}
	if s := newPrinted(f); r.claim(path, at, s, "prints") {
		l.folder, l.table = f.Name(), dotted(path)
		r.config.folders[s] = l
		t.folder = &f
		t.settings = func() Settings { return r.config.Settings(l.folder, "") }
	}
	return t
}

// claim takes a stock's canonical name or a print for the table at path, or
// reports that another table has it, spelt differently; kind says what it is.
func (r *reader) claim(path []string, at position, what any, kind string) bool {
	if first, taken := r.claimed[what]; taken {
		r.problem(at, path, fmt.Sprintf("[%s] speaks of the same %s: keep one of the two", first, kind))
		return false
	}
	r.claimed[what] = dotted(path)
	return true
}
