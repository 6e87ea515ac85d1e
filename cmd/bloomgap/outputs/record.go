package outputs

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"

	"bloomgap/forage/read"
)

// recordFormat names the layout of a record.
const recordFormat = "bloomgap files 1"

// mostRecordBytes is the most of a record that is read; own choice, some 100,000
// files.
const mostRecordBytes = 16 << 20

// record lists what bloomgap wrote into a folder. A file has two hashes only
// while it is being replaced.
type record struct {
	Format string              `json:"format"`
	About  string              `json:"about"`
	Files  map[string][]string `json:"files_sha256"`
}

// readRecord reads the record of a folder. One that is not there or cannot be
// used knows no file.
func readRecord(dir string) record {
	none := record{Format: recordFormat, About: "What bloomgap wrote here: it replaces these files, and no others, without --force.", Files: map[string][]string{}}
	info, err := os.Stat(filepath.Join(dir, RecordName))
	if err != nil || !info.Mode().IsRegular() || info.Size() > mostRecordBytes {
		return none
	}
	b, err := os.ReadFile(filepath.Join(dir, RecordName))
	if err != nil {
		return none
	}
	var r record
	if json.Unmarshal(b, &r) != nil || r.Format != recordFormat || r.Files == nil {
		return none
	}
	r.About = none.About
	return r
}

// wrote tells whether the file at a path is as bloomgap wrote it.
func (r record) wrote(path string) bool {
	known := r.Files[filepath.Base(path)]
	if len(known) == 0 {
		return false
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return false
	}
	return slices.Contains(known, hex.EncodeToString(sum.Sum(nil)))
}

func (r record) add(name, sum string) {
	if !slices.Contains(r.Files[name], sum) {
		r.Files[name] = append(r.Files[name], sum)
	}
}

// write writes the record; names in order, so that the same files give the same
// bytes.
func (r record) write(dir string) error {
	return read.WriteFile(filepath.Join(dir, RecordName), func(w io.Writer) error {
		enc := json.NewEncoder(w)
		enc.SetIndent("", " ")
		return enc.Encode(r)
	})
}
