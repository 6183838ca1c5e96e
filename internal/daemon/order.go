package daemon

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/detail"
	"sizewright/internal/eye"
	"sizewright/internal/intake"
	"sizewright/internal/ladder"
	"sizewright/internal/morning"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/studio"
)

// The files of an order, by their names in the claim and what follows the
// picture's name in the end.
var (
	tiffFile    = studio.Made{Name: "print.tif", Suffix: ".tif"}
	onPaperFile = studio.Made{Name: "paper.jpg", Suffix: ".paper.jpg"}
	gamutFile   = studio.Made{Name: "gamut.png", Suffix: ".gamut.png"}
	diagramFile = studio.Made{Name: "sheet.svg", Suffix: ".sheet.svg"}
	previewFile = studio.Made{Name: "preview.jpg", Suffix: ".preview.jpg"}
	recordFile  = studio.Made{Name: "record.json", Suffix: recordSuffix}
	reasonFile  = studio.Made{Name: "reason.txt", Suffix: ".txt"}
)

const (
	recordSuffix = ".json"

	previewSide    = 1600 // px
	previewQuality = 88
)

// job is one order in hand.
type job struct {
	*worker
	claim *studio.Claim
	order render.Order
	rec   *record.Record
	in    []place // where the order is

	spectrum *detail.Spectrum
	crops    []studio.Made
}

// make takes one dropped file to its end. The error is a fault: something
// that is not the picture's doing; the original is then back in its folder.
func (w *worker) make(ctx context.Context, c intake.Candidate) (err error) {
	order, err := render.NewOrder(c.Folder, w.Config)
	if err != nil {
		w.leave(morning.Left{Folder: c.Folder, Text: err.Error()})
		return nil
	}
	claim, err := w.Studio.Claim(c.Folder, c.Name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil // taken away again since it was seen
	case errors.Is(err, studio.ErrNotRegular):
		w.leave(morning.Left{Folder: c.Folder, Name: c.Name, Text: err.Error()})
		return nil
	case err != nil:
		return fmt.Errorf("taking %s from %s: %w", c.Name, c.Folder, err)
	}
	w.Progress.Started(c.Folder, c.Name)
	w.Log.Info("taken", zap.String("folder", c.Folder), zap.String("name", c.Name), zap.Int64("bytes", c.Size))
	j := &job{worker: w, claim: claim, order: order, rec: &record.Record{
		Schema:   record.SchemaID,
		Order:    record.Order{Folder: c.Folder, Size: order.Size.Name, Stock: order.Stock},
		Source:   record.Source{Name: c.Name, Bytes: c.Size},
		Cautions: []photo.Caution{},
		Times:    record.Times{Claimed: w.Now().Truncate(time.Millisecond)},
	}}
	return j.giveBack(j.guarded(ctx))
}

// giveBack returns the original of an order that came to a fault, unless its
// end was already decided: then the next start finishes that.
func (j *job) giveBack(fault error) error {
	if fault == nil || j.claim.Decided() {
		return fault
	}
	_, err := j.claim.Return()
	return errors.Join(fault, err)
}

// guarded is run with a panic made into a hold: one picture must not take the
// night down, nor be tried again at every look.
func (j *job) guarded(ctx context.Context) (err error) {
	defer func() {
		j.exitAll()
		if r := recover(); r != nil {
			j.Log.Error("panic", zap.Any("panic", r), zap.ByteString("stack", debug.Stack()))
			err = j.hold("internal", fmt.Sprintf("sizewright failed on %s; this is a mistake in the program: please report it, with the log's lines about it", j.rec.Source.Name))
		}
	}()
	return j.run(ctx)
}

func (j *job) run(ctx context.Context) error {
	if err := j.enter(ctx, j.places.reading); err != nil {
		return err
	}
	if err := j.hash(); err != nil {
		return err
	}
	info, err := photo.Identify(j.claim.OriginalPath(), j.limits)
	if err != nil {
		return j.unreadable(err)
	}
	if j.order.Output, err = j.output(j.order.Settings); err != nil {
		return j.hold("stock-profile", fmt.Sprintf("no print for %q until its profile is mended: %v", j.rec.Order.Folder, err))
	}
	j.order.Caption = render.CaptionWords{Name: stem(j.rec.Source.Name), Date: j.Now().Format(time.DateOnly)}
	plan := j.plan(info)
	j.planned(plan)
	j.rec.Source = record.SourceOf(j.rec.Source, info, plan)
	if plan.Refusal != nil {
		return j.hold(plan.Refusal.Code, plan.Refusal.Text)
	}
	src, err := photo.Open(j.claim.OriginalPath(), j.limits)
	if err != nil {
		return j.unreadable(err)
	}
	measured, spectrum := render.Measure(src)
	j.spectrum = spectrum
	j.rec.Ladder = j.ladder(src, spectrum)
	j.planned(plan.WithMeasurement(measured, j.order))
	if r := j.rec.Plan.Refusal; r != nil {
		return j.hold(r.Code, r.Text)
	}
	giveUp, err := j.await(ctx, morning.Key(j.rec))
	if err != nil {
		return err
	}
	defer giveUp()
	if before, ok := j.already(); ok {
		return j.repeat(before)
	}
	return j.print(ctx, src)
}

