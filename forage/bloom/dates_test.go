package bloom

import (
	"bloomgap/forage/read"
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func TestReadDates(t *testing.T) {
	cases := []struct {
		name, in string
		want     []string // date plant place
		problems []string // parts of each problem, in order
	}{
		{"plain", "date\n2023-04-28\n2024-04-21\n", []string{"2023-04-28||", "2024-04-21||"}, nil},
		{"plant, place, columns in any order", "Plant,Bloom_Date,Yard\nwillow,2023-03-28,Home\n", []string{"2023-03-28|willow|Home"}, nil},
		{"year and day of the year, leap and not", "year,doy\n2023,91\n2024,91\n", []string{"2023-04-01||", "2024-03-31||"}, nil},
		{"date wins, year and doy fill in", "year,first_flower_date,doy\n2023,2023-05-01,121\n2024,,120\n", []string{"2023-05-01||", "2024-04-29||"}, nil},
		{"semicolons, byte order mark, CRLF", "\ufeffdate;plant\r\n28.04.2023;elm\r\n", []string{"2023-04-28|elm|"}, nil},
		{"tabs and carriage returns alone", "date\tplant\r20230428\telm\r", []string{"2023-04-28|elm|"}, nil},
		{"Latin-1", "date,plant\n2023-04-28,L\xf6wenzahn\n", []string{"2023-04-28|Löwenzahn|"}, nil},
		{"comment and blank lines", "# my notes\ndate\n\n2023-04-28\n", []string{"2023-04-28||"}, nil},
		{"slashes with one reading", "date\n28/04/2023\n4/28/2024\n5/5/2025\n", []string{"2023-04-28||", "2024-04-28||", "2025-05-05||"}, nil},
		{"slashes with two readings", "date\n04/05/2023\n", nil, []string{"f.csv:2:1: \"04/05/2023\" may be 4 May or 5 April; write it as 2023-05-04 or 2023-04-05"}},
		{"every problem in one run", "plant,date\nelm,2023-13-01\nelm,soon\nelm,0204-04-01\nelm,2024-04-10\n", []string{"2024-04-10|elm|"},
			[]string{"f.csv:2:2:", "f.csv:3:2:", `f.csv:4:2: "0204-04-01" is not a date from 1500 to 2200`}},
		{"day 366 of a common year", "year,doy\n2023,366\n2024,366\nnow,10\n", []string{"2024-12-31||"}, []string{"f.csv:2:2: \"366\"", "f.csv:4:1: \"now\""}},
		{"no date: a warning", "date,plant\n,elm\n2023-04-01,elm\n", []string{"2023-04-01|elm|"}, []string{"f.csv:2:1: warning: no date"}},
		{"second date: the earlier stays", "date,plant\n2023-04-09,elm\n2023-04-05,Elm\n2023-04-07,willow\n", []string{"2023-04-05|Elm|", "2023-04-07|willow|"},
			[]string{"f.csv:3:1: warning: a second date for 2023, line 2"}},
		{"January and December are two springs", "date\n2023-01-09\n2023-12-30\n", []string{"2023-01-09||", "2023-12-30||"}, nil},
		{"year at odds with the date", "year,date\n2022,2023-04-09\n", []string{"2023-04-09||"}, []string{"f.csv:2:1: warning: year \"2022\""}},
		{"no date column", "when,plant\n2023-04-09,elm\n", nil, []string{"f.csv:1: no column of dates among \"when, plant\"; name a column date"}},
		{"empty", " \n", nil, []string{"f.csv: is empty"}},
		{"headings only", "date\n", nil, []string{"f.csv: holds no dates"}},
		{"a stray quotation mark", "date,plant\n2023-04-09,\"elm\n", nil, []string{"f.csv:"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, ps := ReadDates("f.csv", strings.NewReader(c.in))
			var lines []string
			for _, o := range got {
				lines = append(lines, o.Date.Format(time.DateOnly)+"|"+o.Plant+"|"+o.Place)
			}
			require.Equal(t, c.want, lines)
			require.Len(t, ps, len(c.problems), "%v", ps)
			for i, part := range c.problems {
				require.Contains(t, ps[i].String(), part)
				require.NotEmpty(t, ps[i].Fix)
			}
		})
	}
}

// TestStagesAreKeptApart: two stages of a spring are two notes, and no warning.
func TestStagesAreKeptApart(t *testing.T) {
	notes, ps := ReadDates("f.csv", strings.NewReader(
		"date,plant,stage\n2023-04-09,red maple,First flower\n2023-04-17,red maple,full bloom\n2024-04-11,red maple,\n"))
	require.Empty(t, ps)
	require.Len(t, notes, 3)
	require.Equal(t, []string{"", "first flower", "full bloom"}, Stages(notes))
	require.Equal(t, date(2023, 4, 17), OfStage(notes, FullBloom)[0].Date)
	require.Len(t, OfStage(notes, ""), 3)
}

// TestReadDatesWorkbook puts notes in the second sheet: date cells, text and a
// bare year, which is no date.
func TestReadDatesWorkbook(t *testing.T) {
	f := excelize.NewFile()
	defer f.Close() //nolint:errcheck // in memory
	require.NoError(t, f.SetSheetRow("Sheet1", "A1", &[]any{"a page of remarks"}))
	_, err := f.NewSheet("notes")
	require.NoError(t, err)
	for i, row := range [][]any{{"Plant", "First bloom"}, {"elm", time.Date(2023, 4, 9, 0, 0, 0, 0, time.UTC)}, {"elm", "2024-04-11"}, {}, {"elm", 2025}} {
		require.NoError(t, f.SetSheetRow("notes", fmt.Sprintf("A%d", i+1), &row))
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	notes, ps := ReadDates("n.xlsx", &b)
	require.Len(t, notes, 2)
	require.Equal(t, Observation{Date: time.Date(2023, 4, 9, 0, 0, 0, 0, time.UTC), Plant: "elm", Stage: FirstFlower, Line: 2}, notes[0])
	require.Equal(t, Observation{Date: time.Date(2024, 4, 11, 0, 0, 0, 0, time.UTC), Plant: "elm", Stage: FirstFlower, Line: 3}, notes[1])
	require.Len(t, ps, 1)
	require.Equal(t, `n.xlsx!notes:5:2: "2025" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`, ps[0].String())
}

// TestReadDatesHeadingLine tells that the row after a broken line of headings
// is not taken for one.
func TestReadDatesHeadingLine(t *testing.T) {
	notes, ps := ReadDates("f.csv", strings.NewReader("da\"te,plant\n2023-04-09,elm\n"))
	require.Empty(t, notes)
	require.Len(t, ps, 1)
	require.Equal(t, "f.csv:1: the line of headings cannot be read; give headings such as date,plant", ps[0].String())
}

func TestSelect(t *testing.T) {
	notes, ps := ReadDates("f.csv", strings.NewReader("date,plant,site\n2023-04-09,elm,A\n2023-04-10,elm,B\n2023-05-01,apple,A\n"))
	require.Empty(t, ps)
	require.Len(t, Select(notes, "", ""), 3)
	require.Len(t, Select(notes, "ELM", ""), 2)
	require.Len(t, Select(notes, "elm", "a"), 1)
	require.Empty(t, Select(notes, "oak", ""))
	plants, places := Kinds(notes)
	require.Equal(t, []string{"apple", "elm"}, plants)
	require.Equal(t, []string{"A", "B"}, places)
}

func FuzzReadDates(f *testing.F) {
	for _, s := range []string{"date\n2023-04-28\n", "year,doy,plant\n2024,91,elm\n", "date;site\n28.04.2023;A\n", "date\n4/5/2023\n\"", "\xff\xfe\n", "date,plant\n,\"a\nb\"\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		notes, ps := ReadDates("f.csv", strings.NewReader(string(raw)))
		if len(notes) == 0 && len(ps) == 0 {
			t.Fatal("nothing read and nothing said")
		}
		lines := strings.Count(string(raw), "\n") + strings.Count(string(raw), "\r") + 1
		for _, o := range notes {
			if y := o.Date.Year(); y < read.FirstYear || y > read.LastYear || o.Line < 2 || o.Line > lines {
				t.Fatalf("bad note %+v", o)
			}
		}
		for _, p := range ps {
			if p.Fix == "" || p.Line < 0 || p.Column < 0 || p.Line > lines+1 {
				t.Fatalf("bad problem %+v", p)
			}
		}
	})
}
