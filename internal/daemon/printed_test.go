package daemon

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"sizewright/internal/config"
	"sizewright/internal/printed"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// configure gives a studio another configuration.
func configure(t *testing.T, o Options, toml string) Options {
	t.Helper()
	cfg, err := config.Parse("sizewright.toml", []byte(toml))
	if err != nil {
		t.Fatal(err)
	}
	o.Config = cfg
	return o
}

// Who drops a picture again for more copies asks for those, and not for as many as the
// first time.
func TestARepeatAsksForItsOwnCopies(t *testing.T) {
	paper := quick + "price_per_metre = 10\nmedia = 'roll'\n"
	roll := "[media.roll]\nkind = 'roll'\nwidth_mm = 400\n"
	s, o := newStudio(t, "20x30mm", paper+roll)
	data := jpegOf(t, 360, 240)
	drop(t, s, "20x30mm", "marsh.jpg", data)
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	drop(t, s, "20x30mm", "marsh.jpg", data)
	if _, err := Once(t.Context(), configure(t, o, paper+"copies = 3\n"+roll)); err != nil {
		t.Fatal(err)
	}
	first, again := readRecord(t, s, "outbox/20x30mm/marsh.json"), readRecord(t, s, "outbox/20x30mm/marsh-2.json")
	if again.RepeatOf == "" || first.Plan.Copies() != 1 || again.Plan.Copies() != 3 {
		t.Errorf("copies: %d, and of its repeat %d", first.Plan.Copies(), again.Plan.Copies())
	}
	if one, three := first.Plan.Paper.Estimate, again.Plan.Paper.Estimate; three.Prints != 3*one.Prints {
		t.Errorf("the repeat's estimate is of %d prints, the first of %d", three.Prints, one.Prints)
	}
}

// runsOf are the files of packed runs in a studio, with their content.
func runsOf(t *testing.T, s *studio.Studio) map[string]string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(s.MorningDir(), "*.tif"))
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]string{}
	for _, f := range found {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		_, n, _ := strings.Cut(filepath.Base(f), ".")
		all[n] = string(data)
	}
	return all
}

// A run of which something is on paper is not written again: what comes later the same night
// lies on the next. A file whose prints lie on another run is removed.
func TestARunOnPaperIsNotWrittenAgain(t *testing.T) {
	s, o := newStudio(t, "20x30mm", quick+"media = 'roll'\npack = true\npack_file = true\n[media.roll]\nkind = 'roll'\nwidth_mm = 100\nmax_length_mm = 32\n")
	once := func(names ...string) map[string]string {
		t.Helper()
		for _, name := range names {
			drop(t, s, "20x30mm", name, jpegOf(t, 360, 233+int(name[0]-'a')))
		}
		result, err := Once(t.Context(), o)
		if err != nil || len(result.Night.Faults) > 0 {
			t.Fatal(err, result.Night.Faults)
		}
		return runsOf(t, s)
	}
	names := []string{"a", "b", "c", "d"}
	first := once("a.jpg", "b.jpg", "c.jpg", "d.jpg")
	if len(first) != 2 {
		t.Fatalf("there are %d files of runs, want 2", len(first))
	}
	in := func(file string) (found []string) {
		for _, n := range names {
			at := readRecord(t, s, "outbox/20x30mm/"+n+".json").Packed
			if len(at) != 1 {
				t.Fatalf("%s lies at %+v", n, at)
			}
			if strings.HasSuffix(at[0].File, "."+file) {
				found = append(found, n)
			}
		}
		return found
	}
	on := in("roll.1.tif")
	e := record.Entry{Path: "outbox/20x30mm/" + on[0] + ".json", Record: *readRecord(t, s, "outbox/20x30mm/"+on[0]+".json")}
	if err := printed.Mark(s, e, func(*record.Record) []record.Mark { return []record.Mark{{At: time.Now()}} }); err != nil {
		t.Fatal(err)
	}
	names = append(names, "g")
	second := once("g.jpg")
	if second["roll.1.tif"] != first["roll.1.tif"] || !slices.Equal(in("roll.1.tif"), on) {
		t.Errorf("the run on paper had %v and has %v", on, in("roll.1.tif"))
	}
	for _, n := range in("roll.2.tif") { // somebody takes them away
		names = slices.DeleteFunc(names, func(name string) bool { return name == n })
		for _, ending := range []string{".json", ".tif"} {
			if err := os.Remove(filepath.Join(s.Outbox(), "20x30mm", n+ending)); err != nil {
				t.Fatal(err)
			}
		}
	}
	names = append(names, "h")
	third := once("h.jpg")
	if len(third) != 2 || third["roll.1.tif"] != first["roll.1.tif"] || !slices.Contains(in("roll.2.tif"), "h") {
		t.Errorf("of %d runs the second has %v", len(third), in("roll.2.tif"))
	}
	run := filepath.Base(readRecord(t, s, "outbox/20x30mm/h.json").Packed[0].File)
	if err := os.Rename(filepath.Join(s.MorningDir(), run), filepath.Join(s.Root(), "printed", run)); err != nil {
		t.Fatal(err)
	}
	late := once("i.jpg") // before anybody has looked into printed/
	if len(late) != 2 || late["roll.2.tif"] != "" {
		t.Errorf("there are %d runs, and the one in printed/ again: %v", len(late), late["roll.2.tif"] != "")
	}
	for range 2 { // once, however often it is looked at
		if _, err := printed.MarkMoved(t.Context(), s, s.Printed(), time.Now()); err != nil {
			t.Fatal(err)
		}
	}
	names = append(names, "i")
	for _, n := range in("roll.2.tif") {
		if r := readRecord(t, s, "outbox/20x30mm/"+n+".json"); r.OnPaper() != record.Printed || len(r.Marks) != 1 {
			t.Errorf("with its run moved to printed/ %s is %q, with marks %+v", n, r.OnPaper(), r.Marks)
		}
	}
	if slices.Contains(in("roll.2.tif"), "i") || readRecord(t, s, "outbox/20x30mm/i.json").OnPaper() != record.ToPrint {
		t.Error("what was made later is taken for printed")
	}
	_, done, err := printed.Look(t.Context(), s)
	may := slices.IndexFunc(done, func(d printed.Done) bool { return d.File == "printed/"+run })
	if err != nil || may < 0 || slices.ContainsFunc(done, func(d printed.Done) bool { return strings.HasSuffix(d.File, ".roll.1.tif") }) {
		t.Fatalf("of the runs, these may go: %+v, %v", done, err)
	}
	must(0, printed.Remove(t.Context(), s, done[may], time.Now()))
	if s.Holds(done[may].File, done[may].Bytes) || len(readRecord(t, s, done[may].Of.Path).Removed) != 1 {
		t.Errorf("%s is there, or its record does not say that it is gone", done[may].File)
	}
	run = filepath.Base(readRecord(t, s, "outbox/20x30mm/i.json").Packed[0].File)
	must(0, os.WriteFile(filepath.Join(s.Root(), "printed", run), []byte("another run of that name"), 0o600))
	moved := must(printed.MarkMoved(t.Context(), s, s.Printed(), time.Now()))
	if len(moved) != 1 || moved[0].Err == nil || readRecord(t, s, "outbox/20x30mm/i.json").OnPaper() != record.ToPrint {
		t.Errorf("of a run that was made anew since it was moved: %+v", moved)
	}
}

