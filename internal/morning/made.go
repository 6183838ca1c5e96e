package morning

import (
	"slices"
	"sync"
)

// Made finds the prints that an order need not be made anew for. Of each it keeps
// no more than its [Key] and where its record lies, so that a studio may go on for
// years; the record is read again when it is asked for. The zero Made knows none.
// It may be used by several goroutines at once.
type Made struct {
	mu     sync.Mutex
	read   map[string]recordFile // as they were when they were read, by path
	prints map[string][]string   // the paths of records by key
}

// Learn reads the records in the outbox of the studio at root that are new, or
// other than they were. Only a root that cannot be opened is an error.
func (m *Made) Learn(root string) error {
	studio, err := openStudio(root)
	if err != nil {
		return err
	}
	defer studio.Close()
	m.mu.Lock()
	defer m.mu.Unlock()
	files := recordFiles(studio, outboxDir)
	read := make(map[string]recordFile, len(files))
	for _, f := range files {
		read[f.path] = f
		if m.read[f.path] == f {
			continue
		}
		if e, ok := readRecord(studio, f.path); ok {
			m.add(e)
		}
	}
	m.read = read
	return nil
}

// Add notes a print that was made. Repeats are no prints of their own.
func (m *Made) Add(e Entry) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.add(e)
}

func (m *Made) add(e Entry) {
	if !isPrint(e) {
		return
	}
	if m.prints == nil {
		m.prints = map[string][]string{}
	}
	if key := Key(&e.Record); !slices.Contains(m.prints[key], e.Path) {
		m.prints[key] = append(m.prints[key], e.Path)
	}
}

// isPrint tells the record of a print from that of a hold or a repeat.
func isPrint(e Entry) bool { return e.Record.Print != nil && e.Record.RepeatOf == "" }

// Find is the record of a print with this key whose TIFF still lies in the outbox
// of the studio at root.
func (m *Made) Find(root, key string) (Entry, bool) {
	studio, err := openStudio(root)
	if err != nil {
		return Entry{}, false
	}
	defer studio.Close()
	m.mu.Lock()
	paths := slices.Clone(m.prints[key])
	m.mu.Unlock()
	for _, path := range slices.Backward(paths) {
		e, ok := readRecord(studio, path)
		if !ok || !isPrint(e) || Key(&e.Record) != key {
			continue // another has its name by now
		}
		if info, err := studio.Lstat(Beside(e, e.Record.Print.File)); err == nil && info.Mode().IsRegular() {
			return e, true
		}
	}
	return Entry{}, false
}
