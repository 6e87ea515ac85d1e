package outputs

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/gofrs/flock"
	"github.com/stretchr/testify/require"

	"bloomgap/forage/read"
)

func says(words string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, words)
		return err
	}
}

func put(t *testing.T, path, words string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(words), 0o600))
}

func content(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(b)
}

func TestNothingOfTheKeepersIsReplaced(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.MkdirAll(at("season"), 0o755))
	put(t, at("season/yards.csv"), "mine")
	put(t, at("weather.csv"), "mine")
	put(t, at("letter.html"), "mine")
	require.NoError(t, os.Symlink("weather.csv", at("link.csv")))
	require.NoError(t, os.Link(at("weather.csv"), at("hard.csv")))
	require.NoError(t, os.Symlink("nowhere.csv", at("dangling.csv")))
	require.NoError(t, os.Symlink("season", at("also-season")))
	for _, c := range []struct {
		name, path, want string
		forced           string // the same with force; "" when it is then written
	}{
		{"an input", "weather.csv", "weather.csv cannot be written: this run reads it; name another file", "this run reads it"},
		{"an input by a link", "link.csv", "link.csv cannot be written: this run reads it; name another file", "this run reads it"},
		{"an input by a second name", "hard.csv", "hard.csv cannot be written: this run reads it; name another file", "this run reads it"},
		{"a table of the season", "season/yards.csv", "season/yards.csv cannot be written: it would lie in the season folder, and its tables are yours; name another folder", "season folder"},
		{"a new file in the season", "season/plan.html", "season/plan.html cannot be written: it would lie in the season folder, and its tables are yours; name another folder", "season folder"},
		{"the season by a link", "also-season/plan.html", "also-season/plan.html cannot be written: it would lie in the season folder, and its tables are yours; name another folder", "season folder"},
		{"a file of the keeper", "letter.html", "letter.html cannot be written: it is there already, and bloomgap did not write it or it was changed since; name another file, or replace it with --force", ""},
		{"a link to nothing", "dangling.csv", "dangling.csv cannot be written: it is a link to a file that is not there; remove the link, or name another file", "link"},
		{"the record itself", RecordName, RecordName + " cannot be written: that name is kept for the list of what bloomgap wrote; name another file", "kept"},
	} {
		s := New([]string{at("weather.csv"), at("gone.csv")}, at("season"), false)
		err := s.WriteFile(t.Context(), at(c.path), says("new"))
		require.EqualError(t, err, filepath.Join(dir, c.path)[:len(dir)+1]+c.want, c.name)
		require.NoError(t, s.Close())
		forced := New([]string{at("weather.csv")}, at("season"), true)
		if c.forced != "" {
			require.ErrorContains(t, forced.WriteFile(t.Context(), at(c.path), says("new")), c.forced, c.name)
		} else {
			require.NoError(t, forced.WriteFile(t.Context(), at(c.path), says("new")), c.name)
		}
		require.NoError(t, forced.Close())
	}
	s := New(nil, at("season"), true)
	require.EqualError(t, s.MakeFolder(at("also-season")), at("also-season")+" cannot be written: it is the season folder, and its tables are yours; name another folder")
	require.NoError(t, s.MakeFolder(at("season/plan")), "a folder of its own within is no table")
	require.Equal(t, "mine", content(t, at("season/yards.csv")))
	require.Equal(t, "mine", content(t, at("weather.csv")))
	require.Equal(t, "new", content(t, at("letter.html")))
	require.NoFileExists(t, at("nowhere.csv"))
}

func TestOwnFilesAreReplaced(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "plan.html")
	for _, words := range []string{"one", "two", "three"} {
		s := New(nil, "", false)
		require.NoError(t, s.WriteFile(t.Context(), path, says(words)))
		require.NoError(t, s.WriteFile(t.Context(), path, says(words+"!")), "twice in a run")
		require.NoError(t, s.Close())
		require.Equal(t, words+"!", content(t, path))
	}
	require.Len(t, readRecord(filepath.Dir(path)).Files["plan.html"], 1, "older hashes are forgotten")
	put(t, path, "a note of the keeper")
	s := New(nil, "", false)
	require.ErrorContains(t, s.WriteFile(t.Context(), path, says("four")), "it was changed since")
	require.Equal(t, "a note of the keeper", content(t, path))
}

