// Command sizewright turns photographs dropped into size-named folders into print-ready
// TIFFs, and reports in the morning what it made, what to look at, and what it did not make
// and why.
package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"sizewright/internal/hold"
	"sizewright/internal/isolate"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/version"
)

// The exit codes.
const (
	exitOK    = 0 // everything was made
	exitFault = 1 // a fault that is not the picture's
	exitUsage = 2 // the command line is not understood
	exitHeld  = 3 // something was held or not made
)

// errHeld ends a command with exitHeld and no further message.
var errHeld = errors.New("held")

// usageError is a command line whose form is wrong: the usage is printed with it.
type usageError struct{ error }

// argumentError is a file that is not there, or a value that is none: said in one line with
// what to write instead, since the form of the command line is right.
type argumentError struct{ error }

func main() {
	if isolate.Main() {
		return
	}
	os.Exit(run())
}

// heapSlack is by how many per cent the heap may grow before it is collected. Nearly all
// of it is a few decoded pictures and bands, which are quick to scan and expensive to keep
// twice.
const heapSlack = 25

func run() int {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(heapSlack)
	}
	all := root()
	// Names in any output must not control the terminal.
	all.SetOut(plaintext.Writer(os.Stdout))
	all.SetErr(plaintext.Writer(os.Stderr))
	cmd, err := all.ExecuteC()
	var usage usageError
	var argument argumentError
	var no *hold.Hold
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errHeld):
		return exitHeld
	case errors.As(err, &usage):
		fmt.Fprintf(os.Stderr, "sizewright: %s\n\n%s", plaintext.Lines(err), cmd.UsageString())
		return exitUsage
	case errors.As(err, &argument):
		fmt.Fprintln(os.Stderr, "sizewright:", plaintext.Lines(err))
		return exitUsage
	case errors.As(err, &no):
		fmt.Fprintln(os.Stderr, "sizewright:", plaintext.Lines(err))
		return exitHeld
	}
	fmt.Fprintln(os.Stderr, "sizewright:", plaintext.Lines(err))
	return exitFault
}

func root() *cobra.Command {
	c := &cobra.Command{
		Use:   "sizewright",
		Short: "Photographs in size-named folders become print-ready TIFFs overnight",
		Long: "Photographs in size-named folders become print-ready TIFFs overnight.\n\n" +
			"A studio is one directory. A photograph dropped into drop/A2 becomes a print of that size in\n" +
			"outbox/A2: a TIFF at the printer's own resolution, sharpened for its paper. A file that is not good enough for\n" +
			"its size is held with the reason. A morning report lists everything that was made and held.\n\n" +
			"\"sizewright init DIR\" creates a studio, \"sizewright once --studio DIR\" makes what waits in it,\n" +
			"and \"sizewright serve --studio DIR\" makes everything that is dropped until it is stopped.",
		Version:       version.Version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("there is no command %q", args[0])}
			}
			return usageError{errors.New("no command was given")}
		},
	}
	c.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return flagError(err) })
	c.SetVersionTemplate(version.Long() + "\n")
	c.CompletionOptions.HiddenDefaultCmd = true
	c.AddCommand(initCommand(), onceCommand(), serveCommand(), statusCommand(), planCommand(), ladderCommand(), stripCommand(), gamutCommand(), morningCommand(), printedCommand(), tidyCommand(), checkCommand(), workerCommand(), demoCommand(), versionCommand())
	return c
}

// flagError is what was wrong with a flag. Only switches refuse a value.
func flagError(err error) error {
	if rest, bad := strings.CutPrefix(err.Error(), "invalid argument "); bad {
		value, flag, _ := strings.Cut(strings.TrimSuffix(strings.SplitN(rest, " flag: ", 2)[0], `"`), ` for "`)
		return argumentError{fmt.Errorf("%s: give it alone or as %s=false, not with %s", flag, flag, value)}
	}
	return usageError{err}
}

// exactly, atMost and atLeast check how many arguments were given.
func exactly(n int) cobra.PositionalArgs { return arguments(n, n, n, "") }
func atMost(n int) cobra.PositionalArgs  { return arguments(n, 0, n, "at most ") }
func atLeast(n int) cobra.PositionalArgs { return arguments(n, n, math.MaxInt, "at least ") }

func arguments(limit, least, most int, bound string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if n := len(args); n < least || n > most {
			return usageError{fmt.Errorf("%s takes %s%s, and %d %s given", c.Name(), bound,
				plural.Count(limit, "argument", "arguments"), n, plural.Noun(n, "was", "were"))}
		}
		return nil
	}
}
