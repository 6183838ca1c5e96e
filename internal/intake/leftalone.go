package intake

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"syscall"

	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/remedy"
)

// Kinds of LeftAlone.
const (
	KindDirectory  = "directory"  // a folder that lies too deep
	KindLink       = "link"       // a symbolic link, to whatever
	KindSpecial    = "special"    // a pipe, socket or device
	KindLoose      = "loose"      // a file in drop/ itself, in no folder
	KindLitter     = "litter"     // what systems and programs leave behind; not worth reporting
	KindSidecar    = "sidecar"    // notes and settings that lie beside pictures; likewise
	KindUnreadable = "unreadable" // a folder or file that permissions keep from being read or taken
	KindHardLink   = "hard-link"  // a file that has another name elsewhere
	KindGrowing    = "growing"    // a file that would not settle (Settled only)
	KindUnfinished = "unfinished" // as photo.Unfinished: a file that is steady but not whole, such as a copy that stopped half way
)

// LeftAlone is something in drop/ that no print is made of. It is left where it is.
type LeftAlone struct {
	Folder string // "" for what lies in drop/ itself
	Name   string // "" for the folder itself
	Kind   string
	Text   string // what is wrong, one sentence
	Remedy string // what to do; "" for nothing
}

// Ignored tells whether it is no picture and nobody need hear of it.
func (o LeftAlone) Ignored() bool { return o.Kind == KindLitter || o.Kind == KindSidecar }

// Pictures is how many pictures may lie in it, of which no print is made: of a folder
// its own files, where they can be counted; else one.
func (o LeftAlone) Pictures(drop string) int {
	switch {
	case o.Ignored(), o.Kind == KindSpecial:
		return 0
	case o.Kind != KindDirectory:
		return 1
	}
	in, within := scanFolder(drop, o.Folder+"/"+o.Name)
	n := len(in.Files) + len(within)
	for _, x := range in.Left {
		if !x.Ignored() {
			n++
		}
	}
	return n
}

// Why is why it is left, and what to do about it, in one sentence.
func (o LeftAlone) Why() string { return remedy.Join(o.Text, o.Remedy) }

func leftAlone(folder, name, kind, fault, remedy string) LeftAlone {
	return LeftAlone{folder, name, kind, show(filepath.Join("drop", folder, name)) + ": " + fault, remedy}
}

// leftInDrop reports whether an entry of drop/ is something other than a drop folder.
func leftInDrop(e fs.DirEntry) (LeftAlone, bool) {
	name := e.Name()
	switch {
	case isLitter(name):
		return leftAlone("", name, KindLitter, "not a drop folder; ignored", ""), true
	case e.Type()&fs.ModeSymlink != 0:
		return leftAlone("", name, KindLink, "a link, which is not followed", "make a folder of that name instead"), true
	case e.IsDir():
		return LeftAlone{}, false
	case isSidecar(name):
		return leftAlone("", name, KindSidecar, "no photograph; ignored", ""), true
	case e.Type().IsRegular():
		return leftAlone("", name, KindLoose, "lies in no drop folder", "move it into the folder of the size it is wanted at"), true
	}
	return leftAlone("", name, KindSpecial, "neither a file nor a folder", "take it away"), true
}

// leftInFolder reports whether an entry of a drop folder is something other than a file
// to print or a folder of them.
func leftInFolder(folder string, e fs.DirEntry) (LeftAlone, bool) {
	name := e.Name()
	switch {
	case isLitter(name):
		return leftAlone(folder, name, KindLitter, "not a photograph; ignored", ""), true
	case e.Type()&fs.ModeSymlink != 0:
		return leftAlone(folder, name, KindLink, "a link, which is not followed", "put a copy of the picture there instead"), true
	case e.IsDir() && depth(folder) >= MaxDepth:
		return leftAlone(folder, name, KindDirectory, fmt.Sprintf("a folder inside %d others is not looked into", MaxDepth), "move it further up"), true
	case e.IsDir():
		return LeftAlone{}, false
	case isSidecar(name):
		return leftAlone(folder, name, KindSidecar, "no photograph; ignored", ""), true
	case e.Type().IsRegular():
		return LeftAlone{}, false
	}
	return leftAlone(folder, name, KindSpecial, "neither a file nor a folder", "take it away"), true
}

// leftFile reports whether a regular file of a drop folder is left alone. A file with a
// second name could change under that name, or serve another purpose there.
func leftFile(folder, name string, info fs.FileInfo) (LeftAlone, bool) {
	if st, ok := info.Sys().(*syscall.Stat_t); ok && st.Nlink > 1 {
		return leftAlone(folder, name, KindHardLink, "has another name elsewhere (a hard link), so it is not opened", "put a copy there instead"), true
	}
	return LeftAlone{}, false
}

// unfinished is the sentence for a file that is not whole.
func (s *sighting) unfinished() LeftAlone {
	if forbidden(s.why) {
		return unreadable(s.Folder, s.Name, s.why)
	}
	state, remedy := "not whole", photo.Unfinished.Remedy
	switch {
	case s.why == errOpen:
		state, remedy = "still open", "close it there, or move it out of the drop folder"
	case unended(s.why):
		state = "unfinished"
	}
	return leftAlone(s.Folder, s.Name, KindUnfinished,
		fmt.Sprintf("%s, and unchanged since %s: %v", state, s.since.Format("2006-01-02 15:04"), s.why), remedy)
}

func forbidden(err error) bool { return errors.Is(err, fs.ErrPermission) }

// show is a path as it can be printed: in one line, with nothing in it that a terminal
// or a reader obeys.
func show(path string) string { return plaintext.Line(path) }
