package read_test

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"bloomgap/forage/read"
	"bloomgap/forage/read/readtest"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

func columns() []read.Column {
	return []read.Column{
		{Name: "colony", Aliases: []string{"hive"}, Required: true},
		{Name: "date", Required: true},
		{Name: "gross", Aliases: []string{"weight"}, Unit: "kg"},
		{Name: "count_temp", Unit: "C"},
		{Name: "seams"},
		{Name: "alive"},
		{Name: "heft"},
	}
}

func readText(t testing.TB, text string) (*read.Table, read.Problems) {
	t.Helper()
	var ps read.Problems
	grids := read.Read("hives.csv", strings.NewReader(text), read.DefaultLimits(), &ps)
	if len(grids) == 0 {
		return nil, ps
	}
	require.Len(t, grids, 1)
	return read.New(grids[0], columns(), &ps), ps
}

func TestHeadingsAndSeparators(t *testing.T) {
	want := time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct{ name, text string }{
		{"plain", "colony,date,gross_kg\nA,2027-03-20,30.5\n"},
		{"byte-order mark, capitals, spaces", "\ufeffColony , DATE, Gross (kg)\nA,2027-03-20,30.5\n"},
		{"alias and unit", "hive,date,Weight kg\nA,2027-03-20,30.5\n"},
		{"comments and blank lines", "# my hives, \"of spring\"\n\n,,\ncolony,date,gross\n\"# a comment, quoted\",,\nA,2027-03-20,30.5\n"},
		{"semicolons with decimal comma", "colony;date;gross_kg\nA;2027-03-20;30,5\n"},
		{"tabs", "colony\tdate\tgross_kg\nA\t2027-03-20\t30.5\n"},
		{"the line that names the separator", "sep=;\ncolony;date;gross_kg\nA;2027-03-20;30,5\n"},
		{"unit in the cell", "colony,date,gross\nA,2027-03-20,30.5 kg\n"},
		{"carriage returns alone", "colony,date,gross_kg\rA,2027-03-20,30.5\r"},
		{"UTF-16 from a spreadsheet", utf16("colony\tdate\tgross_kg\nA\t2027-03-20\t30.5\n")},
	} {
		tab, ps := readText(t, c.text)
		require.Empty(t, ps, c.name)
		require.Len(t, tab.Rows, 1, c.name)
		r := tab.Rows[0]
		require.Equal(t, "A", r.Text("colony"), c.name)
		require.Equal(t, want, r.Date("date"), c.name)
		require.Equal(t, 30.5, r.FloatIn("gross", 0, 200), c.name)
		require.True(t, math.IsNaN(r.Float("seams")), "%s: a column that is not there is empty", c.name)
	}
}

func utf16(s string) string {
	b := []byte{0xff, 0xfe}
	for _, r := range s {
		b = append(b, byte(r), byte(r>>8))
	}
	return string(b)
}

// TestPointBetweenThousands: with a comma for decimals, 1.200 is as likely twelve
// hundred as 1.2.
func TestPointBetweenThousands(t *testing.T) {
	var ps read.Problems
	g := read.Read("hives.csv", strings.NewReader("colony;date;gross\nA;2027-03-20;1.200\n"), read.DefaultLimits(), &ps)
	tab := read.New(g[0], columns(), &ps)
	require.True(t, math.IsNaN(tab.Rows[0].Float("gross")))
	require.EqualError(t, ps.Err(), `hives.csv:2:3: gross "1.200" may have a point for decimals or between thousands; write 1200 or 1,200`)
	tab, _ = readText(t, "colony,date,gross\nA,2027-03-20,1.200\n")
	require.Equal(t, 1.2, tab.Rows[0].Float("gross"), "with commas between the cells there is one reading")
}

