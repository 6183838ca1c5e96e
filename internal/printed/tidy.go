package printed

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"time"

	"sizewright/internal/plural"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// Outbox is what lies in the outbox, and in printed/, of prints and of nothing else.
type Outbox struct {
	ToPrint Amount `json:"to_print"` // that nobody said were printed
	Printed Amount `json:"printed"`  // which `sizewright tidy` may remove

	Again   []string       `json:"to_print_again,omitempty"` // TIFFs, from the studio's root, of prints that came out spoiled
	Spoiled []record.Entry `json:"-"`                        // and the orders that these are of
}

// Amount is a number of TIFFs.
type Amount struct {
	Files int   `json:"files"`
	Bytes int64 `json:"bytes"`
}

// Add adds a TIFF.
func (a *Amount) Add(bytes int64) { a.Files, a.Bytes = a.Files+1, a.Bytes+bytes }

// Done is a TIFF whose print is on paper, or that of a packed run of which all are.
type Done struct {
	Of      record.Entry
	Run     []record.Entry // that are on it; none for a single print
	File    string         // from the studio's root
	Bytes   int64
	Printed time.Time // last
}

// Look reads what lies in the outbox.
func Look(ctx context.Context, s *studio.Studio) (o Outbox, done []Done, err error) {
	all, err := record.Reader{Root: s.Root()}.Made(ctx)
	asked := map[string]bool{}        // by the path of their record, prints that are asked for again
	printed := map[string]time.Time{} // likewise, when that was done last
	for _, e := range all {
		if again := e.Record.RepeatOf; again != "" {
			asked[again] = asked[again] || e.Record.OnPaper() == record.ToPrint
			printed[again] = later(printed[again], e.Record.PrintedAt())
		}
	}
	for _, e := range all {
		if spoiled := e.Record.Spoiled(); len(spoiled) > 0 {
			o.Spoiled = append(o.Spoiled, e)
			for _, t := range e.Record.Print.TIFFs() {
				if slices.Contains(spoiled, t.Number) {
					o.Again = append(o.Again, e.Beside(t.File))
				}
			}
		}
		if e.Record.RepeatOf != "" {
			continue
		}
		for _, t := range e.Record.Print.TIFFs() {
			at := e.Record.NumberPrintedAt(t.Number)
			for _, file := range Places(e, t) {
				switch {
				case !s.Holds(file, t.Bytes):
				case at.IsZero() || asked[e.Path]:
					o.ToPrint.Add(t.Bytes)
				default:
					o.Printed.Add(t.Bytes)
					done = append(done, Done{Of: e, File: file, Bytes: t.Bytes, Printed: later(at, printed[e.Path])})
				}
			}
		}
	}
	for _, d := range runs(s, all, asked) {
		o.Printed.Add(d.Bytes)
		done = append(done, d)
	}
	return o, done, err
}

