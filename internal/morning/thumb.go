package morning

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"image"
	"image/jpeg"
	"os"

	"github.com/disintegration/imaging"
)

const (
	thumbSide  = 360      // px, the longer side
	thumbBytes = 28 << 10 // of the JPEG; a third more as a data URI

	// Limits on what is read: the previews are our own, but they lie where
	// anybody may put a file of that name.
	maxPreviewBytes = 16 << 20
	maxPreviewSide  = 8192 // px
)

// thumb is a picture small enough to stand in the page itself.
type thumb struct {
	URI           template.URL // data:image/jpeg;base64,...
	Width, Height int          // px
}

// thumbnail makes a thumbnail of a preview, a JPEG at path from the studio's
// root.
func thumbnail(studio *os.Root, path string) (*thumb, error) {
	img, err := readPreview(studio, path)
	if err != nil {
		return nil, err
	}
	img = imaging.Fit(img, thumbSide, thumbSide, imaging.Lanczos)
	data, err := encodeWithin(img, thumbBytes)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	size := img.Bounds().Size()
	uri := "data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(data)
	return &thumb{URI: template.URL(uri), Width: size.X, Height: size.Y}, nil
}

func readPreview(studio *os.Root, path string) (image.Image, error) {
	data, err := readSmall(studio, path, maxPreviewBytes)
	if err != nil {
		return nil, err
	}
	c, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if c.Width > maxPreviewSide || c.Height > maxPreviewSide {
		return nil, fmt.Errorf("%s: %d x %d px is no preview", path, c.Width, c.Height)
	}
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return img, nil
}

// thumbQualities are tried from the best down. The first suits nearly every
// picture; fine grass from edge to edge may need the second or third.
var thumbQualities = []int{82, 74, 64, 52, 38, 20}

// encodeWithin encodes img as a JPEG of at most limit bytes, as good as that
// allows.
func encodeWithin(img image.Image, limit int) ([]byte, error) {
	var b bytes.Buffer
	for _, q := range thumbQualities {
		b.Reset()
		if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: q}); err != nil {
			return nil, err
		}
		if b.Len() <= limit {
			return b.Bytes(), nil
		}
	}
	return nil, errors.New("no thumbnail of it is small enough")
}
