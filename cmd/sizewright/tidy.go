package main

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"sizewright/internal/config"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/printed"
	"sizewright/internal/studio"
)

func tidyCommand() *cobra.Command {
	var dir, keep string
	var dry bool
	c := &cobra.Command{
		Use:   "tidy",
		Short: "Remove the TIFFs of prints that were printed",
		Long: "Remove the TIFFs of prints that were printed longer ago than \"keep\" in sizewright.toml says. Only what\n" +
			"\"printed\" noted, or what was moved to printed/, is removed, and only if the original is there to make\n" +
			"it again; the record then says so. Originals, records and previews stay. The daemon does the same each hour.",
		Example: "  sizewright tidy --dry-run --keep \"30 days\" --studio ~/studio",
		Args:    exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			s, cfg, err := openStudio(dir)
			if err != nil {
				return err
			}
			defer s.Close()
			warnOfKeys(c.ErrOrStderr(), cfg)
			days, given := cfg.Keep, cfg.Keep > 0
			if c.Flags().Changed("keep") {
				if days, given = config.ParseDays(keep); !given && keep != "0" {
					return argumentError{fmt.Errorf("--keep: give a number of days such as \"30 days\", or 0, not %q", keep)}
				}
				given = true
			}
			return tidy(c, s, days, given, dry)
		},
	}
	studioFlag(c, &dir, ".", "the studio's `directory`")
	c.Flags().StringVar(&keep, "keep", "", "how long prints stay once they are printed, as `days` such as \"30 days\"; 0 removes all of them (default: keep in sizewright.toml)")
	c.Flags().BoolVar(&dry, "dry-run", false, "say what would be removed, and remove nothing")
	return c
}

func tidy(c *cobra.Command, s *studio.Studio, days int, given, dry bool) error {
	out, now := c.OutOrStdout(), time.Now()
	all, done, err := printed.Look(c.Context(), s)
	if err != nil {
		return err
	}
	if !given {
		sayPrinted(out, all.Printed)
		return nil
	}
	var gone printed.Amount
	stays := 0
	for _, d := range printed.Older(done, now, days) {
		what := "would be removed"
		if !dry {
			what = "removed"
			if err := printed.Remove(c.Context(), s, d, now.Truncate(time.Second)); err != nil {
				stays++
				plaintext.Fprintf(out, "%v\n", err)
				continue
			}
		}
		gone.Add(d.Bytes)
		plaintext.Fprintf(out, "%s: %s; it was printed on %s\n", d.File, what, d.Printed.Format(time.DateOnly))
	}
	plaintext.Fprintf(out, "%s, %s %s.\n", plural.Count(gone.Files, "TIFF", "TIFFs"), printed.Megabytes(gone.Bytes), map[bool]string{true: "would be freed", false: "freed"}[dry])
	if stays > 0 {
		return errors.New(plural.Count(stays, "TIFF stays", "TIFFs stay"))
	}
	return nil
}

// sayPrinted says what could be removed, where nothing says how long prints are to stay.
func sayPrinted(out io.Writer, a printed.Amount) {
	if a.Files == 0 {
		fmt.Fprintln(out, "No TIFF here is of a print that was printed.")
		return
	}
	fmt.Fprintf(out, "%s here %s printed, and %s %s. Nothing was removed: set keep in sizewright.toml, or give --keep.\n",
		plural.Count(a.Files, "TIFF", "TIFFs"), plural.Noun(a.Files, "was", "were"), plural.Noun(a.Files, "takes", "take"), printed.Megabytes(a.Bytes))
}
