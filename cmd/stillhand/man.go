package main

import (
	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// manCommand writes the manual, for packagers above all.
func manCommand() *cobra.Command {
	return &cobra.Command{
		Use: "man FOLDER", Short: "Write the manual pages into a folder",
		Long: `Write the manual pages into a folder that exists, one for each command. Read the
first with man -l FOLDER/stillhand.1.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !isFolder(args[0]) {
				return usage("%s: is no folder: make it first, or name another", args[0])
			}
			root := cmd.Root()
			root.DisableAutoGenTag = true
			return doc.GenManTree(root, &doc.GenManHeader{Title: "STILLHAND", Section: "1", Source: "stillhand", Manual: "Stillhand"}, args[0])
		},
	}
}
