package config

// retiredKeys are the keys of earlier versions that are gone, by table and name, each
// with what whoever still has it is told. Such a key is warned of and ignored, whatever
// its value: a file that was right must not keep the service from starting after an
// upgrade. They stay in this table until the next release.
var retiredKeys = map[string]map[string]string{
	workTable: {
		"share": "this key is gone and has no effect: one daemon works at a studio, and a second is refused; take the line out",
		"lease": "this key is gone and has no effect: it was for several daemons at one studio, and now one works there; take the line out",
	},
	// The file lies where people drop pictures, and whoever may write there could have
	// had the daemon run what they please.
	morningTable: {
		"notify": `this key is gone and its command is not run, since whoever may write to the studio could change it: take the line out, and give the program to "serve" or "once" as --notify PROGRAM`,
	},
}

// retired reads over a key of an earlier version, and tells whether it is one.
func (r *reader) retired(t *table, key string, e entry) bool {
	text, gone := retiredKeys[t.name][key]
	if gone {
		r.config.Warnings = append(r.config.Warnings, Problem{r.file, e.at.line, e.at.column, dotted(e.path), text})
	}
	return gone
}
