package main

import (
	"fmt"
	"slices"
	"strings"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/edition"
	"sizewright/internal/order"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// decisionLines describes the decision for a person.
func decisionLines(file string, d *order.Decision) (lines [][2]string) {
	if d.Plan == nil {
		lines = append(lines, [2]string{"picture", file})
	} else {
		lines = planLines(file, d.Plan)
	}
	if d.Info != nil && d.Info.Room > 0 && d.Hold == nil {
		lines = append(lines, [2]string{"decoding", fmt.Sprintf("to a file of %.1f GB beside the print, since the picture is too large for memory", float64(d.Info.Room)/1e9)})
	}
	if d.Hold != nil {
		lines = append(lines, [2]string{"held", d.Hold.Error()})
	}
	return lines
}

// sidesWords gives the sides of a size; for "70cm" only the long side.
func sidesWords(s order.PlanSize) string {
	if named, err := printsize.ParseSize(s.Name); err == nil && named.LongSideOnly {
		return fmt.Sprintf("long side %.1f mm", s.WidthMM)
	}
	return fmt.Sprintf("%.1f x %.1f mm", s.WidthMM, s.HeightMM)
}

// planLines describes the plan for a person.
func planLines(file string, p *order.Plan) [][2]string {
	f := fmt.Sprintf
	lines := [][2]string{
		{"picture", f("%s: %s, %d x %d px, %s, %d-bit, orientation %d", file, p.Picture.Format, p.Picture.Width, p.Picture.Height, p.Picture.Model, p.Picture.Bits, p.Picture.Orientation)},
		{"colour", colourWords(p.Colour)},
		{"folder", folderWords(p.Asked)},
		{"size", f("%s, %s, %s", p.Size.Name, sidesWords(p.Size), fitWords(p))},
		{"print", f("%d x %d px at %v ppi, %.1f x %.1f mm%s", p.Print.Width, p.Print.Height, p.Print.PPI, p.Print.WidthMM, p.Print.HeightMM, smallerWords(p))},
		{"verdict", p.Resolution.Verdict.Words()},
		{"resolution", f("the file's ppi at this size is %.1f%s; too small below %.1f, may look soft up close below %.1f (%s, judged from %.0f mm)", p.Resolution.NativePPI, detailWords(p.Resolution), p.Resolution.MinimumPPI, p.Resolution.CautionPPI, p.Resolution.Basis, p.Resolution.JudgedFromMM)},
		{"scale", scaleWords(p.Scale)},
		{"measured", measuredWords(p.Measured)},
		{"pre-sharpening", sharpeningWords(p.PreSharpening)},
		{"scale sharpening", sharpeningWords(p.ScaleSharpening)},
		{"output sharpening", sharpeningWords(p.OutputSharpening)},
		{"grain", grainWords(p.Grain)},
		{"file", f("TIFF, %d-bit, %s, %s a strip, at most %.0f MB", p.File.Bits, p.File.Compression, plural.Count(p.File.BandRows, "row", "rows"), float64(p.File.MaxBytes)/1e6)},
	}
	if p.Predicted != "" {
		lines = slices.Insert(lines, slices.IndexFunc(lines, func(l [2]string) bool { return l[0] == "measured" }), [2]string{"a network adds", p.Predicted})
	}
	if p.Paper != nil {
		lines = append(lines, paperLines(p.Paper)...)
	}
	for _, c := range p.Cautions {
		lines = append(lines, [2]string{gradeWords[caution.Of(c).Grade], c.Text})
	}
	// One thing to do, for the gravest: the same as on the page.
	if c, asks := caution.Asks(p.Cautions); asks && p.Refusal == nil {
		lines = append(lines, [2]string{"to do", caution.Of(c).Do})
	}
	return lines
}

// folderWords tells the job, and which [folder] tables hold for the folder.
func folderWords(a *order.PlanAsked) string {
	if a == nil {
		return "not known"
	}
	words := a.Folder
	if a.Job != "" {
		words += fmt.Sprintf(", of the job %q", a.Job)
	}
	if a.Copies > 1 && a.Of > 0 {
		words += fmt.Sprintf("; %d copies, each a file of its own", a.Copies)
	} else if a.Copies > 1 {
		words += fmt.Sprintf("; print %d copies of the file", a.Copies)
	}
	if len(a.Numbers) > 0 {
		words += "; " + editionWords(a.Numbers, a.Of) + " next, if it is made now"
	}
	if len(a.Tables) == 0 {
		return words + "; no [folder] table of its own"
	}
	return words + "; " + tableWords(a.Tables)
}

// editionWords names the numbers of an edition: number 4/25, or numbers 4/25, 5/25.
func editionWords(numbers []int, of int) string {
	var all []string
	for _, n := range numbers {
		all = append(all, edition.Text(n, of))
	}
	return plural.Noun(len(all), "number", "numbers") + " " + strings.Join(all, ", ")
}

// tableWords names the [folder] tables that hold, each laid over the one before.
func tableWords(tables []string) string {
	return "settings of [" + strings.Join(tables, "], then [") + "]"
}

// gradeWords is what a plan calls a caution.
var gradeWords = map[caution.Grade]string{caution.ForTheRecord: "for the record", caution.WorthALook: "caution", caution.NeedsYou: "needs you"}

func smallerWords(p *order.Plan) string {
	if !p.Resolution.MadeSmaller {
		return ""
	}
	return fmt.Sprintf(", smaller than %s, which was asked for", p.Size.Name)
}

func colourWords(c order.PlanColour) string {
	words := fmt.Sprintf("%s (%s)", c.Source, c.Basis)
	if c.StatedBy != "" {
		words = c.Source + ", from " + c.StatedBy
	}
	if c.Conversion == "none" {
		return words + ", kept"
	}
	words += fmt.Sprintf(", to %s (%s), %s", c.Output, c.Conversion, c.Intent)
	if c.BlackPoint {
		words += " with black point compensation"
	}
	return words
}

func fitWords(p *order.Plan) string {
	switch {
	case p.Cropping != nil:
		return fmt.Sprintf("filled: cropped to %.0f x %.0f px %s", p.Crop.Width, p.Crop.Height, p.Cropping.Why)
	case p.Fit == string(config.FitFill):
		return "filled by the whole picture"
	}
	if short := max(p.Size.WidthMM-p.Print.WidthMM, p.Size.HeightMM-p.Print.HeightMM); short >= 1 {
		return fmt.Sprintf("the whole picture within it, so it is printed at %.0f x %.0f mm", p.Print.WidthMM, p.Print.HeightMM)
	}
	return "the whole picture within it"
}

// paperLines describes the position on the paper.
func paperLines(p *order.Paper) [][2]string {
	l := p.Layout
	lines := [][2]string{{"paper", fmt.Sprintf("%s, %.1f x %.1f mm; %s", l.Media, l.Sheet.Width, l.Sheet.Height, l.Where())}}
	for _, d := range l.Decisions {
		lines = append(lines, [2]string{"", d.Text})
	}
	if e := p.Estimate.String(); e != "" {
		if p.Pack != nil {
			e += " on its own; packed with others it uses less"
		}
		lines = append(lines, [2]string{"uses", e})
	}
	return lines
}

func scaleWords(s render.Scale) string {
	if s.Kernel == "none" {
		return "1, no pixel changed"
	}
	words := fmt.Sprintf("%.4f x %.4f, kernel %s for lightness and %s for colour, in %s light", s.X, s.Y, s.Kernel, s.ChromaKernel, s.Light)
	if s.Aperture > 0 {
		words += ", corrected for the pixel's aperture"
	}
	if s.Curve > 0 {
		words += fmt.Sprintf(" through a sigmoid of %.2g", s.Curve)
	}
	if s.HaloLimit {
		words += ", halos limited"
	}
	return words
}

func detailWords(r order.Resolution) string {
	if r.DetailPPI == 0 {
		return ""
	}
	words := fmt.Sprintf(", %.1f of it detail", r.DetailPPI)
	if r.CountedLeastPPI != r.NativePPI {
		words += ", which counts as " + r.Counts()
	}
	return words
}

func measuredWords(m *order.Measured) string {
	if m == nil {
		return "nothing, because no print is made"
	}
	words := noiseWords(m)
	if m.Edges == 0 {
		words += ", too few edges to measure blur"
	} else {
		words += fmt.Sprintf(", blur of sigma %.2f px at its sharpest edges", m.Blur)
	}
	switch {
	case m.Plain:
		words += ", hardly any fine detail"
	case m.Resolution > 0:
		words += fmt.Sprintf(", detail for about %.1f megapixels (estimate)", m.EffectiveMP)
	}
	switch {
	case m.Enlarged > 0:
		words += fmt.Sprintf(", looks enlarged %.3g times", m.Enlarged)
	case m.Resolution > 0 && m.Resolution < softEnough && !m.Plain:
		words += "; it may have been enlarged: no trace was found, but saving as JPEG can hide it"
	}
	return words
}

// softEnough is the true resolution below which a file may have been enlarged: no ordinary
// sharp photograph has less.
const softEnough = 0.6

// noiseWords compares the noise with that of light itself, if the ISO is known.
func noiseWords(m *order.Measured) string {
	if m.Noise == 0 {
		return "no noise that can be told from detail"
	}
	words := fmt.Sprintf("noise %.2f %% of the range, %.2f %% in shadows", 100*m.Noise, 100*m.NoiseDark)
	if m.LightNoise == 0 {
		return words
	}
	words += fmt.Sprintf(" (light alone causes %.2f %% at its ISO", 100*m.LightNoise)
	switch times := m.Noise / m.LightNoise; {
	case times < 1:
		words += ": it was denoised or reduced"
	case times > muchNoise:
		words += ": some of it may be texture"
	}
	return words + ")"
}

// muchNoise is a multiple of the noise of light that small sensors do not reach (house judgement).
const muchNoise = 20

func sharpeningWords(s order.Sharpening) string {
	if !s.Applied {
		return "none: " + s.Why
	}
	onPaper := ""
	if s.RadiusMM > 0 {
		onPaper = fmt.Sprintf(" (%.3g mm on paper)", s.RadiusMM)
	}
	return fmt.Sprintf("radius %.3g px%s, amount %.2g, contrast x %.2f at four radii, changes below %.2g of the range halved, none above %.2g: %s",
		s.RadiusPX, onPaper, s.Amount, s.Gain, s.Noise, s.Limit, s.Why)
}

func grainWords(g order.Grain) string {
	if !g.Applied {
		return "none: " + g.Why
	}
	return fmt.Sprintf("%.2g steps of lightness, %.2g mm wide (%.2g px): %s", g.Amount, g.SizeMM, g.SizePX, g.Why)
}