// runs are the files of packed runs of which all prints are on paper, and none is asked for
// again.
func runs(s *studio.Studio, all []record.Entry, asked map[string]bool) (done []Done) {
	on, waits, last := map[string][]record.Entry{}, map[string]bool{}, map[string]time.Time{}
	for _, e := range all {
		for _, at := range e.Record.Packed {
			name, printed := path.Base(at.File), e.Record.NumberPrintedAt(at.Number)
			waits[name] = waits[name] || printed.IsZero() || asked[e.Path]
			last[name] = later(last[name], printed)
			if n := on[name]; len(n) == 0 || n[len(n)-1].Path != e.Path {
				on[name] = append(n, e)
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(on)) {
		files := []string{"outbox/morning/" + name}
		for _, m := range on[name][0].Record.Marks {
			if path.Base(m.File) == name && !slices.Contains(files, m.File) {
				files = append(files, m.File) // moved to printed/
			}
		}
		for _, file := range files {
			if info, err := os.Lstat(filepath.Join(s.Root(), filepath.FromSlash(file))); err == nil && info.Mode().IsRegular() && !waits[name] {
				done = append(done, Done{Of: on[name][0], Run: on[name], File: file, Bytes: info.Size(), Printed: last[name]})
			}
		}
	}
	return done
}

// Older are those that were printed so many days ago, or longer.
func Older(done []Done, now time.Time, days int) (older []Done) {
	for _, d := range done {
		if !d.Printed.After(now.AddDate(0, 0, -days)) {
			older = append(older, d)
		}
	}
	return older
}

// Megabytes is a number of bytes as people say it: 812 MB, 2.4 GB.
func Megabytes(bytes int64) string {
	if bytes >= 1e9 {
		return fmt.Sprintf("%.1f GB", float64(bytes)/1e9)
	}
	return fmt.Sprintf("%d MB", (bytes+1e6-1)/1e6)
}

// Sentence says what would be freed; "" for nothing.
func (o Outbox) Sentence() string {
	if o.Printed.Files == 0 {
		return ""
	}
	return fmt.Sprintf("%s that %s printed %s %s, which `sizewright tidy` frees.", plural.Count(o.Printed.Files, "TIFF", "TIFFs"),
		plural.Noun(o.Printed.Files, "was", "were"), plural.Noun(o.Printed.Files, "takes", "take"), Megabytes(o.Printed.Bytes))
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// Places are where a TIFF may lie, from the studio's root: where it was made, and where it was moved to.
func Places(e record.Entry, t record.Numbered) []string {
	all := []string{e.Beside(t.File)}
	for _, m := range e.Record.Marks {
		if m.File != "" && m.Number == t.Number {
			all = append(all, m.File)
		}
	}
	return all
}

// Remove removes a TIFF whose print can be made again: the original is there, to the byte,
// and nobody has worked on the TIFF since it was made. The record says so first. The
// error is why it stays.
func Remove(ctx context.Context, s *studio.Studio, d Done, now time.Time) error {
	for _, e := range d.Run { // it can be made again if each of them can
		r := e.Record
		if err := isOriginal(ctx, s, &r); err != nil {
			return fmt.Errorf("%s stays, since it could not be made again: %w", d.File, err)
		}
	}
	r := d.Of.Record
	made := r.Times.Finished
	if d.Run != nil { // and before the report of its night, whose date it has
		info, err := os.Stat(filepath.Join(s.MorningDir(), path.Base(d.File)[:min(len(path.Base(d.File)), len(time.DateOnly))]+".json"))
		if err != nil {
			return fmt.Errorf("%s stays, since nothing tells when it was made: %w", d.File, err)
		}
		made = info.ModTime()
	}
	if err := unchanged(filepath.Join(s.Root(), filepath.FromSlash(d.File)), made); err != nil {
		return fmt.Errorf("%s stays: %w", d.File, err)
	}
	if err := isOriginal(ctx, s, &r); err != nil {
		return fmt.Errorf("%s stays, since it could not be made again: %w", d.File, err)
	}
	err := s.Rewrite(d.Of.Path, func(data []byte) ([]byte, error) {
		is, err := record.DecodeBrief(data)
		if err != nil {
			return nil, err
		}
		if !is.Times.Finished.Equal(r.Times.Finished) || len(is.Marks) != len(r.Marks) {
			return nil, errors.New("more was said of it meanwhile")
		}
		if again, err := (record.Reader{Root: s.Root()}).Repeats(ctx, d.Of.Path, d.Printed); err != nil || slices.ContainsFunc(again, func(e record.Entry) bool { return e.Record.OnPaper() == record.ToPrint }) {
			return nil, cmp.Or(err, errors.New("it is asked for again"))
		}
		return is.Remove(data, record.Removal{At: now, File: d.File, Bytes: d.Bytes})
	})
	if err != nil {
		return fmt.Errorf("%s stays: %w", d.File, err)
	}
	return s.RemovePrint(d.File)
}

// unchanged tells of a TIFF that somebody wrote to after it was made.
func unchanged(path string, made time.Time) error {
	info, err := os.Lstat(path)
	if err == nil && info.ModTime().After(made) {
		err = errors.New("somebody changed it after it was made")
	}
	return err
}

// isOriginal tells whether an order's original is where its record says, to the byte.
func isOriginal(ctx context.Context, s *studio.Studio, r *record.Record) error {
	if !s.Holds(r.Source.Original, r.Source.Bytes) {
		return fmt.Errorf("its original is not at %s", r.Source.Original)
	}
	f, err := os.Open(filepath.Join(s.Root(), filepath.FromSlash(r.Source.Original)))
	if err != nil {
		return err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, contextReader{ctx, f}); err != nil {
		return err
	}
	if hex.EncodeToString(sum.Sum(nil)) != r.Source.SHA256 {
		return fmt.Errorf("%s is not the file any more that it was made from", r.Source.Original)
	}
	return nil
}

// contextReader ends with its context.
type contextReader struct {
	ctx context.Context
	io.Reader
}

func (r contextReader) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(p)
}
