// Command benchpicture writes the demo's 26-megapixel photograph to a file, for
// scripts/bench.sh.
package main

import (
	"context"
	"fmt"
	"os"

	"sizewright/internal/demo"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: benchpicture OUT.jpg")
		os.Exit(2)
	}
	for _, p := range demo.Pictures() {
		if p.Folder != "24x36in" {
			continue
		}
		if err := p.Write(context.Background(), os.Args[1]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
}
