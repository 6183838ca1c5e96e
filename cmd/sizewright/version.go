package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"sizewright/internal/version"
)

func versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Args:  exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			_, err := fmt.Fprintln(c.OutOrStdout(), version.Long())
			return err
		},
	}
}
