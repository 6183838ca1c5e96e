//go:build linux

// Command faults runs the daemon through bad nights, audits the studio after each, and prints
// one line, or with -table a Markdown table. See package faults.
//
//	go run ./scripts/faults [flags] MODE...
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"slices"
	"syscall"

	"sizewright/internal/testkit/faults"
)

func main() {
	var o faults.Options
	flag.StringVar(&o.Dir, "dir", "", "working directory (default: a new one, removed if nothing was found)")
	flag.StringVar(&o.Binary, "binary", "", "the sizewright binary to test (default: built)")
	flag.Uint64Var(&o.Seed, "seed", 1, "what the pictures and their names come from")
	flag.IntVar(&o.Tries, "tries", 0, "number of tries; 0: the mode's default")
	flag.IntVar(&o.Orders, "orders", 0, "number of orders; 0: the mode's default")
	table := flag.Bool("table", false, "print a Markdown table")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: faults [flags] MODE...\nModes:")
		for _, m := range faults.Modes {
			fmt.Fprintf(os.Stderr, "  %-8s %s\n", m.Name, m.Fault)
		}
		flag.PrintDefaults()
	}
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	ok, err := run(ctx, o, flag.Args(), *table)
	if err != nil {
		fmt.Fprintln(os.Stderr, "faults:", err)
	}
	if err != nil || !ok {
		os.Exit(1)
	}
}

// run runs the named modes. Their directory stays if anything was found.
func run(ctx context.Context, o faults.Options, names []string, table bool) (ok bool, err error) {
	modes, err := chosen(names)
	if err != nil {
		return false, err
	}
	if o.Dir == "" {
		if o.Dir, err = os.MkdirTemp("", "faults-"); err != nil {
			return false, err
		}
		defer func() {
			if ok && err == nil {
				err = os.RemoveAll(o.Dir)
			} else {
				fmt.Fprintln(os.Stderr, "faults: the studios and logs are still in", o.Dir)
			}
		}()
	}
	if err := os.Chmod(o.Dir, 0o755); err != nil {
		return false, err
	}
	if o.Binary == "" {
		if o.Binary, err = faults.Build(o.Dir); err != nil {
			return false, err
		}
	}
	ok = true
	var all []*faults.Result
	for _, m := range modes {
		o.Say = func(format string, args ...any) { fmt.Fprintf(os.Stderr, m.Name+": "+format+"\n", args...) }
		r, err := m.Run(ctx, o)
		if err != nil {
			return false, err
		}
		all = append(all, r)
		for _, f := range r.Found {
			ok = false
			o.Say("%s", f)
		}
		for _, note := range r.Notes {
			o.Say("%s", note)
		}
		if !table {
			fmt.Println(r.Line())
		}
	}
	if table {
		faults.Table(os.Stdout, all)
	}
	return ok, nil
}

func chosen(names []string) (modes []faults.Mode, err error) {
	for _, name := range names {
		i := slices.IndexFunc(faults.Modes, func(m faults.Mode) bool { return m.Name == name })
		if i < 0 {
			return nil, fmt.Errorf("%q is not a mode; see -help", name)
		}
		modes = append(modes, faults.Modes[i])
	}
	if len(modes) == 0 {
		return nil, fmt.Errorf("no mode was given; see -help")
	}
	return modes, nil
}
