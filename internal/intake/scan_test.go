package intake

import (
	"net"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"
)

// newDrop gives an empty drop directory with drop folders.
func newDrop(t testing.TB, folders ...string) string {
	t.Helper()
	drop := filepath.Join(t.TempDir(), "drop")
	for _, f := range append(folders, "") {
		if err := os.MkdirAll(filepath.Join(drop, f), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	return drop
}

// put has a file appear in a drop folder whole, at one moment.
func put(t testing.TB, drop, rel, content string) {
	t.Helper()
	staged := drop + " staged"
	if err := os.WriteFile(staged, []byte(content), 0o666); err != nil {
		t.Error(err)
	}
	if err := os.Rename(staged, filepath.Join(drop, rel)); err != nil {
		t.Error(err)
	}
}

func at(t testing.TB, drop, rel string, when time.Time) {
	t.Helper()
	if err := os.Chtimes(filepath.Join(drop, rel), when, when); err != nil {
		t.Fatal(err)
	}
}

func link(t testing.TB, drop, to, rel string) {
	t.Helper()
	if err := os.Symlink(to, filepath.Join(drop, rel)); err != nil {
		t.Fatal(err)
	}
}

func TestTheLongestWaitingComesFirst(t *testing.T) {
	drop := newDrop(t, "A2", "A3")
	noon := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	for _, f := range []struct {
		rel  string
		when time.Time
	}{{"A2/b.jpg", noon}, {"A2/a.jpg", noon}, {"A3/a.jpg", noon}, {"A3/z.jpg", noon.Add(-time.Hour)}} {
		put(t, drop, f.rel, "12345")
		at(t, drop, f.rel, f.when)
	}
	files, left, err := Scan(drop)
	if err != nil || len(left) != 0 {
		t.Fatalf("%v, %v", left, err)
	}
	var order []string
	for _, c := range files {
		order = append(order, c.Folder+"/"+c.Name)
		if c.Size != 5 {
			t.Errorf("%s: %d bytes", c.Name, c.Size)
		}
	}
	if want := []string{"A3/z.jpg", "A2/a.jpg", "A2/b.jpg", "A3/a.jpg"}; !slices.Equal(order, want) {
		t.Errorf("order %v, want %v", order, want)
	}
}

func TestWhatIsNoPhotographIsLeftAloneAndTold(t *testing.T) {
	drop := newDrop(t, "A2", "A2/1/2/3/4/5/6/7/deep", ".Trash-1000")
	put(t, drop, "elsewhere.jpg", "x")
	link(t, drop, "A2", "A3")
	link(t, drop, "../elsewhere.jpg", "A2/link.jpg")
	link(t, drop, "nowhere", "A2/dangling.jpg")
	link(t, drop, "..", "A2/loop")
	if err := syscall.Mkfifo(filepath.Join(drop, "A2/pipe.jpg"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(filepath.Join(drop, "pipe"), 0o666); err != nil {
		t.Fatal(err)
	}
	socket, err := net.Listen("unix", filepath.Join(drop, "A2/socket"))
	if err != nil {
		t.Fatal(err)
	}
	defer socket.Close()
	// Only root may make a device.
	device := syscall.Mknod(filepath.Join(drop, "A2/device.jpg"), syscall.S_IFCHR|0o600, 1<<8|3)
	if device != nil && os.Geteuid() == 0 {
		t.Log(device)
	}
	put(t, drop, "A2/twice.jpg", "x")
	if err := os.Link(filepath.Join(drop, "A2/twice.jpg"), filepath.Join(drop, "again.jpg")); err != nil {
		t.Fatal(err)
	}
	put(t, drop, "A2/1/2/3/4/5/6/7/deep/deep.jpg", "x")
	put(t, drop, "A2/new\nline~", "x")
	put(t, drop, "A2/marsh.jpg", "x")

	files, left, err := Scan(drop)
	if err != nil || len(files) != 1 || files[0].Name != "marsh.jpg" {
		t.Errorf("photographs: %v, %v", files, err)
	}
	want := map[string]string{
		"drop/.Trash-1000: not a drop folder; ignored":                                                               KindLitter,
		"drop/A3: a link, which is not followed; make a folder of that name instead":                                 KindLink,
		"drop/elsewhere.jpg: lies in no drop folder; move it into the folder of the size it is wanted at":            KindLoose,
		"drop/again.jpg: lies in no drop folder; move it into the folder of the size it is wanted at":                KindLoose,
		"drop/A2/twice.jpg: has another name elsewhere (a hard link), so it is not opened; put a copy there instead": KindHardLink,
		"drop/pipe: neither a file nor a folder; take it away":                                                       KindSpecial,
		"drop/A2/dangling.jpg: a link, which is not followed; put a copy of the picture there instead":               KindLink,
		"drop/A2/link.jpg: a link, which is not followed; put a copy of the picture there instead":                   KindLink,
		"drop/A2/loop: a link, which is not followed; put a copy of the picture there instead":                       KindLink,
		"drop/A2/1/2/3/4/5/6/7/deep: a folder inside 8 others is not looked into; move it further up":                KindDirectory,
		`drop/A2/new\nline~: not a photograph; ignored`:                                                              KindLitter,
		"drop/A2/pipe.jpg: neither a file nor a folder; take it away":                                                KindSpecial,
		"drop/A2/socket: neither a file nor a folder; take it away":                                                  KindSpecial,
	}
	if device == nil {
		want["drop/A2/device.jpg: neither a file nor a folder; take it away"] = KindSpecial
	}
	for _, o := range left {
		if want[o.Why()] != o.Kind {
			t.Errorf("told %q as %s", o.Why(), o.Kind)
		}
		delete(want, o.Why())
	}
	if len(want) != 0 {
		t.Errorf("not told: %v", want)
	}
}

func TestLitterIsToldFromPhotographsByName(t *testing.T) {
	for _, name := range []string{
		".DS_Store", "Thumbs.db", "THUMBS.DB", "desktop.ini", "._marsh.jpg", ".marsh.jpg.x7Gh3k", "marsh.jpg~",
		"marsh.jpg.part", "marsh.jpg.crdownload", "marsh.TMP", "~$list.doc",
		".goutputstream-X7GH3K", ".nfs000000000012", ".stfolder", ".~lock.marsh.jpg#", ".Trash-1000", "marsh.jpg.swp",
		"lost+found", "@eaDir", "#recycle", "$RECYCLE.BIN", "System Volume Information", "__MACOSX", "Icon\r",
		"marsh.jpg.download", "marsh.jpg.filepart",
	} {
		if !isLitter(name) {
			t.Errorf("%s was taken for a photograph", name)
		}
	}
	for _, name := range []string{"marsh.jpg", "~marsh.jpg", "part", "marsh.part.jpg", "-rf.jpg", "new\nline.jpg", "\xff.jpg", "thumbs.db.jpg", "download", "#1 marsh.jpg", "@dusk.jpg", "$marsh.jpg"} {
		if isLitter(name) {
			t.Errorf("%q was taken for litter", name)
		}
	}
}

func TestADropDirectoryThatCannotBeReadIsAnError(t *testing.T) {
	drop := newDrop(t)
	if err := os.Remove(drop); err != nil {
		t.Fatal(err)
	}
	want := drop + ": the drop directory cannot be read: no such file or directory; put it back, or mount its disk"
	if _, _, err := Scan(drop); err == nil || err.Error() != want {
		t.Errorf("told %v, want %s", err, want)
	}
	put(t, filepath.Dir(drop), "drop", "x")
	want = drop + ": the drop directory cannot be read: not a directory; put a plain directory there"
	if _, _, err := Scan(drop); err == nil || err.Error() != want {
		t.Errorf("told %v, want %s", err, want)
	}
}

// Whatever they are called: what is no size is somebody else's to tell.
func TestDropFoldersAreDirectoriesAndTheRestIsOdd(t *testing.T) {
	drop := newDrop(t, "A2", "60x40in canvas", "holiday", ".hidden", "lost+found")
	put(t, drop, "loose.jpg", "x")
	link(t, drop, "A2", "A3")
	found, left, err := Folders(drop)
	var folders []string
	for _, f := range found {
		folders = append(folders, f.Path)
	}
	if want := []string{"60x40in canvas", "A2", "holiday"}; err != nil || !slices.Equal(folders, want) {
		t.Errorf("drop folders %q, %v; want %q", folders, err, want)
	}
	var kinds []string
	for _, o := range left {
		kinds = append(kinds, o.Name+" "+o.Kind)
	}
	if want := []string{".hidden litter", "A3 link", "loose.jpg loose", "lost+found litter"}; !slices.Equal(kinds, want) {
		t.Errorf("left alone %q, want %q", kinds, want)
	}
}

func TestSidecarsAreNoPictures(t *testing.T) {
	drop := t.TempDir()
	for _, name := range []string{"A2/marsh.jpg", "A2/marsh.jpg.XMP", "A2/marsh.pp3", "A2/list.txt", "A2/contract.pdf", "A2/1/2/3/4/5/6/7/deep/reeds.jpg", "A2/1/2/3/4/5/6/7/deep/reeds.xmp"} {
		if err := os.MkdirAll(filepath.Join(drop, filepath.Dir(name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(drop, name), []byte(name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	files, left, err := Scan(drop)
	if err != nil || len(files) != 1 || files[0].Name != "marsh.jpg" {
		t.Errorf("pictures are %+v (%v), want marsh.jpg alone", files, err)
	}
	pictures, sidecars := 0, 0
	for _, o := range left {
		if pictures += o.Pictures(drop); o.Kind == KindSidecar {
			sidecars++
		}
	}
	if sidecars != 4 || pictures != 1 {
		t.Errorf("%d sidecars and %d pictures in the folder inside, want 4 and 1: %+v", sidecars, pictures, left)
	}
}

// Folders name a job, above the size's folder or inside it.
func TestFoldersInsideOneAnotherAreLookedInto(t *testing.T) {
	drop := newDrop(t, "Marsh/A2", "Marsh/A3", "A2/Reeds", "A2/Reeds/empty", "Marsh/.thumbs")
	for _, name := range []string{"Marsh/A2/tide.jpg", "Marsh/A3/tide.jpg", "A2/Reeds/tide.jpg", "A2/tide.jpg", "Marsh/loose.jpg", "Marsh/.thumbs/tide.jpg"} {
		put(t, drop, name, "x")
	}
	link(t, drop, "Marsh", "A2/again")
	link(t, drop, "../../A2", "Marsh/A2/loop")
	files, left, err := Scan(drop)
	var got []string
	for _, f := range files {
		got = append(got, f.Folder+" "+f.Name)
	}
	slices.Sort(got)
	if want := []string{"A2 tide.jpg", "A2/Reeds tide.jpg", "Marsh loose.jpg", "Marsh/A2 tide.jpg", "Marsh/A3 tide.jpg"}; err != nil || !slices.Equal(got, want) {
		t.Errorf("pictures are %q, %v; want %q", got, err, want)
	}
	links := 0
	for _, o := range left {
		if o.Kind == KindLink {
			links++
		}
	}
	if links != 2 {
		t.Errorf("%d links are told, want 2: %v", links, left)
	}
}