func TestUnitsOfHeadings(t *testing.T) {
	tab, ps := readText(t, "colony,date,gross_lb,count_temp_F\nA,2027-03-20,100,41\n")
	require.Empty(t, ps)
	require.InEpsilon(t, 45.359237, tab.Rows[0].Float("gross"), 1e-12, "100 lb, by definition of the pound")
	require.InEpsilon(t, 5, tab.Rows[0].Float("count_temp"), 1e-12, "41 F is 5 C")
}

func TestBadTables(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"nothing", "", `hives.csv: the file is empty; write a heading row and one row for each entry`},
		{"only comments", "# nothing\n\n", `hives.csv: the file is empty; write a heading row and one row for each entry`},
		{"missing column", "colony,gross_kg\nA,30\n", `hives.csv:1: the column "date" is missing; add it to the heading row`},
		{"misspelt column", "colony,date,groos_kg\nA,2027-03-20,30\n", `hives.csv:1:3: warning: the column "groos_kg" is not known and not used; did you mean "gross_kg"?`},
		{"strange column", "colony,date,queen colour\nA,2027-03-20,blue\n", `hives.csv:1:3: warning: the column "queen colour" is not known and not used; remove it or begin its heading with #`},
		{"heading in a wrong unit", "colony,date,gross_F\nA,2027-03-20,30\n", `hives.csv:1:3: the heading "gross_F" is in F, but a weight is wanted; call it gross_kg or gross_lb`},
		{"heading twice", "colony,date,hive\nA,2027-03-20,B\n", `hives.csv:1:3: the column "colony" appears twice; keep one of the two`},
		{"unit where none belongs", "colony,date,seams_kg\nA,2027-03-20,3\n", `hives.csv:1:3: the column "seams" has no unit, but the heading says kg; call it seams`},
		{"quotes", "colony,date\nA\"B\",2027-03-20\n", `hives.csv:2: the quotation marks of this line do not match; put " round the whole cell and write a mark inside it twice`},
		{"too many cells", "colony,date\nA,2027-03-20,,lost\n", `hives.csv:2:4: warning: "lost" stands beyond the last heading and is not used; give the column a heading, or quote a cell that holds the separator`},
		{"old workbook", "\xd0\xcf\x11\xe0 and so on", `hives.csv: this is an old workbook (.xls) or one with a password; save it as .xlsx without a password, or as .csv`},
		{"broken workbook", "PK\x03\x04 and so on", `hives.csv: the workbook cannot be read: zip: not a valid zip file; open it, save it again as .xlsx without a password, or save the sheet as .csv`},
		{"Latin letters", "colony,date\nBienenhaus M\xfcller,2027-03-20\n", `hives.csv: warning: the file is not in UTF-8 and was read as Western European text; check names with accents, or save it as UTF-8`},
	} {
		_, ps := readText(t, c.text)
		require.Len(t, ps, 1, "%s: %v", c.name, ps)
		require.Equal(t, c.want, ps[0].String(), c.name)
	}
}

