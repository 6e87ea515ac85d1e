package bloom

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"bloomgap/forage/table"

	"golang.org/x/text/encoding/charmap"
)

// Observation is one note of a bloom date.
type Observation struct {
	Date  time.Time // midnight UTC
	Plant string    // as written; may be empty
	Place string    // as written; may be empty
	Line  int       // line of the file, 0 when not from a file
}

// dateColumns gives the headings known for each kind of column, the best first.
var dateColumns = map[string][]string{
	"date":  {"date", "bloom date", "first bloom", "first flower date", "first flower", "bloom", "flowering date"},
	"year":  {"year"},
	"doy":   {"doy", "day of year", "bloom doy", "yday", "julian day"},
	"plant": {"plant", "common name", "species"},
	"place": {"place", "site", "location", "yard", "station"},
}

const (
	firstNoteYear, lastNoteYear = 1500, 2200 // years taken for real
	maxDateFileBytes            = 64 << 20   // more is no file of dates, bytes
	sameSpringDays              = 180        // two notes of a year further apart may be of two springs (January and December), days
)

// ReadDates reads notes of bloom dates from a table with a line of headings:
// date (or year and doy, the day of that year), and, when the file has more
// than one kind, plant and place. Comma, semicolon or tab; UTF-8 or Latin-1.
// Dates are 2024-04-28, 2024/04/28, 20240428 or 28.04.2024; with slashes
// also 28/04/2024 where only one reading is possible.
//
// A second note for a plant, place and year is left out with a warning; the
// earlier date stays. (January and December of a year are two springs.) Lines with a problem are left out; the problems tell.
func ReadDates(name string, r io.Reader) ([]Observation, table.Problems) {
	var ps table.Problems
	raw, err := io.ReadAll(io.LimitReader(r, maxDateFileBytes+1))
	if err != nil {
		ps.Add(name, 0, 0, "cannot be read: "+err.Error(), "check the file")
		return nil, ps
	}
	if len(raw) > maxDateFileBytes {
		ps.Add(name, 0, 0, "is larger than 64 MB", "give a file of bloom dates")
		return nil, ps
	}
	raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))
	if !utf8.Valid(raw) {
		if raw, err = charmap.Windows1252.NewDecoder().Bytes(raw); err != nil {
			ps.Add(name, 0, 0, "is not text", "save it as CSV")
			return nil, ps
		}
	}
	raw = bytes.ReplaceAll(raw, []byte("\r\n"), []byte("\n"))
	raw = bytes.ReplaceAll(raw, []byte("\r"), []byte("\n"))
	if len(bytes.TrimSpace(raw)) == 0 {
		ps.Add(name, 0, 0, "is empty", "give a line of headings, such as date,plant, and a line for each year")
		return nil, ps
	}
	cr := csv.NewReader(bytes.NewReader(raw))
	cr.Comma = separator(raw)
	cr.Comment = '#'
	cr.FieldsPerRecord = -1
	cr.TrimLeadingSpace = true

	head, err := cr.Read()
	if err != nil {
		ps.Add(name, errorLine(err), 0, "the line of headings cannot be read", "give headings such as date,plant")
		return nil, ps
	}
	headLine, _ := cr.FieldPos(0)
	col := map[string]int{}
	for kind, names := range dateColumns {
		col[kind] = -1
		for _, want := range names {
			i := slices.IndexFunc(head, func(h string) bool { return heading(h) == want })
			if i >= 0 {
				col[kind] = i
				break
			}
		}
	}
	if col["date"] < 0 && (col["year"] < 0 || col["doy"] < 0) {
		ps.Add(name, headLine, 0, fmt.Sprintf("no column of dates among %q", strings.Join(head, ", ")),
			"name a column date, or two columns year and doy")
		return nil, ps
	}

	var out []Observation
	byKey := map[string]int{} // plant, place, year -> place in out
	for {
		row, err := cr.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			ps.Add(name, errorLine(err), 0, "the line cannot be read, a quotation mark is out of place", "check the quotation marks")
			var pe *csv.ParseError
			if !errors.As(err, &pe) {
				break
			}
			continue
		}
		line, _ := cr.FieldPos(0)
		cell := func(kind string) string {
			if c := col[kind]; c >= 0 && c < len(row) {
				return strings.TrimSpace(row[c])
			}
			return ""
		}
		if strings.TrimSpace(strings.Join(row, "")) == "" {
			continue
		}
		o := Observation{Plant: cell("plant"), Place: cell("place"), Line: line}
		var kind, what, fix string
		switch {
		case cell("date") != "":
			kind = "date"
			o.Date, what, fix = parseDate(cell("date"))
		case cell("year") != "" && cell("doy") != "":
			o.Date, kind, what, fix = parseYearDay(cell("year"), cell("doy"))
		default:
			ps.Warn(name, line, max(0, col["date"]+1), "no date", "left out; a year without bloom or without a note needs no line")
			continue
		}
		if what == "" && (o.Date.Year() < firstNoteYear || o.Date.Year() > lastNoteYear) {
			what, fix = fmt.Sprintf("the year %d cannot be", o.Date.Year()), "check the year"
		}
		if what != "" {
			ps.Add(name, line, col[kind]+1, what, fix)
			continue
		}
		if y := cell("year"); kind == "date" && y != "" && y != strconv.Itoa(o.Date.Year()) {
			ps.Warn(name, line, col["year"]+1, fmt.Sprintf("year %q is not that of the date %s", y, o.Date.Format(time.DateOnly)), "the date is used")
		}
		key := strings.ToLower(o.Plant) + "\x00" + strings.ToLower(o.Place) + "\x00" + strconv.Itoa(o.Date.Year())
		if i, twice := byKey[key]; twice && math.Abs(o.Date.Sub(out[i].Date).Hours()) <= 24*sameSpringDays {
			first := out[i]
			if o.Date.Before(first.Date) {
				out[i] = o
			}
			ps.Warn(name, line, col[kind]+1, fmt.Sprintf("a second date for %d, line %d has the other", o.Date.Year(), first.Line), "the earlier is used")
			continue
		}
		byKey[key] = len(out)
		out = append(out, o)
	}
	if len(out) == 0 && len(ps.Fatal()) == 0 {
		ps.Add(name, 0, 0, "holds no dates", "give a line for each year")
	}
	return out, ps
}

