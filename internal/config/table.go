package config

import (
	"slices"

	"sizewright/internal/printsize"
)

// The tables of the file. [stock] and [folder] only hold tables, one for each
// stock or drop folder that is named.
const (
	rootTable    = "" // the top of the file, which has no keys of its own
	intakeTable  = "intake"
	workTable    = "work"
	limitsTable  = "limits"
	machineTable = "machines"
	morningTable = "morning"
	printTable   = "print"
	stockTable   = "stock"  // [stock.NAME]
	folderTable  = "folder" // [folder."SIZE STOCK"]
	mediaTable   = "media"  // [media.NAME]
	modeTable    = "mode"   // [media.NAME.mode.NAME]
)

var tableNames = []string{intakeTable, workTable, machineTable, limitsTable, morningTable, printTable, mediaTable, stockTable, folderTable}

// keyNames are the keys that a table, or each table of its name, may have.
var keyNames = map[string][]string{
	intakeTable: names(intakeKeys), workTable: names(workKeys), machineTable: names(machinesKeys), limitsTable: names(limitsKeys), morningTable: names(morningKeys),
	printTable: names(printKeys), stockTable: names(printKeys), folderTable: names(printKeys),
	mediaTable: names(mediaKeys), modeTable: names(modeKeys),
}

// tableAt tells which table a path opens; ok is false where there is none.
func tableAt(path []string) (name string, ok bool) {
	switch {
	case len(path) == 0:
		return rootTable, true
	case slices.Contains([]string{intakeTable, workTable, machineTable, limitsTable, morningTable, printTable}, path[0]):
		return path[0], len(path) == 1
	case path[0] == mediaTable && len(path) == 4 && path[2] == modeTable:
		return modeTable, true
	case path[0] == stockTable || path[0] == folderTable || path[0] == mediaTable:
		return path[0], len(path) == 2
	}
	return "", false
}

// A table is one that the file opened.
type table struct {
	name     string
	path     []string
	at       map[string]position // where each key stands that was read without fault
	read     func(key string, value any) error
	own      *Settings       // where the table's own values are, nil unless it is about prints
	start    position        // of its heading
	check    func()          // what its keys only show together; nil for nothing
	stock    string          // canonical, of a [stock] table
	folder   *printsize.Path // of a [folder] table whose name is one
	settings func() Settings // what the table leads to, nil where own is or its name is wrong
}

// gives reports whether the table gives a key, without fault.
func (t *table) gives(key string) bool {
	_, given := t.at[key]
	return given
}

// into makes a table's read from its keys. The key must be one of them.
func into[T any](keys []key[T], to *T) func(string, any) error {
	return func(name string, value any) error {
		i := slices.IndexFunc(keys, func(k key[T]) bool { return k.name == name })
		return keys[i].read(to, value)
	}
}
