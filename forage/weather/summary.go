package weather

import (
	"bloomgap/forage/read"
	"math"
	"time"
)

const (
	// NonFlyingTmaxC is the day's highest temperature below which bees are taken to
	// stay in: 10 C, plausible 8-13 (cleansing flights from about 10 C on calm sunny
	// days: common practice; foraging needs 12 C: Burrill & Dietz 1981, Apidologie
	// 12:319-328).
	NonFlyingTmaxC = 10.0
	// NonFlyingRainMm is the day's rain from which bees are taken to stay in: 5 mm,
	// plausible 3-10 (common practice).
	NonFlyingRainMm = 5.0
	// WetDayMm is the least rain that makes a day a wet day: 1 mm (Klein Tank, Zwiers
	// & Zhang 2009, World Meteorological Organization WCDMP-72, from memory).
	WetDayMm = 1.0
	// ColdDayC is the day's highest temperature below which a day belongs to a cold
	// spell: 10 C, as NonFlyingTmaxC.
	ColdDayC = 10.0
	// FrostC is the day's lowest temperature at or below which there was frost: 0 C.
	FrostC = 0.0
)

// lastFrostDay ends the search for a spring's last frost (northern half of the
// earth): a later frost does not belong to the spring.
var lastFrostDay = MonthDay{time.June, 30}

// NonFlying is the rule for a day on which bees stay in: it was colder than
// NonFlyingTmaxC all day, or it rained NonFlyingRainMm or more. Rain that is not
// known counts as none. doy is the day of the year from 1; it is not used here,
// other rules may need it for day length.
func NonFlying(d Day, doy int) bool {
	return d.TmaxC < NonFlyingTmaxC || d.PrecipMm >= NonFlyingRainMm
}

// MonthNormal is the normal of one calendar month over all years of a record; what
// cannot be worked out is NaN.
type MonthNormal struct {
	Month       time.Month
	Days        int     // calendar days of the record in this month, over all years
	TempDays    int     // of them with both temperatures
	PrecipDays  int     // of them with precipitation known
	TempShare   float64 // TempDays of Days, 0-1
	PrecipShare float64 // PrecipDays of Days, 0-1
	TminC       float64 // mean of the daily lowest, C
	TmaxC       float64 // mean of the daily highest, C
	TmeanC      float64 // mean of (lowest + highest) / 2, C
	TminSDC     float64 // standard deviation of the daily lowest about the month's mean, C
	TmaxSDC     float64
	TmeanSDC    float64
	PrecipMm    float64 // mean total of the month: mean of the known days times the month's length, mm
	WetShare    float64 // share of known days with WetDayMm or more, 0-1
}

// YearShare is how much of each month of a year has both temperatures.
type YearShare struct {
	Year      int
	TempShare [12]float64 // January first; NaN for a month outside the record
}

// SpringDays are the days of one year between the two dates.
type SpringDays struct {
	Year            int
	Days            int   // calendar days of the span
	KnownDays       int   // of them with both temperatures
	NonFlying       int   // of the known days
	LongestConfined Span  // longest run of non-flying days, zero when there is none; an unknown day ends a run
	ColdDays        int   // known days whose highest was below ColdDayC
	ColdSpell       Span  // longest run of cold days, zero when there is none; an unknown day ends a run
	ColdSpells      []int // lengths of all runs of cold days, in order
}

// LastFrost is the last day of a spring on which it froze.
type LastFrost struct {
	Year        int
	Date        time.Time // zero when no frost is known from 1 January to 30 June
	TminC       float64   // C; NaN when no frost is known
	UnknownDays int       // days after it, up to 30 June, whose lowest is not known: it may have been later
}

// Summary is a record in figures.
type Summary struct {
	Name    string
	Layout  string
	Station Station
	Quality Quality
	Months  [12]MonthNormal // January first
	Years   []YearShare
	From    MonthDay
	To      MonthDay
	Springs []SpringDays // years whose whole span lies within the record
	Frosts  []LastFrost  // years whose first half lies within the record
}

// Summarise works out the figures of a record: quality, monthly normals, and for
// each year the days between from and to, both included, on which bees stayed in
// by the rule nonFlying (nil means NonFlying), its cold spells and its last
// frost. A span over the new year is named after the year it ends in. The rule is
// asked only of days with both temperatures.
func Summarise(rec *Record, from, to MonthDay, nonFlying func(d Day, doy int) bool) Summary {
	checkWindow(from, to)
	if nonFlying == nil {
		nonFlying = NonFlying
	}
	s := Summary{Name: rec.Name, Layout: rec.Layout, Station: rec.Station, Quality: Check(rec), From: from, To: to}
	s.Months = Normals(rec)
	if len(rec.Days) == 0 {
		return s
	}
	s.Years = yearShares(rec)
	for year := rec.First.Year(); year <= rec.Last().Year()+1; year++ {
		w := window(from, to, year)
		if a, b := rec.Index(w.First), rec.Index(w.Last); a >= 0 && b < len(rec.Days) {
			s.Springs = append(s.Springs, springDays(rec, year, a, b, nonFlying))
		}
		half := Span{time.Date(year, time.January, 1, 0, 0, 0, 0, time.UTC), lastFrostDay.In(year)}
		if a, b := rec.Index(half.First), rec.Index(half.Last); a >= 0 && b < len(rec.Days) {
			s.Frosts = append(s.Frosts, lastFrost(rec, year, a, b))
		}
	}
	return s
}

