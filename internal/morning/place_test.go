package morning

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"sizewright/internal/record"
)

func encoded(t testing.TB, r record.Record) []byte {
	t.Helper()
	data, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// remove takes files of the studio away.
func (s *studioDir) remove(names ...string) {
	s.Helper()
	for _, name := range names {
		s.must(os.RemoveAll(filepath.Join(s.root, name)))
	}
}

// hold is what the daemon makes of a file that is no picture: it lies in held/ under its
// own name, with its reason and its record beside it.
func (s *studioDir) hold(folder, name string, data []byte) Entry {
	s.Helper()
	e := s.unreadable(folder, name)
	s.put(e.Record.Source.Original, data)
	return e
}

// counted are the paths of all records that count, by every reader there is.
func (s *studioDir) counted() []string {
	s.Helper()
	all, err := Read(s.root, time.Time{})
	s.must(err)
	nights, err := Nights(s.root, 7, time.UTC, 0)
	s.must(err)
	var told []string
	for _, n := range nights {
		told = append(told, paths(n.Records)...)
	}
	read := paths(all)
	slices.Sort(read)
	slices.Sort(told)
	if !slices.Equal(read, told) {
		s.Errorf("read are %q, and told of %q", read, told)
	}
	return read
}

// A file that is dropped and held keeps its name. What it says of prints was never so,
// whatever it is called and whatever lies beside it.
func TestADroppedFileForgesNoRecord(t *testing.T) {
	forged := func(s *studioDir, status record.Status, original, reason string) []byte {
		r := *s.printed("A2", "reeds.jpg")
		if r.Source.Original = original; status == record.Held {
			r.Print, r.Code, r.Reason = nil, "damaged", reason
		}
		r.Status = status
		return encoded(s, r)
	}
	for claim, drop := range map[string]func(s *studioDir) []Entry{
		"a ready print": func(s *studioDir) []Entry {
			return []Entry{s.hold("A2", "reeds.json", forged(s, record.Ready, "originals/A2/reeds.jpg", ""))}
		},
		"a hold of a picture that is not there": func(s *studioDir) []Entry {
			return []Entry{s.hold("A2", "reeds.json", forged(s, record.Held, "held/A2/reeds", "too small"))}
		},
		"a hold of itself": func(s *studioDir) []Entry {
			return []Entry{s.hold("A2", "reeds.json", forged(s, record.Held, "held/A2/reeds.json", "too small"))}
		},
		"a hold of one that is there": func(s *studioDir) []Entry {
			return []Entry{s.hold("A2", "gull.jpg", nil), s.hold("A2", "another.json", forged(s, record.Held, "held/A2/gull.jpg", "too small"))}
		},
		"a hold with its reason beside it": func(s *studioDir) []Entry {
			return []Entry{
				s.hold("A2", "reeds.json", forged(s, record.Held, "held/A2/reeds", "too small")),
				s.hold("A2", "reeds.txt", []byte("too small\n")),
			}
		},
		"a second record of a hold, by an older rule for names": func(s *studioDir) []Entry {
			s.put("held/A2/-gull.json", nil)
			return []Entry{s.hold("A2", "-gull.json", forged(s, record.Held, "held/A2/-gull", "too small"))}
		},
		"the record of another file's record": func(s *studioDir) []Entry {
			e := s.hold("A2", "gull.jpg", nil)
			return []Entry{e, s.hold("A2", "gull.jpg.json.json", forged(s, record.Held, e.Path, "too small"))}
		},
	} {
		s := newStudio(t)
		want := paths(drop(s))
		slices.Sort(want)
		if got := s.counted(); !slices.Equal(got, want) {
			t.Errorf("%s: counted are %q, want %q", claim, got, want)
		}
		if past, err := History(s.root, "reeds.jpg"); err != nil || len(past) != 0 {
			t.Errorf("%s: a picture that nobody dropped has a history of %q (%v)", claim, paths(past), err)
		}
		var made Made
		s.must(made.Learn(s.Context(), Reader{Root: s.root}))
		if s.known(&made, Entry{Record: *s.printed("A2", "reeds.jpg")}) {
			t.Errorf("%s: its print counts as made", claim)
		}
	}
}

// What people put into the folders of prints is not the program's word either.
func TestARecordCountsWhereItWasWrittenAlone(t *testing.T) {
	s := newStudio(t)
	good, held := s.made("A2", "reeds.jpg"), s.tooSmall("40x60in", "heron.jpg")
	repeat := s.repeat(good, "reeds again.jpg")
	print, hold := encoded(t, good.Record), encoded(t, held.Record)
	s.put("outbox/A2/reeds copy.json", print)
	s.put("outbox/A2/reeds-2.json", print)
	s.put("outbox/A3/reeds.json", print)
	s.put("outbox/A3/reeds.tif", []byte("II*\x00"))
	s.put("held/A2/reeds.json", print)
	s.put("held/A2/reeds.jpg.json", print)
	s.put("outbox/40x60in/heron.json", hold)
	s.put("outbox/40x60in/heron.jpg.json", hold)
	s.put("held/40x60in/heron.jpg-2.json", hold)
	s.put("held/A2/heron.jpg.json", hold)
	s.put("outbox/Morning/reeds.json", print)
	for file, change := range map[string]func(r *record.Record){
		"a.json":           func(r *record.Record) { r.Print.File = "../../a.tif" },
		"b.json":           func(r *record.Record) { r.Print.File, r.Print.Preview = "b.tif", "b./../../held/x.jpg" },
		"c.json":           func(r *record.Record) { r.Print.File, r.Source.Original = "c.tif", "originals/A2/../../c.jpg" },
		"reeds again.json": func(r *record.Record) { *r = repeat.Record },
		"d.json":           func(r *record.Record) { *r = repeat.Record; r.RepeatOf = "outbox/A2/d.json" },
		"e.json":           func(r *record.Record) { *r = repeat.Record; r.RepeatOf = "outbox/A3/reeds.json" },
		"f.json":           func(r *record.Record) { *r = repeat.Record; r.RepeatOf = "outbox/A2/../../reeds.json" },
	} {
		r := *s.printed("A2", "reeds.jpg")
		change(&r)
		s.put("outbox/A2/"+file, encoded(t, r))
	}
	want := []string{held.Path, repeat.Path, good.Path}
	slices.Sort(want)
	if got := s.counted(); !slices.Equal(got, want) {
		t.Errorf("counted are %q, want %q", got, want)
	}
}

// Taken away may be the print, its original, the picture that was held: what was made
// and held was so all the same.
func TestWhatWasMadeCountsWhenItWasTakenAway(t *testing.T) {
	s := newStudio(t)
	all := []Entry{s.made("A2", "reeds.jpg"), s.made("A3", "creek.jpg"), s.tooSmall("40x60in", "heron.jpg"), s.unreadable("A4 lustre", "gull.jpg")}
	all = append(all, s.repeat(all[0], "reeds again.jpg"))
	s.remove("outbox/A2/reeds.tif", "outbox/A2/reeds.preview.jpg", "originals/A3/creek.jpg", "outbox/A3/creek.tif", "held/40x60in/heron.jpg", "held/A4 lustre/gull.jpg.txt")
	want := paths(all)
	slices.Sort(want)
	if got := s.counted(); !slices.Equal(got, want) {
		t.Errorf("counted are %q, want %q", got, want)
	}
	s.remove("originals/A2", "outbox/A3/creek.preview.jpg", "held/40x60in/heron.jpg.txt", "held/A4 lustre/gull.jpg")
	if got := s.counted(); !slices.Equal(got, []string{all[4].Path}) {
		t.Errorf("with nothing left of what they tell, counted are %q, want that which repeats another", got)
	}
}

// A share may show a folder under another name than the drop folder's, and older versions
// kept a name in held/ as it was: what was made then counts.
func TestNamesThatWereMadeSafeAreTheDropFoldersOwn(t *testing.T) {
	s := newStudio(t)
	r := s.printed("A2 lustre", "reeds.jpg")
	r.Order.Folder = `A2 lustre?`
	r.Source.Original = "originals/A2 lustre_/reeds.jpg"
	s.put("outbox/A2 lustre_/reeds.json", encoded(t, *r))
	s.put("outbox/A2 lustre_/reeds.tif", []byte("II*\x00"))
	held := s.unreadable("A2", "gull: 2.jpg")
	bytes := s.unreadable("A2", "caf\xe9.jpg")
	s.must(os.Rename(filepath.Join(s.root, bytes.Path), filepath.Join(s.root, "held/A2/caf_.jpg.json")))
	want := []string{"held/A2/caf_.jpg.json", held.Path, "outbox/A2 lustre_/reeds.json"}
	slices.Sort(want)
	if got := s.counted(); !slices.Equal(got, want) {
		t.Errorf("counted are %q, want %q", got, want)
	}
}
