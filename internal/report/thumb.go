package report

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"

	"github.com/disintegration/imaging"

	"sizewright/internal/record"
)

// Sides, px, and bytes of the JPEGs; each is a third more as a data URI. With the
// cut-outs (crops.go) a print's pictures stay within [printBytes].
const (
	thumbSide  = 480 // the longer side
	thumbBytes = 20 << 10
	hungSide   = 240 // on the wall and on a cutting plan
	hungBytes  = 8 << 10
	tinySide   = 72 // in a list
	tinyBytes  = 3 << 10
	laidSide   = 120 // on its paper
	laidBytes  = 4 << 10
	paperBytes = 16 << 10 // of the same on the paper's own white
	mapSide    = 480      // a map is looked at for its detail
	mapBytes   = 20 << 10

	// Limits on what is read: the previews are our own, but they lie where
	// anybody may put a file of that name.
	maxPreviewBytes = 16 << 20
	maxPreviewSide  = 4096 // px
)

// thumb is a picture small enough to stand in the page itself.
type thumb struct {
	URI           template.URL // data:image/jpeg;base64,...
	Width, Height int          // px
}

// Src is the attribute that shows a thumb. Base64 needs no escaping, which would take most
// of the time that a page with 2,000 pictures takes.
func (t *thumb) Src() template.HTMLAttr { return template.HTMLAttr(`src="` + t.URI + `"`) }

// fitted is a picture as a thumbnail, at most side pixels a side and limit bytes.
func fitted(img image.Image, path string, side, limit int) (*thumb, error) {
	for ; side > 0; side = side * 3 / 4 {
		img = imaging.Fit(img, side, side, imaging.Lanczos)
		data, err := encodeWithin(img, limit, thumbQualities)
		if err == nil {
			return inPage(img, data), nil
		}
		if !errors.Is(err, errTooLarge) {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
	}
	return nil, fmt.Errorf("%s: %w", path, errTooLarge)
}

// reduced is img with its sides divided by whole numbers, each pixel the mean of those it
// stands for, as long as the longer side keeps half as much again as a thumbnail: what is
// left is resampled in a quarter of the time and looks the same.
func reduced(img image.Image) image.Image {
	size := img.Bounds().Size()
	k := 2 * max(size.X, size.Y) / (3 * thumbSide)
	if k < 2 {
		return img
	}
	src := image.NewRGBA(image.Rect(0, 0, size.X, size.Y))
	draw.Draw(src, src.Rect, img, img.Bounds().Min, draw.Src)
	dst := image.NewRGBA(image.Rect(0, 0, max(size.X/k, 1), max(size.Y/k, 1)))
	for y := range dst.Rect.Max.Y {
		for x := range dst.Rect.Max.X {
			mean(dst.Pix[dst.PixOffset(x, y):], src, image.Rect(x*k, y*k, x*k+k, y*k+k).Intersect(src.Rect))
		}
	}
	return dst
}

// mean sets a pixel to the mean of those in a part of a picture.
func mean(pixel []uint8, img *image.RGBA, part image.Rectangle) {
	var r, g, b, a int
	for y := part.Min.Y; y < part.Max.Y; y++ {
		row := img.Pix[img.PixOffset(part.Min.X, y):]
		for i := 0; i < 4*part.Dx(); i += 4 {
			s := row[i : i+4 : i+4]
			r, g, b, a = r+int(s[0]), g+int(s[1]), b+int(s[2]), a+int(s[3])
		}
	}
	n := part.Dx() * part.Dy()
	pixel[0], pixel[1], pixel[2], pixel[3] = uint8((r+n/2)/n), uint8((g+n/2)/n), uint8((b+n/2)/n), uint8((a+n/2)/n)
}

// inPage is a JPEG of img as it stands in the page.
func inPage(img image.Image, jpeg []byte) *thumb {
	size := img.Bounds().Size()
	uri := "data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(jpeg)
	return &thumb{URI: template.URL(uri), Width: size.X, Height: size.Y}
}

const pngSignature = "\x89PNG\r\n\x1a\n" // W3C PNG specification, 5.2

func readPreview(studio *os.Root, path string) (image.Image, error) {
	data, err := record.ReadFile(studio, path, maxPreviewBytes)
	if err != nil {
		return nil, err
	}
	decodeConfig, decode := jpeg.DecodeConfig, jpeg.Decode
	if bytes.HasPrefix(data, []byte(pngSignature)) {
		decodeConfig, decode = png.DecodeConfig, png.Decode
	}
	c, err := decodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if c.Width > maxPreviewSide || c.Height > maxPreviewSide {
		return nil, fmt.Errorf("%s: %d x %d px is no preview", path, c.Width, c.Height)
	}
	img, err := decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return img, nil
}

// Qualities are tried from the best down. The first suits nearly every picture;
// fine grass from edge to edge may need the second or third. A thumbnail that no
// quality makes small enough is made with fewer pixels. A cut-out is there to be
// judged, so it never goes as low.
var (
	thumbQualities = []int{82, 74, 64, 52, 38}
	cutQualities   = []int{90, 82, 74, 66}
)

var errTooLarge = errors.New("no JPEG of it is small enough")

// encodeWithin encodes img as a JPEG of at most limit bytes, as good as that
// allows; errTooLarge if nothing does.
func encodeWithin(img image.Image, limit int, qualities []int) ([]byte, error) {
	if p, ok := img.(*image.NRGBA); ok && p.Opaque() { // the encoder is quicker with RGBA
		img = &image.RGBA{Pix: p.Pix, Stride: p.Stride, Rect: p.Rect}
	}
	var small []byte
	// The quality at above is too high; that at below is low enough, or none is.
	for above, below, next := -1, len(qualities), 0; below-above > 1; next = (above + below) / 2 {
		if above == 0 && below == len(qualities) {
			next = below - 1 // where the lowest is too high, all are
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: qualities[next]}); err != nil {
			return nil, err
		}
		if b.Len() <= limit {
			small, below = b.Bytes(), next
		} else {
			above = next
		}
	}
	if small == nil {
		return nil, errTooLarge
	}
	return small, nil
}