// ladder is the picture over the usual sizes and the order's own.
func (j *job) ladder(src *photo.Photo, spectrum *detail.Spectrum) *ladder.Ladder {
	s, own := j.order.Settings, j.order.Size
	sizes := ladder.Usual()
	if !slices.ContainsFunc(sizes, func(s printsize.Size) bool { return s.Name == own.Name }) {
		sizes = append(sizes, own)
	}
	return ladder.New(
		ladder.Picture{Name: j.rec.Source.Name, Width: src.Width, Height: src.Height, Spectrum: spectrum}, sizes,
		ladder.Options{PPI: s.PPI, DistanceMM: s.ViewingDistanceMM, Viewer: eye.Viewer{Acuity: s.Acuity}, Mark: own.Name})
}

func (j *job) planned(p *render.Plan) {
	j.rec.Plan, j.rec.Cautions = p, slices.Clone(p.Cautions)
}

// unreadable holds what the picture is to blame for; anything else (a disk
// that does not answer) is a fault.
func (j *job) unreadable(err error) error {
	var bad *photo.Error
	if errors.As(err, &bad) {
		return j.hold(string(bad.Kind), bad.Error())
	}
	return err
}

func (j *job) hash() error {
	f, err := os.Open(j.claim.OriginalPath())
	if err != nil {
		return err
	}
	defer f.Close()
	h := sha256.New()
	if j.rec.Source.Bytes, err = io.Copy(h, f); err != nil {
		return fmt.Errorf("reading %s: %w", j.rec.Source.Name, err)
	}
	j.rec.Source.SHA256 = hex.EncodeToString(h.Sum(nil))
	return nil
}

// plan is the picture's plan, with a caution for a stock the configuration
// does not know though it names others.
func (j *job) plan(info *photo.Info) *render.Plan {
	p := render.NewPlan(info, j.order)
	if s := j.order.Stock; j.Config.DoubtsStock(s) {
		p.Cautions = append(p.Cautions, photo.Caution{Code: "unknown-stock",
			Text: fmt.Sprintf("no [stock.%q] in sizewright.toml, so %q was made with the settings for any paper", s, j.rec.Order.Folder)})
	}
	return p
}

// already finds the same order, made before and still in the outbox.
func (j *job) already() (morning.Entry, bool) {
	j.mu.Lock()
	e, ok := j.made[morning.Key(j.rec)]
	j.mu.Unlock()
	if !ok {
		return e, false
	}
	_, err := os.Stat(filepath.Join(j.Studio.Root(), morning.Beside(e, e.Record.Print.File)))
	return e, err == nil
}

// print makes the TIFF and, alongside, the proofs under temporary names and
// publishes them with the record.
func (j *job) print(ctx context.Context, src *photo.Photo) error {
	r, err := render.New(j.rec.Plan, src, j.order)
	if err != nil {
		return err
	}
	j.rec.Print = record.PrintOf(j.rec.Plan)
	ctx, stop := context.WithCancel(ctx)
	var proofs []studio.Made
	proved, ended := alongside(func() (err error) {
		if proofs, err = j.proof(ctx, src); err != nil {
			return err
		}
		return j.crop(r, src)
	})
	defer func() { stop(); <-ended }() // nothing is written any more, whatever happened
	err = j.press(ctx, r)
	if err != nil {
		stop()
	}
	if err := errors.Join(err, proved()); err != nil {
		return err
	}
	proofs = append(proofs, j.crops...)
	if paper := j.rec.Plan.Paper; paper != nil {
		if err := os.WriteFile(j.claim.MadePath(diagramFile.Name), paper.Layout.SVG(), 0o644); err != nil {
			return err
		}
		proofs = append(proofs, diagramFile)
	}
	j.rec.Status = record.Made(j.rec.Cautions)
	return j.publish(append([]studio.Made{tiffFile}, proofs...)...)
}

