package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"sizewright/internal/config"
	"sizewright/internal/daemon"
	"sizewright/internal/isolate"
	"sizewright/internal/machines"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/render"
)

func planCommand() *cobra.Command {
	var dir, picture string
	var asJSON bool
	c := &cobra.Command{
		Use:     "plan FILE SIZE",
		Short:   "Say what would be made of a picture at a size, and make nothing",
		Long:    "Say what would be made of a picture at a size, and make nothing.\nThe exit status is 3 if the picture would be held.",
		Example: "  sizewright plan marsh.jpg A2\n  sizewright plan marsh.jpg \"24x36in lustre\" --studio ~/studio --json",
		Args:    exactly(2),
		RunE: func(c *cobra.Command, args []string) error {
			var draw look
			if picture != "" {
				if err := newFile("--picture", picture, ".jpg", ".jpeg"); err != nil {
					return err
				}
				draw = func(d *order.Decision, src *photo.Photo) error { return drawCrop(c.Context(), picture, d, src) }
			}
			d, err := decide(c.Context(), c.ErrOrStderr(), args[0], args[1], dir, draw)
			if err != nil {
				return err
			}
			where, err := whereMade(dir, args[0], d)
			if err != nil {
				return err
			}
			if err := printPlan(c.OutOrStdout(), args[0], d, where, asJSON); err != nil {
				return err
			}
			if d.Hold != nil {
				return errHeld
			}
			return nil
		},
	}
	studioFlag(c, &dir, "", "the `directory` of the studio whose settings to use (default: the built-in settings)")
	c.Flags().BoolVar(&asJSON, "json", false, "print the plan as JSON")
	c.Flags().StringVar(&picture, "picture", "", "draw the whole picture into this new JPEG `file`, with a frame around what is printed and a veil over what is cut")
	return c
}

// look is shown what would be printed, with its pixels.
type look func(*order.Decision, *photo.Photo) error

// drawCrop draws the picture with its crop into a new file.
func drawCrop(ctx context.Context, name string, d *order.Decision, src *photo.Photo) error {
	img, err := render.Uncropped(ctx, d.Plan.Uncropped(d.Order, cropSide), d.Plan.Crop, src, d.Plan.Profiles, runtime.GOMAXPROCS(0))
	if err != nil {
		return err
	}
	return writeWhole(name, func(f *os.File) error { return jpeg.Encode(f, img, &jpeg.Options{Quality: 90}) })
}

// cropSide is the longer side of a drawn crop, in px.
const cropSide = 1600

// decide decides, as the daemon does, what would become of a file in a drop folder of this
// name. show may be nil.
func decide(ctx context.Context, warn io.Writer, file, folder, dir string, show look) (*order.Decision, error) {
	desk, err := deskOf(warn, dir)
	if err != nil {
		return nil, err
	}
	if err := present(file); err != nil {
		return nil, err
	}
	return decideAt(ctx, desk, file, folder, show)
}

func decideAt(ctx context.Context, desk *order.Desk, file, folder string, show look) (*order.Decision, error) {
	o, err := order.NewOrder(folder, desk.Config)
	if err != nil {
		return nil, noSize(err)
	}
	d, err := desk.Foresee(order.Request{Path: file, Name: filepath.Base(file), Order: o})
	if err != nil {
		return nil, err
	}
	src, err := desk.Finish(ctx, d, nil)
	if src == nil {
		return d, err
	}
	defer src.Close()
	if show == nil {
		return d, nil
	}
	return d, show(d, src)
}

// noSize is an order's error where the command line gives the size, and no folder.
func noSize(err error) error {
	return argumentError{errors.New("size " + strings.TrimPrefix(err.Error(), "drop folder "))}
}

// deskOf returns a desk with the settings of a studio, or with the defaults, and with the
// same limits as the daemon. It warns about retired keys.
func deskOf(warn io.Writer, dir string) (*order.Desk, error) {
	cfg, root, err := settingsOf(dir)
	if err != nil {
		return nil, err
	}
	warnOfKeys(warn, cfg)
	return order.NewDesk(cfg, root, memoryForDecoding(os.DirFS("/")), isolate.Open, time.Now), nil
}

// tellCautions prints the cautions about the file itself, for a command that reads its
// pixels and has no plan.
func tellCautions(warn io.Writer, name string, in *photo.Info) {
	for _, c := range in.Cautions {
		plaintext.Fprintf(warn, "sizewright: %s: caution: %s\n", name, c.Text)
	}
}

// settingsOf returns the configuration of a studio, or the defaults without one.
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

// whereMade says where the print would be made, "" if there is no other machine to make it.
func whereMade(dir, file string, d *order.Decision) (string, error) {
	if dir == "" || d.Plan == nil || d.Hold != nil {
		return "", nil
	}
	s, cfg, err := openStudio(dir)
	if err != nil {
		return "", err
	}
	defer s.Close()
	info, err := os.Stat(file)
	if err != nil || cfg.Machines.NATS == "" {
		return "", err
	}
	if len(d.Order.Numbers) > 1 {
		return "on this machine: several numbers of an edition are made together", nil
	}
	at, err := s.AtWork()
	if err != nil {
		return "", err
	}
	var known *machines.Status
	if at != nil {
		st, _ := daemon.ReadStatus(at.Status) // a daemon that has written nothing yet knows nothing
		known = st.Machines
	}
	recipe := d.Plan.Recipe()
	return machines.Where(known, &recipe, float64(d.Info.Width)*float64(d.Info.Height)/1e6, info.Size(), d.Plan.File.MaxBytes), nil
}

// printPlan prints the plan, or the reason for a hold if there is no plan.
func printPlan(out io.Writer, file string, d *order.Decision, where string, asJSON bool) error {
	switch {
	case asJSON && d.Plan == nil:
		return printJSON(out, map[string]any{"refusal": order.Refusal{Hold: *d.Hold}})
	case asJSON:
		return printJSON(out, d.Plan)
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	lines := decisionLines(file, d)
	if where != "" {
		lines = append(lines, [2]string{"made", where})
	}
	for _, l := range lines {
		plaintext.Fprintf(w, "%s\t%s\n", l[0], l[1])
	}
	return w.Flush()
}

// printJSON prints JSON. The escapes of plaintext.Writer would not be valid JSON.
func printJSON(out io.Writer, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := out.Write(plaintext.JSON(b.Bytes()))
	return err
}
