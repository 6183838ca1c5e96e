package main

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"sizewright/internal/machines"
	"sizewright/internal/remedy"
)

func workerCommand() *cobra.Command {
	w := machines.Worker{}
	c := &cobra.Command{
		Use:   "worker",
		Short: "Make prints for the studios of other machines",
		Long: "Make prints for the studios of other machines, until stopped.\n\n" +
			"A studio whose sizewright.toml names the same NATS server under [machines] sends recipes and pictures;\n" +
			"the worker sends back what it made of them. It needs no studio and no configuration, and must be of the\n" +
			"studio's version. It keeps pictures on its disk while it works on them. The studio makes three strips of\n" +
			"each print again, and gives a worker no more whose strips differ.\n\n" +
			"SIGTERM and SIGINT stop it: what it has in hand is made by others.",
		Args: exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			if !strings.HasPrefix(w.Server.URL, "nats://") && !strings.HasPrefix(w.Server.URL, "tls://") {
				return argumentError{remedy.Errorf("give the server's address, such as --nats tls://host:4222", "--nats %q", w.Server.URL)}
			}
			if w.Prints < 1 || w.Prints > 64 {
				return argumentError{remedy.Errorf("give 1 to 64", "--prints %d", w.Prints)}
			}
			if err := worksHere(&w); err != nil {
				return err
			}
			keepWithinMemory()
			w.Memory = memoryForDecoding(os.DirFS("/")) / int64(w.Prints)
			w.Log = newLog()
			defer w.Log.Sync()
			ctx, stop := untilTold(c.Context())
			defer stop()
			return w.Run(ctx)
		},
	}
	f := c.Flags()
	f.StringVar(&w.Server.URL, "nats", "", "the NATS server's `address`, such as tls://host:4222")
	f.StringVar(&w.Server.Credentials, "credentials", "", "the `file` with credentials for that server")
	f.StringVar(&w.Server.CA, "ca", "", "the `file` with the certificates that sign the server's; without it those of the system")
	f.IntVar(&w.Prints, "prints", 1, "how many prints are made at a time")
	f.IntVar(&w.Cores, "cores", 0, "how many cores make a print; 0 shares all of them out")
	f.StringVar(&w.Name, "name", "", "the `name` that studios know it by; without it the machine's")
	f.StringVar(&w.Scratch, "scratch", "", "the `directory` for what it works on; without it one in the user's cache")
	c.MarkFlagDirname("scratch")
	return c
}

// worksHere fills in what was not given.
func worksHere(w *machines.Worker) (err error) {
	if w.Name == "" {
		if w.Name, err = os.Hostname(); err != nil {
			return err
		}
	}
	if w.Scratch == "" {
		cache, err := os.UserCacheDir()
		if err != nil {
			return remedy.Errorf("give --scratch", "there is no directory for what it works on: %w", err)
		}
		w.Scratch = filepath.Join(cache, "sizewright-worker")
	}
	w.Cores = min(max(w.Cores, 0), runtime.GOMAXPROCS(0))
	return nil
}