// press makes the TIFF when its turn comes.
func (j *job) press(ctx context.Context, r *render.Renderer) error {
	if err := j.enter(ctx, j.places.press); err != nil {
		return err
	}
	defer j.exit(j.places.press)
	j.exit(j.places.reading)
	return j.writeTIFF(ctx, r)
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

func (j *job) writeTIFF(ctx context.Context, r *render.Renderer) error {
	heard := func(done, total int) {
		j.Progress.Rendering(j.rec.Order.Folder, j.rec.Source.Name, done, total)
	}
	return j.create(tiffFile.Name, "making the print", func(f *os.File) error {
		tw, err := r.WriteTIFF(ctx, &early{File: f}, render.Options{Workers: j.cores(), Progress: heard})
		if err == nil {
			j.rec.Print.Bytes, j.rec.Print.BigTIFF = tw.Size(), tw.Big()
		}
		return err
	})
}

// proof makes the preview and, for a stock with a profile, what it is asked
// about: the print on the paper's own white, and how far the picture's colours
// are outside the paper.
func (j *job) proof(ctx context.Context, src *photo.Photo) ([]studio.Made, error) {
	files, proofs := []studio.Made{previewFile}, []render.Proof{render.OnWhite}
	toStock := j.order.Output.Kind == render.ToStock
	if toStock {
		files, proofs = append(files, onPaperFile), append(proofs, render.OnPaper)
	}
	images, err := render.Preview(ctx, j.rec.Plan, src, j.order, j.cores(), previewSide, proofs...)
	if err != nil {
		return nil, fmt.Errorf("making the preview of %s: %w", j.rec.Source.Name, err)
	}
	for i, img := range images {
		err := j.create(files[i].Name, "writing "+files[i].Name, func(f *os.File) error { return jpeg.Encode(f, img, &jpeg.Options{Quality: previewQuality}) })
		if err != nil {
			return nil, err
		}
	}
	if !toStock {
		return files, nil
	}
	return j.gamut(files, src)
}

// gamut measures and maps what the paper cannot hold, where the picture's
// colours are known.
func (j *job) gamut(files []studio.Made, src *photo.Photo) ([]studio.Made, error) {
	m, err := render.MeasureGamut(src, j.order.Output.Profile)
	switch {
	case errors.Is(err, render.ErrNoColours):
		return files, nil
	case err != nil:
		return nil, fmt.Errorf("measuring the gamut of %s: %w", j.rec.Source.Name, err)
	}
	g := m.Gamut()
	j.rec.Gamut = &g
	if c := render.GamutCaution(g, j.order); c != nil {
		j.rec.Cautions = append(j.rec.Cautions, *c)
	}
	err = j.create(gamutFile.Name, "writing "+gamutFile.Name, func(f *os.File) error { return png.Encode(f, m.Map(render.GamutMapSide)) })
	return append(files, gamutFile), err
}

const cropQuality = 85

// crop cuts the print at 100 % at a few places, before and after sharpening.
func (j *job) crop(r *render.Renderer, src *photo.Photo) error {
	crops, err := r.Crops(render.LookingPlaces(src, j.spectrum, j.rec.Gamut))
	if err != nil {
		return fmt.Errorf("cutting crops of %s: %w", j.rec.Source.Name, err)
	}
	for _, c := range crops {
		for _, side := range []struct {
			img    *image.RGBA
			suffix string
		}{{c.After, ""}, {c.Before, ".before"}} {
			made := studio.Made{Name: c.Place.Name + side.suffix + ".jpg", Suffix: "." + c.Place.Name + side.suffix + ".jpg"}
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

// create makes a file in the claim; doing says what failed if it does.
func (j *job) create(name, doing string, write func(*os.File) error) error {
	f, err := os.OpenFile(j.claim.MadePath(name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := write(f); err != nil {
		return fmt.Errorf("%s of %s: %w", doing, j.rec.Source.Name, err)
	}
	return f.Close()
}

// repeat records that the order was made before and makes nothing.
func (j *job) repeat(before morning.Entry) error {
	p := *before.Record.Print
	j.rec.Print = &p
	j.rec.Status = before.Record.Status
	j.rec.RepeatOf = before.Path
	j.rec.Cautions = slices.Clone(before.Record.Cautions)
	return j.publish()
}

// publish hands the made files and the record to the outbox.
func (j *job) publish(files ...studio.Made) error {
	files = append(files, recordFile)
	return j.settle(j.dir("outbox"), j.dir("originals"), files,
		func() (studio.Names, error) { return j.claim.Names(stem(j.rec.Source.Name), suffixes(files)...) },
		j.claim.Publish)
}

// hold hands the untouched original to the held folder with its record and
// the reason in a text file.
func (j *job) hold(code, reason string) error {
	j.rec.Status, j.rec.Code, j.rec.Reason, j.rec.Print, j.rec.Gamut = record.Held, code, reason, nil, nil
	if err := os.WriteFile(j.claim.MadePath(reasonFile.Name), []byte(reason+"\n"), 0o644); err != nil {
		return err
	}
	files := []studio.Made{reasonFile, recordFile}
	return j.settle(j.dir("held"), j.dir("held"), files,
		func() (studio.Names, error) { return j.claim.HeldNames(suffixes(files)...) },
		j.claim.Hold)
}

// nameTries is how often a set of names is chosen again.
const nameTries = 20

// settle chooses names, writes the record that holds them and ends the claim;
// a name taken in between is chosen again.
func (j *job) settle(to, originals string, files []studio.Made, choose func() (studio.Names, error),
	end func(studio.Names, ...studio.Made) (studio.Outcome, error)) error {
	if err := j.claim.Unchanged(); err != nil {
		return err
	}
	for range nameTries {
		names, err := choose()
		if err != nil {
			return err
		}
		j.rec.Source.Original = originals + "/" + names.Original
		if err := j.writeRecord(names); err != nil {
			return err
		}
		out, err := end(names, files...)
		if errors.Is(err, studio.ErrNameTaken) {
			continue
		}
		if err != nil {
			return err
		}
		j.done(to+"/"+names.Stem+recordSuffix, out)
		return nil
	}
	return fmt.Errorf("no free name for %s after %d tries", j.rec.Source.Name, nameTries)
}

func (j *job) dir(top string) string { return top + "/" + j.rec.Order.Folder }

// stem is a file's name without its extension.
func stem(name string) string {
	if s := strings.TrimSuffix(name, path.Ext(name)); s != "" {
		return s
	}
	return name
}

func suffixes(files []studio.Made) []string {
	out := make([]string, len(files))
	for i, f := range files {
		out[i] = f.Suffix
	}
	return out
}

func (j *job) writeRecord(names studio.Names) error {
	if j.rec.Print != nil && j.rec.RepeatOf == "" {
		j.rec.Print.File, j.rec.Print.Preview = names.Stem+tiffFile.Suffix, names.Stem+previewFile.Suffix
		if j.order.Output.Kind == render.ToStock {
			j.rec.Print.OnPaper = names.Stem + onPaperFile.Suffix
		}
		for i := range j.rec.Print.Crops {
			c := &j.rec.Print.Crops[i]
			c.File, c.Before = names.Stem+"."+c.Name+".jpg", names.Stem+"."+c.Name+".before.jpg"
		}
		if j.rec.Plan.Paper != nil {
			j.rec.Print.Diagram = names.Stem + diagramFile.Suffix
		}
		if j.rec.Gamut != nil {
			j.rec.Print.GamutMap = names.Stem + gamutFile.Suffix
		}
	}
	j.rec.Times.Finished = j.Now().Truncate(time.Millisecond)
	data, err := j.rec.Encode()
	if err != nil {
		return err
	}
	return os.WriteFile(j.claim.MadePath(recordFile.Name), data, 0o644)
}

func (j *job) done(path string, out studio.Outcome) {
	e := morning.Entry{Path: path, Record: *j.rec}
	j.keep(e)
	for _, r := range out.Renamed {
		j.Log.Warn("a name was taken at the last moment", zap.String("wanted", r.Wanted), zap.String("got", r.Got))
	}
	if out.Untidy != nil {
		j.Log.Warn("the emptied claim is still there", zap.Error(out.Untidy))
	}
	j.Log.Info(string(j.rec.Status), zap.String("folder", j.rec.Order.Folder), zap.String("name", j.rec.Source.Name),
		zap.String("record", e.Path), zap.String("reason", j.rec.Reason), zap.Strings("cautions", codes(j.rec.Cautions)),
		zap.String("repeat_of", j.rec.RepeatOf), zap.Duration("took", j.rec.Times.Finished.Sub(j.rec.Times.Claimed)))
	j.Progress.Ended(e)
}

func codes(cautions []photo.Caution) []string {
	out := make([]string, len(cautions))
	for i, c := range cautions {
		out[i] = c.Code
	}
	slices.Sort(out)
	return out
}
