package read_test

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/read"
)

func TestQuestions(t *testing.T) {
	t.Parallel()
	var ps read.Problems
	ps.Report(read.Problem{Code: "weather-unit", Level: read.Ask, File: "w.csv", Line: 3, Column: 2, Message: "these look like F", Fix: "name the columns tmin_f and tmax_f"})
	ps.Warn("w.csv", 0, 0, "no rain", "")
	require.EqualError(t, ps.Err(), "w.csv:3:2: please check: these look like F; name the columns tmin_f and tmax_f; "+
		"if it is right as it is, confirm it: --confirm weather-unit, or weather-unit = true under [confirm] in the settings")
	require.Empty(t, ps.Errors(), "an answer helps")
	require.ErrorContains(t, ps.Confirm([]read.Code{"another"}).Err(), "please check", "another question was answered")
	answered := ps.Confirm([]read.Code{"weather-unit"})
	require.NoError(t, answered.Err())
	require.Equal(t, "w.csv:3:2: warning: confirmed: these look like F", answered[0].String())
	require.ErrorContains(t, ps.Err(), "please check", "the list itself stays as it is")
}

func TestManyProblems(t *testing.T) {
	t.Parallel()
	var ps read.Problems
	for i := range 5000 {
		ps.Add("t.csv", i+1, 0, "wrong", "")
		ps.Warn("t.csv", i+1, 0, "odd", "")
	}
	require.LessOrEqual(t, len(ps), 2002, "no more are kept")
	ps.Report(read.Problem{Level: read.Ask, Message: "one question among thousands"})
	require.Contains(t, ps[len(ps)-3].String(), "one question among thousands", "the first of a level are always kept")
	require.True(t, ps.Full())
	lines := strings.Split(ps.Err().Error(), "\n")
	require.Len(t, lines, 51)
	require.Equal(t, "... and 4951 more", lines[50])
	lines = ps.Warnings().Lines()
	require.Equal(t, "... and 4950 more", lines[len(lines)-1])
	require.True(t, ps.Has(read.Input))
	require.False(t, ps.Has(read.CellDate))
}

// TestOnlyFilesThatEnd: a pipe that nobody writes to must not hold the run up.
func TestOnlyFilesThatEnd(t *testing.T) {
	t.Parallel()
	pipe := filepath.Join(t.TempDir(), "pipe.csv")
	if err := exec.Command("mkfifo", pipe).Run(); err != nil {
		t.Skip("mkfifo is not there: a pipe cannot be tried")
	}
	for _, path := range []string{pipe, "/dev/zero"} {
		var ps read.Problems
		require.Empty(t, open(path, "x.csv", read.DefaultLimits(), &ps))
		require.Len(t, ps, 1)
		require.Equal(t, read.FileNotRegular, ps[0].Code)
		require.EqualError(t, ps.Err(), "x.csv: this is a pipe or a device, not a file; save what it gives in a file and name that; - reads standard input where a command takes it")
	}
}

func TestTooMuch(t *testing.T) {
	t.Parallel()
	lim := read.Limits{MaxBytes: 1000, MaxUnzipBytes: 1000, MaxRows: 10, MaxColumns: 20, MaxCells: 50, MaxLineBytes: 500}
	for name, c := range map[string]struct{ text, want string }{
		"bytes":   {strings.Repeat("x", 1001), "t.csv: the file is larger than 0 kB; keep only the rows that are needed"},
		"a line":  {strings.Repeat("x", 501), "t.csv:1: the line has more than 0 kB; check that this is the right file"},
		"rows":    {strings.Repeat("a\n", 20), "t.csv:11: the table has more than 10 rows; keep only the rows that are needed"},
		"columns": {strings.Repeat("a,", 20) + "a\n", "t.csv:1: the row has more than 20 cells; check that this is the right file"},
		"cells":   {strings.Repeat(strings.Repeat("a,", 14)+"a\n", 5), "t.csv:4: the table has more than 50 cells; keep only the rows that are needed"},
	} {
		var ps read.Problems
		read.Read("t.csv", strings.NewReader(c.text), lim, &ps)
		require.EqualError(t, ps.Err(), c.want, name)
		require.Equal(t, read.FileTooLarge, ps[0].Code)
	}
}

func TestNamesAreNotEndless(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("é", 81)
	tab, _ := readText(t, "colony,date\n"+long+",2027-03-20\n"+long[2:]+",2027-03-20\n")
	_, ok := tab.Rows[0].Name("colony")
	require.False(t, ok)
	_, ok = tab.Rows[1].Name("colony")
	require.True(t, ok, "80 letters are a name")
}

// open reads the tables of a file by its path.
func open(path, name string, lim read.Limits, ps *read.Problems) []*read.Grid {
	data, ok := read.File(path, name, lim.MaxBytes, ps)
	if !ok {
		return nil
	}
	return read.Tables(name, data, lim, ps)
}
