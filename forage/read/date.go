package read

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// The years in which a date is believed: notes of bloom begin about then, and
// nothing is planned for after (own judgement).
const FirstYear, LastYear = 1500, 2200

// Order is how day, month and year stand in a date of three numbers.
type Order uint8

// The orders.
const (
	YearFirst  Order = iota // 2027-03-20, 2027/3/20, 20270320
	DayFirst                // 20.03.2027, 20/3/27
	MonthFirst              // 3/20/2027
	YearLast                // 3/4/2027: day or month first, the dates beside it must tell
	YearDots                // 3.4.2027: day first, unless the dates beside it show otherwise
)

// SplitDate reads the three numbers of a date such as 2027-03-20, 20270320,
// 20.3.2027 or 3/20/27, and how they stand; rest is where the cell goes on. A
// year of two digits from 70 on is one of the last century. It allocates nothing.
func SplitDate[T ~string | ~[]byte](cell T) (n [3]int, order Order, rest int, ok bool) {
	var width [3]int
	k, i := 0, 0
	var sep byte
	for i < len(cell) {
		c := cell[i]
		switch {
		case c >= '0' && c <= '9':
			if width[k] == 8 {
				return n, 0, 0, false
			}
			n[k] = n[k]*10 + int(c-'0')
			width[k]++
			i++
			continue
		case k < 2 && width[k] > 0 && width[k] < 8 && (c == '-' || c == '/' || c == '.') && (sep == 0 || sep == c):
			sep = c
			k++
			i++
			continue
		}
		break
	}
	switch {
	case k == 0 && width[0] == 8:
		return [3]int{n[0] / 10000, n[0] / 100 % 100, n[0] % 100}, YearFirst, i, true
	case k != 2 || width[1] == 0 || width[1] > 2 || width[2] == 0:
		return n, 0, 0, false
	case width[0] == 4 && width[2] <= 2:
		return n, YearFirst, i, true
	case width[0] > 2 || width[2] != 4 && width[2] != 2:
		return n, 0, 0, false
	}
	if width[2] == 2 {
		n[2] = ofTwoDigits(n[2])
	}
	if sep == '.' {
		return n, YearDots, i, true
	}
	return n, YearLast, i, true
}

// ofTwoDigits is the year that is written with two digits, from 1970 to 2069.
func ofTwoDigits(year int) int {
	if year < 70 {
		return 2000 + year
	}
	return 1900 + year
}

// Arrange puts the three numbers of a date in the order year, month, day. For
// YearLast and YearDots settled must be DayFirst or MonthFirst.
func Arrange(n [3]int, order, settled Order) (year, month, day int) {
	if order == YearLast || order == YearDots {
		order = settled
	}
	switch order {
	case DayFirst:
		return n[2], n[1], n[0]
	case MonthFirst:
		return n[2], n[0], n[1]
	}
	return n[0], n[1], n[2]
}

// DayNumber counts days since 1 January 1970, negative before; false for a date
// that is not in the calendar or outside FirstYear to LastYear.
func DayNumber(year, month, day int) (int32, bool) {
	if year < FirstYear || year > LastYear || month < 1 || month > 12 || day < 1 || day > MonthLength(year, month) {
		return 0, false
	}
	// Count from 1 March of year 0, so that the leap day ends a year.
	y, m := year, month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	return int32(365*y + y/4 - y/100 + y/400 + (153*m+2)/5 + day - 1 - 719468), true
}

// DayOf is the date of a day number, at midnight UTC.
func DayOf(number int32) time.Time { return time.Unix(int64(number)*86400, 0).UTC() }

