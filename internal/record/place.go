package record

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"sizewright/internal/filename"
	"sizewright/internal/studio"
)

// A record counts where the program wrote it, and nowhere else. Whatever is dropped and
// held lies in held/ under its own name, also a file that is a valid record, and people
// copy files about in both folders: what such a file says was never so.

var (
	errElsewhere = errors.New("it does not lie where the program puts the record of what it tells")
	errOriginal  = errors.New("it is itself a file that was dropped and held")
	errAlone     = errors.New("nothing lies there of all that it tells of")
)

// placed tells why the record at a path is not one that the program wrote there; nil if
// it is.
func placed(root *os.Root, e Entry) error {
	top, folder, name := parted(e.Path)
	if !agrees(top, folder, strings.TrimSuffix(name, recordSuffix), &e.Record) {
		return errElsewhere
	}
	if top == heldDir && isOriginal(root, e.Path) {
		return errOriginal
	}
	if !slices.ContainsFunc(company(e), func(file string) bool { return isFile(root, file) }) && !reasonBeside(root, e) {
		return errAlone
	}
	return nil
}

// parted takes a path from the studio's root apart: outbox, Marsh exhibition/A2, marsh.json.
func parted(file string) (top, folder, name string) {
	dir, name := path.Split(file)
	top, folder, _ = strings.Cut(strings.TrimSuffix(dir, "/"), "/")
	return top, folder, name
}

// agrees tells whether a record's words fit the place where it lies: its status, its
// folder, and the names of the files that were made with it.
func agrees(top, folder, stem string, r *Record) bool {
	if !isFolderOf(folder, r.Order.Folder) {
		return false
	}
	in, of, original := parted(r.Source.Original)
	if !isFolderOf(of, r.Order.Folder) {
		return false
	}
	if top == heldDir {
		return r.Status == Held && in == heldDir && of == folder &&
			slices.Contains(studio.BesideStems(original, len(recordSuffix)), stem)
	}
	if r.Status == Held || in != originalsDir {
		return false
	}
	if r.RepeatOf == "" {
		return madeAs(stem, r.Print)
	}
	in, of, before := parted(r.RepeatOf)
	return in == outboxDir && isFolderOf(of, r.Order.Folder) && before != stem+recordSuffix &&
		strings.HasSuffix(before, recordSuffix) && madeAs(strings.TrimSuffix(before, recordSuffix), r.Print)
}

// isFolderOf tells whether a folder is that of a drop folder, of whose name JSON has
// kept the text.
func isFolderOf(folder, dropFolder string) bool {
	return jsonText(folder) == dropFolder || filename.IsFor(folder, dropFolder)
}

// madeAs tells whether a print's files carry its stem.
func madeAs(stem string, p *Print) bool {
	if p == nil || p.File != stem+tiffSuffix && p.Edition == nil {
		return false
	}
	return !slices.ContainsFunc(filesOf(p), func(file string) bool { return !strings.HasPrefix(file, stem+".") || strings.Contains(file, "/") })
}

// filesOf are the names of all files that were made with a print.
func filesOf(p *Print) []string {
	all := []string{p.File, p.Preview, p.OnPaper, p.Diagram, p.GamutMap, p.Cropped}
	all = append(all, p.Labels...)
	for _, t := range p.TIFFs() {
		all = append(all, t.File)
	}
	for _, c := range p.Crops {
		all = append(all, c.File, c.Before)
	}
	return slices.DeleteFunc(all, func(file string) bool { return file == "" })
}

// company are the files of which one at least lies there beside a record: people take
// prints away, and archive originals, but whoever takes all of it takes the record too.
func company(e Entry) []string {
	all := []string{e.Record.Source.Original}
	if p := e.Record.Print; p != nil {
		for _, file := range filesOf(p) {
			all = append(all, e.Beside(file))
		}
	}
	if e.Record.RepeatOf != "" {
		all = append(all, e.Record.RepeatOf)
	}
	return all
}

// reasonBeside tells whether the reason that a record of a hold gives lies beside it: the
// original may have been taken back.
func reasonBeside(root *os.Root, e Entry) bool {
	if e.Record.Status != Held {
		return false
	}
	reason := strings.TrimSuffix(e.Path, recordSuffix) + reasonSuffix
	text, err := ReadFile(root, reason, maxRecordBytes)
	return err == nil && e.Record.IsReasonFile(text) && !isOriginal(root, reason)
}

// isOriginal tells whether a file in held/ is one that was dropped: a record that counts
// says so. Each question is about a longer name, so there is an end to them.
func isOriginal(root *os.Root, file string) bool {
	dir, name := path.Split(file)
	for _, stem := range studio.BesideStems(name, len(recordSuffix)) {
		beside := dir + stem + recordSuffix
		if beside == file || !isFile(root, beside) {
			continue
		}
		if e, err := readAt(root, beside, DecodeBrief); err == nil && e.Record.Source.Original == file {
			return true
		}
	}
	return false
}

func isFile(root *os.Root, file string) bool {
	info, err := root.Lstat(file)
	return err == nil && info.Mode()&fs.ModeType == 0
}
