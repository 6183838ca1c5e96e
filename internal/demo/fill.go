package demo

import (
	"bufio"
	"context"
	"crypto/rand"
	"errors"
	"image"
	"io"
	"os"
	"path/filepath"
	"sync"

	"sizewright/internal/remedy"
)

// Fill paints pictures into their folders under dropDir and makes missing folders. It does not change a file
// that exists already. It calls progress, if not nil, after each picture, one call at a time, with the number
// done, the total and the picture's name. Fill stops at the first error, or when ctx ends, and leaves no
// partial file.
func Fill(ctx context.Context, dropDir string, pictures []Picture, progress func(done, total int, name string)) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var (
		crew   sync.WaitGroup
		report sync.Mutex
		done   int
		queue  = make(chan Picture, len(pictures))
	)
	for _, p := range pictures {
		queue <- p
	}
	close(queue)
	// Painting takes all cores, writing takes one: while one picture is written the next is painted.
	for range 2 {
		crew.Go(func() {
			for p := range queue {
				if err := p.fill(ctx, dropDir); err != nil {
					stop(err)
					return
				}
				report.Lock()
				done++
				if progress != nil {
					progress(done, len(pictures), p.Name)
				}
				report.Unlock()
			}
		})
	}
	crew.Wait()
	return context.Cause(ctx)
}

func (p Picture) fill(ctx context.Context, dropDir string) error {
	folder := filepath.Join(dropDir, p.Folder)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return remedy.Errorf("choose a directory you may write to", "cannot make the drop folder for the demo pictures: %w", err)
	}
	path := filepath.Join(folder, p.Name)
	if _, err := os.Lstat(path); err == nil {
		return nil
	}
	return p.Write(ctx, path)
}

// Write paints the picture on all cores and writes its file. The file appears at path when it is complete, and
// replaces an existing one. Only one picture is painted at a time. After an error, or when ctx ends, no file
// is left.
func (p Picture) Write(ctx context.Context, path string) (err error) {
	img, err := p.paint(ctx)
	if err != nil {
		return err
	}
	// A leading dot keeps a running daemon from taking it early.
	file, err := os.OpenFile(filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+"."+rand.Text()+".part"), os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return remedy.Errorf("choose a directory you may write to", "cannot write the demo picture %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(file.Name()))
		}
	}()
	if err := errors.Join(p.encode(file, img), file.Close()); err != nil {
		return remedy.Errorf("make room on the disk", "cannot write the demo picture %s: %w", path, err)
	}
	if p.cut {
		if err := cutShort(file.Name()); err != nil {
			return err
		}
	}
	return os.Rename(file.Name(), path)
}

// painting is locked while a picture is painted.
var painting sync.Mutex

// paint returns the picture in its stored form.
func (p Picture) paint(ctx context.Context) (image.Image, error) {
	upright := frame{p.Width, p.Height}
	if p.shot.orientation == 6 {
		upright = frame{p.Height, p.Width}
	}
	layers := p.scene(upright)
	img, on := p.plate()
	if p.shot.orientation == 6 {
		on = turnedPlate{on, p.Height}
	}
	painting.Lock()
	defer painting.Unlock()
	return img, render(ctx, upright, layers, developer(upright, p.look, on))
}

func (p Picture) plate() (image.Image, plate) {
	size := image.Rect(0, 0, p.Width, p.Height)
	switch p.format {
	case deepTIFF, deepPNG:
		img := image.NewRGBA64(size)
		return img, deepPlate{img}
	case jpegGrey:
		img := image.NewGray(size)
		return img, greyPlate{img}
	default:
		img := image.NewRGBA(size)
		return img, rgbPlate{img}
	}
}

func (p Picture) encode(file io.WriteSeeker, img image.Image) error {
	var profile []byte
	if p.profile != nil {
		profile = p.profile()
	}
	if p.format == deepTIFF {
		return writeTIFF(file, img.(*image.RGBA64), p.full(), profile)
	}
	const quality = 93
	out := bufio.NewWriterSize(file, 1<<20)
	write := func() error { return writeJPEG(out, img, quality, p.full().exif(), profile) }
	if p.format == deepPNG {
		write = func() error { return writePNG(out, img, p.full().exif(), profile) }
	}
	return errors.Join(write(), out.Flush())
}

// cutShort keeps the first 60 % of a file, as after an interrupted copy.
func cutShort(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	return os.Truncate(path, info.Size()*60/100)
}
