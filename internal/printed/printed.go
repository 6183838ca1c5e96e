// Package printed keeps what people say of prints on paper: that one was printed, or came
// out spoiled. It is kept in the print records, as [record.Mark]s.
package printed

import (
	"cmp"
	"context"
	"errors"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sizewright/internal/edition"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
	"sizewright/internal/studio"
)

// Mark has marks added to an order's record: those that say gives of it as it is now.
// Several processes may do so at once.
func Mark(s *studio.Studio, e record.Entry, say func(*record.Record) []record.Mark) error {
	return s.Rewrite(e.Path, func(data []byte) ([]byte, error) {
		r, err := record.DecodeBrief(data)
		if err != nil {
			return nil, err
		}
		if !r.Times.Finished.Equal(e.Record.Times.Finished) {
			return nil, errors.New("another order's record has this name by now: give the command again")
		}
		marks := say(r)
		if len(marks) == 0 {
			return nil, nil
		}
		return r.Mark(data, marks...)
	})
}

// Gone tells whether the TIFF of an order's number is not where it was made.
func Gone(s *studio.Studio, e record.Entry, number int) bool {
	return slices.ContainsFunc(e.Record.Print.TIFFs(), func(t record.Numbered) bool {
		return t.Number == number && !s.Holds(e.Beside(t.File), t.Bytes)
	})
}

// Free has a number of an order's edition given again, to whatever is made next.
func Free(s *studio.Studio, e record.Entry, number int, now time.Time) error {
	return s.Editions(func(data []byte) ([]byte, error) {
		l, err := edition.Parse(data)
		if err != nil {
			return nil, err
		}
		for _, x := range e.Record.Numbers() {
			if x.Number == number {
				l.FreeNumber(x.Picture, number, now)
			}
		}
		return l.Bytes(), nil
	})
}

// Moved is a file that a person moved to printed/, and what came of it.
type Moved struct {
	File studio.PrintedFile
	Of   record.Entry // the order that is marked as printed
	Err  error        // why none is
}

// Copy is a print, or the one with a number of its edition.
type Copy struct {
	record.Entry
	Number int
}

// InRun are the prints that lie in the file of a packed run, by its name; none for another
// file.
func InRun(all []record.Entry, name string) (copies []Copy) {
	for _, e := range all {
		var numbers []int
		for _, at := range e.Record.Packed {
			if path.Base(at.File) == name && !slices.Contains(numbers, at.Number) {
				numbers = append(numbers, at.Number)
				copies = append(copies, Copy{e, at.Number})
			}
		}
	}
	return copies
}

// madeAnew tells of the file of a run that was made anew, with other prints, since it was
// moved.
func madeAnew(s *studio.Studio, c Copy, f studio.PrintedFile) error {
	for _, at := range c.Record.Packed {
		info, err := os.Stat(filepath.Join(s.Root(), filepath.FromSlash(at.File)))
		if path.Base(at.File) == path.Base(f.Path) && err == nil && info.Size() != f.Bytes {
			return remedy.Errorf("say with `sizewright printed` which prints are on paper", "%s was made anew with other prints since then", at.File)
		}
	}
	return nil
}

// MarkMoved marks the orders whose TIFFs, or packed runs, people moved to printed/. Who copies a TIFF there
// says the same. Files that were marked for before are not among those returned.
func MarkMoved(ctx context.Context, s *studio.Studio, files []studio.PrintedFile, now time.Time) ([]Moved, error) {
	all, err := record.Reader{Root: s.Root()}.Made(ctx)
	if err != nil {
		return nil, err
	}
	var moved []Moved
	for _, f := range files {
		if slices.ContainsFunc(all, func(e record.Entry) bool { return marksOf(e, f) }) {
			continue
		}
		m := Moved{File: f}
		if run := InRun(all, path.Base(f.Path)); len(run) > 0 {
			anew := madeAnew(s, run[0], f)
			for _, c := range run {
				if anew != nil {
					moved = append(moved, Moved{f, c.Entry, anew})
					break
				}
				err := Mark(s, c.Entry, func(*record.Record) []record.Mark { return []record.Mark{{At: now, File: f.Path, Number: c.Number}} })
				moved = append(moved, Moved{f, c.Entry, err})
			}
			continue
		}
		if m.Of, m.Err = orderOf(s, all, f); m.Err == nil {
			m.Err = Mark(s, m.Of, func(r *record.Record) []record.Mark {
				return []record.Mark{{At: now, File: f.Path, Number: tiffAs(*r, f).Number}}
			})
		}
		moved = append(moved, m)
	}
	return moved, nil
}

