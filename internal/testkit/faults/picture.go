//go:build linux

package faults

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"math/rand/v2"

	"golang.org/x/image/tiff"
)

// Picture is a file to be dropped.
type Picture struct {
	Kind   string // for people
	Suffix string
	Data   []byte
	May    Outcome
}

// form is one way to encode a good picture.
type form struct {
	kind, suffix string
	encode       func(*bytes.Buffer, image.Image) error
}

var forms = []form{
	{"baseline JPEG", ".jpg", func(b *bytes.Buffer, m image.Image) error {
		return jpeg.Encode(b, m, &jpeg.Options{Quality: 85})
	}},
	{"progressive JPEG", ".jpg", func(b *bytes.Buffer, m image.Image) error {
		b.Write(progressiveJPEG(m, 1))
		return nil
	}},
	{"PNG", ".png", func(b *bytes.Buffer, m image.Image) error {
		return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(b, m)
	}},
	{"TIFF", ".tif", func(b *bytes.Buffer, m image.Image) error {
		return tiff.Encode(b, m, &tiff.Options{Compression: tiff.Uncompressed})
	}},
	{"deflated TIFF", ".tiff", func(b *bytes.Buffer, m image.Image) error {
		return tiff.Encode(b, m, &tiff.Options{Compression: tiff.Deflate, Predictor: true})
	}},
}

// Good returns a picture that will be printed, of 0.1 to almost 1 megapixel. No two are the
// same.
func Good(r *rand.Rand) Picture {
	f := forms[r.IntN(len(forms))]
	w := 380 + r.IntN(700)
	return f.of(scene(r, w, w*2/3), Made)
}

// Small returns a picture with too few pixels for the folder [strict]: up to 16 ppi.
func Small(r *rand.Rand) Picture {
	w := 6 + r.IntN(90)
	p := forms[r.IntN(len(forms))].of(scene(r, w, w*2/3), Held)
	p.Kind = "too small " + p.Kind
	return p
}

func (f form) of(m image.Image, may Outcome) Picture {
	var b bytes.Buffer
	if err := f.encode(&b, m); err != nil {
		panic("faults: " + err.Error()) // cannot fail: our own picture, written to memory
	}
	return Picture{f.kind, f.suffix, b.Bytes(), may}
}

// scene draws a colour gradient with coarse and fine grain.
func scene(r *rand.Rand, w, h int) image.Image {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	base := [3]int{r.IntN(160), r.IntN(160), r.IntN(160)}
	coarse := make([]uint8, 64*64)
	for i := range coarse {
		coarse[i] = uint8(r.IntN(48))
	}
	grain := r.Uint64()
	pix := m.Pix // Set would take as long as encoding
	for y := range h {
		for x := range w {
			grain = grain*6364136223846793005 + 1442695040888963407 // Knuth's MMIX
			g := int(coarse[(y/8%64)*64+x/8%64]) + int(grain>>60)
			pix[0], pix[1], pix[2], pix[3] = uint8(base[0]+g+x*16/w), uint8(base[1]+g+y*16/h), uint8(base[2]+g), 255
			pix = pix[4:]
		}
	}
	return m
}
