package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/user"
	"path/filepath"
	"strconv"

	"github.com/spf13/cobra"
	"golang.org/x/sys/unix"

	"sizewright/configs"
	"sizewright/internal/config"
	"sizewright/internal/intake"
	"sizewright/internal/order"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/remedy"
	"sizewright/internal/studio"
	"sizewright/internal/system"
)

// firstFolders are the drop folders of a new studio.
var firstFolders = []string{"A4", "A3", "A2", "24x36in", "40x60in"}

func initCommand() *cobra.Command {
	var group string
	c := &cobra.Command{
		Use:   "init DIR",
		Short: "Lay out a studio: drop folders and a commented sizewright.toml",
		Long: "Lay out a studio: drop folders and a commented sizewright.toml. In a studio that exists it adds what is\n" +
			"missing.\n\n" +
			"With --group the studio is for all of a group, such as people and the service that works for them: its\n" +
			"directories get the group, leave for it to write, and the setgid bit, so that what is made there is the\n" +
			"group's too. Others are kept out. Root may do that, or whoever owns the studio and is in the group.",
		Args: exactly(1),
		RunE: func(c *cobra.Command, args []string) error {
			gid, err := groupID(group)
			if err != nil {
				return usageError{err}
			}
			heedGroup(args[0])
			if err := studio.Init(args[0], configs.SizewrightTOML, firstFolders); err != nil {
				return err
			}
			if err := openToGroup(c.ErrOrStderr(), args[0], gid); err != nil {
				return err
			}
			plaintext.Fprintf(c.OutOrStdout(), "A studio is laid out in %s.\nDrop photographs into %s, then run: sizewright once --studio %s\n",
				args[0], filepath.Join(args[0], "drop", "A2"), args[0])
			return nil
		},
	}
	c.Flags().StringVar(&group, "group", "", "the `group` that the studio is for, by its name or number")
	return c
}

// openToGroup makes a studio a group's, if there is one.
func openToGroup(out io.Writer, dir string, gid int) error {
	if gid == noGroup {
		return nil
	}
	inherits, err := studio.OpenToGroup(dir, gid)
	if err == nil && !inherits {
		fmt.Fprintln(out, "This file system keeps no default ACLs: whoever makes a drop folder with a umask that shuts the group out must let it in with chmod g+rwx.")
	}
	return err
}

const noGroup = -1

// groupID is the number of a group that is given by its name or number, or noGroup for
// none. Names are looked up in /etc/group.
func groupID(group string) (int, error) {
	if group == "" {
		return noGroup, nil
	}
	if n, err := strconv.ParseUint(group, 10, 31); err == nil {
		return int(n), nil
	}
	g, err := user.LookupGroup(group)
	if err != nil {
		return 0, remedy.Errorf("make it with groupadd, or give its number", "--group: there is no group %q in /etc/group", group)
	}
	return strconv.Atoi(g.Gid)
}

// heedGroup has all that this process makes be for the group, where the studio at dir
// is a group's: whoever runs a command must not shut the others out.
func heedGroup(dir string) {
	if mask, ok := studio.GroupMask(dir); ok {
		unix.Umask(mask)
	}
}

// studioFlag adds --studio to a command.
func studioFlag(c *cobra.Command, dir *string, fallback, help string) {
	c.Flags().StringVar(dir, "studio", fallback, help)
	c.MarkFlagDirname("studio")
}

// openStudio opens a studio with its configuration.
func openStudio(dir string) (*studio.Studio, *config.Config, error) {
	heedGroup(dir)
	s, err := studio.Open(dir)
	if err != nil {
		return nil, nil, err
	}
	cfg, err := config.Load(s.ConfigPath())
	return s, cfg, err
}

// warnOfKeys says what a configuration is warned of: keys of earlier versions, and keys
// that do nothing or spoil paper.
func warnOfKeys(warn io.Writer, cfg *config.Config) {
	for _, w := range cfg.Warnings {
		plaintext.Fprintf(warn, "%s\n", w.Warning())
	}
}

// sayWarnings is warnOfKeys for check, to which what does nothing is a mistake; it counts
// the others.
func sayWarnings(out io.Writer, cfg *config.Config, say func(error)) (warnings int) {
	for _, w := range cfg.Warnings {
		if w.Mistake {
			say(w)
			continue
		}
		warnings++
		plaintext.Fprintf(out, "%s\n", w.Warning())
	}
	return warnings
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
	studioFlag(c, &dir, ".", "the studio's `directory`")
	return c
}

func check(out io.Writer, dir string) error {
	heedGroup(dir)
	s, err := studio.Open(dir)
	if err != nil {
		return err
	}
	mistakes := 0
	say := func(err error) { mistakes++; fmt.Fprintln(out, plaintext.Lines(err)) }
	cfg := checkConfig(s, say)
	warnings := sayWarnings(out, cfg, say)
	checkProfiles(s, cfg, say)
	shut, err := s.GroupFaults()
	if err != nil {
		return err
	}
	for _, fault := range shut {
		say(fault)
	}
	folders, odd, err := intake.Folders(s.Drop())
	if err != nil {
		return err
	}
	for _, o := range odd {
		if o.Kind != intake.KindLitter {
			say(errors.New(o.String()))
		}
	}
	for _, f := range folders {
		o, err := order.NewOrder(f, cfg)
		switch {
		case err != nil:
			say(err)
		case o.Unknown != "":
			say(fmt.Errorf("drop folder %q: no stock in sizewright.toml is called %q: %s", f, o.Stock, o.Unknown))
		default:
			sayFolder(out, o)
		}
	}
	sayWeaker(out, system.WeakGuarantees())
	if mistakes > 0 {
		return fmt.Errorf("%d to mend in %s", mistakes, s.Root())
	}
	if warnings > 0 {
		fmt.Fprintf(out, "Nothing that must be mended; %s.\n", plural.Count(warnings, "warning", "warnings"))
		return nil
	}
	fmt.Fprintln(out, "Nothing to mend.")
	return nil
}

// sayFolder says how the prints of a drop folder are made.
func sayFolder(out io.Writer, o order.Order) {
	size, set, label := fmt.Sprintf("%.1f x %.1f mm", o.Size.WidthMM, o.Size.HeightMM), o.Settings, ""
	if o.Size.LongSideOnly {
		size = fmt.Sprintf("long side %.1f mm", o.Size.WidthMM)
	}
	if o.Label {
		label = fmt.Sprintf("; %q is a label alone, since sizewright.toml names no stocks", o.Stock)
	}
	plaintext.Fprintf(out, "%s: %s at %v ppi, %s, %d-bit, %s%s\n", o.Folder, size, set.PPI, set.Fit, set.Bits, set.Compression, label)
}

// sayWeaker says what this system cannot promise. It is nothing that anybody can mend.
func sayWeaker(out io.Writer, sentences []string) {
	for _, s := range sentences {
		fmt.Fprintln(out, "On this system "+s+".")
	}
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
		if _, err := order.OpenProfile(n.Path, s.Root()); err != nil {
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
