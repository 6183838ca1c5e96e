package main

import (
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"sizewright/internal/config"
	"sizewright/internal/daemon"
	"sizewright/internal/plaintext"
	"sizewright/internal/printed"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
	"sizewright/internal/studio"
)

func printedCommand() *cobra.Command {
	var dir string
	var p printedOrders
	c := &cobra.Command{
		Use:   "printed NAME...|--all",
		Short: "Note that prints were put on paper",
		Long: "Note that prints were put on paper. NAME is the name of a picture or of its print, with its folder where\n" +
			"several have it: A2/marsh.tif; or that of a packed run's TIFF, for all prints on it. The note is kept in the print record, and status, report and history tell\n" +
			"it. Moving the TIFF from outbox/ to printed/ notes it too.\n\n" +
			"With --spoiled, note that what came out is not to be used: the print waits to be printed again, under its\n" +
			"own number if it has one. If its TIFF is gone, drop the picture again: it gets that number again.",
		Example: "  sizewright printed marsh.tif --studio ~/studio\n  sizewright printed marsh.jpg --edition 4 --spoiled --studio ~/studio\n  sizewright printed --all --studio ~/studio",
		Args:    cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, names []string) error {
			if (len(names) == 0) != p.all {
				return usageError{errors.New("give the names of prints, or --all")}
			}
			if p.all && p.spoiled {
				return usageError{errors.New("--spoiled is for prints that are named, not for --all")}
			}
			heedGroup(dir)
			s, err := studio.Open(dir)
			if err != nil {
				return err
			}
			defer s.Close()
			return p.note(c, s, names)
		},
	}
	studioFlag(c, &dir, ".", "the studio's `directory`")
	c.Flags().BoolVar(&p.all, "all", false, "all prints that wait to be printed")
	c.Flags().IntVar(&p.number, "edition", 0, "only this `number` of the edition")
	c.Flags().BoolVar(&p.spoiled, "spoiled", false, "what came out is spoiled, and is to be printed again")
	c.Flags().BoolVar(&p.again, "again", false, "also prints that were printed before: they were printed once more")
	return c
}

// printedOrders says which orders are noted, and how.
type printedOrders struct {
	all, spoiled, again bool
	number              int // of the edition; 0 for all
}

// note marks the orders of all names, or none of them where one name cannot be told.
func (p *printedOrders) note(c *cobra.Command, s *studio.Studio, names []string) error {
	made, err := record.Reader{Root: s.Root()}.Made(c.Context())
	if err != nil {
		return err
	}
	var chosen []record.Entry
	if p.all {
		chosen = made
	}
	var runs []printed.Copy
	for _, name := range names {
		if run := printed.InRun(made, path.Base(name)); len(run) > 0 {
			runs = append(runs, run...)
			continue
		}
		found, err := printed.Named(made, inOutbox(s, name))
		if err != nil {
			return argumentError{err}
		}
		chosen = append(chosen, found...)
	}
	if chosen, err = p.numbered(chosen); err != nil {
		return err
	}
	noted := 0
	for _, e := range chosen {
		runs = append(runs, printed.Copy{Entry: e, Number: p.number})
	}
	for _, one := range runs {
		p, e := *p, one.Entry
		p.number = one.Number
		said, err := p.mark(s, e)
		if err != nil {
			return err
		}
		if said != "" {
			noted++
			plaintext.Fprintf(c.OutOrStdout(), "%s: %s\n", printName(e, p.number), said)
		}
	}
	if noted == 0 {
		sayNothingNoted(c, chosen)
		return nil
	}
	cfg, err := config.Load(s.ConfigPath())
	if err == nil {
		err = daemon.Index(c.Context(), s, cfg, time.Local)
	}
	if err != nil {
		plaintext.Fprintf(c.ErrOrStderr(), "The page across nights does not say so until the next report: %v\n", err)
	}
	return nil
}

// numbered keeps of the orders those that have the number. What is spoiled must be told
// apart from what is not.
func (p *printedOrders) numbered(chosen []record.Entry) ([]record.Entry, error) {
	if p.number != 0 {
		chosen = slices.DeleteFunc(slices.Clone(chosen), func(e record.Entry) bool { return !slices.Contains(e.Record.EditionNumbers(), p.number) })
		if len(chosen) == 0 {
			return nil, argumentError{fmt.Errorf("none of these prints has the number %d of its edition", p.number)}
		}
		return chosen, nil
	}
	var all []int
	for _, e := range chosen {
		all = append(all, e.Record.EditionNumbers()...)
	}
	slices.Sort(all)
	if all = slices.Compact(all); p.spoiled && len(all) > 1 {
		return nil, argumentError{remedy.Errorf("say which with --edition", "there are the numbers %s", strings.Trim(fmt.Sprint(all), "[]"))}
	}
	if p.spoiled && len(all) == 1 {
		p.number = all[0]
	}
	return chosen, nil
}

// sayNothingNoted says of each print when it was printed.
func sayNothingNoted(c *cobra.Command, chosen []record.Entry) {
	for _, e := range chosen {
		if at := e.Record.PrintedAt(); !at.IsZero() {
			plaintext.Fprintf(c.OutOrStdout(), "%s: was printed on %s already; if it was printed once more, add --again\n", printName(e, 0), at.Format("2006-01-02 15:04"))
			return
		}
	}
	fmt.Fprintln(c.OutOrStdout(), "Nothing waits to be printed.")
}

// mark notes one order, and returns what was noted, "" for nothing.
func (p *printedOrders) mark(s *studio.Studio, e record.Entry) (said string, err error) {
	now, gone := time.Now().Truncate(time.Second), p.spoiled && printed.Gone(s, e, p.number)
	err = printed.Mark(s, e, func(r *record.Record) []record.Mark {
		waits := r.OnPaper() == record.ToPrint && (p.number == 0 || slices.Contains(r.ToPrint(), p.number))
		switch {
		case r.OnPaper() == record.NotAsked:
			return nil
		case p.spoiled:
			said = "spoiled; it waits to be printed again"
		case waits:
			said = "printed"
		case p.again && !p.all:
			said = "printed again"
		default:
			return nil
		}
		return []record.Mark{{At: now, Spoiled: p.spoiled, Number: p.number, Free: gone && p.number != 0}}
	})
	if err != nil || said == "" || !gone {
		return said, err
	}
	said = fmt.Sprintf("spoiled, and its TIFF is gone: drop %s into drop/%s again, and it is made again", e.Record.Source.Original, e.Record.Order.Folder)
	if p.number != 0 {
		err = printed.Free(s, e, p.number, now)
	}
	return said, err
}

// printName is the folder and file of a print, or of the one with a number of its edition.
func printName(e record.Entry, number int) string {
	file := e.Record.Print.File
	for _, t := range e.Record.Print.TIFFs() {
		if t.Number == number {
			file = t.File
		}
	}
	return strings.TrimPrefix(e.Beside(file), "outbox/")
}

// inOutbox makes a path to a file in the studio's outbox a name in it. Any other name stays
// as it is.
func inOutbox(s *studio.Studio, name string) string {
	abs, err := filepath.Abs(name)
	if err != nil {
		return name
	}
	if rel, err := filepath.Rel(s.Outbox(), abs); err == nil && filepath.IsLocal(rel) {
		return filepath.ToSlash(rel)
	}
	return name
}
