package config

import "fmt"

// retiredKeys are the keys of earlier versions that are gone, by table and name, each
// with what to do about it. Such a key is ignored with a warning, whatever its value: an
// upgrade must not keep the service from starting. A key stays in this table until the
// release after the one that took it away.
var retiredKeys = map[string]map[string]string{
	printTable: printRetired, stockTable: printRetired, folderTable: printRetired,
	workTable: {
		"share": "this key is gone and has no effect: only one daemon works at a studio; take the line out",
		"lease": "this key is gone and has no effect: only one daemon works at a studio; take the line out",
	},
	// People who drop pictures may write to this file, and could have had the daemon run
	// any program.
	morningTable: {
		"notify": `this key is gone and its command is not run, because everyone who may write to the studio could change it; take the line out, and give the program to "serve" or "once" as --notify PROGRAM`,
	},
}

// printRetired are those of prints, which every table of theirs had.
var printRetired = map[string]string{
	"minimum_counts": `this key is gone and has no effect: minimum_ppi counts the pixels that carry picture; take the line out, and give too_small = "make" where a print is to be made all the same`,
}

// retiredValues are the values of earlier versions that have another name now, by key. Such
// a value is taken for the new one, and warned of.
var retiredValues = map[string]map[string]string{
	"bleed": {"mirror": "reflect", "extend": "replicate"},
}

// keyPlace is a key of a table.
type keyPlace struct{ table, key string }

// movedKeys are the keys of earlier versions that have another place or name now. Such a key
// is taken, and warned of.
var movedKeys = map[keyPlace]keyPlace{
	{rootTable, "workers"}: {workTable, "cores"},
	{workTable, "workers"}: {workTable, "cores"},
}

// moved reads a key where it stood, and tells whether it is one.
func (r *reader) moved(t *table, key string, e entry) bool {
	now, is := movedKeys[keyPlace{t.name, key}]
	if !is {
		return false
	}
	if t := r.open([]string{now.table}, e.at); t != nil && !t.gives(now.key) {
		r.value(t, now.key, e)
	}
	r.warn(e.at, e.path, fmt.Sprintf("the key is %s under [%s] now: write %s = VALUE there", now.key, now.table, now.key))
	return true
}

// renamed returns the value of an entry by its name of now.
func (r *reader) renamed(key string, e entry) any {
	old, _ := e.value.(string)
	now, is := retiredValues[key][old]
	if !is {
		return e.value
	}
	r.warn(e.at, e.path, fmt.Sprintf("%q is called %q now: write that", old, now))
	return now
}

// retired warns of a key of an earlier version, and tells whether it is one.
func (r *reader) retired(t *table, key string, e entry) bool {
	text, gone := retiredKeys[t.name][key]
	if gone {
		r.warn(e.at, e.path, text)
	}
	return gone
}
