package main

import (
	"os"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// manCommand writes the man pages, for packagers.
func manCommand(d desk) *cobra.Command {
	return &cobra.Command{
		Use:     "man DIR",
		Short:   "Write the man pages into a folder",
		Long:    "Writes one man page for each command into DIR, which is made if it is not there.\n\n" + exitCodes,
		Example: "  garner man man/man1",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"man wants one folder"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return err
			}
			// A fixed date: the same program writes the same pages.
			date := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
			return doc.GenManTree(c.Root(), &doc.GenManHeader{Title: "GARNER", Section: "1", Source: "garner", Date: &date}, args[0])
		},
	}
}