func TestBadCells(t *testing.T) {
	head := "colony,date,gross,count_temp,seams,alive,heft\n"
	for _, c := range []struct{ name, row, want string }{
		{"NaN", "A,2027-03-20,NaN,,,,", `hives.csv:2:3: gross "NaN" is not a number; write a number only, or leave the cell empty when it is not known`},
		{"infinity", "A,2027-03-20,inf,,,,", `hives.csv:2:3: gross "inf" is not a number; write a number only, or leave the cell empty when it is not known`},
		{"too large to hold", "A,2027-03-20,1e999,,,,", `hives.csv:2:3: gross "1e999" is not a number; write a number only, or leave the cell empty when it is not known`},
		{"hexadecimal", "A,2027-03-20,0x1p4,,,,", `hives.csv:2:3: gross "0x1p4" is not a number; write a number only, or leave the cell empty when it is not known`},
		{"decimal comma in a comma file", `A,2027-03-20,"30,5",,,,`, `hives.csv:2:3: gross "30,5" has a comma in it; write decimals with a point and no mark between thousands, such as 1234.5`},
		{"word", "A,2027-03-20,lots,,,,", `hives.csv:2:3: gross "lots" is not a number; write a number only, or leave the cell empty when it is not known`},
		{"number with a word", "A,2027-03-20,30 stones,,,,", `hives.csv:2:3: gross "30 stones" is not a number; write a number only, with a point for decimals`},
		{"cell in a wrong unit", "A,2027-03-20,30 L,,,,", `hives.csv:2:3: gross "30 L" is in L, but a weight is wanted; write it in kg or put the right number here`},
		{"cell with a unit where none belongs", "A,2027-03-20,,,5 kg,,", `hives.csv:2:5: seams "5 kg" has a unit, but a plain number is wanted; write the number only`},
		{"below the range", "A,2027-03-20,-1,,,,", `hives.csv:2:3: gross -1 kg is not possible: it must lie from 0 to 200 kg; correct it or its unit`},
		{"above the range, said in its own unit", "A,2027-03-20,500 lb,,,,", `hives.csv:2:3: gross 500 lb is not possible: it must lie from 0 to 440.9 lb; correct it or its unit`},
		{"date with two readings", "A,03.04.2027,,,,,", `hives.csv:2:2: date "03.04.2027" may be 3 April or 4 March; write it as 2027-04-03 or 2027-03-04`},
		{"serial day in a text file", "A,46466,,,,,", `hives.csv:2:2: date "46466" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`},
		{"no such day", "A,2027-02-30,,,,,", `hives.csv:2:2: date "2027-02-30" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`},
		{"slipped year", "A,0227-03-20,,,,,", `hives.csv:2:2: date "0227-03-20" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`},
		{"neither yes nor no", "A,2027-03-20,,,,perhaps,", `hives.csv:2:6: alive "perhaps" is neither yes nor no; write yes or no`},
		{"bad word", "A,2027-03-20,,,,,lihgt", `hives.csv:2:7: heft "lihgt" is not known; did you mean "light"? write light, fair or heavy`},
		{"not whole", "A,2027-03-20,,,2.5,,", `hives.csv:2:5: seams 2.5 is not a whole number; write a whole number`},
		{"empty but needed", ",2027-03-20,,,,,", `hives.csv:2:1: colony is empty; fill it in`},
	} {
		tab, _ := readText(t, head+c.row+"\n")
		require.NotNil(t, tab, c.name)
		var ps read.Problems
		grids := read.Read("hives.csv", strings.NewReader(head+c.row+"\n"), read.DefaultLimits(), &ps)
		tab = read.New(grids[0], columns(), &ps)
		r := tab.Rows[0]
		r.Need("colony")
		r.Date("date")
		require.True(t, math.IsNaN(r.FloatIn("gross", 0, 200)) || !strings.Contains(c.want, ":2:3:"), c.name)
		r.FloatIn("count_temp", -60, 60)
		r.Int("seams", 0, 60)
		r.Bool("alive", true)
		r.Choice("heft", "light", "fair", "heavy")
		require.Len(t, ps, 1, "%s: %v", c.name, ps)
		require.Equal(t, c.want, ps[0].String(), c.name)
	}
	require.Panics(t, func() {
		tab, _ := readText(t, head+"A,2027-03-20,,,,,\n")
		tab.Rows[0].Text("queen")
	}, "asking for a column that was not declared is a programmer's error")
}

func TestNothingKnown(t *testing.T) {
	tab, ps := readText(t, "colony,date,gross,alive,heft\nA,?,n/a,-,unknown\n")
	require.Empty(t, ps)
	r := tab.Rows[0]
	require.True(t, math.IsNaN(r.Float("gross")))
	require.True(t, r.Date("date").IsZero())
	require.True(t, r.Bool("alive", true))
	require.Empty(t, r.Choice("heft", "light"))
	require.False(t, r.Has("gross"))
	name, ok := r.NeedText("heft")
	require.True(t, ok)
	require.Equal(t, "unknown", name, "a name may be any word")
}

