package daemon

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"math"
	"os"
	"slices"
	"strings"

	"sizewright/internal/label"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/studio"
	"sizewright/internal/system"
	"sizewright/internal/tiff"
)

// print makes the TIFF and, alongside, the proofs under temporary names and
// publishes them with the record.
func (j *job) print(ctx context.Context, src *photo.Photo) error {
	recipe, err := j.decision.Recipe()
	if err != nil {
		return err
	}
	if err := j.number(); err != nil {
		return err
	}
	j.rec.Print = record.PrintOf(j.rec.Plan)
	ctx, stop := context.WithCancel(ctx)
	var proofs []studio.File
	proved, ended := alongside(func() (err error) {
		if proofs, err = j.proof(ctx, src); err != nil {
			return err
		}
		return j.crop(recipe, src)
	})
	defer func() { stop(); <-ended }() // nothing is written any more, whatever happened
	err = j.press(ctx, recipe, src, proved)
	if err != nil {
		stop()
	}
	if err := errors.Join(err, proved()); err != nil {
		return err
	}
	proofs = append(proofs, j.crops...)
	if paper := j.rec.Plan.Paper; paper != nil {
		if err := j.write(diagramFile, paper.Layout.SVG()); err != nil {
			return err
		}
		proofs = append(proofs, diagramFile)
	}
	labels, err := j.label()
	if err != nil {
		return err
	}
	proofs = append(proofs, labels...)
	if err := j.sameBytes(ctx); err != nil {
		return err
	}
	j.rec.Status = record.StatusOf(j.rec.Verdict, j.rec.Cautions)
	return j.publish(slices.Concat(j.tiffs, proofs)...)
}

// label draws a label for the back of each TIFF, if its folder asks for them.
func (j *job) label() (files []studio.File, err error) {
	d := j.decision
	if !d.Order.Settings.Label {
		return nil, nil
	}
	for i, t := range j.tiffs {
		suffix := labelSuffix(t)
		file := studio.File{Name: strings.TrimPrefix(suffix, "."), Suffix: suffix}
		number := 0
		if e := j.rec.Print.Edition; e != nil {
			number = e.Prints[i].Number
		}
		if err := j.write(file, label.SVG(d.Label(number))); err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	return files, nil
}

// labelSuffix is that of a TIFF's label.
func labelSuffix(tiff studio.File) string {
	return strings.TrimSuffix(tiff.Suffix, ".tif") + ".label.svg"
}

// press makes the TIFF when its turn comes, or one for each number of its edition: here, or
// on another machine, if one is free before. proved waits for what else is read of src.
func (j *job) press(ctx context.Context, recipe render.Recipe, src *photo.Photo, proved func() error) error {
	numbers := []int{0}
	if o := j.decision.Order; o.Numbered() {
		j.rec.Print.Edition = &record.Edition{Of: o.Settings.Edition}
		numbers = o.Numbers
	}
	seat, err := j.turn(ctx, &recipe)
	if err != nil {
		return err
	}
	if seat != nil {
		if err := proved(); err != nil {
			j.machines.Leave(seat)
			return err
		}
		src.Close()
		j.leave(j.slots.reading)
		if made, err := j.away(ctx, seat); made || err != nil {
			return err
		}
		if src, err = j.again(ctx); err != nil {
			return err
		}
		defer src.Close()
	}
	defer j.leave(j.slots.press)
	j.leave(j.slots.reading)
	for _, n := range numbers {
		if err := j.writeTIFF(n, j.fileOf(n), j.here(ctx, src)); err != nil {
			return err
		}
	}
	return nil
}

// again reads the photograph once more and waits for the press.
func (j *job) again(ctx context.Context) (*photo.Photo, error) {
	if err := j.enter(ctx, j.slots.reading); err != nil {
		return nil, err
	}
	j.progress.stage(stageReading)
	src, err := j.desk.Decode(ctx, j.claim.OriginalPath(), j.desk.Limits)
	if err != nil {
		return nil, j.heldForMemory(err)
	}
	j.progress.stage(stageWaiting)
	if err := j.enter(ctx, j.slots.press); err != nil {
		src.Close()
		return nil, err
	}
	return src, nil
}

// fileOf is the TIFF of a number, or of a print without an edition.
func (j *job) fileOf(number int) studio.File {
	if e := j.rec.Print.Edition; e != nil {
		return numberedFile(number, e.Of)
	}
	return tiffFile
}

// numberedFile is the TIFF of a number.
func numberedFile(number, of int) studio.File {
	return studio.File{Name: fmt.Sprintf("print-%d.tif", number), Suffix: fmt.Sprintf(".%dof%d.tif", number, of)}
}

// alongside starts do and returns what waits for it, and a channel that is closed
// at its end. A panic of do becomes one of the waiter, who alone knows what to make
// of it.
func alongside(do func() error) (wait func() error, ended <-chan struct{}) {
	var err error
	var panicked any
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer func() { panicked = recover() }()
		err = do()
	}()
	return func() error {
		<-done
		if panicked != nil {
			panic(panicked)
		}
		return err
	}, done
}

