package main

import (
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"

	"sizewright/configs"
	"sizewright/internal/daemon"
	"sizewright/internal/demo"
	"sizewright/internal/studio"
)

// demoSettle is short because nothing else writes into the demo's studio.
const demoSettle = 200 * time.Millisecond

func demoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Make a studio with generated pictures, print them, and say where the report is",
		Args:  atMost(1),
		RunE: func(c *cobra.Command, args []string) error {
			dir := "demo-studio"
			if len(args) == 1 {
				dir = args[0]
			}
			return runDemo(c, dir)
		},
	}
}

func runDemo(c *cobra.Command, dir string) error {
	heedGroup(dir)
	if err := studio.Init(dir, configs.SizewrightTOML, firstFolders); err != nil {
		return err
	}
	opts, err := options(dir)
	if err != nil {
		return err
	}
	free, err := opts.Studio.Lock() // check before painting for a minute
	if err != nil {
		return err
	}
	free()
	say := func(done, total int, name string) {
		fmt.Fprintf(os.Stderr, "picture %d of %d: %s\n", done, total, name)
	}
	ctx, stop := untilTold(c.Context())
	defer stop()
	if err := demo.Fill(ctx, opts.Studio.Drop(), demo.Pictures(), say); err != nil {
		return err
	}
	opts.Config.Settle = demoSettle
	result, err := daemon.Once(ctx, opts)
	if err != nil {
		return err
	}
	return tellNight(c.OutOrStdout(), result, opts.Studio.Root(), false)
}
