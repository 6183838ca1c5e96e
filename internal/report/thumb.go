package report

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"image"
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
	thumbBytes = 26 << 10
	hungSide   = 240 // on the wall
	hungBytes  = 9 << 10
	tinySide   = 72 // in a list
	tinyBytes  = 3 << 10
	paperBytes = 16 << 10 // of the same on the paper's own white
	mapSide    = 480      // a map is looked at for its detail
	mapBytes   = 24 << 10

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
	var b bytes.Buffer
	for _, q := range qualities {
		b.Reset()
		if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: q}); err != nil {
			return nil, err
		}
		if b.Len() <= limit {
			return b.Bytes(), nil
		}
	}
	return nil, errTooLarge
}
