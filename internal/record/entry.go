package record

import "path"

// Entry is one print record and where it lies.
type Entry struct {
	Path   string // of the record, from the studio's root, with slashes: outbox/A2/marsh.json
	Record Record
}

// Beside is the path, from the studio's root with slashes, of a file that an entry's
// record names: in the folder of that record or, for a repeat, in the folder of the
// record it repeats.
func (e Entry) Beside(file string) string {
	if e.Record.RepeatOf != "" {
		return path.Join(path.Dir(e.Record.RepeatOf), file)
	}
	return path.Join(path.Dir(e.Path), file)
}

// Picture is the same for records of one picture: its bytes', or its name where they
// could not be read.
func (e Entry) Picture() string {
	if sha := e.Record.Source.SHA256; sha != "" {
		return sha
	}
	return "named " + e.Record.Source.Name
}

// Key is the same for two orders that come to the same print in the same folder: the
// drop folder's name and the order's identity, see package order.
func Key(r *Record) string { return jsonText(r.Order.Folder) + "\n" + r.Identity }

// ReasonFile is the text that lies beside the record of a hold: why, and what to do, for whoever
// looks into held/ with a file manager.
func (r *Record) ReasonFile() []byte { return []byte(r.Why() + "\n") }

// IsReasonFile tells whether a file holds what [Record.ReasonFile] wrote. A record that
// was read back has lost the bytes of a name that are not UTF-8, and the file has not.
func (r *Record) IsReasonFile(text []byte) bool {
	return jsonText(string(text)) == jsonText(string(r.ReasonFile()))
}
