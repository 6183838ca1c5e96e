// Command sizewright turns photographs dropped into size-named folders into print-ready
// TIFFs, and reports in the morning what it made, what to look at, and what it did not make
// and why.
package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"

	"github.com/spf13/cobra"

	"sizewright/internal/hold"
	"sizewright/internal/isolate"
	"sizewright/internal/plaintext"
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

// usageError marks an error in the command line.
type usageError struct{ error }

// argumentError is a file that is not there, or a size that is none: said in one line, since
// the form of the command line is right.
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
	c.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	c.SetVersionTemplate(version.Long() + "\n")
	c.CompletionOptions.HiddenDefaultCmd = true
	c.AddCommand(initCommand(), onceCommand(), serveCommand(), statusCommand(), planCommand(), ladderCommand(), stripCommand(), gamutCommand(), morningCommand(), checkCommand(), demoCommand(), versionCommand())
	return c
}

// exactly, atMost and atLeast are cobra's argument checks, as usage errors.
func exactly(n int) cobra.PositionalArgs { return asUsage(cobra.ExactArgs(n)) }
func atMost(n int) cobra.PositionalArgs  { return asUsage(cobra.MaximumNArgs(n)) }
func atLeast(n int) cobra.PositionalArgs { return asUsage(cobra.MinimumNArgs(n)) }

func asUsage(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if err := check(c, args); err != nil {
			return usageError{err}
		}
		return nil
	}
}
