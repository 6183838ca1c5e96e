package packing

import (
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"

	"sizewright/internal/printsize"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
	"sizewright/internal/tiff"
	"sizewright/internal/version"
)

// Piece is a print's file and where it lies in that of a run.
type Piece struct {
	ID     string // of the roll's piece
	Turned bool   // a quarter, clockwise
	Place  sheet.PixelRect

	// Turned pieces are read several times, so that memory stays small.
	Print *tiff.Reader
}

// Lay gives the pieces of a run their places in pixels; open returns each one's file.
// width and height are of the whole run.
func Lay(run roll.Run, ppi float64, open func(id string) (*tiff.Reader, error)) (pieces []Piece, width, height int, err error) {
	width, height = printsize.Pixels(run.WidthMM, ppi), printsize.Pixels(run.LengthMM, ppi)
	for _, at := range run.Pieces {
		p := Piece{ID: at.ID, Turned: at.Turned}
		if p.Print, err = open(at.ID); err != nil {
			return nil, 0, 0, err
		}
		if first := pieces; len(first) > 0 && !first[0].Print.SameForm(p.Print.Header) {
			return nil, 0, 0, fmt.Errorf("%s and %s have different resolutions, bits or profiles", first[0].ID, p.ID)
		}
		p.Place = sheet.PixelRect{X: printsize.Pixels(at.X, ppi), Y: printsize.Pixels(at.Y, ppi), Width: p.Print.Width, Height: p.Print.Height}
		if p.Turned {
			p.Place.Width, p.Place.Height = p.Place.Height, p.Place.Width
		}
		for p.clear(pieces) { // rounding: without a gap two pieces could share a row of pixels
		}
		pieces = append(pieces, p)
		width, height = max(width, p.Place.Right()), max(height, p.Place.Bottom())
	}
	return pieces, width, height, nil
}

// clear moves a piece off the first of those that it overlaps, by the least that does.
func (p *Piece) clear(of []Piece) (moved bool) {
	for _, o := range of {
		across, down := o.Place.Right()-p.Place.X, o.Place.Bottom()-p.Place.Y
		if across <= 0 || down <= 0 || p.Place.Right() <= o.Place.X || p.Place.Bottom() <= o.Place.Y {
			continue
		}
		if across < down {
			p.Place.X += across
		} else {
			p.Place.Y += down
		}
		return true
	}
	return false
}

// The rows of a strip of a run's file, and the memory for all turned pieces that lie side
// by side, in bytes.
const (
	stripRows   = 64
	turnedBytes = 128 << 20
)

// WriteRun writes a run as one file: its pieces, pixel for pixel, on white. Memory does
// not grow with the run's length. beat is called after each strip.
func WriteRun(ctx context.Context, w io.WriteSeeker, pieces []Piece, width, height int, beat func()) error {
	h := pieces[0].Print.Header
	h.Width, h.Height, h.RowsPerStrip, h.Software = width, height, stripRows, version.Software()
	tw, err := tiff.NewWriter(w, h)
	if err != nil {
		return err
	}
	copiers := make([]copier, len(pieces))
	for i, p := range pieces {
		side := 0
		for _, o := range pieces {
			if o.Turned && o.Place.Y < p.Place.Bottom() && p.Place.Y < o.Place.Bottom() {
				side++
			}
		}
		copiers[i] = copier{Piece: p, memory: turnedBytes / max(1, side)}
	}
	enc, pixel := h.NewEncoder(), h.Photometric.Samples()*h.Bits/8
	band := make([]byte, stripRows*width*pixel)
	samples := make([]uint16, len(band)/2)
	var out []byte
	for strip := range h.Strips() {
		if err := ctx.Err(); err != nil {
			return err
		}
		rows := h.StripRows(strip)
		band := band[:rows*width*pixel]
		blank(band, h.Photometric)
		for i := range copiers {
			if err := copiers[i].into(band, strip*stripRows, rows, width*pixel, pixel); err != nil {
				return fmt.Errorf("%s: %w", copiers[i].ID, err)
			}
		}
		if h.Bits == 8 {
			out, err = enc.Strip8(out[:0], band, rows)
		} else {
			for i := range samples[:len(band)/2] {
				samples[i] = binary.LittleEndian.Uint16(band[2*i:])
			}
			out, err = enc.Strip16(out[:0], samples[:len(band)/2], rows)
		}
		if err == nil {
			err = tw.WriteStrip(out)
		}
		if err != nil {
			return err
		}
		beat()
	}
	return tw.Close()
}

// blank makes samples paper white.
func blank(band []byte, p tiff.Photometric) {
	white := byte(math.MaxUint8)
	if p == tiff.CMYK {
		white = 0
	}
	for i := range band {
		band[i] = white
	}
}

// copier reads a piece from its first row to its last, as it lies on the roll.
type copier struct {
	Piece
	memory int // for rows of a turned piece

	strip    []byte // the strip of the print that was read last
	index    int    // and which that is, from 1
	window   []byte // rows of a turned piece, from the row first
	first, n int
}

// into copies what a band of so many rows from top shows of the piece.
func (c *copier) into(band []byte, top, rows, stride, pixel int) error {
	at := c.Place
	for y := max(top, at.Y); y < min(top+rows, at.Bottom()); y++ {
		row, err := c.row(y-at.Y, pixel)
		if err != nil {
			return err
		}
		copy(band[(y-top)*stride+at.X*pixel:], row)
	}
	if at.Bottom() <= top+rows {
		c.strip, c.window = nil, nil // nothing more is read of it
	}
	return nil
}

func (c *copier) row(y, pixel int) ([]byte, error) {
	if c.Turned {
		return c.turnedRow(y, pixel)
	}
	if err := c.read(y / c.Print.RowsPerStrip); err != nil {
		return nil, err
	}
	n := c.Print.Width * pixel
	return c.strip[y%c.Print.RowsPerStrip*n:][:n], nil
}

func (c *copier) read(strip int) (err error) {
	if c.index == strip+1 && c.strip != nil {
		return nil
	}
	c.strip, err = c.Print.Strip(c.strip, strip)
	c.index = strip + 1
	return err
}

// turnedRow is a row of the piece turned clockwise: a column of the print, from below. As
// many rows as the memory holds are read at once.
func (c *copier) turnedRow(y, pixel int) ([]byte, error) {
	n := c.Print.Height * pixel // of a row
	if c.window == nil || y >= c.first+c.n {
		c.first, c.n = y, min(max(1, c.memory/n), c.Print.Width-y)
		c.window = slices.Grow(c.window[:0], c.n*n)[:c.n*n]
		for strip := range c.Print.Strips() {
			if err := c.read(strip); err != nil {
				return nil, err
			}
			for k := range c.Print.StripRows(strip) {
				from := c.strip[(k*c.Print.Width+c.first)*pixel:]
				to := (c.Print.Height - 1 - strip*c.Print.RowsPerStrip - k) * pixel
				for i := range c.n {
					copy(c.window[i*n+to:][:pixel], from[i*pixel:][:pixel])
				}
			}
		}
	}
	return c.window[(y-c.first)*n:][:n], nil
}
