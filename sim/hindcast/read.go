package hindcast

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/forage/table"
)

// Weighing is the weight of a hive on a day.
type Weighing struct {
	Date    time.Time // midnight UTC
	GrossKg float64   // the whole hive as the scale shows it
	// Handled tells that the keeper worked at the hive since the weighing before,
	// and ChangeKg what was put on (or, negative, taken off) then; NaN when the
	// amount is not known, 0 when nothing was.
	Handled  bool
	ChangeKg float64
	Note     string
	Line     int // of the table; 0 when it was not read from one
}

// Series are the weighings of one hive in order of days, one a day.
type Series struct {
	Hive      string // "" when the table names none
	File      string
	Weighings []Weighing
}

// What is taken for the weight of a hive, kg. A lone floor weighs more than the
// least, a hive with four full supers less than the most (common practice).
const leastHiveKg, mostHiveKg = 5.0, 250.0

// eveningHour is the hour from which a reading is that of an evening, with the
// bees at home, h, 17-21, own judgement.
const eveningHour = 18

func columns() []table.Column {
	return []table.Column{
		{Name: "date", Aliases: []string{"day", "time", "datetime", "timestamp"}, Required: true},
		{Name: "weight", Aliases: []string{"gross", "gross weight", "hive weight", "mass"}, Required: true, Unit: "kg"},
		{Name: "hive", Aliases: []string{"colony", "name"}},
		{Name: "change", Aliases: []string{"put on", "work"}, Unit: "kg"},
		{Name: "mark", Aliases: []string{"handled", "worked on"}},
		{Name: "note", Aliases: []string{"notes", "remark", "remarks"}},
	}
}

// reading is one row.
type reading struct {
	Weighing
	hour int // -1 when not given
}

// Read reads a table of weighings: date, weight (weight_kg or weight_lb), and if
// wanted hive, change (what was put on or taken off since the row before), mark
// (yes when the hive was worked on and the amount is not known) and note. Dates
// are year-month-day, or day.month.year with points, with or without a time. The
// readings of a day come down to their median, those from 18 h on when there
// are any. Series stand in the order in which their hives first appear.
func Read(name string, r io.Reader, ps *table.Problems) []Series {
	grids := table.Read(name, r, table.DefaultLimits(), ps)
	if len(grids) == 0 {
		return nil
	}
	t := table.New(grids[0], columns(), ps)
	byHive := map[string][]reading{}
	var hives []string
	for _, row := range t.Rows {
		hive := row.Text("hive")
		x, ok := readRow(row)
		if !ok {
			continue
		}
		if _, known := byHive[hive]; !known {
			hives = append(hives, hive)
		}
		byHive[hive] = append(byHive[hive], x)
	}
	var out []Series
	for _, hive := range hives {
		out = append(out, Series{Hive: hive, File: t.File, Weighings: daily(byHive[hive], t.File, ps)})
	}
	if len(out) == 0 && len(ps.Fatal()) == 0 {
		ps.Add(t.File, 0, 0, "there is no weighing in it", "write a row for each weighing")
	}
	return out
}

func readRow(row table.Row) (reading, bool) {
	x := reading{Weighing: Weighing{Line: row.Line, Note: row.Text("note")}, hour: -1}
	if !row.Need("date") {
		return x, false
	}
	x.Date, x.hour = dateOf(row)
	x.GrossKg = row.Float("weight")
	x.ChangeKg = row.FloatIn("change", -100, 100)
	switch {
	case math.IsNaN(x.ChangeKg):
		x.Handled, x.ChangeKg = row.Bool("mark", false), 0
		if x.Handled {
			x.ChangeKg = math.NaN()
		}
	default:
		x.Handled = x.ChangeKg != 0 || row.Bool("mark", false)
	}
	switch {
	case x.Date.IsZero():
		return x, false
	case math.IsNaN(x.GrossKg):
		if x.Handled && !row.Has("weight") {
			row.Warn("weight", "work at the hive without a weight is not used", "write it on the row of the next weighing")
		}
		return x, false
	case x.GrossKg < leastHiveKg || x.GrossKg > mostHiveKg:
		row.Warn("weight", fmt.Sprintf("%.4g kg is not the weight of a hive and was left out", x.GrossKg), "check the scale, or the unit of the column")
		return x, false
	}
	return x, true
}

// stamps are the ways to write a day with its time that are read. A zone is
// kept: the hour is that of the clock at the hive.
var stamps = [...]string{
	"2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02T15:04:05", "2006-01-02T15:04",
	"2006-01-02 15:04:05Z07:00", "2006-01-02T15:04:05Z07:00", "2006-01-02T15:04Z07:00", "2006-01-02 15:04:05 -0700",
	"02.01.2006 15:04:05", "02.01.2006 15:04",
}

// dateOf reads a day that may have a time of day with it; the hour is -1 when
// there is none.
func dateOf(row table.Row) (day time.Time, hour int) {
	text := row.Text("date")
	for _, layout := range stamps {
		if d, err := time.Parse(layout, text); err == nil && believed(d) {
			return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, time.UTC), d.Hour()
		}
	}
	if d, err := time.Parse("02.01.2006", text); err == nil && believed(d) {
		return d, -1
	}
	return row.Date("date"), -1
}

// believed tells whether a year is one in which hives were weighed.
func believed(d time.Time) bool { return d.Year() >= 1700 && d.Year() <= 2200 }

// Between keeps the weighings from one day to another, both included; a zero
// time sets no end.
func Between(ws []Weighing, from, to time.Time) []Weighing {
	var out []Weighing
	for _, w := range ws {
		if (from.IsZero() || !w.Date.Before(from)) && (to.IsZero() || !w.Date.After(to)) {
			out = append(out, w)
		}
	}
	return out
}

// daily brings the readings of a hive down to one a day, in order.
func daily(all []reading, file string, ps *table.Problems) []Weighing {
	slices.SortStableFunc(all, func(a, b reading) int { return a.Date.Compare(b.Date) })
	var out []Weighing
	for from := 0; from < len(all); {
		to := from
		for to < len(all) && all[to].Date.Equal(all[from].Date) {
			to++
		}
		day := all[from:to]
		w := day[len(day)-1].Weighing
		var kg []float64
		timed, evening := 0, false
		for _, x := range day {
			if x.hour >= 0 {
				timed++
			}
			evening = evening || x.hour >= eveningHour
		}
		if len(day) > 1 && timed < len(day) {
			ps.Warn(file, day[1].Line, 0, "the hive was weighed twice on "+w.Date.Format(time.DateOnly)+"; the middle of the readings is used", "give their times, or keep one a day")
		}
		w.Handled, w.ChangeKg = false, 0
		var notes []string
		for _, x := range day {
			if !evening || x.hour >= eveningHour {
				kg = append(kg, x.GrossKg)
			}
			w.Handled = w.Handled || x.Handled
			w.ChangeKg += x.ChangeKg // NaN stays
			if x.Note != "" {
				notes = append(notes, x.Note)
			}
		}
		w.GrossKg, w.Note = median(kg), strings.Join(notes, "; ")
		out = append(out, w)
		from = to
	}
	return out
}

// median leaves x sorted; NaN for an empty one.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}