func TestWorkbook(t *testing.T) {
	f := excelize.NewFile()
	defer f.Close()
	style, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	require.NoError(t, err)
	for cell, v := range map[string]any{
		"A1": "# yard by the mill", "A3": "Colony", "B3": "Date", "C3": "gross_kg", "D3": "alive",
		"A4": "A", "B4": time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC), "C4": 30.5, "D4": true,
		"A6": "B", "B6": "2027-03-21", "C6": "31.5",
		"A7": "C", "B7": "21/3/2027",
	} {
		require.NoError(t, f.SetCellValue("Sheet1", cell, v))
	}
	require.NoError(t, f.SetCellStyle("Sheet1", "B4", "B4", style))
	_, err = f.NewSheet("empty")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "hives.xlsx")
	require.NoError(t, f.SaveAs(path))

	var ps read.Problems
	grids := open(path, "hives.xlsx", read.DefaultLimits(), &ps)
	require.Empty(t, ps)
	require.Len(t, grids, 2)
	require.Equal(t, "empty", grids[1].Name)
	require.Empty(t, grids[1].Rows)
	tab := read.New(grids[0], columns(), &ps)
	require.Empty(t, ps)
	require.Len(t, tab.Rows, 3)
	require.Equal(t, []int{4, 6, 7}, []int{tab.Rows[0].Line, tab.Rows[1].Line, tab.Rows[2].Line})
	require.Equal(t, "2027-03-20", tab.Rows[0].Date("date").Format(time.DateOnly), "a cell formatted as a date")
	require.Equal(t, "2027-03-21", tab.Rows[1].Date("date").Format(time.DateOnly), "a date as text")
	require.Equal(t, 30.5, tab.Rows[0].Float("gross"))
	require.Equal(t, 31.5, tab.Rows[1].Float("gross"), "a number kept as text")
	require.True(t, tab.Rows[0].Bool("alive", false))
	require.Equal(t, "2027-03-21", tab.Rows[2].Date("date").Format(time.DateOnly), "only one reading is possible")
	require.Empty(t, ps)

	var tight read.Problems
	lim := read.DefaultLimits()
	lim.MaxUnzipBytes = 1000
	require.Empty(t, open(path, "hives.xlsx", lim, &tight))
	require.ErrorContains(t, tight.Err(), "unzip size exceeds", "a workbook that unpacks to more than the limit is refused")
}

