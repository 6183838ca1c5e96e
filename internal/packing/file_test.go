package packing

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/colour"
	"sizewright/internal/sheet/roll"
	"sizewright/internal/testkit/reference"
	"sizewright/internal/tiff"
)

// noise is a print of random samples.
func noise(t *testing.T, path string, h tiff.Header) *tiff.Reader {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	w, err := tiff.NewWriter(f, h)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(uint64(h.Width), uint64(h.Height)))
	enc := h.NewEncoder()
	for i := range h.Strips() {
		n := h.StripRows(i) * h.Width * h.Photometric.Samples()
		wide, narrow := make([]uint16, n), make([]uint8, n)
		for k := range wide {
			wide[k] = uint16(r.Uint32())
			narrow[k] = uint8(wide[k])
		}
		strip, err := enc.Strip16(nil, wide, h.StripRows(i))
		if h.Bits == 8 {
			strip, err = enc.Strip8(nil, narrow, h.StripRows(i))
		}
		if err == nil {
			err = w.WriteStrip(strip)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	read, err := tiff.NewReader(f, w.Size())
	if err != nil {
		t.Fatal(err)
	}
	return read
}

// libvips reads the run's file, and finds in it each single print, bit for bit and turned
// by a quarter where the plan says so; all else is white. Without a gap no two overlap.
func TestARunsFileHoldsItsPrintsBitForBit(t *testing.T) {
	const ppi = 100
	for name, form := range map[string]tiff.Header{
		"16-bit RGB, deflate": {Bits: 16, Photometric: tiff.RGB, Compression: tiff.Deflate, Profile: colour.ROMMProfile()},
		"8-bit CMYK, LZW":     {Bits: 8, Photometric: tiff.CMYK, Compression: tiff.LZW},
	} {
		dir := t.TempDir()
		form.PPI, form.RowsPerStrip = tiff.RationalPPI(ppi), 24
		prints := map[string]*tiff.Reader{}
		var items []roll.Item
		for i, mm := range [][2]float64{{60.3, 40.1}, {25.4, 76.2}, {33.3, 21.7}} {
			h := form
			h.Width, h.Height = int(mm[0]/25.4*ppi+0.5), int(mm[1]/25.4*ppi+0.5)
			id := fmt.Sprintf("%d.tif", i)
			prints[id] = noise(t, filepath.Join(dir, id), h)
			items = append(items, roll.Item{ID: id, WidthMM: mm[0], HeightMM: mm[1], MayTurn: true})
		}
		run := roll.Pack(append(items, items[2]), roll.Roll{WidthMM: 77}).Runs[0]
		pieces, width, height, err := Lay(run, ppi, func(id string) (*tiff.Reader, error) { return prints[id], nil })
		if err != nil {
			t.Fatal(err)
		}
		packed := filepath.Join(dir, "packed.tif")
		f, err := os.Create(packed)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := WriteRun(t.Context(), f, pieces, width, height, func() {}); err != nil {
			t.Fatal(err)
		}
		turned, area := 0, 0
		for _, p := range pieces {
			at := p.Place
			crop, single := filepath.Join(dir, "crop.raw"), filepath.Join(dir, "single.raw")
			reference.Output(t, "vips", "crop", packed, crop, fmt.Sprint(at.X), fmt.Sprint(at.Y), fmt.Sprint(at.Width), fmt.Sprint(at.Height))
			if p.Turned {
				turned++
				reference.Output(t, "vips", "rot", filepath.Join(dir, p.ID), single, "d90")
			} else {
				reference.Output(t, "vips", "copy", filepath.Join(dir, p.ID), single)
			}
			if !bytes.Equal(contents(t, crop), contents(t, single)) {
				t.Errorf("%s: %s at %+v, turned %v, is not the print", name, p.ID, at, p.Turned)
			}
			area += at.Width * at.Height
			for _, o := range pieces {
				if o.Place != at && o.Place.X < at.Right() && at.X < o.Place.Right() && o.Place.Y < at.Bottom() && at.Y < o.Place.Bottom() {
					t.Errorf("%s: %+v and %+v overlap", name, at, o.Place)
				}
			}
		}
		if turned == 0 || turned == len(pieces) {
			t.Errorf("%s: %d of %d are turned, so one of both ways is not tried", name, turned, len(pieces))
		}
		if !bytes.Contains(contents(t, packed), form.Profile) {
			t.Errorf("%s: the profile is not in the file", name)
		}
		whole := filepath.Join(dir, "whole.raw")
		reference.Output(t, "vips", "copy", packed, whole)
		whiteIs(t, contents(t, whole), form, width*height-area)
	}
}

// whiteIs asks that at least so many pixels are the paper's.
func whiteIs(t *testing.T, pix []byte, form tiff.Header, least int) {
	t.Helper()
	n := form.Photometric.Samples() * form.Bits / 8
	white := bytes.Repeat([]byte{255}, n)
	if form.Photometric == tiff.CMYK {
		clear(white)
	}
	found := 0
	for at := 0; at < len(pix); at += n {
		if bytes.Equal(pix[at:at+n], white) {
			found++
		}
	}
	if found < least {
		t.Errorf("%d pixels are white, want %d", found, least)
	}
}

func contents(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A turned piece that is larger than its memory is read in several passes.
func TestATurnedPieceIsTheSameInAnyMemory(t *testing.T) {
	h := tiff.Header{Width: 50, Height: 70, Bits: 8, Photometric: tiff.Grey, RowsPerStrip: 16, Compression: tiff.None, PPI: tiff.RationalPPI(100)}
	print := noise(t, filepath.Join(t.TempDir(), "a.tif"), h)
	var want []byte
	for _, memory := range []int{1 << 20, 70 * 7, 1} {
		c, got := copier{Piece: Piece{Print: print, Turned: true}, memory: memory}, []byte(nil)
		for y := range h.Width {
			row, err := c.row(y, 1)
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, row...)
		}
		if want == nil {
			want = got
		} else if !bytes.Equal(got, want) {
			t.Errorf("with %d bytes it is another picture", memory)
		}
	}
}
