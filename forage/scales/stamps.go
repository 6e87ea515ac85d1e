package scales

import (
	"math"
	"regexp"
	"strconv"
	"time"

	"bloomgap/forage/read"
)

// Ways to write a moment that only instruments use.
var (
	runTogether = regexp.MustCompile(`^(\d{8})[T_]?(\d{2})(\d{2})?(\d{2})?$`) // 2024010218, 20240102T1800
	seconds     = regexp.MustCompile(`^\d{10}(?:\.\d+)?$`)                    // since 1970
	thousandths = regexp.MustCompile(`^\d{13}$`)
)

// stampOf reads a day with or without a time. A zone is passed over: the hour is
// that of the clock at the hive. order tells how 3/4/2024 is meant.
func stampOf(text string, order read.Order) (read.Stamp, bool) {
	if s, err := read.ParseDate(text, order); err == nil {
		return s, true
	}
	if f := runTogether.FindStringSubmatch(text); f != nil && text[:4] >= "1900" { // earlier ones are seconds
		clock := f[2]
		for _, part := range f[3:] {
			if part != "" {
				clock += ":" + part
			}
		}
		if s, err := read.ParseDate(f[1]+" "+clock, order); err == nil {
			return s, true
		}
	}
	if seconds.MatchString(text) || thousandths.MatchString(text) {
		v, _ := strconv.ParseFloat(text, 64)
		if thousandths.MatchString(text) {
			v /= 1000
		}
		t := time.Unix(int64(v), 0).UTC()
		s := read.Stamp{Day: t.Truncate(24 * time.Hour)}
		s.Hours = t.Sub(s.Day).Hours()
		return s, t.Year() <= read.LastYear
	}
	return read.Stamp{}, false
}

// stampsOf reads the days of all rows below the headings, in order of rows; one
// that cannot be read has no day.
func stampsOf(g *read.Grid, p *plan) []read.Stamp {
	rows := g.Rows[p.row+1:]
	cell := func(r read.GridRow, at int) string {
		if at < 0 || at >= len(r.Cells) || missing(r.Cells[at]) {
			return ""
		}
		return r.Cells[at]
	}
	cells := make([]string, len(rows))
	var col read.DateColumn
	for i, r := range rows {
		cells[i] = cell(r, p.date)
		if p.year >= 0 {
			cells[i] = dateOfParts(cell(r, p.year), cell(r, p.month), cell(r, p.day))
		}
		if n, order, _, ok := read.SplitDate(cells[i]); ok {
			col.Add(n, order, i)
		}
	}
	order, _ := col.Order()
	out := make([]read.Stamp, len(rows))
	for i, text := range cells {
		s, ok := stampOf(text, order)
		if !ok {
			if s, ok = g.SerialDay(text); !ok {
				continue
			}
		}
		if text := cell(rows[i], p.clock); text != "" && math.IsNaN(s.Hours) {
			s = atClock(s, text)
		}
		out[i] = s
	}
	return out
}

// atClock is a day at the time of a cell of its own.
func atClock(s read.Stamp, text string) read.Stamp {
	if h, ok := read.ParseClock(text); ok {
		s.Hours = h
	} else if v, err := strconv.ParseFloat(text, 64); err == nil && v >= 0 && v < 1 {
		s.Hours = 24 * v // a workbook's time of day
	}
	if s.Hours >= 24 {
		s.Day, s.Hours = s.Day.AddDate(0, 0, 1), s.Hours-24
	}
	return s
}

// dateOfParts writes a date from three cells; "" when one is no number.
func dateOfParts(parts ...string) string {
	var n [3]int
	for i, part := range parts {
		var ok bool
		if n[i], ok = read.WholeNumber(part); !ok {
			return ""
		}
	}
	return strconv.Itoa(n[0]) + "-" + strconv.Itoa(n[1]) + "-" + strconv.Itoa(n[2])
}