func TestLimitsAndOpening(t *testing.T) {
	lim := read.DefaultLimits()
	lim.MaxRows = 3
	var ps read.Problems
	g := read.Read("a.csv", strings.NewReader("colony\n1\n2\n3\n4\n"), lim, &ps)
	require.Empty(t, g, "it is told before it is taken apart")
	require.Equal(t, "a.csv:4: the table has more than 3 rows; keep only the rows that are needed", ps[0].String())

	ps, lim = nil, read.DefaultLimits()
	lim.MaxBytes = 1 << 20
	require.Empty(t, read.Read("a.csv", io.LimitReader(zeros{}, 2<<20), lim, &ps))
	require.Equal(t, "a.csv: the file is larger than 1 MB; keep only the rows that are needed", ps[0].String())

	ps, lim = nil, read.DefaultLimits()
	lim.MaxColumns = 2
	read.Read("a.csv", strings.NewReader("a,b,c\n"), lim, &ps)
	require.Equal(t, "a.csv:1: the row has more than 2 cells; check that this is the right file", ps[0].String())

	ps = nil
	open(filepath.Join(t.TempDir(), "none.csv"), "none.csv", read.DefaultLimits(), &ps)
	open(t.TempDir(), "folder.csv", read.DefaultLimits(), &ps)
	require.Equal(t, "none.csv: the file cannot be opened: there is no such file; check its name and place", ps[0].String())
	require.Equal(t, "folder.csv: this is a folder, not a file; name a file, or rename the folder", ps[1].String())
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func TestUnits(t *testing.T) {
	seen := map[string]string{}
	for _, u := range read.Units() {
		for _, n := range append([]string{u.Name}, u.Aliases...) {
			got, ok := read.FindUnit(n)
			require.True(t, ok, n)
			require.Equal(t, u.Name, got.Name, "%s means one unit only", n)
			seen[n] = u.Name
		}
		if u.US != "" {
			us := read.OutputUnit(u.Name, true)
			require.Equal(t, u.Dimension, us.Dimension, u.Name)
		}
		require.Equal(t, u.Name, read.OutputUnit(u.Name, false).Name)
	}
	unit := func(n string) read.Unit { u, ok := read.FindUnit(n); require.True(t, ok, n); return u }
	for _, c := range []struct {
		v        float64
		from, to string
		want     float64
		source   string
	}{
		{1, "lb", "kg", 0.45359237, "international pound of 1959"},
		{16, "oz", "lb", 1, "16 ounces to the pound"},
		{1, "US gal", "L", 3.785411784, "231 cubic inches"},
		{4, "US qt", "US gal", 1, "4 quarts to the gallon"},
		{8, "US pt", "US gal", 1, "8 pints to the gallon"},
		{32, "F", "C", 0, "ice point"},
		{212, "F", "C", 100, "steam point"},
		{-40, "C", "F", -40, "where the two scales meet"},
		{1, "in", "mm", 25.4, "international inch"},
		{3, "ft", "in", 36, "12 inches to the foot"},
		{1, "mi", "km", 1.609344, "international mile"},
	} {
		require.InDelta(t, c.want, read.Convert(c.v, unit(c.from), unit(c.to)), 1e-9, "%g %s: %s", c.v, c.from, c.source)
	}
	require.InDelta(t, 9, read.ConvertDifference(5, unit("C"), unit("F")), 1e-9, "5 C warmer is 9 F warmer")
	require.Panics(t, func() { read.Convert(1, unit("kg"), unit("L")) })
	rapid.Check(t, func(t *rapid.T) {
		us := read.Units()
		a := rapid.SampledFrom(us).Draw(t, "unit")
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		for _, b := range us {
			if b.Dimension != a.Dimension {
				continue
			}
			if back := read.Convert(read.Convert(v, a, b), b, a); math.Abs(back-v) > 1e-9*(1+math.Abs(v)) {
				t.Fatalf("%g %s by way of %s comes back as %g", v, a.Name, b.Name, back)
			}
		}
	})
}

func TestSafeCell(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"=SUM(A1)", "'=SUM(A1)"}, {"+cmd", "'+cmd"}, {"-cmd", "'-cmd"}, {"@home", "'@home"}, {"\tx", "'\tx"}, {"\rx", "'\rx"},
		{"  =1", "'  =1"}, {"＝1", "'＝1"}, {"-", "'-"},
		{"-5", "-5"}, {"+3.25", "+3.25"}, {"-1e-3", "-1e-3"}, {"-1,5", "-1,5"},
		{"Mill yard", "Mill yard"}, {"a=b", "a=b"}, {"", ""}, {"'quoted'", "'quoted'"}, {"-5+cmd", "'-5+cmd"},
	} {
		require.Equal(t, c.want, read.SafeCell(c.in))
		require.Equal(t, c.want, read.SafeCell(read.SafeCell(c.in)), "twice is as once")
	}
}

func rows() [][]any {
	return [][]any{
		{"colony", "date", "gross_kg", "seams", "alive", "heft"},
		{"=A1", time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC), read.Number{Value: 30.456, Decimals: 1}, 5, true, nil},
		{"-B, \"two\"", time.Time{}, read.Number{Value: math.NaN(), Decimals: 1}, math.Inf(1), false, "light"},
	}
}