func (j *job) writeTIFF(number int, file studio.File, make func(io.WriteSeeker, render.Recipe) (*tiff.Writer, error)) error {
	recipe, err := j.decision.NumberedRecipe(number)
	if err != nil {
		return err
	}
	return j.create(file.Name, "making the print", func(f *os.File) error {
		tw, err := make(&flushed{File: f}, recipe)
		if err != nil {
			return err
		}
		p := j.rec.Print
		if len(j.tiffs) == 0 {
			p.Bytes, p.BigTIFF = tw.Size(), tw.Big()
		}
		if p.Edition != nil {
			p.Edition.Prints = append(p.Edition.Prints, record.Numbered{Number: number, Bytes: tw.Size()})
		}
		j.tiffs = append(j.tiffs, file)
		return nil
	})
}

// flushed is a file whose pages are sent to the disk as they come, so that the fsync at
// the end finds little left to do. It promises nothing that fsync does not: a failure here
// is left for fsync to find.
type flushed struct {
	*os.File
	written, sent int64
}

// flushBytes is how much is gathered before it is sent.
const flushBytes = 16 << 20

func (f *flushed) Write(p []byte) (int, error) {
	n, err := f.File.Write(p)
	f.written += int64(n)
	if f.written-f.sent >= flushBytes {
		system.StartWriteback(f.File)
		f.sent = f.written
	}
	return n, err
}

// proof makes the preview and, for a stock with a profile, what it is asked
// about: the print on the paper's own white, and a map of how far the picture's
// colours are outside the paper.
func (j *job) proof(ctx context.Context, src *photo.Photo) ([]studio.File, error) {
	files, proofs := []studio.File{previewFile}, []render.Proof{render.OnWhite}
	d := j.decision
	toStock := d.Order.Output.Kind == order.ToStock
	if toStock {
		files, proofs = append(files, onPaperFile), append(proofs, render.OnPaper)
	}
	images, err := render.Preview(ctx, d.Plan.Preview(d.Order, previewSide), src, d.Plan.Profiles, j.cores, proofs...)
	if err != nil {
		return nil, fmt.Errorf("making the preview of %s: %w", j.rec.Source.Name, err)
	}
	for i, img := range images {
		err := j.create(files[i].Name, "writing "+files[i].Name, func(f *os.File) error { return jpeg.Encode(f, img, &jpeg.Options{Quality: previewQuality}) })
		if err != nil {
			return nil, err
		}
	}
	if d.Plan.Cropping != nil {
		img, err := render.Uncropped(ctx, d.Plan.Uncropped(d.Order, croppedSide), d.Plan.Crop, src, d.Plan.Profiles, j.cores)
		if err != nil {
			return nil, fmt.Errorf("drawing the crop of %s: %w", j.rec.Source.Name, err)
		}
		err = j.create(croppedFile.Name, "writing "+croppedFile.Name, func(f *os.File) error { return jpeg.Encode(f, img, &jpeg.Options{Quality: previewQuality}) })
		if err != nil {
			return nil, err
		}
		files = append(files, croppedFile)
	}
	if m := d.Misses; m != nil { // where the picture's colours are known
		err := j.create(gamutFile.Name, "writing "+gamutFile.Name, func(f *os.File) error {
			return png.Encode(f, m.Map(order.GamutMapSide, d.Order.Settings.GamutCautionDeltaE))
		})
		return append(files, gamutFile), err
	}
	return files, nil
}

// croppedSide is the longer side of the drawing of a crop, in px.
const croppedSide = 800

const cropQuality = 85

// crop cuts the print at 100 % at a few places, before and after sharpening.
func (j *job) crop(recipe render.Recipe, src *photo.Photo) error {
	crops, err := render.Crops(recipe, src, j.decision.Plan.Profiles, render.CropPlaces(src, j.decision.Spectrum, j.rec.Gamut))
	if err != nil {
		return fmt.Errorf("cutting crops of %s: %w", j.rec.Source.Name, err)
	}
	for _, c := range crops {
		for _, side := range []struct {
			img    *image.RGBA
			suffix string
		}{{c.After, ""}, {c.Before, ".before"}} {
			made := studio.File{Name: c.Place.Name + side.suffix + ".jpg", Suffix: "." + c.Place.Name + side.suffix + ".jpg"}
			err := j.create(made.Name, "writing "+made.Name, func(f *os.File) error { return jpeg.Encode(f, side.img, &jpeg.Options{Quality: cropQuality}) })
			if err != nil {
				return err
			}
			j.crops = append(j.crops, made)
		}
		j.rec.Print.Crops = append(j.rec.Print.Crops, record.Crop{
			Name: c.Place.Name, Why: c.Place.Why, X: c.X, Y: c.Y, SidePX: c.Side,
			SideMM: math.Round(float64(c.Side)*printsize.MMPerInch/j.rec.Plan.Print.PPI*100) / 100,
		})
	}
	return nil
}

// write makes a file in the claim of a few bytes, in place of an earlier one.
func (j *job) write(m studio.File, data []byte) error {
	if err := os.Remove(j.claim.MadePath(m.Name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return j.create(m.Name, "writing "+m.Name, func(f *os.File) error { _, err := f.Write(data); return err })
}

// create makes a file in the claim, which must be new: a link that somebody of the
// studio's group put there is never written through. doing says what failed if it does.
func (j *job) create(name, doing string, write func(*os.File) error) error {
	f, err := os.OpenFile(j.claim.MadePath(name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, filePerm)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := write(f); err != nil {
		return fmt.Errorf("%s of %s: %w", doing, j.rec.Source.Name, err)
	}
	return f.Close()
}
