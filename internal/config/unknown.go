package config

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sizewright/internal/plural"
	"sizewright/internal/printsize"
)

// unknownKey says what to do about a key that the table at path does not have.
func unknownKey(path []string, key string) string {
	name, _ := tableAt(path)
	if name == rootTable && slices.Contains(tableNames, key) {
		return fmt.Sprintf("this is a table, not a key: write %s on a line of its own", heading(key))
	}
	for _, other := range []string{printTable, workTable, intakeTable, morningTable, machineTable, limitsTable, mediaTable, modeTable} {
		if slices.Contains(keyNames[other], key) {
			return "the key belongs " + place(other)
		}
	}
	if name == rootTable {
		return misplaced(key)
	}
	if meant := nearest(key, keyNames[name]); meant != "" {
		return fmt.Sprintf("there is no such key: did you mean %s?", meant)
	}
	if all := keyNames[name]; len(all) > fewWords {
		return fmt.Sprintf("there is no such key here: the nearest under %s are %s", title(path), someOf(key, all))
	}
	return fmt.Sprintf("there is no such key here: %s may have %s", title(path), someOf(key, keyNames[name]))
}

// misplaced says what to do about a key that stands above every table and that no table has.
func misplaced(key string) string {
	tables := []string{printTable, workTable, intakeTable, morningTable, machineTable, limitsTable}
	var all []string
	for _, table := range tables {
		all = append(all, keyNames[table]...)
	}
	meant := nearest(key, all)
	for _, table := range tables {
		if slices.Contains(keyNames[table], meant) {
			return fmt.Sprintf("there is no such key: did you mean %s, %s?", meant, place(table))
		}
	}
	return "there is no such key, and keys stand under a table: there are " + headings()
}

// heldKey says what to do about a key right under [stock] or [folder].
func heldKey(holder, key string) string {
	if slices.Contains(keyNames[holder], key) {
		return fmt.Sprintf("the key belongs under %s, or under [print] to hold for all", heading(holder))
	}
	return fmt.Sprintf("this is a table, not a key: write [%s] on a line of its own", dotted([]string{holder, key}))
}

// unknownTable says what to do about a path that opens no table.
func unknownTable(path []string) string {
	last := len(path) - 1
	if now, moved := movedKeys[keyPlace{rootTable, path[0]}]; moved && last == 0 {
		return fmt.Sprintf("this is a key, not a table: write %s = VALUE %s", now.key, place(now.table))
	}
	if parent, ok := tableAt(path[:last]); ok && slices.Contains(keyNames[parent], path[last]) {
		return fmt.Sprintf("this is a key, not a table: write %s = VALUE %s", path[last], place(parent))
	}
	if path[0] == stockTable || path[0] == folderTable || path[0] == mediaTable { // [folder.24.5x36in]
		whole := []string{path[0], strings.Join(path[1:], ".")}
		return fmt.Sprintf("a name with points in it stands in quotes: [%s]", dotted(whole))
	}
	if _, _, err := printsize.Parse(path[0]); err == nil {
		return fmt.Sprintf("there is no such table: did you mean [%s]?", dotted([]string{folderTable, path[0]}))
	}
	if meant := nearest(path[0], tableNames); meant != "" {
		return fmt.Sprintf("there is no such table: did you mean %s?", heading(meant))
	}
	return "there is no such table: there are " + headings()
}

// title is how a sentence names a table of the file.
func title(path []string) string {
	if len(path) == 0 {
		return "the top of the file"
	}
	return "[" + dotted(path) + "]"
}

// place says where the keys of a table stand.
func place(table string) string {
	return "under " + heading(table)
}

// heading shows how a table is opened.
func heading(table string) string {
	return cmp.Or(map[string]string{
		stockTable: "[stock.NAME]", folderTable: `[folder."SIZE STOCK"]`, mediaTable: "[media.NAME]", modeTable: "[media.NAME.mode.NAME]",
	}[table], "["+table+"]")
}

// headings shows how all tables are opened.
func headings() string {
	var list []string
	for _, name := range tableNames {
		list = append(list, heading(name))
	}
	return plural.List(list, "and")
}
