package main

import (
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"

	"github.com/spf13/cobra"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"

	"sizewright/internal/daemon"
	"sizewright/internal/isolate"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/record"
)

func onceCommand() *cobra.Command {
	var dir, notify string
	var asJSON bool
	c := &cobra.Command{
		Use:   "once",
		Short: "Make what waits in the drop folders, then stop",
		Long: "Make what waits in the drop folders, then stop.\n\n" +
			"Exit status: 0 everything was made, 3 something was held or not made, 1 a fault, 2 a wrong command line.",
		Args: exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			return once(c, dir, notify, asJSON)
		},
	}
	studioFlag(c, &dir, ".", "the studio's `directory`")
	notifyFlag(c, &notify)
	c.Flags().BoolVar(&asJSON, "json", false, "print the morning report's JSON")
	return c
}

func once(c *cobra.Command, dir, notify string, asJSON bool) error {
	opts, err := options(dir)
	if err != nil {
		return err
	}
	if opts.Notify, err = notifyProgram(notify, opts.Studio.Root()); err != nil {
		return err
	}
	ctx, stop := untilTold(c.Context())
	defer stop()
	result, err := daemon.Once(ctx, opts)
	if err != nil {
		return err
	}
	if err := tellNight(c.OutOrStdout(), result, opts.Studio.Root(), asJSON); err != nil {
		return err
	}
	return verdict(&result.Night.Night)
}

// options opens a studio for work, with a progress line on a terminal and log lines
// elsewhere.
func options(dir string) (daemon.Options, error) {
	s, cfg, err := openStudio(dir)
	if err != nil {
		return daemon.Options{}, err
	}
	o := daemon.Options{Studio: s, Config: cfg, Decode: isolate.In(s.Temp()), Memory: memoryForDecoding(os.DirFS("/"))}
	if p := newTerminal(os.Stderr); p != nil {
		warnOfKeys(os.Stderr, cfg) // without a terminal the log has them
		o.Progress = p
		return o, nil
	}
	o.Log = newLog()
	return o, nil
}

// serveOptions are for serve: lines for people on a terminal, a JSON log elsewhere.
func serveOptions() (daemon.Progress, *zap.Logger) {
	t := newTerminal(os.Stderr)
	if t == nil {
		return nil, newLog()
	}
	return t, zap.New(terminalLog{zapcore.InfoLevel, t})
}

// newLog writes one line of JSON for each event. It writes only to standard error; the
// program that stores the log, such as journald, limits its size.
func newLog() *zap.Logger {
	c := zap.NewProductionEncoderConfig()
	c.EncodeTime = isoTime
	c.EncodeDuration = zapcore.StringDurationEncoder // 1m0s, with its unit
	return logBy(zapcore.NewJSONEncoder(c))
}

// logBy logs to standard error, one line for each event, and drops none. The encoder writes
// fields as JSON, on a terminal too.
func logBy(e zapcore.Encoder) *zap.Logger {
	return zap.New(zapcore.NewCore(e, zapcore.Lock(zapcore.AddSync(plaintext.JSONWriter(os.Stderr))), zap.InfoLevel))
}

// tellNight prints the result of a run.
func tellNight(out io.Writer, r *daemon.Result, root string, asJSON bool) error {
	if asJSON {
		data, err := r.Night.JSON()
		if err != nil {
			return err
		}
		_, err = out.Write(data)
		return err
	}
	for _, l := range r.Night.Left {
		if l.Undone() {
			plaintext.Fprintf(out, "Not made: %s\n", l.Why())
		}
	}
	fmt.Fprintln(out, r.Night.Sentence())
	plaintext.Fprintf(out, "Morning report: %s\n", filepath.Join(root, filepath.FromSlash(r.Page)))
	return nil
}

func verdict(n *record.Night) error {
	switch c := n.Counts(); {
	case c.Faults > 0:
		return fmt.Errorf("%s could not be made now and went back to %s",
			plural.Count(c.Faults, "order", "orders"), plural.Noun(c.Faults, "its drop folder", "their drop folders"))
	case c.Held > 0 || n.Unmade() > 0:
		return errHeld
	}
	return nil
}

func serveCommand() *cobra.Command {
	var dir, notify string
	c := &cobra.Command{
		Use:   "serve",
		Short: "Make everything that is dropped, until stopped",
		Long: "Make everything that is dropped, until stopped.\n\n" +
			"SIGHUP reads sizewright.toml again; a file with mistakes is not used. SIGTERM and SIGINT stop: orders\n" +
			"in hand go back to their drop folders. A second signal ends the process at once; orders in hand then go\n" +
			"back at the next start. The log is one JSON object a line, and on a terminal plain text.",
		Args: exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			s, cfg, err := openStudio(dir)
			if err != nil {
				return err
			}
			if notify, err = notifyProgram(notify, s.Root()); err != nil {
				return err
			}
			progress, log := serveOptions()
			defer log.Sync()
			keepWithinMemory()
			reload := make(chan os.Signal, 1)
			signal.Notify(reload, syscall.SIGHUP)
			ctx, stop := untilTold(c.Context())
			defer stop()
			return daemon.Serve(ctx, daemon.Options{Studio: s, Config: cfg, Log: log, Progress: progress, Decode: isolate.In(s.Temp()), Memory: memoryForDecoding(os.DirFS("/")), Reload: reload, Notify: notify})
		},
	}
	studioFlag(c, &dir, ".", "the studio's `directory`")
	notifyFlag(c, &notify)
	return c
}
