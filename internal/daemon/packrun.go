package daemon

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sizewright/internal/config"
	"sizewright/internal/filename"
	"sizewright/internal/packing"
	"sizewright/internal/printed"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
	"sizewright/internal/report"
	"sizewright/internal/sheet/roll"
	"sizewright/internal/studio"
	"sizewright/internal/tiff"
)

// packer makes the files of a night's packed runs, beside its report.
type packer struct {
	studio  *studio.Studio
	room    func() (bytes int64, err error)
	beat    func()
	finding bool // only finds those that are there
}

// pack makes the files that are not there yet as they should be, has each print's record
// say where it lies, and removes the files that held the night's prints before and hold none
// of them now. A run that is on paper stays as it is. What goes wrong is a fault of the
// night: the single prints are there all the same.
func (k packer) pack(ctx context.Context, n *report.Night, moved []string) {
	if n.Paper == nil {
		return
	}
	p := places{by: map[string][]record.Packed{}, keep: packing.Printed(n.Records, moved...)}
	for _, e := range n.Records {
		p.by[e.Path] = slices.DeleteFunc(slices.Clone(e.Record.Packed), func(at record.Packed) bool { return !p.keep[at.File] })
	}
	runs, byID := map[string]int{}, sources(n.Records) // runs by the roll's name
	for i := range n.Paper.Packings {
		if of := &n.Paper.Packings[i]; of.PPI > 0 {
			k.files(ctx, n, of, runs, byID, p)
		}
	}
	if !k.finding {
		k.settle(n, p)
	}
}

// places are where the copies of prints lie, by their record's path. The files to keep are
// not written again.
type places struct {
	by   map[string][]record.Packed
	keep map[string]bool
}

// files makes those of one packing; runs counts those of each roll.
func (k packer) files(ctx context.Context, n *report.Night, of *packing.Packing, runs map[string]int, byID map[string]source, p places) {
	title := filename.Safe(of.Media + map[bool]string{true: " " + of.Mode}[of.Mode != ""])
	for i, name := range of.Files {
		if _, err := os.Stat(filepath.Join(k.studio.Root(), morningDir, name)); err != nil {
			of.Files[i] = "" // somebody moved it
		}
	}
	for _, run := range of.Plan.Runs[of.Printed:] {
		name := ""
		for name == "" || p.keep[morningDir+name] {
			runs[title]++
			name = fmt.Sprintf("%s.%s.%d.tif", n.Date, title, runs[title])
		}
		if err := k.run(ctx, of.PPI, run, morningDir+name, byID, n.Records, p); err != nil {
			if !k.finding {
				n.Faults = append(n.Faults, record.FaultFor("morning", name, fmt.Errorf("the packed run %s was not made: %w", name, err)))
			}
			name = ""
		}
		of.Files = append(of.Files, name)
	}
	if !slices.ContainsFunc(of.Files, func(name string) bool { return name != "" }) {
		of.Files = nil
	}
}

// settle removes the files that are not needed any more, and then has the records say where
// the prints lie: a stop in between leaves records that the next report corrects.
func (k packer) settle(n *report.Night, p places) {
	needed := map[string]bool{}
	for _, all := range p.by {
		for _, at := range all {
			needed[at.File] = true
		}
	}
	for _, file := range k.told(n) {
		ours := path.Dir(file)+"/" == morningDir && strings.HasPrefix(path.Base(file), n.Date+".") && path.Ext(file) == ".tif"
		if needed[file] || !ours {
			continue
		}
		if err := k.studio.RemoveFile(file); err != nil {
			n.Faults = append(n.Faults, record.FaultFor("morning", path.Base(file), fmt.Errorf("the packed run %s holds what is on others now, and cannot be removed: %w", path.Base(file), err)))
		}
	}
	for _, e := range n.Records {
		if at := p.by[e.Path]; !slices.Equal(at, e.Record.Packed) {
			if err := k.studio.Rewrite(e.Path, func(data []byte) ([]byte, error) { return e.Record.Pack(data, at) }); err != nil {
				n.Faults = append(n.Faults, record.FaultFor(e.Record.Order.Folder, e.Record.Source.Name, fmt.Errorf("its record does not say where it lies on the packed roll: %w", err)))
			}
		}
	}
}

