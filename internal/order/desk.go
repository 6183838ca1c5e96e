package order

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"sizewright/internal/caption"
	"sizewright/internal/config"
	"sizewright/internal/edition"
	"sizewright/internal/hold"
	"sizewright/internal/intake"
	"sizewright/internal/photo"
	"sizewright/internal/remedy"
)

// Decoder decodes the file at path within lim. Its error is a [hold.Hold] if the file
// is to blame, and a fault otherwise.
type Decoder func(ctx context.Context, path string, lim photo.Limits) (*photo.Photo, error)

// Desk decides orders by one configuration. It is safe for concurrent use.
type Desk struct {
	Config *config.Config
	Root   string // of the studio; relative profile paths start here
	Limits photo.Limits
	Decode Decoder
	Now    func() time.Time

	mu     sync.Mutex
	papers map[string]paper // by profile and working space, each read once
	faces  map[string]face  // by path
}

type paper struct {
	output Output
	err    error
}

type face struct {
	*caption.Face
	err error
}

// NewDesk returns a desk with the configuration's limits. Decoding may use that many
// bytes of memory; 0 means as many as the configuration allows.
func NewDesk(c *config.Config, root string, memory int64, decode Decoder, now func() time.Time) *Desk {
	return &Desk{Config: c, Root: root, Limits: Within(c.Limits, memory), Decode: decode, Now: now, papers: map[string]paper{}, faces: map[string]face{}}
}

// Within returns the limits for decoding in that many bytes of memory; 0 means no
// further limit. What a header asks for is an estimate, so its limit is a fifth lower.
func Within(l photo.Limits, memory int64) photo.Limits {
	if memory > 0 && memory < l.MaxMemoryBytes {
		l.MaxMemoryBytes = memory
		l.MaxDecodeBytes = min(l.MaxDecodeBytes, memory/5*4)
	}
	return l
}

// Request is one photograph for one drop folder.
type Request struct {
	Path  string // of the photograph, where it is now
	Name  string // its file name when it was dropped
	Order Order  // from [NewOrder]; a decision fills in the rest
}

var captionFont = hold.New("caption-font", "correct caption_font in sizewright.toml and drop the picture again")

var stockProfile = hold.New("stock-profile", "correct the stock's profile in sizewright.toml and drop the picture again")

// Foresee decides everything that the header and the configuration can tell.
func (d *Desk) Foresee(r Request) (*Decision, error) {
	dec := &Decision{Request: r}
	o := &dec.Order
	var err error
	if err := intake.Unfinished(r.Path, r.Name, d.Limits); err != nil {
		return dec, dec.held(err)
	}
	if dec.Info, err = photo.Identify(r.Path, d.Limits); err != nil {
		return dec, dec.held(err)
	}
	if o.Unknown != "" {
		dec.refuse(noSuchStock.With(o.Unknown).Say("%s: no stock in sizewright.toml is called %q", r.Name, o.Stock))
		return dec, nil
	}
	if o.Output, err = d.Output(o.Settings); err != nil {
		fault, do := remedy.Split(err)
		dec.refuse(stockProfile.With(cmp.Or(do, stockProfile.Remedy)).Say("%s: the profile of %q cannot be used: %s", r.Name, o.Folder, fault))
		return dec, nil
	}
	if o.Face, err = d.face(*o); err != nil {
		fault, do := remedy.Split(err)
		dec.refuse(captionFont.With(cmp.Or(do, captionFont.Remedy)).Say("%s: the caption_font of %q: %s", r.Name, o.Folder, fault))
		return dec, nil
	}
	o.Caption = CaptionWords{Name: Stem(r.Name), Date: d.Now().Format(time.DateOnly)}
	full, err := d.number(o)
	if err != nil {
		return dec, err
	}
	dec.planned(NewPlan(dec.Info, *o))
	if full != nil && dec.Hold == nil {
		dec.refuse(UsedUp(r.Name, full))
	}
	return dec, nil
}

// number finds the numbers that come next for a numbered order. full is why there are none.
func (d *Desk) number(o *Order) (full, err error) {
	if !o.Numbered() {
		return nil, nil
	}
	data, err := os.ReadFile(filepath.Join(d.Root, edition.File))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	l, err := edition.Parse(data)
	if err != nil {
		return nil, err
	}
	o.Numbers, full = l.Next(o.Picture(), max(1, o.Settings.Copies))
	return full, nil
}

