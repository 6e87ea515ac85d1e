package scales

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"bloomgap/forage/read"
)

// stamp is a day and its time of day in hours, NaN when it has none.
type stamp struct {
	day   time.Time
	hours float64
}

// The ways to write a day. A zone is passed over: the hour is that of the clock
// at the hive. An American day has its month first.
var (
	yearFirst   = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T\s]+(.*))?$`)
	yearLast    = regexp.MustCompile(`^(\d{1,2})([-/.])(\d{1,2})[-/.](\d{4}|\d{2})(?:[T,\s]+(.*))?$`)
	dayAndMonth = regexp.MustCompile(`^(?:\w{3,9},?\s+)?(\d{1,2})\.?[-\s](\p{L}{3,9})\.?,?[-\s](\d{4})(?:[,\s]+(.*))?$`)
	monthAndDay = regexp.MustCompile(`^(\p{L}{3,9})\.?\s(\d{1,2}),?\s(\d{4})(?:[,\s]+(.*))?$`)
	runTogether = regexp.MustCompile(`^(\d{4})(\d{2})(\d{2})[T_]?(\d{2})?:?(\d{2})?(\d{2})?$`)
	seconds     = regexp.MustCompile(`^\d{10}(?:\.\d+)?$`)
	thousandths = regexp.MustCompile(`^\d{13}$`)
	clockText   = regexp.MustCompile(`^(\d{1,2})(?:[:.h](\d{2}))?(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([AaPp]\.?[Mm]\.?)?\s*(?:Z|UTC|GMT|CES?T|MES?Z|[+-]\d{2}:?\d{2}|[+-]\d{2})?$`)
)

// stampOf reads a day with or without a time; monthFirst tells how 3/4/2024 is
// meant.
func stampOf(text string, monthFirst bool) (stamp, bool) {
	text = strings.TrimSpace(text)
	at := func(year, month, day, clock string) (stamp, bool) {
		y, m, d := number(year), number(month), number(day)
		if y < 100 {
			y += 2000
		}
		s := stamp{day: time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC), hours: math.NaN()}
		if m < 1 || m > 12 || s.day.Day() != d || !believed(s.day) {
			return stamp{}, false
		}
		if clock = strings.TrimSpace(clock); clock != "" {
			h, ok := clockOf(clock)
			if !ok {
				return stamp{}, false
			}
			s.hours = h
		}
		return s, true
	}
	if f := yearFirst.FindStringSubmatch(text); f != nil {
		return at(f[1], f[2], f[3], f[4])
	}
	if f := yearLast.FindStringSubmatch(text); f != nil {
		if monthFirst && f[2] != "." {
			return at(f[4], f[1], f[3], f[5])
		}
		return at(f[4], f[3], f[1], f[5])
	}
	if f := dayAndMonth.FindStringSubmatch(text); f != nil {
		return at(f[3], monthNamed(f[2]), f[1], f[4])
	}
	if f := monthAndDay.FindStringSubmatch(text); f != nil {
		return at(f[3], monthNamed(f[1]), f[2], f[4])
	}
	if f := runTogether.FindStringSubmatch(text); f != nil && (len(text) != 10 || number(text[:4]) >= 1900) {
		if s, ok := at(f[1], f[2], f[3], strings.Join(filled(f[4:]), ":")); ok {
			return s, true
		}
	}
	if seconds.MatchString(text) || thousandths.MatchString(text) {
		v, _ := strconv.ParseFloat(text, 64)
		if thousandths.MatchString(text) {
			v /= 1000
		}
		t := time.Unix(int64(v), 0).UTC()
		s := stamp{day: time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)}
		s.hours = t.Sub(s.day).Hours()
		return s, believed(t)
	}
	return stamp{}, false
}

// believed tells whether a year is one in which hives were weighed.
func believed(d time.Time) bool { return d.Year() >= 1700 && d.Year() <= 2200 }

// clockOf reads a time of day, in hours.
func clockOf(text string) (hours float64, ok bool) {
	f := clockText.FindStringSubmatch(strings.TrimSpace(text))
	if f == nil {
		return math.NaN(), false
	}
	h, m, s := number(f[1]), number(f[2]), number(f[3])
	switch half := strings.ToLower(f[4]); {
	case half == "":
	case h < 1 || h > 12:
		return math.NaN(), false
	default:
		h %= 12
		if half[0] == 'p' {
			h += 12
		}
	}
	if h > 24 || m > 59 || s > 60 {
		return math.NaN(), false
	}
	return float64(h) + float64(m)/60 + float64(s)/3600, true
}

// number reads digits; 0 for none.
func number(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}

func filled(parts []string) []string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return out
}

// monthNamed is the number of a month by the first three letters of its English
// or German name; "" when it is none.
func monthNamed(word string) string {
	word = strings.ToLower(word)
	for i, names := range [...]string{"jan", "feb", "mar mär mrz", "apr", "may mai", "jun", "jul", "aug", "sep", "oct okt", "nov", "dec dez"} {
		for _, name := range strings.Fields(names) {
			if strings.HasPrefix(word, name) {
				return strconv.Itoa(i + 1)
			}
		}
	}
	return ""
}

// monthFirstIn tells whether a column writes 3/14/2024. Where no day is above 12
// the one reading counts under which the days run on without great leaps.
func monthFirstIn(cells []string) bool {
	leaps := [2]float64{}
	var prev [2]time.Time
	for _, c := range cells {
		f := yearLast.FindStringSubmatch(strings.TrimSpace(c))
		if f == nil || f[2] == "." {
			continue
		}
		switch a, b := number(f[1]), number(f[3]); {
		case a > 12:
			return false
		case b > 12:
			return true
		}
		for i, first := range [2]bool{false, true} {
			s, ok := stampOf(c, first)
			if !ok {
				continue
			}
			if !prev[i].IsZero() {
				leaps[i] += math.Abs(s.day.Sub(prev[i]).Hours())
			}
			prev[i] = s.day
		}
	}
	return leaps[1] < leaps[0]
}

// serialDay is day 0 of the days that workbooks count.
func serialDay(g *read.Grid) time.Time {
	if g.Date1904 {
		return time.Date(1904, time.January, 1, 0, 0, 0, 0, time.UTC)
	}
	return time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC)
}

// stampsOf reads the days of all rows below the headings, in order of rows; one
// that cannot be read is zero.
func stampsOf(g *read.Grid, p *plan) []stamp {
	rows := g.Rows[p.row+1:]
	cell := func(r read.GridRow, at int) string {
		if at < 0 || at >= len(r.Cells) || isMissing(r.Cells[at]) {
			return ""
		}
		return r.Cells[at]
	}
	cells := make([]string, len(rows))
	for i, r := range rows {
		cells[i] = cell(r, p.date)
		if p.year >= 0 {
			cells[i] = cell(r, p.year) + "-" + cell(r, p.month) + "-" + cell(r, p.day)
		}
	}
	monthFirst := monthFirstIn(cells)
	out := make([]stamp, len(rows))
	for i, text := range cells {
		s, ok := stampOf(text, monthFirst)
		if v, err := strconv.ParseFloat(text, 64); !ok && err == nil && g.Workbook && v > 1 && v < 110000 { // to the year 2200
			whole := math.Floor(v)
			s = stamp{day: serialDay(g).AddDate(0, 0, int(whole)), hours: math.NaN()}
			if v > whole {
				s.hours = 24 * (v - whole)
			}
			ok = believed(s.day)
		}
		if !ok {
			continue
		}
		if text := cell(rows[i], p.clock); text != "" && math.IsNaN(s.hours) {
			if h, ok := clockOf(text); ok {
				s.hours = h
			} else if v, err := strconv.ParseFloat(text, 64); err == nil && v >= 0 && v < 1 {
				s.hours = 24 * v // a workbook's time of day
			}
		}
		if s.hours >= 24 {
			s.day, s.hours = s.day.AddDate(0, 0, 1), s.hours-24
		}
		out[i] = s
	}
	return out
}
