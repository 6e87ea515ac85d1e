package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"bloomgap/forage/read"
)

// manSection is the section of the manual for commands that anyone may run.
const manSection = "1"

func newManCmd(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "man FOLDER",
		Short: "Write the manual pages, one for each command",
		Long: `Man writes a manual page for each command to a folder, as the command man reads
them. On most systems they belong into share/man/man1 under the folder that
holds bin.`,
		Example: "  bloomgap man man1\n  man -l man1/bloomgap-plan.1",
		Args:    exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := read.MakeFolder(args[0]); err != nil {
				return err
			}
			n, err := writeMan(cmd.Root(), args[0], c.today())
			if err != nil {
				return err
			}
			fmt.Fprintf(c.errs, "wrote %d manual pages to %s\n", n, args[0])
			return nil
		},
	}
}

// writeMan writes the pages of a command and of all under it, and counts them.
func writeMan(cmd *cobra.Command, folder string, day time.Time) (int, error) {
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-")
	head := &doc.GenManHeader{Title: strings.ToUpper(name), Section: manSection, Date: &day, Source: "bloomgap " + thisBuild().version, Manual: "bloomgap"}
	cmd.DisableAutoGenTag = true
	path := filepath.Join(folder, name+"."+manSection)
	if err := read.WriteFile(path, func(w io.Writer) error { return doc.GenMan(cmd, head, w) }); err != nil {
		return 0, err
	}
	all := 1
	for _, sub := range cmd.Commands() {
		if !sub.IsAvailableCommand() {
			continue
		}
		n, err := writeMan(sub, folder, day)
		if err != nil {
			return 0, err
		}
		all += n
	}
	return all, nil
}
