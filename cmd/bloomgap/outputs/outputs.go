// Package outputs writes the files of a run so that nothing of the keeper's is
// lost: never onto a file that the run reads, never into the season folder, and
// onto a file that bloomgap did not write only when that is asked for.
//
// What bloomgap wrote is known by name and hash in the file bloomgap-files.json
// beside it. While a run writes into a folder it holds a lock on it, which the
// system releases when the run ends in whatever way; what a killed run left half
// written is removed by the next. Paths are as the user named them.
package outputs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"time"

	"github.com/gofrs/flock"

	"bloomgap/forage/read"
)

// RecordName is the file that lists what bloomgap wrote into its folder.
const RecordName = "bloomgap-files.json"

const (
	lockFileName = ".bloomgap-lock"       // where a folder itself cannot be locked
	lockWait     = 10 * time.Second       // for another run that writes there, own choice
	lockPoll     = 100 * time.Millisecond // own choice
)

// Set is the files of one run.
type Set struct {
	inputs []input
	season string // folder; "" without one
	force  bool
	wait   time.Duration // for another run; lockWait

	mu      sync.Mutex
	folders map[string]*folder // by their path without links
}

type input struct {
	path string
	info fs.FileInfo
}

// New begins the files of a run that reads the inputs, among them, unless it is
// "", all that lies in a season folder. force allows files to be replaced that
// bloomgap did not write. An input that is not there is passed over.
func New(inputs []string, season string, force bool) *Set {
	s := &Set{season: season, force: force, wait: lockWait, folders: map[string]*folder{}}
	if season != "" {
		entries, _ := os.ReadDir(season) // one that cannot be listed has nothing to lose
		for _, e := range entries {
			inputs = append(slices.Clip(inputs), filepath.Join(season, e.Name()))
		}
	}
	for _, path := range inputs {
		if info, err := os.Stat(path); err == nil && !info.IsDir() {
			s.inputs = append(s.inputs, input{path, info})
		}
	}
	return s
}

// Changed lists the inputs whose size or time is not what it was at New.
func (s *Set) Changed() []string {
	var out []string
	for _, in := range s.inputs {
		info, err := os.Stat(in.path)
		if err != nil || info.Size() != in.info.Size() || !info.ModTime().Equal(in.info.ModTime()) {
			out = append(out, in.path)
		}
	}
	return out
}

// refused is the error of a place that is not written to.
func refused(path, why, fix string) error {
	return fmt.Errorf("%s cannot be written: %s; %s", path, why, fix)
}

// CheckFolder tells what forbids files in a folder, for a look before long work.
// The folder need not be there yet.
func (s *Set) CheckFolder(dir string) error {
	info, err := os.Stat(dir)
	if err == nil && s.isSeason(info) {
		return refused(dir, "it is the season folder, and its tables are yours", "name another folder")
	}
	return nil
}

func (s *Set) isSeason(info fs.FileInfo) bool {
	if s.season == "" {
		return false
	}
	own, err := os.Stat(s.season)
	return err == nil && os.SameFile(own, info)
}

// Check tells what forbids a file, for a look before long work. Its folder need
// not be there yet.
func (s *Set) Check(path string) error {
	if filepath.Base(path) == RecordName {
		return refused(path, "that name is kept for the list of what bloomgap wrote", "name another file")
	}
	if link, err := os.Lstat(path); err == nil && link.Mode()&fs.ModeSymlink != 0 {
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			return refused(path, "it is a link to a file that is not there", "remove the link, or name another file")
		}
	}
	info, err := os.Stat(path)
	if err == nil && !info.IsDir() && !info.Mode().IsRegular() {
		return nil // a terminal or a pipe
	}
	if dir, err := os.Stat(filepath.Dir(real(path))); err == nil && s.isSeason(dir) {
		return refused(path, "it would lie in the season folder, and its tables are yours", "name another folder")
	}
	if err != nil || info.IsDir() {
		return nil // a folder is told by read.CheckFile
	}
	for _, in := range s.inputs {
		if os.SameFile(in.info, info) {
			return refused(path, "this run reads it", "name another file")
		}
	}
	if s.force || readRecord(filepath.Dir(real(path))).wrote(real(path)) {
		return nil
	}
	return refused(path, "it is there already, and bloomgap did not write it or it was changed since", "name another file, or replace it with --force")
}