// noSuchStock holds what lies in a folder whose words after the size no stock is called:
// A2 on glossy paper and A2 on the paper of a misspelt "glosss" are not the same print.
var noSuchStock = hold.New("unknown-stock", "check the drop folder's name")

// Finish decodes the photograph of a foreseen decision, measures it and decides the
// rest. It calls decoded, if not nil, after decoding. The photograph is nil if the
// decision is a hold; otherwise the caller closes it.
func (d *Desk) Finish(ctx context.Context, dec *Decision, decoded func()) (*photo.Photo, error) {
	if dec.Hold != nil {
		return nil, nil
	}
	src, err := d.Decode(ctx, dec.Request.Path, d.Limits)
	if err != nil {
		return nil, dec.held(err)
	}
	if decoded != nil {
		decoded()
	}
	if err := d.judge(dec, src); err != nil || dec.Hold != nil {
		src.Close()
		return nil, err
	}
	return src, nil
}

// judge measures src and makes the decision final.
func (d *Desk) judge(dec *Decision, src *photo.Photo) error {
	measured, spectrum := Measure(src, dec.Order)
	dec.Info, dec.Spectrum, dec.Stage = &src.Info, spectrum, Final
	// Plan again: decoding finds cautions that the header does not show.
	dec.planned(NewPlan(dec.Info, dec.Order).WithMeasurement(measured, dec.Order))
	dec.climb(src, d.Config)
	if dec.Hold != nil || dec.Order.Output.Profile == nil {
		return nil
	}
	m, err := MeasureGamut(src, dec.Order.Output)
	if errors.Is(err, ErrNoColours) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("measuring the gamut of %s: %w", dec.Name, err)
	}
	g := m.Gamut()
	if dec.Order.Output.Kind == ToStock { // a working space has no map
		dec.Gamut, dec.Misses = &g, m
	}
	if c := GamutCaution(g, dec.Order); c != nil {
		if dec.Order.Output.Kind == ToStock {
			c.Text += d.betterPaper(src, dec.Order)
		}
		dec.Plan.Cautions = append(dec.Plan.Cautions, *c)
		dec.Cautions = slices.Clone(dec.Plan.Cautions)
	}
	return nil
}

// Open decodes a photograph under the same limits as an order, without deciding
// anything. The error is a [hold.Hold] if the file is to blame.
func (d *Desk) Open(ctx context.Context, path string) (*photo.Photo, error) {
	if err := intake.Unfinished(path, filepath.Base(path), d.Limits); err != nil {
		return nil, err
	}
	return d.Decode(ctx, path, d.Limits)
}

// Asked returns the order that a drop folder of this name stands for, with its
// colours. The error is a [FolderError], or says what is wrong with a profile.
func (d *Desk) Asked(folder string) (Order, error) {
	o, err := NewOrder(folder, d.Config)
	if err != nil {
		return o, err
	}
	o.Output, err = d.Output(o.Settings)
	return o, err
}

// Output returns what the settings of a drop folder do with colours. Each profile is
// read once. The error names the profile and what is wrong with it.
func (d *Desk) Output(s config.Settings) (Output, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	key := s.Profile + "\n" + s.WorkingSpace
	p, ok := d.papers[key]
	if !ok {
		p.output, p.err = NewOutput(s, d.Root)
		d.papers[key] = p
	}
	if p.output.Profile != nil {
		p.output.Intent, p.output.BlackPoint = s.Intent, s.BlackPointCompensation
	}
	return p.output, p.err
}

// face returns the face of an order's caption, nil for the built-in one. Each font is read
// once.
func (d *Desk) face(o Order) (*caption.Face, error) {
	path := o.Settings.CaptionFont
	if path == "" || o.Settings.Caption == "" || len(o.Media) == 0 {
		return nil, nil
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	f, ok := d.faces[path]
	if !ok {
		f.Face, f.err = OpenFont(path, d.Root)
		d.faces[path] = f
	}
	return f.Face, f.err
}

// Stem returns a file's name without its extension.
func Stem(name string) string {
	if s := strings.TrimSuffix(name, filepath.Ext(name)); s != "" {
		return s
	}
	return name
}
