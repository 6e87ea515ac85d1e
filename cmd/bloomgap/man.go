package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"bloomgap/cmd/bloomgap/outputs"
)

// manSection is the section of the manual for commands that anyone may run.
const manSection = "1"

func newManCmd(c *console) *cobra.Command {
	var force bool
	cmd := &cobra.Command{
		Use:   "man FOLDER",
		Short: "Write the manual pages, one for each command",
		Long: `Man writes a manual page for each command to a folder, as the command man reads
them. On most systems they belong into share/man/man1 under the folder that
holds bin.`,
		Example: "  bloomgap man man1\n  man -l man1/bloomgap-plan.1",
		Args:    exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			out := outputs.New(nil, "", force)
			if err := out.MakeFolder(args[0]); err != nil {
				return err
			}
			write := func(name string, do func(io.Writer) error) error {
				return out.WriteFile(cmd.Context(), filepath.Join(args[0], name), do)
			}
			n, err := writeMan(cmd.Root(), c.today(), write)
			if err = errors.Join(err, out.Close()); err != nil {
				return err
			}
			fmt.Fprintf(c.errs, "wrote %d manual pages to %s\n", n, args[0])
			return nil
		},
	}
	cmd.Flags().BoolVar(&force, "force", false, forceHelp)
	return cmd
}

// writeMan writes the pages of a command and of all under it, and counts them.
func writeMan(cmd *cobra.Command, day time.Time, write func(name string, do func(io.Writer) error) error) (int, error) {
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-")
	head := &doc.GenManHeader{Title: strings.ToUpper(name), Section: manSection, Date: &day, Source: "bloomgap " + thisBuild().version, Manual: "bloomgap"}
	cmd.DisableAutoGenTag = true
	if err := write(name+"."+manSection, func(w io.Writer) error { return doc.GenMan(cmd, head, w) }); err != nil {
		return 0, err
	}
	all := 1
	for _, sub := range cmd.Commands() {
		if !sub.IsAvailableCommand() {
			continue
		}
		n, err := writeMan(sub, day, write)
		if err != nil {
			return 0, err
		}
		all += n
	}
	return all, nil
}
