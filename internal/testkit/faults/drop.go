//go:build linux

package faults

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"
)

// drop is one picture to be put into a drop folder.
type drop struct {
	trial  *Trial
	folder string
	name   string
	data   []byte
}

func (d drop) path() string { return d.trial.path("drop", d.folder, d.name) }

// manners are the ways in which programs put files into a folder.
var manners = []struct {
	name string
	do   func(drop, *rand.Rand) error
}{
	{"all at once", func(d drop, _ *rand.Rand) error { return d.write(d.path()) }},
	{"moved in", func(d drop, r *rand.Rand) error { return d.via(d.trial.Desk()+fmt.Sprintf("/%x", r.Uint64()), 0, r) }},
	{"under another name first", func(d drop, r *rand.Rand) error {
		return d.via(d.trial.path("drop", d.folder, fmt.Sprintf(".%x.part", r.Uint64())), 10*time.Millisecond, r)
	}},
	{"in slow pieces", func(d drop, r *rand.Rand) error { return d.pieces(d.path(), 20*time.Millisecond, r) }},
	{"in pieces with long rests", func(d drop, r *rand.Rand) error { return d.pieces(d.path(), 400*time.Millisecond, r) }},
	{"with its size reserved by zeros, in pieces with long rests", func(d drop, r *rand.Rand) error { return d.reserved(400*time.Millisecond, r) }},
}

func (d drop) write(path string) error {
	if err := os.WriteFile(path, d.data, 0o644); err != nil {
		return err
	}
	return d.trial.giveAway(path)
}

// via writes the file elsewhere and renames it.
func (d drop) via(path string, rest time.Duration, r *rand.Rand) error {
	if err := d.pieces(path, rest, r); err != nil {
		return err
	}
	return os.Rename(path, d.path())
}

// pieces writes in a few pieces, with pauses of up to that long.
func (d drop) pieces(path string, rest time.Duration, r *rand.Rand) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer f.Close()
	return d.fill(f, rest, r)
}

// reserved writes in pieces over zeros, in a file of full size from the start.
func (d drop) reserved(rest time.Duration, r *rand.Rand) error {
	f, err := os.OpenFile(d.path(), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.WriteAt(make([]byte, len(d.data)), 0); err != nil {
		return err
	}
	return d.fill(f, rest, r)
}

// fill writes to a file from its beginning and closes it.
func (d drop) fill(f *os.File, rest time.Duration, r *rand.Rand) error {
	if err := d.trial.giveAway(f.Name()); err != nil {
		return err
	}
	for left := d.data; len(left) > 0; {
		n := min(len(left), 1+r.IntN(len(d.data)/2+1))
		if _, err := f.Write(left[:n]); err != nil {
			return err
		}
		if left = left[n:]; rest > 0 {
			time.Sleep(time.Duration(r.Int64N(int64(rest) + 1)))
		}
	}
	return f.Close()
}

// Mix gives the share of files besides good pictures, in per cent: how many are bad (too
// small, damaged or not pictures), how many come twice, and how many are interrupted half
// way.
type Mix struct{ Bad, Twice, Broken int }

// Usual is the usual mix of a trial.
var Usual = Mix{Bad: 6, Twice: 4, Broken: 2}

// Drop drops that many pictures, each in a random manner. It does not wait for the slow
// ones; [Trial.Finish] does. Bad ones are taken from hostile.
func (n *Trial) Drop(count int, mix Mix, hostile []Picture) {
	for range count {
		folder := folders[n.n/2%len(folders)]
		p := n.next(mix, hostile)
		if p.May == Held {
			folder = strict
		}
		name := n.name(p.Suffix)
		n.n++
		roll := n.rand.IntN(100)
		switch {
		case roll < mix.Broken:
			n.breakOff(folder, name, p)
			continue
		case roll < mix.Broken+mix.Twice:
			n.put(folder, "again, "+name[len(name)-min(len(name), 40):], p)
		}
		n.put(folder, name, p)
	}
}

// name returns a name for the next picture.
func (n *Trial) name(suffix string) string {
	if n.plain {
		return fmt.Sprintf("marsh %d%s", n.n, suffix)
	}
	return oddName(n.rand, n.n, suffix)
}

// next returns the next picture to drop.
func (n *Trial) next(mix Mix, hostile []Picture) Picture {
	if n.rand.IntN(100) >= mix.Bad {
		return Good(n.rand)
	}
	if len(hostile) == 0 || n.rand.IntN(3) == 0 {
		return Small(n.rand)
	}
	return hostile[n.rand.IntN(len(hostile))]
}

// put drops one picture in a random manner.
func (n *Trial) put(folder, name string, p Picture) {
	d := drop{n, folder, name, p.Data}
	n.Ledger.Add(Order{Folder: folder, Name: name, Kind: p.Kind, SHA256: sum(p.Data), May: p.May})
	r := rand.New(rand.NewPCG(n.rand.Uint64(), 1))
	m := manners[r.IntN(len(manners))]
	n.copying.Go(func() {
		if err := m.do(d, r); err != nil {
			panic(fmt.Sprintf("faults: dropping %q %s: %v", name, m.name, err))
		}
	})
}

// breakOff drops the first half of a picture, as a copy does that is killed.
func (n *Trial) breakOff(folder, name string, p Picture) {
	data := p.Data[:len(p.Data)/2]
	may := Left
	if p.May != Made {
		may = p.May | Left // it had no end before the interruption either
	}
	n.Ledger.Add(Order{Folder: folder, Name: name, Kind: "half a " + p.Kind, SHA256: sum(data), May: may})
	d := drop{n, folder, name, data}
	if err := d.write(d.path()); err != nil {
		panic("faults: " + err.Error())
	}
}

// MoveFolderIn makes a new drop folder with that many pictures outside the studio, and moves
// it in.
func (n *Trial) MoveFolderIn(count int) {
	folder := fmt.Sprintf("A6 lot%d", n.n)
	away := filepath.Join(n.Desk(), folder)
	if err := os.Mkdir(away, 0o755); err != nil {
		panic("faults: " + err.Error())
	}
	for range count {
		p := Good(n.rand)
		name := n.name(p.Suffix)
		n.n++
		n.Ledger.Add(Order{Folder: folder, Name: name, Kind: p.Kind, SHA256: sum(p.Data), May: p.May})
		if err := os.WriteFile(filepath.Join(away, name), p.Data, 0o644); err != nil {
			panic("faults: " + err.Error())
		}
	}
	if err := n.giveAway(away); err != nil {
		panic("faults: " + err.Error())
	}
	if err := os.Rename(away, n.path("drop", folder)); err != nil {
		panic("faults: " + err.Error())
	}
}
