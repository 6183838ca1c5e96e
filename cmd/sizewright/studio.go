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
	"sizewright/internal/photo"
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
		Short: "Create a studio: drop folders and a commented sizewright.toml",
		Long: "Create a studio: drop folders and a commented sizewright.toml. In an existing studio it adds what is\n" +
			"missing.\n\n" +
			"With --group, all members of a group share the studio, for example people and the service. Its\n" +
			"directories get the group, write permission for it, and the setgid bit, so that new files belong to the\n" +
			"group too. Others have no access. This needs root, or the studio's owner as a member of the group.",
		Args: exactly(1),
		RunE: func(c *cobra.Command, args []string) error {
			gid, err := groupID(group)
			if err != nil {
				return argumentError{err}
			}
			heedGroup(args[0])
			if err := studio.Init(args[0], configs.SizewrightTOML, firstFolders); err != nil {
				return err
			}
			if err := openToGroup(c.ErrOrStderr(), args[0], gid); err != nil {
				return err
			}
			plaintext.Fprintf(c.OutOrStdout(), "The studio is in %s.\nDrop photographs into %s, then run: sizewright once --studio %s\n",
				args[0], filepath.Join(args[0], "drop", "A2"), args[0])
			return nil
		},
	}
	c.Flags().StringVar(&group, "group", "", "the `group` that shares the studio, by its name or number")
	return c
}

// openToGroup shares a studio with a group, if one is given.
func openToGroup(out io.Writer, dir string, gid int) error {
	if gid == noGroup {
		return nil
	}
	inherits, err := studio.OpenToGroup(dir, gid)
	if err == nil && !inherits {
		fmt.Fprintln(out, "This file system has no default ACLs: if you make a drop folder with a umask that excludes the group, give the group access with chmod g+rwx.")
	}
	return err
}

const noGroup = -1

// groupID returns the number of a group given by name or number, or noGroup for "". Names
// are looked up in /etc/group.
func groupID(group string) (int, error) {
	if group == "" {
		return noGroup, nil
	}
	if n, err := strconv.ParseUint(group, 10, 31); err == nil {
		return int(n), nil
	}
	g, err := user.LookupGroup(group)
	if err != nil {
		return 0, remedy.Errorf("create it with groupadd, or give its number", "--group: there is no group %q in /etc/group", group)
	}
	return strconv.Atoi(g.Gid)
}

// heedGroup sets the umask so that everything this process makes in a group's studio is
// open to the group.
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

// warnOfKeys prints the warnings about a configuration: retired keys, and keys that have no
// effect or waste paper.
func warnOfKeys(warn io.Writer, cfg *config.Config) {
	for _, w := range cfg.Warnings {
		plaintext.Fprintf(warn, "%s\n", w.Warning())
	}
}

// sayWarnings does that for check, which counts a key without effect as a mistake. It
// returns the number of other warnings.
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
		Short: "Read the configuration and the drop folders' names, and list every mistake",
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
	checkFiles(s, cfg, say)
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
	for _, f := range folders {
		for _, o := range f.Left {
			if o.Name == "" || o.Kind == intake.KindDirectory { // a folder that is not looked into
				odd = append(odd, o)
			}
		}
	}
	for _, o := range odd {
		if !o.Ignored() {
			say(errors.New(o.Why()))
		}
	}
	for _, f := range folders {
		o, err := order.NewOrder(f.Path, cfg)
		switch {
		case f.IsShelf():
		case err != nil:
			say(err)
		case o.Unknown != "":
			say(fmt.Errorf("drop folder %q: no stock in sizewright.toml is called %q: %s", f.Path, o.Stock, o.Unknown))
		default:
			sayFolder(out, o)
		}
	}
	sayWeaker(out, system.WeakGuarantees())
	if err := photo.HEIFDecoder(); err != nil {
		fmt.Fprintln(out, plaintext.Lines(err))
	}
	if mistakes > 0 {
		return fmt.Errorf("%s in %s", plural.Count(mistakes, "mistake", "mistakes"), s.Root())
	}
	if warnings > 0 {
		fmt.Fprintf(out, "No mistakes found; %s.\n", plural.Count(warnings, "warning", "warnings"))
		return nil
	}
	fmt.Fprintln(out, "No mistakes found.")
	return nil
}

// sayFolder describes the prints of a drop folder.
func sayFolder(out io.Writer, o order.Order) {
	size, set, label := fmt.Sprintf("%.1f x %.1f mm", o.Size.WidthMM, o.Size.HeightMM), o.Settings, ""
	if o.Size.LongSideOnly {
		size = fmt.Sprintf("long side %.1f mm", o.Size.WidthMM)
	}
	if o.Label {
		label = fmt.Sprintf("; %q is only a label, because sizewright.toml names no stocks", o.Stock)
	}
	if set.Copies > 1 {
		label += fmt.Sprintf("; %d copies", set.Copies)
	}
	if len(o.Tables) > 0 {
		label += "; " + tableWords(o.Tables)
	}
	plaintext.Fprintf(out, "%s: %s at %v ppi, %s, %d-bit, %s%s\n", o.Folder, size, set.PPI, set.Fit, set.Bits, set.Compression, label)
}

// sayWeaker says which guarantees this system cannot give. Nobody can correct that.
func sayWeaker(out io.Writer, sentences []string) {
	for _, s := range sentences {
		fmt.Fprintln(out, "On this system "+s+".")
	}
}

// checkConfig reads the configuration and reports each of its mistakes. The other checks
// then use the defaults.
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

// checkFiles opens every profile and font that the configuration names, and looks for the
// letters of its captions.
func checkFiles(s *studio.Studio, cfg *config.Config, say func(error)) {
	for _, n := range cfg.FilesNamed() {
		if err := checkFile(n, s.Root()); err != nil {
			say(n.Problem(s.ConfigPath(), err.Error()))
		}
	}
}

func checkFile(n config.NamedFile, root string) error {
	if n.Key == config.ProfileKey {
		_, err := order.OpenProfile(n.Path, root)
		return err
	}
	face, err := order.OpenFont(n.Path, root)
	if err != nil {
		return err
	}
	if missing := face.Missing(n.Text); missing != "" {
		return fmt.Errorf("%s has no letters for %s, and boxes would be printed: give another font, or take them out of the caption", face.Name, missing)
	}
	return nil
}

// present returns an error if a picture that was named is not there.
func present(path string) error {
	if _, err := os.Stat(path); err != nil {
		return argumentError{remedy.Errorf("give the path of a picture", "%q cannot be read: %w", path, errors.Unwrap(err))}
	}
	return nil
}