// moments gathers a mean and a standard deviation.
type moments struct{ n, mean, m2 float64 }

func (m *moments) add(v float64) {
	m.n++
	d := v - m.mean
	m.mean += d / m.n
	m.m2 += d * (v - m.mean)
}

func (m moments) meanOrNaN() float64 {
	if m.n == 0 {
		return math.NaN()
	}
	return m.mean
}

func (m moments) sd() float64 {
	if m.n < 2 {
		return math.NaN()
	}
	return math.Sqrt(m.m2 / (m.n - 1))
}

// monthDays is the mean length of a month, days: February by the leap years of
// the Gregorian calendar, 97 in 400.
func monthDays(m time.Month) float64 {
	if m == time.February {
		return 28 + 97.0/400
	}
	return float64(read.MonthLength(2001, int(m)))
}

// Normals works out the normals of the twelve calendar months over all years of a
// record.
func Normals(rec *Record) [12]MonthNormal {
	var out [12]MonthNormal
	var low, high, mean, rain [12]moments
	var wet [12]int
	date := rec.First
	for _, d := range rec.Days {
		m := date.Month() - 1
		date = date.AddDate(0, 0, 1)
		out[m].Days++
		if d.HasTemp() {
			low[m].add(d.TminC)
			high[m].add(d.TmaxC)
			mean[m].add((d.TminC + d.TmaxC) / 2)
		}
		if !math.IsNaN(d.PrecipMm) {
			rain[m].add(d.PrecipMm)
			if d.PrecipMm >= WetDayMm {
				wet[m]++
			}
		}
	}
	for m := range out {
		n := &out[m]
		n.Month = time.Month(m + 1)
		n.TempDays, n.PrecipDays = int(low[m].n), int(rain[m].n)
		n.TempShare = float64(n.TempDays) / float64(n.Days) // 0/0 is NaN, as promised
		n.PrecipShare = float64(n.PrecipDays) / float64(n.Days)
		n.TminC, n.TminSDC = low[m].meanOrNaN(), low[m].sd()
		n.TmaxC, n.TmaxSDC = high[m].meanOrNaN(), high[m].sd()
		n.TmeanC, n.TmeanSDC = mean[m].meanOrNaN(), mean[m].sd()
		n.PrecipMm = rain[m].meanOrNaN() * monthDays(n.Month)
		n.WetShare = float64(wet[m]) / rain[m].n
	}
	return out
}

func yearShares(rec *Record) []YearShare {
	var out []YearShare
	for year := rec.First.Year(); year <= rec.Last().Year(); year++ {
		y := YearShare{Year: year}
		for m := range y.TempShare {
			a := rec.Index(time.Date(year, time.Month(m+1), 1, 0, 0, 0, 0, time.UTC))
			days, known := 0, 0
			for i := max(a, 0); i < min(a+read.MonthLength(year, m+1), len(rec.Days)); i++ {
				days++
				if rec.Days[i].HasTemp() {
					known++
				}
			}
			y.TempShare[m] = float64(known) / float64(days)
		}
		out = append(out, y)
	}
	return out
}

func springDays(rec *Record, year, a, b int, nonFlying func(Day, int) bool) SpringDays {
	s := SpringDays{Year: year, Days: b - a + 1}
	confined, cold, longestConfined, longestCold := 0, 0, 0, 0
	endCold := func() {
		if cold > 0 {
			s.ColdSpells = append(s.ColdSpells, cold)
		}
		cold = 0
	}
	for i := a; i <= b; i++ {
		d := rec.Days[i]
		if !d.HasTemp() {
			confined = 0
			endCold()
			continue
		}
		s.KnownDays++
		if nonFlying(d, rec.Date(i).YearDay()) {
			s.NonFlying++
			if confined++; confined > longestConfined {
				longestConfined = confined
				s.LongestConfined = Span{rec.Date(i - confined + 1), rec.Date(i)}
			}
		} else {
			confined = 0
		}
		if d.TmaxC < ColdDayC {
			s.ColdDays++
			if cold++; cold > longestCold {
				longestCold = cold
				s.ColdSpell = Span{rec.Date(i - cold + 1), rec.Date(i)}
			}
		} else {
			endCold()
		}
	}
	endCold()
	return s
}

func lastFrost(rec *Record, year, a, b int) LastFrost {
	f := LastFrost{Year: year, TminC: math.NaN()}
	for i := b; i >= a; i-- {
		t := rec.Days[i].TminC
		if math.IsNaN(t) {
			f.UnknownDays++
			continue
		}
		if t <= FrostC {
			f.Date, f.TminC = rec.Date(i), t
			break
		}
	}
	return f
}