// sheet is rows as a spreadsheet holds them.
func sheet() [][]any {
	return [][]any{
		{"colony", "date", "gross_kg", "seams", "alive", "heft"},
		{"'=A1", time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC), 30.456, 5, true, nil},
		{"-B", time.Time{}, math.NaN(), math.Inf(1), false, "light"},
	}
}

func TestWriteAndReadBack(t *testing.T) {
	var buf bytes.Buffer
	require.NoError(t, read.WriteCSV(&buf, rows()))
	require.Equal(t, "colony,date,gross_kg,seams,alive,heft\n'=A1,2027-03-20,30.5,5,yes,\n\"'-B, \"\"two\"\"\",,,,no,light\n", buf.String())
	tab, ps := readText(t, buf.String())
	require.Empty(t, ps)
	require.Equal(t, "=A1", tab.Rows[0].Text("colony"), "the apostrophe is taken off again")

	buf.Reset()
	require.NoError(t, readtest.WriteXLSX(&buf, []readtest.Sheet{{Name: "hives", Rows: sheet()}, {Name: "notes", Rows: [][]any{{"note"}}}}))
	grids := read.Read("out.xlsx", &buf, read.DefaultLimits(), &ps)
	require.Empty(t, ps)
	require.Equal(t, []string{"hives", "notes"}, []string{grids[0].Name, grids[1].Name})
	tab = read.New(grids[0], columns(), &ps)
	require.Empty(t, ps)
	require.Equal(t, "=A1", tab.Rows[0].Text("colony"), "an apostrophe in front is taken off")
	require.Equal(t, "2027-03-20", tab.Rows[0].Date("date").Format(time.DateOnly))
	require.Equal(t, 30.456, tab.Rows[0].Float("gross"), "a workbook keeps the whole number")
	require.True(t, math.IsNaN(tab.Rows[1].Float("gross")))
	require.Panics(t, func() { _ = read.WriteCSV(io.Discard, [][]any{{struct{}{}}}) })
	require.Equal(t, "0.0\n", csvOf(t, read.Number{Value: -0.01, Decimals: 1}), "no minus before nothing")
}

func csvOf(t *testing.T, v any) string {
	var b strings.Builder
	require.NoError(t, read.WriteCSV(&b, [][]any{{v}}))
	return b.String()
}

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "plan.csv")
	put := func(s string, err error) error {
		return read.WriteFile(path, func(w io.Writer) error { _, _ = io.WriteString(w, s); return err })
	}
	require.NoError(t, put("old", nil))
	full := errors.New("no room")
	require.ErrorIs(t, put("half", full), full)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "old", string(got), "a write that fails leaves the old file")
	require.NoError(t, put("new", nil))
	got, _ = os.ReadFile(path)
	require.Equal(t, "new", string(got))
	left, _ := os.ReadDir(dir)
	require.Len(t, left, 1, "nothing stays beside the file")
	require.ErrorIs(t, read.WriteFile(filepath.Join(dir, "no", "plan.csv"), func(io.Writer) error { return nil }), fs.ErrNotExist)
}

