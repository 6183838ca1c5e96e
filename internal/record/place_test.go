package record_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"sizewright/internal/record"
	"sizewright/internal/testkit/studiotest"
)

// counted are the paths of all records that count, by every reader there is.
func counted(s *studiotest.Studio) []string {
	s.Helper()
	all, err := reader(s.Root).Read(s.Context(), time.Time{})
	s.Must(err)
	nights, err := reader(s.Root).Latest(s.Context(), calendar(7, time.UTC), 0)
	s.Must(err)
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
	forged := func(s *studiotest.Studio, status record.Status, original, reason string) []byte {
		r := *s.Printed("A2", "reeds.jpg")
		if r.Source.Original = original; status == record.Held {
			r.Print, r.Code, r.Reason = nil, "damaged", reason
		}
		r.Status = status
		return studiotest.Encoded(s, r)
	}
	for claim, drop := range map[string]func(s *studiotest.Studio) []record.Entry{
		"a ready print": func(s *studiotest.Studio) []record.Entry {
			return []record.Entry{s.Hold("A2", "reeds.json", forged(s, record.Ready, "originals/A2/reeds.jpg", ""))}
		},
		"a hold of a picture that is not there": func(s *studiotest.Studio) []record.Entry {
			return []record.Entry{s.Hold("A2", "reeds.json", forged(s, record.Held, "held/A2/reeds", "too small"))}
		},
		"a hold of itself": func(s *studiotest.Studio) []record.Entry {
			return []record.Entry{s.Hold("A2", "reeds.json", forged(s, record.Held, "held/A2/reeds.json", "too small"))}
		},
		"a hold of one that is there": func(s *studiotest.Studio) []record.Entry {
			return []record.Entry{s.Hold("A2", "gull.jpg", nil), s.Hold("A2", "another.json", forged(s, record.Held, "held/A2/gull.jpg", "too small"))}
		},
		"a hold with its reason beside it": func(s *studiotest.Studio) []record.Entry {
			return []record.Entry{
				s.Hold("A2", "reeds.json", forged(s, record.Held, "held/A2/reeds", "too small")),
				s.Hold("A2", "reeds.txt", []byte("too small\n")),
			}
		},
		"a second record of a hold, by an older rule for names": func(s *studiotest.Studio) []record.Entry {
			s.Put("held/A2/-gull.json", nil)
			return []record.Entry{s.Hold("A2", "-gull.json", forged(s, record.Held, "held/A2/-gull", "too small"))}
		},
		"the record of another file's record": func(s *studiotest.Studio) []record.Entry {
			e := s.Hold("A2", "gull.jpg", nil)
			return []record.Entry{e, s.Hold("A2", "gull.jpg.json.json", forged(s, record.Held, e.Path, "too small"))}
		},
	} {
		s := studiotest.New(t)
		want := paths(drop(s))
		slices.Sort(want)
		if got := counted(s); !slices.Equal(got, want) {
			t.Errorf("%s: counted are %q, want %q", claim, got, want)
		}
		if past, err := reader(s.Root).History(t.Context(), "reeds.jpg"); err != nil || len(past) != 0 {
			t.Errorf("%s: a picture that nobody dropped has a history of %q (%v)", claim, paths(past), err)
		}
		var made record.Prints
		s.Must(made.Learn(s.Context(), record.Reader{Root: s.Root}))
		if known(s, &made, record.Entry{Record: *s.Printed("A2", "reeds.jpg")}) {
			t.Errorf("%s: its print counts as made", claim)
		}
	}
}