// Select keeps the notes of a plant and a place, upper and lower case alike;
// an empty word keeps all.
func Select(notes []Observation, plant, place string) []Observation {
	var out []Observation
	for _, o := range notes {
		if (plant == "" || strings.EqualFold(o.Plant, strings.TrimSpace(plant))) &&
			(place == "" || strings.EqualFold(o.Place, strings.TrimSpace(place))) {
			out = append(out, o)
		}
	}
	return out
}

// Kinds lists the different plants and places of notes, in order of the alphabet.
func Kinds(notes []Observation) (plants, places []string) {
	for _, o := range notes {
		plants, places = append(plants, o.Plant), append(places, o.Place)
	}
	slices.Sort(plants)
	slices.Sort(places)
	return slices.Compact(plants), slices.Compact(places)
}

func heading(h string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(h), func(r rune) bool { return r == '_' || r == '-' || r == ' ' }), " ")
}

// separator is the most frequent of the three in the first line with text.
func separator(raw []byte) rune {
	best, most := ',', 0
	for _, line := range strings.Split(string(raw[:min(len(raw), 4096)]), "\n") {
		if t := strings.TrimSpace(line); t == "" || strings.HasPrefix(t, "#") {
			continue
		}
		for _, c := range ",;\t" {
			if n := strings.Count(line, string(c)); n > most {
				best, most = c, n
			}
		}
		break
	}
	return best
}

func errorLine(err error) int {
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		return pe.Line
	}
	return 0
}

// parseDate reads a date; what is empty when it could.
func parseDate(s string) (date time.Time, what, fix string) {
	s, _, _ = strings.Cut(s, "T") // an ISO time of day is dropped
	for _, layout := range []string{"2006-1-2", "2006/1/2", "20060102", "2.1.2006"} {
		if t, err := time.Parse(layout, s); err == nil {
			return t, "", ""
		}
	}
	dayFirst, errD := time.Parse("2/1/2006", s)
	monthFirst, errM := time.Parse("1/2/2006", s)
	switch {
	case errD == nil && errM == nil && !dayFirst.Equal(monthFirst):
		return time.Time{}, fmt.Sprintf("%q may be %s or %s", s, dayFirst.Format("2 January"), monthFirst.Format("2 January")), "write it as " + dayFirst.Format(time.DateOnly) + " or " + monthFirst.Format(time.DateOnly)
	case errD == nil:
		return dayFirst, "", ""
	case errM == nil:
		return monthFirst, "", ""
	}
	return time.Time{}, fmt.Sprintf("%q is not a date", s), "write year-month-day, such as 2024-04-28"
}

func parseYearDay(year, doy string) (date time.Time, kind, what, fix string) {
	y, err := strconv.Atoi(year)
	if err != nil || y < firstNoteYear || y > lastNoteYear {
		return date, "year", fmt.Sprintf("%q is not a year", year), "write four digits, such as 2024"
	}
	d, err := strconv.Atoi(doy)
	days := 365
	if isLeap(y) {
		days = 366
	}
	if err != nil || d < 1 || d > days {
		return date, "doy", fmt.Sprintf("%q is not a day of the year %d", doy, y), fmt.Sprintf("write a whole number from 1 to %d; 1 is 1 January", days)
	}
	return jan1(y).AddDate(0, 0, d-1), "doy", "", ""
}