// What fails half way leaves the file as it was, and the record knows it still.
func TestAFailureLeavesWhatWasThere(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "plan.html")
	s := New(nil, "", false)
	require.NoError(t, s.WriteFile(t.Context(), path, says("one")))
	full := errors.New("full")
	require.ErrorIs(t, s.WriteFile(t.Context(), path, func(io.Writer) error { return full }), full)
	require.NoError(t, s.Close())
	require.Equal(t, "one", content(t, path))
	require.True(t, readRecord(filepath.Dir(path)).wrote(path))
	require.Empty(t, leftovers(filepath.Dir(path)))
}

func TestLeftoversOfAKilledRunAreCleared(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	left := filepath.Join(dir, ".bloomgap-12345.tmp")
	put(t, left, "half")
	put(t, filepath.Join(dir, RecordName), "{ half")
	s := New(nil, "", false)
	require.NoError(t, s.WriteFile(t.Context(), filepath.Join(dir, "a"), says("one")), "a broken record does not block")
	require.NoError(t, s.Close())
	require.NoFileExists(t, left)
	require.True(t, readRecord(dir).wrote(filepath.Join(dir, "a")))
}

func TestTwoRunsDoNotMix(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	first := New(nil, "", false)
	require.NoError(t, first.WriteFile(t.Context(), filepath.Join(dir, "a"), says("one")))
	second := New(nil, "", false)
	soon, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	require.ErrorIs(t, second.WriteFile(soon, filepath.Join(dir, "b"), says("two")), context.DeadlineExceeded, "it waits")
	other := t.TempDir()
	require.NoError(t, second.WriteFile(t.Context(), filepath.Join(other, "b"), says("two")), "another folder is free")
	require.NoError(t, first.Close())
	require.NoError(t, second.WriteFile(t.Context(), filepath.Join(dir, "b"), says("two")))
	require.NoError(t, second.Close())
}

func TestTheWaitForAnotherRunEnds(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	lock := flock.New(dir, flock.SetFlag(os.O_RDONLY))
	held, err := lock.TryLock()
	require.NoError(t, err)
	require.True(t, held)
	defer lock.Close()
	s := New(nil, "", false)
	s.wait = 3 * lockPoll
	err = s.WriteFile(t.Context(), filepath.Join(dir, "a"), says("one"))
	require.EqualError(t, err, dir+" cannot be written to: another run of bloomgap is writing there; wait for it to end, or name another folder")
}

func TestManyFilesAtOnce(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := New(nil, "", false)
	var all sync.WaitGroup
	for i := range 20 {
		all.Go(func() {
			name := fmt.Sprintf("chart-%d.svg", i)
			if err := s.WriteFile(t.Context(), filepath.Join(dir, name), says(name)); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	require.NoError(t, s.Close())
	require.Len(t, readRecord(dir).Files, 20)
	for name := range readRecord(dir).Files {
		require.True(t, readRecord(dir).wrote(filepath.Join(dir, name)))
	}
}

func TestChangedInputsAreNoticed(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "w.csv")
	put(t, path, "one")
	s := New([]string{path}, "", false)
	require.Empty(t, s.Changed())
	put(t, path, "three")
	require.Equal(t, []string{path}, s.Changed())
	require.NoError(t, os.Remove(path))
	require.Equal(t, []string{path}, s.Changed())
}

func TestPatternOfLeftovers(t *testing.T) {
	t.Parallel()
	f, err := os.CreateTemp(t.TempDir(), read.HalfWritten)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	require.Equal(t, []string{f.Name()}, leftovers(filepath.Dir(f.Name())))
}