// MonthLength is the number of days of a month, 1 to 12.
func MonthLength(year, month int) int {
	switch month {
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}

// DateColumn gathers the dates of a column whose numbers do not tell by
// themselves which is the day and which the month.
type DateColumn struct {
	slashes, dots    int // dates of three numbers with the year last
	first            int // place of the first one with slashes, as given to Add
	dayFirst, mdOnly int // dates that can only be day first, only month first
	leaps            [2]float64
	prev             [2]int32
	known            [2]bool
}

// Add takes in the numbers of one date; others than YearLast and YearDots do
// not count. at is any number by which the caller finds the cell again.
func (c *DateColumn) Add(n [3]int, order Order, at int) {
	switch order {
	case YearLast:
		if c.slashes+c.dots == 0 {
			c.first = at
		}
		c.slashes++
	case YearDots:
		if c.slashes+c.dots == 0 {
			c.first = at
		}
		c.dots++
	default:
		return
	}
	var ok [2]bool
	for i, o := range [2]Order{DayFirst, MonthFirst} {
		var day int32
		if day, ok[i] = DayNumber(Arrange(n, order, o)); !ok[i] {
			continue
		}
		if c.known[i] {
			c.leaps[i] += math.Abs(float64(day) - float64(c.prev[i]))
		}
		c.prev[i], c.known[i] = day, true
	}
	switch {
	case ok[0] && !ok[1]:
		c.dayFirst++
	case ok[1] && !ok[0]:
		c.mdOnly++
	}
}

// runsOn is how much shorter the leaps from date to date must be under one order
// than under the other for that to settle it (own judgement: a daily table read
// the wrong way leaps by months).
const runsOn = 4

// Order is how the dates of the column stand. settled is false when it is open:
// nothing speaks for one order, or some dates speak for each.
func (c *DateColumn) Order() (order Order, settled bool) {
	switch {
	case c.slashes+c.dots == 0:
		return YearFirst, true
	case c.dayFirst > 0 && c.mdOnly > 0:
		return DayFirst, false
	case c.dayFirst > 0:
		return DayFirst, true
	case c.mdOnly > 0:
		return MonthFirst, true
	case c.leaps[0]*runsOn < c.leaps[1]:
		return DayFirst, true
	case c.leaps[1]*runsOn < c.leaps[0]:
		return MonthFirst, true
	}
	return DayFirst, c.slashes == 0
}

// First is the place of the first date whose order is open.
func (c *DateColumn) First() int { return c.first }

// OrderProblem tells what is wrong where the order is not settled; its place is
// that of First.
func (c *DateColumn) OrderProblem() Problem {
	p := Problem{Code: CellDateOrder, Message: "the dates may have the day or the month first, and no row tells which", Fix: "write dates as yyyy-mm-dd"}
	if c.dayFirst > 0 && c.mdOnly > 0 {
		p.Message = "some dates have the day first and some the month first"
	}
	return p
}

// DottedMonthFirst tells that dates with dots have the month before the day,
// which nobody writes who writes dots, so that it is worth a word.
func (c *DateColumn) DottedMonthFirst() bool {
	order, _ := c.Order()
	return c.dots > 0 && order == MonthFirst
}

// Stamp is a day and its time of day.
type Stamp struct {
	Day   time.Time // midnight UTC
	Hours float64   // by the clock at the place, 0 to under 24; NaN when none is given
}

// DateError tells why a text is not a date.
type DateError struct {
	Code    Code // CellDate or CellDateOrder
	Message string
	Fix     string
}

// ParseDate reads a day, with or without a time: 2027-03-20, 2027/3/20, 20270320,
// 20 March 2027, March 20, 2027, and 20.3.2027 or 3/20/2027 where only one reading
// is possible or settled tells the order (DayFirst or MonthFirst; YearLast when
// it is open). A zone behind the time is passed over: the hour is that of the
// clock at the place.
func ParseDate(text string, settled Order) (Stamp, *DateError) {
	text = strings.TrimSpace(text)
	n, order, rest, ok := SplitDate(text)
	if !ok {
		if n, rest, ok = namedMonth(text); !ok {
			return Stamp{}, notADate(text)
		}
		order = YearFirst
	}
	if (order == YearLast || order == YearDots) && settled != DayFirst && settled != MonthFirst {
		var err *DateError
		if settled, err = onlyReading(text[:rest], n); err != nil {
			return Stamp{}, err
		}
	}
	year, month, day := Arrange(n, order, settled)
	number, ok := DayNumber(year, month, day)
	if !ok {
		return Stamp{}, notADate(text)
	}
	s := Stamp{Day: DayOf(number), Hours: math.NaN()}
	if clock := strings.TrimLeft(text[rest:], "T_, \t\u00a0"); clock != "" {
		if clock == text[rest:] && order != YearFirst {
			return Stamp{}, notADate(text)
		}
		if s.Hours, ok = ParseClock(clock); !ok {
			return Stamp{}, notADate(text)
		}
	}
	if s.Hours >= 24 {
		s.Day, s.Hours = s.Day.AddDate(0, 0, 1), s.Hours-24
	}
	return s, nil
}

func notADate(text string) *DateError {
	return &DateError{CellDate, fmt.Sprintf("%q is not a date from %d to %d", short(text), FirstYear, LastYear), "write year-month-day, such as 2027-03-20"}
}

// onlyReading is the one order in which a date with the year last is possible.
func onlyReading(text string, n [3]int) (Order, *DateError) {
	day, dayOK := DayNumber(Arrange(n, YearLast, DayFirst))
	month, monthOK := DayNumber(Arrange(n, YearLast, MonthFirst))
	switch {
	case dayOK && monthOK && day != month:
		a, b := DayOf(day), DayOf(month)
		return 0, &DateError{CellDateOrder, fmt.Sprintf("%q may be %s or %s", short(text), a.Format("2 January"), b.Format("2 January")),
			"write it as " + a.Format(time.DateOnly) + " or " + b.Format(time.DateOnly)}
	case dayOK:
		return DayFirst, nil
	case monthOK:
		return MonthFirst, nil
	}
	return 0, notADate(text)
}

// namedMonth reads 20 March 2027, 20-Mar-27 and Mar 20, 2027, with or without a
// weekday, in English or German.
func namedMonth(text string) (n [3]int, rest int, ok bool) {
	const most = 5 // words: weekday, two of the date, year, time
	at := 0
	var day, month int
	for range most {
		for at < len(text) && strings.IndexByte(" \t-.,", text[at]) >= 0 {
			at++
		}
		end := at
		for end < len(text) && strings.IndexByte(" \t-.,", text[end]) < 0 {
			end++
		}
		word := text[at:end]
		number, err := strconv.Atoi(word)
		switch {
		case err != nil && month == 0:
			if month = monthNamed(word); month == 0 && (day > 0 || !weekday(word)) {
				return n, 0, false
			}
		case err != nil:
			return n, 0, false
		case day == 0 && len(word) <= 2:
			day = number
		case len(word) == 4 && day > 0 && month > 0:
			return [3]int{number, month, day}, end, true
		case len(word) == 2 && day > 0 && month > 0: // 18-Mar-27, as spreadsheets write
			return [3]int{ofTwoDigits(number), month, day}, end, true
		default:
			return n, 0, false
		}
		at = end
	}
	return n, 0, false
}

// weekday tells whether a word begins as the name of a day of the week, in
// English or German.
func weekday(word string) bool {
	word = strings.ToLower(word)
	return len(word) >= 2 && slices.ContainsFunc([]string{"mo", "tu", "we", "th", "fr", "sa", "su", "di", "mi", "do", "so"},
		func(w string) bool { return strings.HasPrefix(word, w) })
}

// monthNamed is the number of a month by the first three letters of its English
// or German name; 0 when it is none.
func monthNamed(word string) int {
	word = strings.ToLower(word)
	for i, names := range [...]string{"jan", "feb", "mar mär mrz", "apr", "may mai", "jun", "jul", "aug", "sep", "oct okt", "nov", "dec dez"} {
		for name := range strings.FieldsSeq(names) {
			if strings.HasPrefix(word, name) {
				return i + 1
			}
		}
	}
	return 0
}

// ParseClock reads a time of day in hours: 18:00, 18:00:30.5, 1800, 6 PM, 18h,
// with or without a zone, which is passed over.
func ParseClock(text string) (hours float64, ok bool) {
	f := clockText.FindStringSubmatch(strings.TrimSpace(text))
	if f == nil {
		return math.NaN(), false
	}
	part := func(i int) int { n, _ := strconv.Atoi(f[i]); return n }
	h, m, s := part(1), part(2), part(3)
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

// A time of day, with a half of the day or a zone behind it.
var clockText = regexp.MustCompile(
	`^(\d{1,2})(?:[:.h]?(\d{2}))?(?:[:.]?(\d{2})(?:[.,]\d+)?)?\s*([AaPp]\.?[Mm]\.?)?\s*(?:h|Z|UTC|GMT|CES?T|MES?Z|[+-]\d{2}:?\d{2}|[+-]\d{2})?$`,
)

// WholeNumber reads a year, a month or a day of the year; a spreadsheet may have
// written 1980 as 1980.0.
func WholeNumber[T ~string | ~[]byte](cell T) (int, bool) {
	n, i := 0, 0
	for ; i < len(cell) && cell[i] >= '0' && cell[i] <= '9'; i++ {
		if i == 6 {
			return 0, false
		}
		n = n*10 + int(cell[i]-'0')
	}
	if i == 0 {
		return 0, false
	}
	if i < len(cell) && (cell[i] == '.' || cell[i] == ',') {
		for i++; i < len(cell) && cell[i] == '0'; i++ {
		}
	}
	return n, i == len(cell)
}

// SerialDay is the day of a workbook's date cell, which is stored as a number;
// false when the grid is of text or the cell no such number. A bare year is not
// taken for one, though it would be a day of the years about 1905.
func (g *Grid) SerialDay(cell string) (Stamp, bool) {
	serial, err := strconv.ParseFloat(cell, 64)
	if err != nil || !g.Workbook || serial >= FirstYear && serial <= LastYear || !(serial > 1 && serial < mostSerial) {
		return Stamp{}, false
	}
	at, err := excelize.ExcelDateToTime(serial, g.Date1904)
	if err != nil {
		return Stamp{}, false
	}
	at = at.Round(time.Second)
	s := Stamp{Day: at.Truncate(24 * time.Hour), Hours: math.NaN()}
	if serial != math.Floor(serial) {
		s.Hours = at.Sub(s.Day).Hours()
	}
	return s, s.Day.Year() <= LastYear
}

// mostSerial is about the serial number of the last day that is believed.
const mostSerial = 110_000