// marksOf tells whether an order has a file's mark: of this print, and not of an earlier
// one that lay there under the same name.
func marksOf(e record.Entry, f studio.PrintedFile) bool {
	there := tiffAs(e.Record, f).File != "" || len(InRun([]record.Entry{e}, path.Base(f.Path))) > 0
	return there && slices.ContainsFunc(e.Record.Marks, func(m record.Mark) bool { return m.File == f.Path })
}

// tiffAs is the TIFF of an order that a moved file can be, by its name and length; the
// zero value for none.
func tiffAs(r record.Record, f studio.PrintedFile) record.Numbered {
	for _, t := range r.Print.TIFFs() {
		if t.File == path.Base(f.Path) && t.Bytes == f.Bytes {
			return t
		}
	}
	return record.Numbered{}
}

// orderOf finds the order that a moved file is the print of: by its name, its length and,
// where that is not enough, by the folder that it was moved to or the one that it is
// missing from.
func orderOf(s *studio.Studio, all []record.Entry, f studio.PrintedFile) (record.Entry, error) {
	_, within, _ := strings.Cut(f.Path, "/")
	narrower := []func(record.Entry) bool{
		func(e record.Entry) bool {
			return e.Record.RepeatOf == "" && tiffAs(e.Record, f).File != ""
		},
		func(e record.Entry) bool { return e.Beside(path.Base(f.Path)) == "outbox/"+within },
		func(e record.Entry) bool { return !s.Holds(e.Beside(path.Base(f.Path)), f.Bytes) },
		func(e record.Entry) bool { return e.Record.OnPaper() == record.ToPrint },
	}
	left := all
	for i, fits := range narrower {
		some := slices.Clone(left)
		some = slices.DeleteFunc(some, func(e record.Entry) bool { return !fits(e) })
		switch {
		case len(some) == 1:
			return some[0], nil
		case len(some) > 1:
			left = some
		case i == 0:
			return record.Entry{}, remedy.Errorf("keep in printed/ what comes from outbox/ alone, under its own name", "%s is no print that was made here", f.Path)
		}
	}
	var folders []string
	for _, e := range left {
		folders = append(folders, path.Dir(strings.TrimPrefix(e.Path, "outbox/")))
	}
	slices.Sort(folders)
	return record.Entry{}, remedy.Errorf("move it to the folder of that name in printed/", "%s could be the print of %s", f.Path, strings.Join(slices.Compact(folders), ", or of "))
}

// Named are the orders that a person means by a name: that of the picture, or of its print,
// alone or with the folder before it (A2/marsh.tif). It is an error where there are none, or
// in several folders: then which is meant cannot be told.
func Named(all []record.Entry, name string) ([]record.Entry, error) {
	name = strings.TrimPrefix(path.Clean(name), "outbox/")
	dir, base := path.Split(name)
	dir = strings.TrimSuffix(dir, "/")
	folders := map[string]bool{}
	var found []record.Entry
	for _, e := range all {
		folder := path.Dir(strings.TrimPrefix(e.Path, "outbox/"))
		if e.Record.IsCalled(base) && (dir == "" || dir == folder || dir == e.Record.Order.Folder) {
			found, folders[folder] = append(found, e), true
		}
	}
	switch {
	case len(found) == 0:
		return nil, remedy.Errorf("give the name of a picture or of its print, or with its folder, as A2/marsh.tif", "nothing that was made here is called %q", name)
	case len(folders) > 1:
		var names []string
		for f := range folders {
			names = append(names, f+"/"+base)
		}
		slices.Sort(names)
		return nil, remedy.Errorf("give one of them", "%q is in several folders: %s", name, strings.Join(names, ", "))
	}
	slices.SortStableFunc(found, func(a, b record.Entry) int { return cmp.Compare(a.Path, b.Path) })
	return found, nil
}
