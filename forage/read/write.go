package read

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"
)

var plainNumber = regexp.MustCompile(`^[+-]?[0-9]+([.,][0-9]+)?([eE][+-]?[0-9]+)?$`)

// SafeCell puts an apostrophe in front of text that a spreadsheet would run as
// a formula: text that begins with = + - @, a tab or a line break. Numbers are
// left alone.
func SafeCell(s string) string {
	trimmed := strings.TrimLeft(s, " \u00a0\ufeff")
	if trimmed == "" || plainNumber.MatchString(trimmed) || !strings.ContainsAny(trimmed[:1], "=+-@\t\r\n") && !strings.HasPrefix(trimmed, "＝") &&
		!strings.HasPrefix(trimmed, "＋") && !strings.HasPrefix(trimmed, "－") && !strings.HasPrefix(trimmed, "＠") {
		return s
	}
	return "'" + s
}

// Number is a cell with a number and the decimals it is printed with. NaN and
// infinities become an empty cell.
type Number struct {
	Value    float64
	Decimals int
}

func (n Number) text() string {
	if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
		return ""
	}
	s := strconv.FormatFloat(n.Value, 'f', n.Decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no minus before nothing
	}
	return s
}

// cellText is a value as a cell of text: strings are made safe, days are
// yyyy-mm-dd, yes and no stand for true and false, nil and the zero time for
// nothing.
func cellText(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return SafeCell(v)
	case Number:
		return v.text()
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	case int:
		return strconv.Itoa(v)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case time.Time:
		if v.IsZero() {
			return ""
		}
		return v.Format(time.DateOnly)
	case fmt.Stringer:
		return SafeCell(v.String())
	}
	panic("read: a cell holds a type that cannot be written")
}

// WriteCSV writes rows of cells separated by commas. Cells may be string, Number,
// float64, int, bool, time.Time, nil or a fmt.Stringer.
func WriteCSV(w io.Writer, rows [][]any) error {
	cw := csv.NewWriter(w)
	for _, row := range rows {
		rec := make([]string, len(row))
		for i, v := range row {
			rec[i] = cellText(v)
		}
		if err := cw.Write(rec); err != nil {
			return err
		}
	}
	cw.Flush()
	return cw.Error()
}

// Sheet is a sheet of a workbook to write; its first row is the headings.
type Sheet struct {
	Name string
	Rows [][]any // cells as for WriteCSV
}

// fileError tells what cannot be written, why, and what to do.
type fileError struct {
	text string
	err  error
}

func (e fileError) Error() string { return e.text }
func (e fileError) Unwrap() error { return e.err }

// notWritten is the error of a file or folder that cannot be made.
func notWritten(path string, err error) error {
	reason, fix := osReason(err), "name another place"
	switch {
	case errors.Is(err, fs.ErrNotExist):
		reason, fix = "its folder is not there", "make the folder first or correct its name"
	case errors.Is(err, fs.ErrPermission):
		reason = "writing there is not allowed"
	case errors.Is(err, syscall.ENOSPC):
		reason, fix = "the disk is full", "make room or name another place"
	case errors.Is(err, syscall.ENOTDIR):
		reason = "a part of its path is a file, not a folder"
	case errors.Is(err, syscall.EISDIR):
		reason, fix = "it is a folder", "name a file"
	}
	return fileError{path + " cannot be written: " + reason + "; " + fix, err}
}

// MakeFolder makes a folder and those above it, where they are not there yet.
func MakeFolder(path string) error {
	if err := os.MkdirAll(path, 0o755); err != nil {
		return notWritten(path, err)
	}
	return nil
}

// CheckFile tells what would keep WriteFile from beginning a file, for a look
// before long work.
func CheckFile(path string) error {
	st, err := os.Stat(path)
	switch {
	case err == nil && st.IsDir():
		return notWritten(path, syscall.EISDIR)
	case err == nil && !st.Mode().IsRegular():
		return nil
	}
	st, err = os.Stat(filepath.Dir(path))
	switch {
	case err != nil:
		return notWritten(path, err)
	case !st.IsDir():
		return notWritten(path, syscall.ENOTDIR)
	}
	return nil
}

// WriteFile writes a file whole or not at all: beside its place first, then
// renamed. A file of that name is replaced only when write succeeded; a link
// stays and its file is replaced. A device or pipe is written as it is. The
// folder must exist. Errors of the disk name the file and what to do.
func WriteFile(path string, write func(io.Writer) error) error {
	if err := CheckFile(path); err != nil {
		return err
	}
	if st, err := os.Stat(path); err == nil && !st.Mode().IsRegular() {
		return ofDisk(path, writeThrough(path, write))
	}
	place := path
	if real, err := filepath.EvalSymlinks(path); err == nil {
		place = real
	}
	return ofDisk(path, writeBeside(place, write))
}

// ofDisk puts an error of the disk in plain words; others stay as they are.
func ofDisk(path string, err error) error {
	var pe *fs.PathError
	var le *os.LinkError
	if errors.As(err, new(fileError)) {
		return err
	}
	if errors.As(err, &pe) || errors.As(err, &le) {
		return notWritten(path, err)
	}
	return err
}

// How long a pipe may be without a reader: 2 s in all, own choice.
const (
	readerTries = 40
	readerWait  = 50 * time.Millisecond
)

// writeThrough writes to what is no file, such as a terminal or a pipe.
func writeThrough(path string, write func(io.Writer) error) error {
	// A pipe that nobody reads is waited for a little, and then refused.
	var f *os.File
	var err error
	for range readerTries {
		if f, err = os.OpenFile(path, os.O_WRONLY|syscall.O_NONBLOCK, 0); !errors.Is(err, syscall.ENXIO) {
			break
		}
		time.Sleep(readerWait)
	}
	if errors.Is(err, syscall.ENXIO) {
		return fileError{path + " cannot be written: it is a pipe that nobody reads; start its reader first, or name a file", err}
	}
	if err != nil {
		return err
	}
	if err := write(f); err != nil {
		_ = f.Close()
		return err
	}
	return f.Close()
}

// HalfWritten is the pattern of the names that files have until they are whole.
// One is left only where a run was killed while it wrote.
const HalfWritten = ".bloomgap-*.tmp"

func writeBeside(path string, write func(io.Writer) error) (err error) {
	tmp, err := os.CreateTemp(filepath.Dir(path), HalfWritten)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = tmp.Close()
			_ = os.Remove(tmp.Name())
		}
	}()
	if err = write(tmp); err != nil {
		return err
	}
	if err = tmp.Sync(); err != nil {
		return err
	}
	if err = tmp.Close(); err != nil {
		return err
	}
	if err = os.Chmod(tmp.Name(), 0o644); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