// told are the files of runs that the night's records and its last report name, but for those
// that the report says are on paper.
func (k packer) told(n *report.Night) (files []string) {
	for _, e := range n.Records {
		for _, at := range e.Record.Packed {
			files = append(files, at.File)
		}
	}
	var last struct{ Paper packing.Paper }
	data, err := os.ReadFile(filepath.Join(k.studio.Root(), morningDir, n.Date+".json"))
	if err == nil && json.Unmarshal(data, &last) == nil {
		for _, p := range last.Paper.Packings {
			for _, name := range p.Files[min(max(p.Printed, 0), len(p.Files)):] {
				files = append(files, morningDir+name)
			}
		}
	}
	return files
}

// run makes the file of one run, unless it is there, and adds the places of its pieces.
func (k packer) run(ctx context.Context, ppi float64, run roll.Run, rel string, byID map[string]source, night []record.Entry, all places) error {
	var open []*os.File
	defer func() {
		for _, f := range open {
			f.Close()
		}
	}()
	readers := map[string]*tiff.Reader{}
	pieces, width, height, err := packing.Lay(run, ppi, func(id string) (*tiff.Reader, error) {
		if readers[id] != nil {
			return readers[id], nil
		}
		f, err := k.print(byID[id])
		if err != nil {
			return nil, err
		}
		open = append(open, f)
		readers[id], err = reader(f)
		return readers[id], err
	})
	if err != nil {
		return err
	}
	mine, current := map[string][]record.Packed{}, k.holds(rel, width, height)
	for _, p := range pieces {
		of := byID[p.ID]
		mine[of.Path] = append(mine[of.Path], record.Packed{Number: of.tiff.Number, File: rel, Place: p.Place, Turned: p.Turned})
	}
	for _, e := range night {
		told := slices.DeleteFunc(slices.Clone(e.Record.Packed), func(p record.Packed) bool { return p.File != rel })
		current = current && slices.Equal(told, mine[e.Path])
	}
	if !current {
		if err := k.write(ctx, rel, pieces, width, height); err != nil {
			return err
		}
	}
	for id, at := range mine {
		all.by[id] = append(all.by[id], at...)
	}
	return nil
}

// sources are the night's TIFFs by their names in a cutting plan.
func sources(entries []record.Entry) map[string]source {
	byID := map[string]source{}
	for _, e := range entries {
		if e.Record.Print != nil && (e.Record.RepeatOf == "" || e.Record.Reprint) {
			for _, t := range e.Record.Print.TIFFs() {
				byID[packing.ID(e, t)] = source{e, t}
			}
		}
	}
	return byID
}

// source is a print's TIFF.
type source struct {
	record.Entry
	tiff record.Numbered
}

// print opens a print, which may have been moved since.
func (k packer) print(of source) (f *os.File, err error) {
	for _, at := range printed.Places(of.Entry, of.tiff) {
		if f, err = os.Open(filepath.Join(k.studio.Root(), filepath.FromSlash(at))); err == nil {
			return f, nil
		}
	}
	return f, err
}

func reader(f *os.File) (*tiff.Reader, error) {
	st, err := f.Stat()
	if err != nil {
		return nil, err
	}
	t, err := tiff.NewReader(f, st.Size())
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", filepath.Base(f.Name()), err)
	}
	return t, nil
}

// holds tells whether a run's file is there and whole.
func (k packer) holds(rel string, width, height int) bool {
	f, err := os.Open(filepath.Join(k.studio.Root(), rel))
	if err != nil {
		return false
	}
	defer f.Close()
	st, err := f.Stat()
	return err == nil && tiff.Check(f, st.Size(), width, height) == nil
}

func (k packer) write(ctx context.Context, rel string, pieces []packing.Piece, width, height int) error {
	if k.finding {
		return fs.ErrNotExist
	}
	h := pieces[0].Print.Header
	h.Width, h.Height = width, height
	left, err := k.room()
	if need := h.MaxBytes(); err == nil && need > left {
		return remedy.Errorf("make room; it is made with the next report", "it may take %s, and the disk has %s beside what keep_free_mib keeps", size(need), size(max(left, 0)))
	}
	return k.studio.WriteLarge(rel, func(f *os.File) error {
		return packing.WriteRun(ctx, f, pieces, width, height, k.beat)
	})
}

// packer makes the files of this run's reports.
func (r *run) packer(c *config.Config, beat func()) packer {
	return packer{studio: r.Studio, beat: beat, room: func() (int64, error) { return r.room(c) }}
}
