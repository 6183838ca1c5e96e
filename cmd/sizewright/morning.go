package main

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"sizewright/internal/config"
	"sizewright/internal/daemon"
	"sizewright/internal/isolate"
	"sizewright/internal/order"
	"sizewright/internal/plaintext"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

func morningCommand() *cobra.Command {
	var dir, since, picture string
	c := &cobra.Command{
		Use:   "morning",
		Short: "Write the morning reports again, from the records",
		Long: "Write the morning reports and the page across nights again, from the records. Faults and files that\n" +
			"were left alone are only in the report of the night itself and not here. With --picture, say what\n" +
			"was made of one picture, and when.",
		Example: "  sizewright morning --studio ~/studio --since 2026-03-01\n  sizewright morning --studio ~/studio --picture marsh.jpg",
		Args:    exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			s, cfg, err := openStudio(dir)
			if err != nil {
				return err
			}
			defer s.Close()
			warnOfKeys(c.ErrOrStderr(), cfg)
			if since != "" {
				if _, err := time.Parse(time.DateOnly, since); err != nil {
					return argumentError{fmt.Errorf("--since: give a date such as 2026-03-14, not %q", since)}
				}
			}
			if picture != "" {
				return tellHistory(c, s.Root(), picture)
			}
			return rebuild(c, s, cfg, since)
		},
	}
	studioFlag(c, &dir, ".", "the studio's `directory`")
	c.Flags().StringVar(&since, "since", "", "the first morning, as a `date` such as 2026-03-14 (default: all)")
	c.Flags().StringVar(&picture, "picture", "", "a `picture`, by its file name as dropped, by the name of its print, or by the first digits of its SHA-256")
	return c
}

// rebuild writes the reports again. It prints each as it is written, and each file that does
// not count as a record.
func rebuild(c *cobra.Command, s *studio.Studio, cfg *config.Config, since string) error {
	pages := 0
	wrote := func(page string) {
		pages++
		plaintext.Fprintf(c.OutOrStdout(), "%s\n", filepath.Join(s.Root(), filepath.FromSlash(page)))
	}
	passed := func(path string, why error) {
		plaintext.Fprintf(c.ErrOrStderr(), "%s does not count as a print record: %v\n", path, why)
	}
	if err := daemon.Rebuild(c.Context(), s, order.NewDesk(cfg, s.Root(), memoryForDecoding(os.DirFS("/")), isolate.Open, time.Now), since, time.Local, wrote, passed); err != nil {
		return err
	}
	if pages == 0 {
		fmt.Fprintln(c.OutOrStdout(), "There are no records, so there is no report to write.")
	}
	return nil
}

// tellHistory prints a line for everything that was made of a picture or held.
func tellHistory(c *cobra.Command, root, picture string) error {
	entries, err := record.Reader{Root: root}.History(c.Context(), picture)
	if err != nil {
		return err
	}
	for _, e := range entries {
		r := e.Record
		what := string(r.Status)
		switch {
		case r.RepeatOf != "":
			what = "made before"
		case r.Print != nil:
			what += ": " + r.Print.File
		default:
			what += ": " + r.Why()
		}
		if on := r.OnPaper(); on == record.Printed || on == record.Reprinted {
			what += fmt.Sprintf("; %s on %s", on.Words(), r.PrintedAt().Format("2006-01-02 15:04"))
		} else if on == record.ToPrint {
			what += "; " + on.Words()
		}
		plaintext.Fprintf(c.OutOrStdout(), "%s  %s  %s  %s\n", r.Times.Finished.Format("2006-01-02 15:04"), r.Order.Folder, r.Source.Name, what)
	}
	if len(entries) == 0 {
		return fmt.Errorf("nothing was made of %q here: give its name when it was dropped, the name of its print, or at least 8 digits of its SHA-256", picture)
	}
	return nil
}
