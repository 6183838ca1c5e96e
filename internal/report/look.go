package report

import (
	"context"
	"errors"
	"image"
	"io/fs"
	"path/filepath"

	"sizewright/internal/photo"
)

// Look decodes a photograph at a path on disk, within a studio's limits.
type Look func(ctx context.Context, file string) (*photo.Photo, error)

var errNotShown = errors.New("what was held is not shown here")

// original is one in held/, which may be any file at all, made small.
func (p pictures) original(path string) (image.Image, error) {
	if p.look == nil {
		return nil, errNotShown
	}
	info, err := p.studio.Lstat(path)
	if err != nil {
		return nil, err
	}
	if info.Mode()&fs.ModeType != 0 {
		return nil, errNotShown
	}
	p.album.looking.Lock()
	defer p.album.looking.Unlock()
	return glimpse(p.ctx, filepath.Join(p.studio.Name(), filepath.FromSlash(path)), p.look)
}

// glimpse is a photograph with about twice the pixels of a thumbnail, each the mean of
// those it stands for along a row. Its colours are taken for sRGB's, which is near enough
// to know a picture by.
func glimpse(ctx context.Context, file string, look Look) (image.Image, error) {
	src, err := look(ctx, file)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	step := max(1, max(src.Width, src.Height)/(2*thumbSide))
	w, h := max(src.Width/step, 1), max(src.Height/step, 1)
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	rows := make([][]float32, src.Channels())
	for i := range rows {
		rows[i] = make([]float32, src.Width)
	}
	for y := range h {
		src.Row(min(y*step, src.Height-1), rows)
		for x := range w {
			at := img.Pix[img.PixOffset(x, y):]
			from, to := x*step, min((x+1)*step, src.Width)
			var v [4]float32
			for c := range rows {
				for _, s := range rows[c][from:to] {
					v[c] += s
				}
				v[c] /= float32(max(to-from, 1))
			}
			at[0], at[1], at[2], at[3] = seen(v, len(rows))
		}
	}
	return img, nil
}

// seen is a sample as it is shown: grey, RGB, or inks over paper.
func seen(v [4]float32, channels int) (r, g, b, a uint8) {
	switch {
	case channels == 1:
		v[1], v[2] = v[0], v[0]
	case channels == 4:
		for c := range 3 {
			v[c] = (1 - v[c]) * (1 - v[3])
		}
	}
	to := func(x float32) uint8 { return uint8(min(max(255*x+0.5, 0), 255)) }
	return to(v[0]), to(v[1]), to(v[2]), 255
}
