package read_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/forage/read"
)

func TestParseDate(t *testing.T) {
	for _, c := range []struct {
		text    string
		settled read.Order
		day     string
		hours   float64
	}{
		{"2027-03-20", read.YearLast, "2027-03-20", math.NaN()},
		{"2027/3/5", read.YearLast, "2027-03-05", math.NaN()},
		{"20270320", read.YearLast, "2027-03-20", math.NaN()},
		{"2027-03-20T18:30:00Z", read.YearLast, "2027-03-20", 18.5},
		{"2027-03-20 24:00", read.YearLast, "2027-03-21", 0},
		{"20.3.2027", read.YearLast, "2027-03-20", math.NaN()},
		{"3/20/2027", read.YearLast, "2027-03-20", math.NaN()},
		{"20/3/27", read.YearLast, "2027-03-20", math.NaN()},
		{"3/4/2027", read.DayFirst, "2027-04-03", math.NaN()},
		{"3/4/2027", read.MonthFirst, "2027-03-04", math.NaN()},
		{"3.4.2027", read.MonthFirst, "2027-03-04", math.NaN()},
		{"5/5/2027", read.YearLast, "2027-05-05", math.NaN()},
		{"1/1/81", read.YearLast, "1981-01-01", math.NaN()},
		{"1/2/81 6:00 PM", read.MonthFirst, "1981-01-02", 18},
		{"20 March 2027", read.YearLast, "2027-03-20", math.NaN()},
		{"20-Mar-2027", read.YearLast, "2027-03-20", math.NaN()},
		{"Sat, 20 Mar 2027 06:00", read.YearLast, "2027-03-20", 6},
		{"March 20, 2027", read.YearLast, "2027-03-20", math.NaN()},
		{"20. März 2027", read.YearLast, "2027-03-20", math.NaN()},
		{"1848-05-01", read.YearLast, "1848-05-01", math.NaN()},
	} {
		s, err := read.ParseDate(c.text, c.settled)
		require.Nil(t, err, "%s: %v", c.text, err)
		require.Equal(t, c.day, s.Day.Format(time.DateOnly), c.text)
		if math.IsNaN(c.hours) {
			require.True(t, math.IsNaN(s.Hours), c.text)
		} else {
			require.InDelta(t, c.hours, s.Hours, 1e-9, c.text)
		}
	}
	for text, want := range map[string]string{
		"3/4/2027":            `"3/4/2027" may be 3 April or 4 March; write it as 2027-04-03 or 2027-03-04`,
		"2027-02-30":          `"2027-02-30" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"13/13/2027":          `"13/13/2027" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"2027-03":             `"2027-03" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"2027-03-20 at dawn":  `"2027-03-20 at dawn" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"20 Plum 2027":        `"20 Plum 2027" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"2027-03-20 25:00":    `"2027-03-20 25:00" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"":                    `"" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"123456789-1-1":       `"123456789-1-1" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
		"99999999-99999999-1": `"99999999-99999999-1" is not a date from 1500 to 2200; write year-month-day, such as 2027-03-20`,
	} {
		_, err := read.ParseDate(text, read.YearLast)
		require.NotNil(t, err, text)
		require.Equal(t, want, err.Message+"; "+err.Fix)
	}
}

func TestDateColumn(t *testing.T) {
	for name, c := range map[string]struct {
		dates   []string
		order   read.Order
		settled bool
		dotted  bool
	}{
		"the year is first":           {[]string{"2027-03-04"}, read.YearFirst, true, false},
		"a day above 12":              {[]string{"3/4/2027", "13/4/2027"}, read.DayFirst, true, false},
		"a day above 12, month first": {[]string{"4/3/2027", "4/13/2027"}, read.MonthFirst, true, false},
		"two digits of the year":      {[]string{"1/1/81", "1/13/81"}, read.MonthFirst, true, false},
		"days that run on":            {[]string{"4/1/2027", "4/2/2027", "4/3/2027"}, read.MonthFirst, true, false},
		"days that run on, day first": {[]string{"1/4/2027", "2/4/2027", "3/4/2027"}, read.DayFirst, true, false},
		"one date of two readings":    {[]string{"3/4/2027"}, read.DayFirst, false, false},
		"both orders":                 {[]string{"13/4/2027", "4/13/2027"}, read.DayFirst, false, false},
		"dots are day first":          {[]string{"3.4.2027"}, read.DayFirst, true, false},
		"dots, month first":           {[]string{"3.4.2027", "3.20.2027"}, read.MonthFirst, true, true},
		"dots that run on by months":  {[]string{"4.1.2027", "4.2.2027", "4.3.2027", "4.4.2027"}, read.MonthFirst, true, true},
	} {
		t.Run(name, func(t *testing.T) {
			var col read.DateColumn
			for i, text := range c.dates {
				n, order, _, ok := read.SplitDate(text)
				require.True(t, ok, text)
				col.Add(n, order, i)
			}
			order, settled := col.Order()
			require.Equal(t, c.order, order)
			require.Equal(t, c.settled, settled)
			require.Equal(t, c.dotted, col.DottedMonthFirst())
		})
	}
}

// TestEveryDayReadsBack: a day of any believed year written in any of the usual
// ways is read as itself.
func TestEveryDayReadsBack(t *testing.T) {
	first, _ := read.DayNumber(read.FirstYear, 1, 1)
	last, _ := read.DayNumber(read.LastYear, 12, 31)
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Int32Range(first, last).Draw(t, "day")
		day := read.DayOf(number)
		if again, ok := read.DayNumber(day.Year(), int(day.Month()), day.Day()); !ok || again != number {
			t.Fatalf("%v is day %d, not %d", day, again, number)
		}
		for layout, order := range map[string]read.Order{time.DateOnly: read.YearLast, "20060102": read.YearLast, "2.1.2006": read.DayFirst,
			"1/2/2006": read.MonthFirst, "2 January 2006": read.YearLast, "Jan 2, 2006": read.YearLast, "2006-01-02T15:04:05Z": read.YearLast} {
			text := day.Format(layout)
			if s, err := read.ParseDate(text, order); err != nil || !s.Day.Equal(day) {
				t.Fatalf("%s is read as %v, %v", text, s.Day, err)
			}
		}
	})
}

func TestWholeNumber(t *testing.T) {
	for text, want := range map[string]int{"1980": 1980, "1980.0": 1980, "1980.": 1980, "1980,00": 1980, "7": 7} {
		n, ok := read.WholeNumber(text)
		require.True(t, ok, text)
		require.Equal(t, want, n, text)
	}
	for _, text := range []string{"", "1980.5", "-3", "x", "19800000"} {
		_, ok := read.WholeNumber(text)
		require.False(t, ok, text)
	}
}

func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2027-03-20", "3/4/27 6 PM", "20. März 2027", "20270320T1830", "\xff3.4.2027", "99999999", "1-1-1-1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, o := range []read.Order{read.YearLast, read.DayFirst, read.MonthFirst} {
			s, err := read.ParseDate(text, o)
			if err != nil {
				continue
			}
			if y := s.Day.Year(); y < read.FirstYear || y > read.LastYear+1 || !s.Day.Equal(s.Day.Truncate(24*time.Hour)) {
				t.Fatalf("%q is read as %v", text, s.Day)
			}
			if s.Hours < 0 || s.Hours >= 24 {
				t.Fatalf("%q has the hour %g", text, s.Hours)
			}
		}
	})
}