// TestWriteFilePlaces keeps links and pipes where they are, and tells in plain
// words what is in the way.
func TestWriteFilePlaces(t *testing.T) {
	t.Chdir(t.TempDir())
	hello := func(w io.Writer) error { _, err := io.WriteString(w, "hello"); return err }
	require.NoError(t, os.Mkdir("folder", 0o755))
	require.NoError(t, os.WriteFile("folder/real.csv", []byte("old"), 0o600))
	for _, c := range []struct{ name, path, want string }{
		{"a folder of that name", "folder", "folder cannot be written: it is a folder; name a file"},
		{"no folder", "no/plan.csv", "no/plan.csv cannot be written: its folder is not there; make the folder first or correct its name"},
		{"a file for a folder", "folder/real.csv/plan.csv", "folder/real.csv/plan.csv cannot be written: a part of its path is a file, not a folder; name another place"},
	} {
		require.EqualError(t, read.WriteFile(c.path, hello), c.want, c.name)
	}
	require.EqualError(t, read.MakeFolder("folder/real.csv"), "folder/real.csv cannot be written: a part of its path is a file, not a folder; name another place")
	full := &os.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}
	require.EqualError(t, read.WriteFile("plan.csv", func(io.Writer) error { return full }), "plan.csv cannot be written: the disk is full; make room or name another place")
	own := errors.New("own trouble")
	require.Equal(t, own, read.WriteFile("plan.csv", func(io.Writer) error { return own }), "what is no fault of the disk stays as it is")

	require.NoError(t, os.Symlink("folder/real.csv", "link.csv"))
	require.NoError(t, read.WriteFile("link.csv", hello))
	st, err := os.Lstat("link.csv")
	require.NoError(t, err)
	require.Equal(t, os.ModeSymlink, st.Mode().Type(), "the link stays")
	got, err := os.ReadFile("folder/real.csv")
	require.NoError(t, err)
	require.Equal(t, "hello", string(got))

	if err := exec.Command("mkfifo", "pipe").Run(); err != nil {
		t.Skip("mkfifo is not there: a pipe cannot be tried")
	}
	through := make(chan string)
	go func() {
		b, _ := os.ReadFile("pipe")
		through <- string(b)
	}()
	require.NoError(t, read.WriteFile("pipe", hello))
	require.Equal(t, "hello", <-through)
	st, err = os.Lstat("pipe")
	require.NoError(t, err)
	require.Equal(t, os.ModeNamedPipe, st.Mode().Type(), "the pipe is still one")
	require.EqualError(t, read.WriteFile("pipe", hello), "pipe cannot be written: it is a pipe that nobody reads; start its reader first, or name a file")
}

// readAll asks for every cell in every way and so looks for a panic.
func readAll(t *testing.T, data []byte) {
	var ps read.Problems
	lim := read.Limits{MaxBytes: 1 << 20, MaxUnzipBytes: 1 << 22, MaxRows: 200, MaxColumns: 50, MaxCells: 10_000, MaxLineBytes: 10_000}
	for _, g := range read.Read("f", bytes.NewReader(data), lim, &ps) {
		if len(g.Rows) > lim.MaxRows {
			t.Fatal("more rows than the limit")
		}
		for _, r := range read.New(g, columns(), &ps).Rows {
			for _, c := range columns() {
				r.Need(c.Name)
				r.Text(c.Name)
				r.Date(c.Name)
				r.Dates(c.Name)
				r.Int(c.Name, 0, 10)
				r.Bool(c.Name, true)
				r.Choice(c.Name, "light", "fair")
				if v := r.FloatIn(c.Name, 0, 200); v < 0 || v > 200 {
					t.Fatalf("%g is outside the range asked for", v)
				}
			}
		}
	}
	for _, p := range ps {
		if p.Message == "" || strings.ContainsAny(p.String(), "\n\r") {
			t.Fatalf("a problem must be one line of text: %q", p.String())
		}
	}
}

func FuzzCSV(f *testing.F) {
	f.Add("colony,date,gross_kg\nA,2027-03-20,30.5\n")
	f.Add("sep=;\nColony;Date;weight lb\n\"A\"\"\";2027-03-20;30,5\n")
	f.Add("# c\n\n\"#x\",\ncolony\tdate\nA\t?\tb\n")
	f.Add("\xff\xfec\x00,\x00\n\x00")
	f.Fuzz(func(t *testing.T, text string) { readAll(t, []byte(text)) })
}

func FuzzXLSX(f *testing.F) {
	var buf bytes.Buffer
	if err := readtest.WriteXLSX(&buf, []readtest.Sheet{{Name: "hives", Rows: sheet()}}); err != nil {
		f.Fatal(err)
	}
	f.Add(buf.Bytes())
	f.Add(buf.Bytes()[:buf.Len()/2])
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, data []byte) { readAll(t, data) })
}
