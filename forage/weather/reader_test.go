package weather

import (
	"io"

	"bloomgap/forage/read"
)

// Read reads one text with DefaultOptions.
func Read(name string, r io.Reader) (*Record, read.Problems) { return DefaultOptions().Read(name, r) }

// Read reads one text as ReadFiles does a file.
func (o Options) Read(name string, r io.Reader) (*Record, read.Problems) {
	var ps read.Problems
	data, ok := read.All(name, r, 0, maxFileBytes, &ps)
	if !ok {
		return nil, ps
	}
	rec, found := o.one(name, data)
	if rec != nil {
		weigh(rec, name, &found)
	}
	return rec, found.Confirm(o.Confirmed)
}
