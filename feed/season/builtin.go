package season

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"text/template"
	"time"

	"bloomgap/forage/read"
)

//go:embed demo
var demoFiles embed.FS

//go:embed starter
var starterFiles embed.FS

// Demo is the built-in example: four yards and 36 colonies, all invented, with
// the day the question is asked.
func Demo() *Season {
	sub, err := fs.Sub(demoFiles, "demo")
	if err != nil {
		panic("season: the built-in example is not there")
	}
	l := loader{fsys: sub, dir: "demo"}
	s := l.load(time.Time{})
	if len(l.ps) > 0 {
		panic("season: the built-in example has problems")
	}
	s.Dir, s.Invented = "", true
	return s
}

// ErrNotEmpty tells that a folder holds files already, and so was left alone.
var ErrNotEmpty = errors.New("the folder is not empty; name a new one")

// WriteStarter writes a commented season folder that can be planned as it is:
// one invented yard with three colonies. The folder is made when it is not
// there; one that holds anything is left alone, with ErrNotEmpty. The example
// is dated 20 March of the year of today, or of the next from July on.
func WriteStarter(dir string, today time.Time) error {
	texts, err := starterTexts(dir, today)
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		if err := read.WriteFile(filepath.Join(dir, name), func(w io.Writer) error {
			_, err := w.Write(texts[name])
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}

// starterTexts are the files of the starter folder by name, and make its place.
func starterTexts(dir string, today time.Time) (map[string][]byte, error) {
	switch entries, err := os.ReadDir(dir); {
	case err == nil && len(entries) > 0:
		return nil, fmt.Errorf("%s: %w", dir, ErrNotEmpty)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s cannot be used as a folder; name a new one: %w", dir, err)
	}
	if err := read.MakeFolder(dir); err != nil {
		return nil, err
	}
	year := today.Year()
	if today.Month() >= time.July {
		year++
	}
	at := time.Date(year, time.March, 20, 0, 0, 0, 0, time.UTC)
	dates := map[string]string{
		"Today":  iso(at),
		"Seen":   iso(at.AddDate(0, 0, -1)),
		"Next":   iso(at.AddDate(0, 0, 3)),
		"Wanted": iso(at.AddDate(0, 2, 0)),
		"Supers": iso(at.AddDate(0, 2, 0)),
	}
	out := map[string][]byte{}
	err := fs.WalkDir(starterFiles, "starter", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := starterFiles.ReadFile(p)
		if err != nil {
			return err
		}
		tpl, err := template.New(p).Option("missingkey=error").Parse(string(text))
		if err != nil {
			return err
		}
		var buf bytes.Buffer
		if err := tpl.Execute(&buf, dates); err != nil {
			return err
		}
		out[d.Name()] = buf.Bytes()
		return nil
	})
	return out, err
}

func iso(d time.Time) string { return d.Format(time.DateOnly) }
