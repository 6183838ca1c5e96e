package render

import (
	"context"
	"image"
	"image/color"

	"sizewright/internal/photo"
)

// Uncropped shows a whole picture in sRGB, made by a small recipe of all of it, with what
// lies outside the crop (in px of the source) under a veil and a frame around the rest.
func Uncropped(ctx context.Context, small Recipe, crop Rect, src *photo.Photo, p Profiles, workers int) (*image.RGBA, error) {
	images, err := Preview(ctx, small, src, p, workers, OnWhite)
	if err != nil {
		return nil, err
	}
	img := images[0]
	x, y := float64(small.Print.Width)/float64(small.Picture.Width), float64(small.Print.Height)/float64(small.Picture.Height)
	at := func(v, scale float64) int { return int(float64(v*scale) + 0.5) }
	kept := image.Rect(at(crop.X, x), at(crop.Y, y), at(crop.X+crop.Width, x), at(crop.Y+crop.Height, y))
	veil(img, kept)
	line := max(2, max(img.Rect.Dx(), img.Rect.Dy())/400)
	frame(img, kept, line, color.RGBA{A: 255}) // black around white, to be seen on any picture
	frame(img, kept.Inset(line/2), (line+1)/2, color.RGBA{255, 255, 255, 255})
	return img, nil
}

// veil takes colour and most of the contrast from all but a part of an image.
func veil(img *image.RGBA, but image.Rectangle) {
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			if (image.Point{X: x, Y: y}).In(but) {
				continue
			}
			pix := img.Pix[img.PixOffset(x, y):][:3]
			grey := (299*int(pix[0]) + 587*int(pix[1]) + 114*int(pix[2])) / 1000
			for c := range pix {
				pix[c] = uint8((2*150 + grey) / 3)
			}
		}
	}
}

// frame draws a line of that width inside the sides of a rectangle.
func frame(img *image.RGBA, r image.Rectangle, width int, c color.RGBA) {
	inner := r.Inset(width)
	r = r.Intersect(img.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if !(image.Point{X: x, Y: y}).In(inner) {
				img.SetRGBA(x, y, c)
			}
		}
	}
}
