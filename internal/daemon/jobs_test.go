package daemon

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/record"
)

// dropAt is drop for a folder that need not be there.
func dropAt(t *testing.T, o Options, folder, name string, data []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Join(o.Studio.Drop(), folder), 0o777); err != nil {
		t.Fatal(err)
	}
	drop(t, o.Studio, folder, name, data)
}

// Pictures of equal names in equal sizes, and one that is the same to the byte: each job
// has its own prints, originals and held pictures, together under its name.
func TestJobsNeverMix(t *testing.T) {
	s, o := newStudio(t, "20x30mm", quick)
	same := jpegOf(t, 360, 240)
	folders := []string{"20x30mm", "Marsh/20x30mm", "Reeds/20x30mm", "20x30mm/Reeds", "con/Caf\u00e9: 1/20x30mm"}
	for i, folder := range folders {
		dropAt(t, o, folder, "tide.jpg", jpegOf(t, 380+2*i, 250))
		dropAt(t, o, folder, "same.jpg", same)
		dropAt(t, o, folder, "broken.jpg", []byte("no picture"))
	}
	result, err := Once(t.Context(), o)
	if err != nil || len(result.Night.Faults) > 0 {
		t.Fatal(err, result.Night.Faults)
	}
	for i, folder := range folders {
		at := strings.ReplaceAll(strings.ReplaceAll(folder, "con/", "con_/"), ":", "_")
		for _, file := range []string{"outbox/%/tide.tif", "outbox/%/tide.preview.jpg", "outbox/%/same.tif", "originals/%/tide.jpg", "originals/%/same.jpg", "held/%/broken.jpg", "held/%/broken.jpg.json"} {
			if _, err := os.Lstat(filepath.Join(s.Root(), strings.Replace(file, "%", at, 1))); err != nil {
				t.Error(err)
			}
		}
		r := readRecord(t, s, "outbox/"+at+"/tide.json")
		if r.Source.Width != 380+2*i || r.RepeatOf != "" || r.Order.Folder != folder {
			t.Errorf("the print in %s is of another job: %+v", at, r.Source)
		}
		if want := strings.Trim(strings.ReplaceAll("/"+folder+"/", "/20x30mm/", "/"), "/"); r.Order.Job != want {
			t.Errorf("the job of %s is %q, want %q", folder, r.Order.Job, want)
		}
	}
	read, err := record.Reader{Root: s.Root()}.Read(t.Context(), result.Night.Started)
	if err != nil || len(read) != 3*len(folders) {
		t.Errorf("%d records are read back, want %d (%v)", len(read), 3*len(folders), err)
	}
	if _, err := os.Lstat(filepath.Join(s.Drop(), "Marsh/20x30mm")); err != nil {
		t.Error("a person's folder was taken away: ", err)
	}
	for _, folder := range folders {
		dropAt(t, o, folder, "again.jpg", same)
	}
	if result, err = Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	for _, e := range result.Night.Records {
		if filepath.Dir(e.Record.RepeatOf) != filepath.Dir(e.Path) {
			t.Errorf("%s is taken for the print %q", e.Path, e.Record.RepeatOf)
		}
	}
}

// Nothing is made of what has no size on its path, and it is counted; a folder that holds
// the job's folders alone asks nothing.
func TestAPictureOfAJobWithoutASizeIsLeftUndone(t *testing.T) {
	s, o := newStudio(t, "20x30mm", quick)
	dropAt(t, o, "Marsh/20x30mm", "tide.jpg", jpegOf(t, 360, 240))
	dropAt(t, o, "Marsh/roughs", "tide.jpg", jpegOf(t, 360, 240))
	dropAt(t, o, "morning/20x30mm", "tide.jpg", jpegOf(t, 360, 240))
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	var left []string
	for _, l := range result.Night.Left {
		left = append(left, l.Folder)
	}
	if want := []string{"Marsh/roughs", "morning/20x30mm"}; !slices.Equal(left, want) || result.Night.Unmade() != 2 || len(result.Night.Records) != 1 {
		t.Errorf("left %q, %d pictures; want %q, 2: %+v", left, result.Night.Unmade(), want, result.Night.Left)
	}
	if _, err := os.Lstat(filepath.Join(s.Drop(), "morning/20x30mm/tide.jpg")); err != nil {
		t.Error(err)
	}
}

// A job's folder is moved in whole while one of its pictures is still being copied, and then
// into another job: nothing is taken before it is whole, and each is printed for the job that
// it was in when it was.
func TestAJobMovedInWhileHalfIsStillArriving(t *testing.T) {
	s, o := newStudio(t, "20x30mm", quick)
	serving(t, o)
	outside := filepath.Join(s.Root(), "elsewhere")
	if err := os.MkdirAll(filepath.Join(outside, "20x30mm"), 0o777); err != nil {
		t.Fatal(err)
	}
	late, first, last := jpegOf(t, 360, 240), jpegOf(t, 366, 240), jpegOf(t, 372, 240)
	half := must(os.Create(filepath.Join(outside, "20x30mm", "late.jpg")))
	must(half.Write(late[:len(late)/2]))
	must(0, os.WriteFile(filepath.Join(outside, "20x30mm", "first.jpg"), first, 0o644))
	must(0, os.Rename(outside, filepath.Join(s.Drop(), "Marsh")))
	appears(t, filepath.Join(s.Outbox(), "Marsh/20x30mm/first.json"))
	must(0, os.MkdirAll(filepath.Join(s.Drop(), "Coast"), 0o777))
	must(0, os.Rename(filepath.Join(s.Drop(), "Marsh"), filepath.Join(s.Drop(), "Coast/Sedge")))
	must(0, os.WriteFile(filepath.Join(s.Drop(), "Coast/Sedge/20x30mm/last.jpg"), last, 0o644))
	appears(t, filepath.Join(s.Outbox(), "Coast/Sedge/20x30mm/last.json"))
	must(half.Write(late[len(late)/2:]))
	must(0, half.Close())
	appears(t, filepath.Join(s.Outbox(), "Coast/Sedge/20x30mm/late.json"))
	if r := readRecord(t, s, "outbox/Coast/Sedge/20x30mm/late.json"); r.Order.Job != "Coast/Sedge" || r.Source.Width != 360 {
		t.Errorf("the late picture is %+v of the job %q", r.Source, r.Order.Job)
	}
	if got := must(os.ReadFile(filepath.Join(s.Originals(), "Coast/Sedge/20x30mm/late.jpg"))); !bytes.Equal(got, late) {
		t.Error("its original is another file")
	}
	if held, err := filepath.Glob(filepath.Join(s.Held(), "*/*/*")); len(held) > 0 || err != nil {
		t.Errorf("held are %v", held)
	}
}
