package main

import (
	"bloomgap/plots/files"
	_ "embed"
	"errors"
	"io"

	"github.com/spf13/cobra"
)

// changes are the notes of all releases.
//
//go:embed CHANGELOG.md
var changes string

// notices are the licences of all that is built into the program.
//
//go:embed NOTICE.md
var notices string

func newAboutCmd(c *console) *cobra.Command {
	var showChanges, showNotices, showSchema bool
	cmd := &cobra.Command{
		Use:   "about",
		Short: "Version, what changed in each release, licences of what is built in",
		Long: `About prints the version, the commit and the version of Go that the program was
built from. --changes prints what changed in each release and what that moved in
the answers, --notices the licences of all that is built in, --schema the JSON
Schema of the plan that plan --json writes.`,
		Example: "  bloomgap about\n  bloomgap about --changes\n  bloomgap about --notices",
		Args:    exactly(0),
		RunE: func(*cobra.Command, []string) error {
			text := thisBuild().String() + "\nMIT licence. bloomgap about --changes prints the release notes, --notices the licences of what is built in.\n"
			switch {
			case showChanges && showNotices || showSchema && (showChanges || showNotices):
				return usageError{errors.New("two of --changes, --notices and --schema are given; keep one")}
			case showSchema:
				text = files.Schema
			case showChanges:
				text = changes
			case showNotices:
				text = notices
			}
			_, err := io.WriteString(c.out, text)
			return err
		},
	}
	cmd.Flags().BoolVar(&showChanges, "changes", false, "print what changed in each release")
	cmd.Flags().BoolVar(&showNotices, "notices", false, "print the licences of what is built in")
	cmd.Flags().BoolVar(&showSchema, "schema", false, "print the JSON Schema of a plan")
	return cmd
}
