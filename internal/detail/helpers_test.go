package detail

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/photo"
)

// picture is a made picture's luma, encoded, 0..1.
type picture struct {
	w, h int
	v    []float64
}

// paint makes a picture of the mean of f over each pixel's area.
func paint(w, h int, f func(x, y float64) float64) picture {
	p := picture{w, h, make([]float64, w*h)}
	for y := range h {
		for x := range w {
			p.v[y*w+x] = f(float64(x)+0.5, float64(y)+0.5)
		}
	}
	return p
}

// step is an ideal edge blurred by a Gaussian of the given sigma and gathered
// by pixels, at the signed distance d from its middle: 0 to 1. The pixel's
// square area is seen from the direction (nx, ny) of the edge's normal, and is
// sampled 4 by 4.
func step(d, nx, ny, sigma float64) float64 {
	if math.Abs(d) > 4*sigma+0.75 {
		return max(0, math.Copysign(1, d))
	}
	sum := 0.0
	for _, i := range [4]float64{-0.375, -0.125, 0.125, 0.375} {
		for _, j := range [4]float64{-0.375, -0.125, 0.125, 0.375} {
			sum += 0.5 * math.Erfc(-(d+nx*i+ny*j)/(sigma*math.Sqrt2))
		}
	}
	return sum / 16
}

// slabs is a picture of wide slanted bands, dark and light in turn, with edges
// at the given angle of the normal (degrees), about ground.
func slabs(w, h int, degrees, ground, contrast, sigma float64) picture {
	nx, ny := math.Cos(degrees*math.Pi/180), math.Sin(degrees*math.Pi/180)
	const period = 97.3 // px, so that edges fall differently between the pixels
	return paint(w, h, func(x, y float64) float64 {
		d := math.Mod(x*nx+y*ny+1e4*period, period)
		up, down := step(d-period/4, nx, ny, sigma), step(d-3*period/4, nx, ny, sigma)
		return ground + contrast*(up-down-0.5)
	})
}

// discs is a picture of light discs, so that edges lie at every angle.
func discs(w, h int, ground, contrast, sigma float64) picture {
	const pitch, radius = 97.3, 35.0
	return paint(w, h, func(x, y float64) float64 {
		dx, dy := math.Mod(x, pitch)-pitch/2, math.Mod(y, pitch)-pitch/2
		r := max(1e-9, math.Hypot(dx, dy))
		return ground + contrast*(step(radius-r, dx/r, dy/r, sigma)-0.5)
	})
}

// foliage is a random texture of blobs some six pixels across, strong but
// without a clear edge: white noise averaged over squares of 3 pixels, ten times.
func foliage(w, h int) picture {
	p := paint(w, h, func(x, y float64) float64 { return 0 }).noisy(2.5)
	for range 10 {
		q := p
		p = paint(w, h, func(x, y float64) (sum float64) {
			for i := range 9 {
				u, v := int(x)+i%3-1, int(y)+i/3-1
				sum += q.v[(v+h)%h*w+(u+w)%w] / 9
			}
			return sum
		})
	}
	for i := range p.v {
		p.v[i] += 0.5
	}
	return p
}

// noisy adds white Gaussian noise, always the same.
func (p picture) noisy(sigma float64) picture {
	r := rand.New(rand.NewPCG(4, 26))
	q := picture{p.w, p.h, make([]float64, len(p.v))}
	for i, v := range p.v {
		q.v[i] = v + sigma*r.NormFloat64()
	}
	return q
}

// faded brings the picture's contrast down to a share of itself, about 0.5.
func (p picture) faded(share float64) picture {
	q := picture{p.w, p.h, make([]float64, len(p.v))}
	for i, v := range p.v {
		q.v[i] = 0.5 + share*(v-0.5)
	}
	return q
}

// turned turns the picture by 90 degrees.
func (p picture) turned() picture {
	q := picture{p.h, p.w, make([]float64, len(p.v))}
	for y := range p.h {
		for x := range p.w {
			q.v[x*q.w+q.w-1-y] = p.v[y*p.w+x]
		}
	}
	return q
}

// The forms a picture is stored in; any quality may stand before ".jpg".
const (
	grey8  = "grey8.png"
	grey16 = "grey16.png"
	rgb8   = "rgb8.png"
	rgb16  = "rgb16.png"
	jpeg95 = "95.jpg"
	jpeg85 = "85.jpg"
)

// in stores the picture and opens it again.
func (p picture) in(t testing.TB, form string) *photo.Photo {
	t.Helper()
	path := filepath.Join(t.TempDir(), form)
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	b := bufio.NewWriter(f)
	quality := 0
	switch n, _ := fmt.Sscanf(form, "%d.jpg", &quality); n {
	case 1:
		err = jpeg.Encode(b, p.image(rgb8), &jpeg.Options{Quality: quality})
	default:
		e := png.Encoder{CompressionLevel: png.NoCompression}
		err = e.Encode(b, p.image(form))
	}
	if err == nil {
		err = b.Flush()
	}
	if err == nil {
		err = f.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Open(path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	return ph
}

func (p picture) image(form string) image.Image {
	box := image.Rect(0, 0, p.w, p.h)
	at := func(white float64, i int) uint32 { return uint32(math.Round(white * min(1, max(0, p.v[i])))) }
	switch form {
	case grey8:
		m := image.NewGray(box)
		for i := range p.v {
			m.Pix[i] = uint8(at(255, i))
		}
		return m
	case grey16:
		m := image.NewGray16(box)
		for i := range p.v {
			binary.BigEndian.PutUint16(m.Pix[2*i:], uint16(at(65535, i)))
		}
		return m
	case rgb8:
		m := image.NewNRGBA(box)
		for i := range p.v {
			binary.BigEndian.PutUint32(m.Pix[4*i:], at(255, i)*0x01010100|0xff)
		}
		return m
	default:
		m := image.NewNRGBA64(box)
		for i := range p.v {
			binary.BigEndian.PutUint64(m.Pix[8*i:], uint64(at(65535, i))*0x0001000100010000|0xffff)
		}
		return m
	}
}

// off is how far got is from want, as a share of want.
func off(got, want float64) float64 { return math.Abs(got/want - 1) }
