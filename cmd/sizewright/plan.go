package main

import (
	"encoding/json"
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"sizewright/internal/config"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

func planCommand() *cobra.Command {
	var dir string
	var asJSON bool
	c := &cobra.Command{
		Use:     "plan FILE SIZE",
		Short:   "Say what would be made of a picture at a size, and make nothing",
		Long:    "Say what would be made of a picture at a size, and make nothing.\nThe exit status is 3 when the picture would be held.",
		Example: "  sizewright plan marsh.jpg A2\n  sizewright plan marsh.jpg \"24x36in lustre\" --studio ~/studio --json",
		Args:    exactly(2),
		RunE: func(c *cobra.Command, args []string) error {
			p, err := planOf(args[0], args[1], dir)
			if err != nil {
				return err
			}
			if err := printPlan(c.OutOrStdout(), args[0], p, asJSON); err != nil {
				return err
			}
			if p.Refusal != nil {
				return errHeld
			}
			return nil
		},
	}
	studioFlag(c, &dir, "", "a studio whose settings are used; the defaults without one")
	c.Flags().BoolVar(&asJSON, "json", false, "print the plan as JSON")
	return c
}

func planOf(file, folder, dir string) (*render.Plan, error) {
	cfg, root, err := settingsOf(dir)
	if err != nil {
		return nil, err
	}
	o, err := render.NewOrder(folder, cfg)
	if err != nil {
		return nil, usageError{err}
	}
	if err := fileOrUsage(file); err != nil {
		return nil, err
	}
	if o.Output, err = render.NewOutput(o.Settings, root); err != nil {
		return nil, err
	}
	info, err := photo.Identify(file, photo.DefaultLimits())
	if err != nil {
		return nil, err
	}
	return render.NewPlan(info, o), nil
}

// settingsOf is the configuration of a studio, or the defaults without one.
func settingsOf(dir string) (cfg *config.Config, root string, err error) {
	if dir == "" {
		return config.Default(), "", nil
	}
	s, cfg, err := openStudio(dir)
	if err != nil {
		return nil, "", err
	}
	defer s.Close()
	return cfg, s.Root(), nil
}

func printPlan(out io.Writer, file string, p *render.Plan, asJSON bool) error {
	if asJSON {
		return printJSON(out, p)
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, l := range planLines(file, p) {
		fmt.Fprintf(w, "%s\t%s\n", l[0], l[1])
	}
	return w.Flush()
}

func printJSON(out io.Writer, v any) error {
	e := json.NewEncoder(out)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// planLines is the plan for a person.
func planLines(file string, p *render.Plan) [][2]string {
	f := fmt.Sprintf
	lines := [][2]string{
		{"picture", f("%s: %s, %d x %d px, %s, %d-bit, orientation %d", file, p.Picture.Format, p.Picture.Width, p.Picture.Height, p.Picture.Model, p.Picture.Bits, p.Picture.Orientation)},
		{"colour", colourWords(p.Colour)},
		{"size", f("%s, %.1f x %.1f mm, %s", p.Size.Name, p.Size.WidthMM, p.Size.HeightMM, fitWords(p))},
		{"print", f("%d x %d px at %v ppi, %.1f x %.1f mm", p.Print.Width, p.Print.Height, p.Print.PPI, p.Print.WidthMM, p.Print.HeightMM)},
		{"resolution", f("%.1f native ppi; held below %.1f, a caution below %.1f (%s, seen from %.0f mm)", p.Resolution.NativePPI, p.Resolution.MinimumPPI, p.Resolution.CautionPPI, p.Resolution.Basis, p.Resolution.ViewingDistanceMM)},
		{"scale", f("%.4f x %.4f, kernel %s, %s light, halo limit %s", p.Scale.X, p.Scale.Y, p.Scale.Kernel, p.Scale.Light, yes(p.Scale.HaloLimit))},
		{"pre-sharpening", sharpeningWords(p.PreSharpening)},
		{"output sharpening", sharpeningWords(p.OutputSharpening)},
		{"file", f("TIFF, %d-bit, %s, %d rows a strip, at most %.0f MB", p.File.Bits, p.File.Compression, p.File.BandRows, float64(p.File.MaxBytes)/1e6)},
	}
	for _, c := range p.Cautions {
		lines = append(lines, [2]string{"caution", c.Text})
	}
	if p.Refusal != nil {
		lines = append(lines, [2]string{"held", p.Refusal.Text})
	}
	return lines
}

func colourWords(c render.PlanColour) string {
	words := fmt.Sprintf("%s (%s)", c.Source, c.Basis)
	if c.Conversion == "none" {
		return words + ", kept"
	}
	words += fmt.Sprintf(", to %s (%s), %s", c.Output, c.Conversion, c.Intent)
	if c.BlackPoint {
		words += " with black point compensation"
	}
	return words
}

func fitWords(p *render.Plan) string {
	if p.Fit == string(config.FitFill) {
		return fmt.Sprintf("filled: cropped to %.0f x %.0f px at its centre", p.Crop.Width, p.Crop.Height)
	}
	return "the whole picture within it"
}

func sharpeningWords(s render.Sharpening) string {
	if !s.Applied {
		return "none: " + s.Why
	}
	onPaper := ""
	if s.RadiusMM > 0 {
		onPaper = fmt.Sprintf(" (%.3g mm on paper)", s.RadiusMM)
	}
	return fmt.Sprintf("radius %.3g px%s, amount %.2g, limit %.2g: %s", s.RadiusPX, onPaper, s.Amount, s.Limit, s.Why)
}

func yes(b bool) string {
	if b {
		return "on"
	}
	return "off"
}
