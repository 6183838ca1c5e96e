package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"sizewright/configs"
	"sizewright/internal/config"
	"sizewright/internal/intake"
	"sizewright/internal/plaintext"
	"sizewright/internal/render"
	"sizewright/internal/studio"
)

// firstFolders are the drop folders of a new studio.
var firstFolders = []string{"A4", "A3", "A2", "24x36in", "40x60in"}

func initCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "init DIR",
		Short: "Lay out a studio: drop folders and a commented sizewright.toml",
		Args:  exactly(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := studio.Init(args[0], configs.SizewrightTOML, firstFolders); err != nil {
				return err
			}
			plaintext.Fprintf(c.OutOrStdout(), "A studio is laid out in %s.\nDrop photographs into %s, then run: sizewright once --studio %s\n",
				args[0], filepath.Join(args[0], "drop", "A2"), args[0])
			return nil
		},
	}
}

// studioFlag adds --studio to a command.
func studioFlag(c *cobra.Command, dir *string, fallback, help string) {
	c.Flags().StringVar(dir, "studio", fallback, help)
}

// openStudio opens a studio with its configuration.
func openStudio(dir string) (*studio.Studio, *config.Config, error) {
	s, err := studio.Open(dir)
	if err != nil {
		return nil, nil, err
	}
	cfg, err := config.Load(s.ConfigPath())
	return s, cfg, err
}

func checkCommand() *cobra.Command {
	var dir string
	c := &cobra.Command{
		Use:   "check",
		Short: "Read the configuration and the drop folders' names, and say every mistake",
		Args:  exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			return check(c.OutOrStdout(), dir)
		},
	}
	studioFlag(c, &dir, ".", "the studio's directory")
	return c
}

func check(out io.Writer, dir string) error {
	s, err := studio.Open(dir)
	if err != nil {
		return err
	}
	mistakes := 0
	say := func(err error) { mistakes++; fmt.Fprintln(out, plaintext.Lines(err)) }
	cfg := checkConfig(s, say)
	checkProfiles(s, cfg, say)
	folders, odd, err := intake.Folders(s.Drop())
	if err != nil {
		return err
	}
	for _, o := range odd {
		if o.Kind != intake.KindLitter {
			say(errors.New(o.Text))
		}
	}
	for _, f := range folders {
		o, err := render.NewOrder(f, cfg)
		switch {
		case err != nil:
			say(err)
		case cfg.DoubtsStock(o.Stock):
			say(fmt.Errorf("drop folder %q: sizewright.toml has no [stock.%q]; it has %v", f, o.Stock, cfg.Stocks()))
		default:
			size, set := o.Size, o.Settings
			plaintext.Fprintf(out, "%s: %.1f x %.1f mm at %v ppi, %s, %d-bit, %s\n", f, size.WidthMM, size.HeightMM, set.PPI, set.Fit, set.Bits, set.Compression)
		}
	}
	if mistakes > 0 {
		return fmt.Errorf("%d to mend in %s", mistakes, s.Root())
	}
	fmt.Fprintln(out, "Nothing to mend.")
	return nil
}

// checkConfig reads the configuration and says each of its mistakes; the defaults are
// what the rest is then checked with.
func checkConfig(s *studio.Studio, say func(error)) *config.Config {
	cfg, err := config.Load(s.ConfigPath())
	if err == nil {
		return cfg
	}
	var all config.Problems
	if !errors.As(err, &all) {
		say(err)
	}
	for _, p := range all {
		say(p)
	}
	return config.Default()
}

// checkProfiles opens every profile the configuration names.
func checkProfiles(s *studio.Studio, cfg *config.Config, say func(error)) {
	for _, n := range cfg.ProfilesNamed() {
		if _, err := render.OpenProfile(n.Path, s.Root()); err != nil {
			say(n.Problem(s.ConfigPath(), err.Error()))
		}
	}
}

// fileOrUsage refuses an argument that is not there to be read.
func fileOrUsage(path string) error {
	if _, err := os.Stat(path); err != nil {
		return usageError{fmt.Errorf("%s cannot be read: %w", path, err)}
	}
	return nil
}