// What people put into the folders of prints is not the program's word either.
func TestARecordCountsWhereItWasWrittenAlone(t *testing.T) {
	s := studiotest.New(t)
	good, held := s.Made("A2", "reeds.jpg"), s.TooSmall("40x60in", "heron.jpg")
	repeat := s.Repeat(good, "reeds again.jpg")
	print, hold := studiotest.Encoded(t, good.Record), studiotest.Encoded(t, held.Record)
	s.Put("outbox/A2/reeds copy.json", print)
	s.Put("outbox/A2/reeds-2.json", print)
	s.Put("outbox/A3/reeds.json", print)
	s.Put("outbox/A3/reeds.tif", []byte("II*\x00"))
	s.Put("held/A2/reeds.json", print)
	s.Put("held/A2/reeds.jpg.json", print)
	s.Put("outbox/40x60in/heron.json", hold)
	s.Put("outbox/40x60in/heron.jpg.json", hold)
	s.Put("held/40x60in/heron.jpg-2.json", hold)
	s.Put("held/A2/heron.jpg.json", hold)
	s.Put("outbox/Morning/reeds.json", print)
	for file, change := range map[string]func(r *record.Record){
		"a.json":           func(r *record.Record) { r.Print.File = "../../a.tif" },
		"b.json":           func(r *record.Record) { r.Print.File, r.Print.Preview = "b.tif", "b./../../held/x.jpg" },
		"c.json":           func(r *record.Record) { r.Print.File, r.Source.Original = "c.tif", "originals/A2/../../c.jpg" },
		"reeds again.json": func(r *record.Record) { *r = repeat.Record },
		"d.json":           func(r *record.Record) { *r = repeat.Record; r.RepeatOf = "outbox/A2/d.json" },
		"e.json":           func(r *record.Record) { *r = repeat.Record; r.RepeatOf = "outbox/A3/reeds.json" },
		"f.json":           func(r *record.Record) { *r = repeat.Record; r.RepeatOf = "outbox/A2/../../reeds.json" },
	} {
		r := *s.Printed("A2", "reeds.jpg")
		change(&r)
		s.Put("outbox/A2/"+file, studiotest.Encoded(t, r))
	}
	want := []string{held.Path, repeat.Path, good.Path}
	slices.Sort(want)
	if got := counted(s); !slices.Equal(got, want) {
		t.Errorf("counted are %q, want %q", got, want)
	}
}

// Taken away may be the print, its original, the picture that was held: what was made
// and held was so all the same.
func TestWhatWasMadeCountsWhenItWasTakenAway(t *testing.T) {
	s := studiotest.New(t)
	all := []record.Entry{s.Made("A2", "reeds.jpg"), s.Made("A3", "creek.jpg"), s.TooSmall("40x60in", "heron.jpg"), s.Unreadable("A4 lustre", "gull.jpg")}
	all = append(all, s.Repeat(all[0], "reeds again.jpg"))
	s.Remove("outbox/A2/reeds.tif", "outbox/A2/reeds.preview.jpg", "originals/A3/creek.jpg", "outbox/A3/creek.tif", "held/40x60in/heron.jpg", "held/A4 lustre/gull.jpg.txt")
	want := paths(all)
	slices.Sort(want)
	if got := counted(s); !slices.Equal(got, want) {
		t.Errorf("counted are %q, want %q", got, want)
	}
	s.Remove("originals/A2", "outbox/A3/creek.preview.jpg", "held/40x60in/heron.jpg.txt", "held/A4 lustre/gull.jpg")
	if got := counted(s); !slices.Equal(got, []string{all[4].Path}) {
		t.Errorf("with nothing left of what they tell, counted are %q, want that which repeats another", got)
	}
}

// A share may show a folder under another name than the drop folder's, and older versions
// kept a name in held/ as it was: what was made then counts.
func TestNamesThatWereMadeSafeAreTheDropFoldersOwn(t *testing.T) {
	s := studiotest.New(t)
	r := s.Printed("A2 lustre", "reeds.jpg")
	r.Order.Folder = `A2 lustre?`
	r.Source.Original = "originals/A2 lustre_/reeds.jpg"
	s.Put("outbox/A2 lustre_/reeds.json", studiotest.Encoded(t, *r))
	s.Put("outbox/A2 lustre_/reeds.tif", []byte("II*\x00"))
	held := s.Unreadable("A2", "gull: 2.jpg")
	bytes := s.Unreadable("A2", "caf\xe9.jpg")
	s.Must(os.Rename(filepath.Join(s.Root, bytes.Path), filepath.Join(s.Root, "held/A2/caf_.jpg.json")))
	want := []string{"held/A2/caf_.jpg.json", held.Path, "outbox/A2 lustre_/reeds.json"}
	slices.Sort(want)
	if got := counted(s); !slices.Equal(got, want) {
		t.Errorf("counted are %q, want %q", got, want)
	}
}
