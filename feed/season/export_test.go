package season

import (
	"io/fs"
	"time"

	"bloomgap/forage/read"
)

// LoadFS is Load for a folder that is not on disk.
func LoadFS(fsys fs.FS, today time.Time) (*Season, read.Problems) {
	l := loader{fsys: fsys, dir: "mem"}
	s := l.load(today)
	return s, l.ps
}
