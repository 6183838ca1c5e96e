package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"sizewright/internal/ladder"
	"sizewright/internal/plaintext"
	"sizewright/internal/vision"
)

func printLadder(out io.Writer, l *ladder.Ladder) error {
	plaintext.Fprintf(out, "%s: %d x %d px, %s\n", l.Picture, l.WidthPX, l.HeightPX, l.Holds)
	if r := l.Regions; r != nil && r.Count > r.Blank {
		plaintext.Fprintf(out, "From place to place its detail is as fine as %s of the pixel grid in the softest tenth, %s in the middle and %s in the sharpest tenth.\n",
			ladder.Percent(r.Softest), ladder.Percent(r.Median), ladder.Percent(r.Sharpest))
	}
	fmt.Fprintln(out)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\t\tfile's\t\tfine detail seen\tcoming\tfrom\t\tsame view as\t")
	plaintext.Fprintf(w, "size\tprint mm\tppi\tscale\tstanding back\tnearer\t25 cm\tverdict\t%s from\t\n", l.Reference)
	for _, r := range l.Rungs {
		plaintext.Fprintf(w, "%s\t%.0f x %.0f\t%.0f\t%.2f\t%s at %s\t%s\t%s\t%s\t%s\t\n", r.Name, r.WidthMM, r.HeightMM, r.NativePPI, r.Scale,
			ladder.Percent(r.Usual.Detail), vision.FormatDistance(r.Usual.DistanceMM), nearer(r), ladder.Percent(r.Near.Detail), r.Verdict.Words(), sameView(r))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(out)
	for _, r := range l.Rungs {
		plaintext.Fprintf(out, "%s: %s\n", r.Name, r.Sentence)
	}
	plaintext.Fprintf(out, "\n%s\n", l.Verdict)
	if limits := anySize(l); limits != "" {
		plaintext.Fprintf(out, "%s\n", limits)
	}
	_, err := plaintext.Fprintf(out, "%s\n", l.Basis)
	return err
}

// nearer says what is seen from nearer, if a print is also judged from there.
func nearer(r ladder.Rung) string {
	if r.Look.DistanceMM == r.Usual.DistanceMM {
		return "-" // a distance was given, or it is as near as an eye focuses
	}
	return fmt.Sprintf("%s at %s", ladder.Percent(r.Look.Detail), vision.FormatDistance(r.Look.DistanceMM))
}

// sameView returns the distance, if an eye can focus there.
func sameView(r ladder.Rung) string {
	if r.SameViewMM < vision.NearPointMM {
		return "under " + vision.FormatDistance(vision.NearPointMM)
	}
	return vision.FormatDistance(r.SameViewMM)
}

// anySize gives the limits that do not depend on the listed sizes, if there are any.
func anySize(l *ladder.Ladder) string {
	var limits []string
	if n := l.Needs; n.WidthMM > 0 {
		limits = append(limits, fmt.Sprintf("%s of its fine detail is visible from %.0f x %.0f mm on", ladder.Percent(l.Share), n.WidthMM, n.HeightMM))
	}
	if c := l.Carries; c.WidthMM > 0 {
		limits = append(limits, fmt.Sprintf("the file carries it up to %.0f x %.0f mm", c.WidthMM, c.HeightMM))
	}
	if len(limits) == 0 {
		return ""
	}
	return "At any size: " + strings.Join(limits, ", and ") + "."
}

func printRanking(out io.Writer, all []*ladder.Ladder) error {
	if len(all) == 0 {
		return nil
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "size gives\tpicture\tpixels\tdetail for\tneeds at least\tcarries up to\t")
	for _, l := range all {
		plaintext.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t\n", ladder.Percent(l.Gain), l.Picture, ladder.Megapixels(l.Pixels), detailFor(l), cmp.Or(l.Needs.Rung, "more"), cmp.Or(l.Carries.Rung, "none"))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	_, err := plaintext.Fprintf(out, "\n%s\n", all[0].Basis)
	return err
}

func detailFor(l *ladder.Ladder) string {
	switch {
	case l.Unmeasured:
		return "not known"
	case l.Plain:
		return "hardly any"
	}
	return ladder.Megapixels(l.Effective)
}
