package order

import (
	"cmp"
	"fmt"
	"slices"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/photo"
)

// PaperGamut is how well a stock holds a picture's colours.
type PaperGamut struct {
	Stock      string        `json:"stock"`
	Intent     colour.Intent `json:"intent"` // that the stock is set to
	Relative   *colour.Gamut `json:"relative,omitempty"`
	Perceptual *colour.Gamut `json:"perceptual,omitempty"` // nil if the profile has no table for it
	Fault      string        `json:"fault,omitempty"`      // why it could not be measured
	Reason     string        `json:"reason,omitempty"`     // of the first, why it is
}

// ComparePapers measures a picture on every stock with a profile, the one that holds it
// best first: that with the least share that is seen to miss by more than 6, then 3, then
// of all misses beyond 3. A stock whose profile cannot be used is last.
func (d *Desk) ComparePapers(src *photo.Photo) ([]PaperGamut, error) {
	var all []PaperGamut
	for _, stock := range d.Config.Stocks() {
		s := d.Config.Settings("", stock)
		if s.Profile == "" {
			continue
		}
		p := PaperGamut{Stock: stock, Intent: s.Intent}
		if err := d.measurePaper(&p, src, s); err != nil {
			if meaningOf(&src.Info).profile == nil {
				return nil, err
			}
			p.Fault = err.Error()
		}
		all = append(all, p)
	}
	slices.SortStableFunc(all, func(a, b PaperGamut) int {
		if a.Relative == nil || b.Relative == nil {
			return cmp.Compare(b2i(a.Relative == nil), b2i(b.Relative == nil))
		}
		return cmp.Or(cmp.Compare(a.Relative.Seen.Beyond6, b.Relative.Seen.Beyond6),
			cmp.Compare(a.Relative.Seen.Beyond3, b.Relative.Seen.Beyond3), cmp.Compare(a.Relative.Beyond3, b.Relative.Beyond3))
	})
	if len(all) > 0 && all[0].Relative != nil {
		all[0].Reason = reasonFor(all)
	}
	return all, nil
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// measurePaper measures a picture on a stock of these settings, both ways.
func (d *Desk) measurePaper(p *PaperGamut, src *photo.Photo, s config.Settings) error {
	o, err := d.Output(s)
	if err != nil {
		return err
	}
	m, err := MeasureGamut(src, o)
	if err != nil {
		return err
	}
	relative := m.Gamut()
	way := colour.Chain{From: meaningOf(&src.Info).profile, To: o.Profile, BlackPoint: true}
	if m, err = colour.MeasurePerceptual(src, src.Width, src.Height, way); err != nil {
		return err
	}
	p.Relative = &relative
	if m != nil {
		g := m.Gamut()
		p.Perceptual = &g
	}
	return nil
}

// reasonFor says why the first of several papers is the first.
func reasonFor(all []PaperGamut) string {
	text := misses(all[0].Relative)
	for _, next := range all[1:] {
		if next.Relative != nil {
			return fmt.Sprintf("%s; on the next, %s, %s", text, next.Stock, misses(next.Relative))
		}
	}
	return text
}

// misses says how much of a picture is seen to miss, and what most.
func misses(g *colour.Gamut) string {
	text := fmt.Sprintf("%.1f %% of the picture is seen to miss by more than 6, and %.1f %% by more than 3", 100*g.Seen.Beyond6, 100*g.Seen.Beyond3)
	if len(g.Regions) > 0 && g.Seen.Beyond3 > 0 {
		text += ", most of all " + g.Regions[0].Hue + ", which loses " + g.Regions[0].Loses
	}
	return text
}

// betterPaper says which other stock would hold a picture that misses badly on its own,
// "" if none would. A profile that cannot be used is left to check.
func (d *Desk) betterPaper(src *photo.Photo, o Order) string {
	best, least := "", o.Settings.GamutCautionShare
	for _, stock := range d.Config.Stocks() {
		s := d.Config.Settings("", stock)
		to, err := d.Output(s)
		if stock == o.Stock || err != nil || to.Kind != ToStock || to.Profile.Digest() == o.Output.Profile.Digest() {
			continue
		}
		m, err := MeasureGamut(src, to)
		if err != nil {
			continue
		}
		g := m.Gamut()
		if share := g.Seen.Beyond(o.Settings.GamutCautionDeltaE); share <= least {
			best, least = stock, share
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; the stock %q would hold it (%.1f %%)", best, 100*least)
}