// Another process tidies while a daemon runs: what is dropped again at that moment is made
// anew, or its print stays.
func TestWhatIsTidiedAtThatMomentIsMadeAnew(t *testing.T) {
	s, o := newStudio(t, "20x30mm", quick)
	data := jpegOf(t, 360, 240)
	once := func() {
		t.Helper()
		drop(t, s, "20x30mm", "marsh.jpg", data)
		must(Once(t.Context(), o))
	}
	done := func() printed.Done {
		t.Helper()
		all := must(record.Reader{Root: s.Root()}.Made(t.Context()))
		must(0, printed.Mark(s, all[len(all)-1], func(*record.Record) []record.Mark { return []record.Mark{{At: time.Now()}} }))
		_, done, err := printed.Look(t.Context(), s)
		if err != nil || len(done) != 1 {
			t.Fatalf("%d prints may go: %v", len(done), err)
		}
		return done[0]
	}
	once()
	seen := done()
	turn := must(os.OpenFile(filepath.Join(s.Root(), ".sizewright/turn"), os.O_RDWR, 0))
	defer turn.Close()
	must(0, syscall.Flock(int(turn.Fd()), syscall.LOCK_EX)) // tidy is about to say that it removes it
	drop(t, s, "20x30mm", "marsh.jpg", data)
	over := make(chan error)
	go func() { _, err := Once(t.Context(), o); over <- err }()
	for deadline := time.Now().Add(time.Minute); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if waits, _ := exec.Command("grep", "-c", "-e", fmt.Sprintf("-> FLOCK .* %d ", os.Getpid()), "/proc/locks").Output(); strings.TrimSpace(string(waits)) != "0" {
			break
		}
		if _, err := os.Stat(filepath.Join(s.Outbox(), "20x30mm/marsh-2.json")); err == nil {
			break
		}
	}
	must(0, os.Remove(filepath.Join(s.Root(), seen.File)))
	must(0, syscall.Flock(int(turn.Fd()), syscall.LOCK_UN))
	if err := <-over; err != nil {
		t.Fatal(err)
	}
	if r := readRecord(t, s, "outbox/20x30mm/marsh-2.json"); r.RepeatOf != "" {
		t.Errorf("it repeats %s, which is gone", r.RepeatOf)
	}

	seen = done()
	once() // after tidy has looked
	if err := printed.Remove(t.Context(), s, seen, time.Now()); err == nil || !s.Holds(seen.File, seen.Bytes) {
		t.Errorf("what was asked for again was removed: %v", err)
	}
}