// real is a path without links; the path itself where that cannot be told.
func real(path string) string {
	if p, err := filepath.EvalSymlinks(path); err == nil {
		return p
	}
	if dir, err := filepath.EvalSymlinks(filepath.Dir(path)); err == nil {
		return filepath.Join(dir, filepath.Base(path))
	}
	return filepath.Clean(path)
}

// MakeFolder makes a folder for files of the run, where it is not there yet.
func (s *Set) MakeFolder(dir string) error {
	if err := s.CheckFolder(dir); err != nil {
		return err
	}
	return read.MakeFolder(dir)
}

// WriteFile writes a file whole or not at all, as read.WriteFile does, when Check
// allows it. Several goroutines may write at once. It waits some seconds for
// another run that writes into the folder.
func (s *Set) WriteFile(ctx context.Context, path string, write func(io.Writer) error) error {
	if err := read.CheckFile(path); err != nil {
		return err
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return read.WriteFile(path, write)
	}
	dir, err := s.folder(ctx, filepath.Dir(real(path)))
	if err != nil {
		return err
	}
	if err := s.Check(path); err != nil {
		return err
	}
	return read.WriteFile(path, func(w io.Writer) error {
		sum := sha256.New()
		if err := write(io.MultiWriter(w, sum)); err != nil {
			return err
		}
		return dir.note(filepath.Base(real(path)), sum) // before the file has its name: it is never unknown
	})
}

// Close ends the run's writing: other runs may write into its folders.
func (s *Set) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	var errs []error
	for _, f := range s.folders {
		errs = append(errs, f.close())
	}
	s.folders = map[string]*folder{}
	return errors.Join(errs...)
}

// folder is a folder that the run writes into, under lock.
type folder struct {
	dir  string
	lock *flock.Flock

	mu     sync.Mutex
	record record
	fresh  map[string]string // hashes of the files of this run
}

// folder locks a folder, clears what a killed run left there and reads its
// record, once a run.
func (s *Set) folder(ctx context.Context, dir string) (*folder, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f := s.folders[dir]; f != nil {
		return f, nil
	}
	lock := flock.New(dir, flock.SetFlag(os.O_RDONLY)) // the folder itself: nothing is left behind
	if runtime.GOOS == "windows" {
		lock = flock.New(filepath.Join(dir, lockFileName))
	}
	wait, cancel := context.WithTimeout(ctx, s.wait)
	defer cancel()
	held, err := lock.TryLockContext(wait, lockPoll)
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case wait.Err() != nil || err == nil && !held:
		return nil, fmt.Errorf("%s cannot be written to: another run of bloomgap is writing there; wait for it to end, or name another folder", dir)
	case err != nil: // a folder that cannot be locked, on some network drives, is written to all the same
		lock = nil
	}
	if lock != nil {
		for _, left := range leftovers(dir) {
			_ = os.Remove(left) // what stays is cleared another time
		}
	}
	f := &folder{dir: dir, lock: lock, record: readRecord(dir), fresh: map[string]string{}}
	s.folders[dir] = f
	return f, nil
}

// leftovers are the files that runs left half written.
func leftovers(dir string) []string {
	list, _ := filepath.Glob(filepath.Join(dir, read.HalfWritten)) // the pattern is a good one
	return list
}

// note adds a file that is about to be written to the record.
func (f *folder) note(name string, sum hash.Hash) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.fresh[name] = hex.EncodeToString(sum.Sum(nil))
	f.record.add(name, f.fresh[name])
	return f.record.write(f.dir)
}

// close forgets older hashes of the files written and unlocks the folder.
func (f *folder) close() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	for name, sum := range f.fresh {
		f.record.Files[name] = []string{sum}
	}
	err := f.record.write(f.dir)
	if f.lock != nil {
		err = errors.Join(err, f.lock.Unlock())
	}
	return err
}
