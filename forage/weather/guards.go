package weather

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/forage/read"
)

// The codes of this package.
const (
	UnitGuard     read.Code = "weather-unit"     // temperatures that look like another unit
	RainUnitGuard read.Code = "weather-rain"     // precipitation that looks like another unit
	SouthernGuard read.Code = "weather-southern" // a summer in January
	JumpGuard     read.Code = "weather-jump"     // a month unlike the same month of the other years
	SpellGuard    read.Code = "weather-spell"    // some days unlike the same days of the other years
	StuckGuard    read.Code = "weather-stuck"    // the same figures for weeks
	CrossedGuard  read.Code = "weather-crossed"  // the lowest above the highest on many days
	FlatGuard     read.Code = "weather-flat"     // many days whose lowest and highest are one figure

	DotsMonthFirst read.Code = "date-dots"         // month.day.year
	RowSkipped     read.Code = "row-skipped"       // neither date nor value
	ValuesRemoved  read.Code = "values-removed"    // impossible, doubtful or crossed values
	FilesOverlap   read.Code = "files-overlap"     // one day in two files
	TwoStations    read.Code = "two-stations"      // files of two places
	PlaceOpen      read.Code = "place-open"        // which place of the file is meant
	LocationUnused read.Code = "place-unused"      // a place is asked for in a file that names none
	LayoutUnknown  read.Code = "layout-unknown"    // no heading that is known
	DatesTwice     read.Code = "dates-twice"       // one date on several rows
	UnitAssumed    read.Code = "unit-assumed"      // a unit that the file does not give
	NoDays         read.Code = "weather-no-days"   // nothing to read
	LowAboveHigh   read.Code = "weather-low-above" // the lowest above the highest
)

// Signs that figures are not what they are taken for. Common sense checked against
// the eight reference records, whose medians are: highest 6 to 16 C, lowest -2 to 6 C,
// daily range 7 to 13 C; their months differ from the middle of their kind by 12.1 C at
// most, five days in a row from the middle of the season by 20.1 C, and no more than 4
// days in a row are the same (TestLimitsOnOpenRecords measures it).
const (
	hotMedianC    = 40.0 // C; no place on earth has a median daily highest above it
	warmNightsC   = 32.0 // C; nor a median daily lowest above this
	hotDayC       = 50.0 // C; days above it are a rarity of deserts
	hotDaysShare  = 0.03 // share of days above hotDayC that is beyond the hottest desert towns
	wideRangeC    = 40.0 // C; median daily range that no place has: tenths
	narrowRangeC  = 1.5  // C; nor one below this: degrees divided by ten
	coldMedianC   = -8.0 // C; median highest of a whole year that no place with bees has: C taken for F
	daysForSigns  = 30   // days needed before the spread of the figures is judged
	daysForHeat   = 5    // days needed before their heat is judged: a forecast has no more
	daysOfAYear   = 360  // days needed before a year's median is judged
	dryYearMm     = 100.0
	wetYearMm     = 7000.0
	rainyDayShare = 0.2  // share of days with rain above which under dryYearMm looks like inches
	jumpC         = 15.0 // C; a month further than this from the middle of its kind is in another unit (F for C is 20 or more)
	wholeMonth    = 15   // days from which on a month is judged by jumpC; with fewer by spellC
	spellC        = 22.0 // C; the same for some days in a row (F for C is 24 at -10 C)
	spellDays     = 5    // days in a row that are judged
	daysOfMonth   = 5    // days needed before a month is judged
	crossedShare  = 0.05 // share of days with the lowest above the highest that is no slip of the pen any more
	crossedDays   = 10   // and their number
	otherYears    = 2    // years needed to judge it by
	flatDays      = 10   // days with one and the same figure as lowest and highest; the eight reference records have at most 1
	kelvinMedian  = 150  // K; no place has a median highest of so many C or F
	southernC     = 3.0  // C by which December to February must be warmer than June to August
	stuckForWeeks = 20   // days; the eight reference records have at most 4 in a row with the same two temperatures
)

// Guards lists the rules of plausibility for weather.
func Guards() []read.Guard {
	const own = "own judgement, checked against eight reference records (NOAA, Environment Canada, MeteoSwiss, Deutscher Wetterdienst)"
	return []read.Guard{
		{Code: UnitGuard, Level: read.Ask, Source: own, What: fmt.Sprintf("median daily highest above %.0f C, median lowest above %.0f C, more than %.0f %% of days above %.0f C, "+
			"median daily range above %.0f or below %.1f C; in F, a year whose median highest is under %.0f C", hotMedianC, warmNightsC, 100*hotDaysShare, hotDayC, wideRangeC, narrowRangeC, coldMedianC)},
		{Code: RainUnitGuard, Level: read.Note, Source: own, What: fmt.Sprintf("under %.0f mm a year that falls on more than %.0f %% of days, or over %.0f mm a year", dryYearMm, 100*rainyDayShare, wetYearMm)},
		{Code: SouthernGuard, Level: read.Error, Source: "the seasons", What: fmt.Sprintf("December to February more than %.0f C warmer than June to August, or a latitude south of the equator", southernC)},
		{Code: JumpGuard, Level: read.Ask, Source: own, What: fmt.Sprintf("a month whose mean temperature lies more than %.0f C from the middle of the same months of the other years, %.0f C with fewer than %d days", jumpC, spellC, wholeMonth)},
		{Code: SpellGuard, Level: read.Ask, Source: own, What: fmt.Sprintf("%d days in a row whose mean temperature lies more than %.0f C from the middle of the same part of the year in the other years", spellDays, spellC)},
		{Code: CrossedGuard, Level: read.Ask, Source: own, What: fmt.Sprintf("the lowest temperature above the highest on more than %.0f %% of the days, %d or more", 100*crossedShare, crossedDays)},
		{Code: FlatGuard, Level: read.Ask, Source: own, What: fmt.Sprintf("one figure that is the lowest and the highest of a day on %d days, as when what is missing is written as 0", flatDays)},
		{Code: StuckGuard, Level: read.Ask, Source: own, What: fmt.Sprintf("the same lowest and highest temperature on %d days in a row", stuckForWeeks)},
		{Code: DotsMonthFirst, Level: read.Note, Source: "common practice: dates with dots are day.month.year", What: "dates with dots that fit month.day.year only"},
	}
}

// figures are medians of a file's raw temperatures.
type figures struct {
	days                    int
	high, low, spread, heat float64 // median highest, median lowest, median range, share above hotDayC
}

func figuresOf(raw [3][]float64, s [3]linear) figures {
	var hi, lo, spread []float64
	hot := 0
	for i := range raw[Tmax] {
		a, b := s[Tmin].apply(raw[Tmin][i]), s[Tmax].apply(raw[Tmax][i])
		if math.IsNaN(a) || math.IsNaN(b) {
			continue
		}
		lo, hi, spread = append(lo, a), append(hi, b), append(spread, b-a)
		if b > hotDayC {
			hot++
		}
	}
	f := figures{days: len(hi)}
	if f.days > 0 {
		f.high, f.low, f.spread = median(hi), median(lo), median(spread)
		f.heat = float64(hot) / float64(f.days)
	}
	return f
}

func median(v []float64) float64 {
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
}

func (f figures) looksF() bool {
	return f.days >= daysForHeat && (f.high > hotMedianC || f.low > warmNightsC) || f.days >= daysForSigns && f.heat > hotDaysShare
}

// suspect asks where the figures do not fit the unit they were read in.
func (in *reader) suspect(raw [3][]float64, s [3]linear, u [3]unit) {
	f := figuresOf(raw, s)
	name := in.names[Tmax]
	ask := func(message, fix string) { in.problem(UnitGuard, read.Ask, 0, 0, message, fix) }
	switch {
	case f.days >= daysForSigns && f.spread > wideRangeC:
		ask(fmt.Sprintf("the figures under %q look like tenths of a degree (median daily range %.0f C)", name, f.spread), "divide them by ten, or check the file")
	case f.days >= daysForHeat && f.high > kelvinMedian:
		ask(fmt.Sprintf("the figures under %q look like kelvin (median highest %.0f)", name, f.high), "take 273.15 from each, or check the file")
	case f.days >= daysForSigns && f.spread < narrowRangeC && f.spread > -narrowRangeC: // below that the columns are exchanged, which is told by itself
		ask(fmt.Sprintf("the figures under %q look like degrees divided by ten (median daily range %.1f C)", name, f.spread), "check the file and the place of the decimal point")
	case u[Tmax] != unitUS && f.looksF():
		ask(fmt.Sprintf("the figures under %q are read as C but look like F (median highest %.0f, median lowest %.0f)", name, f.high, f.low),
			"name the columns tmin_f and tmax_f, or give the units")
	case u[Tmax] == unitUS && f.days >= daysOfAYear && f.high < coldMedianC:
		ask(fmt.Sprintf("the figures under %q are read as F but look like C (median highest %.0f C)", name, f.high),
			"name the columns tmin_c and tmax_c, or give the units")
	}
	in.suspectRain(raw[Precip], s[Precip])
}

func (in *reader) suspectRain(raw []float64, s linear) {
	total, wet, days := 0.0, 0, 0
	for _, v := range raw {
		if v = s.apply(v); v >= 0 {
			days++
			total += v
			if v > 0 {
				wet++
			}
		}
	}
	if days < daysOfAYear {
		return
	}
	year := total / float64(days) * daysInYear
	switch {
	case year < dryYearMm && float64(wet) > rainyDayShare*float64(days):
		in.problem(RainUnitGuard, read.Note, 0, 0, fmt.Sprintf("the precipitation is only %.0f mm a year and yet falls on %d %% of the days; it looks like inches or cm", year, 100*wet/days),
			"name the column precip_in, or give the units")
	case year > wetYearMm:
		in.problem(RainUnitGuard, read.Note, 0, 0, fmt.Sprintf("the precipitation is %.0f mm a year; its unit looks wrong", year), "name the column precip_mm, or check the file")
	}
}

const daysInYear = 365.25 // days, mean of the calendar

// weigh looks for what no place of the north has in a record that was read.
func weigh(rec *Record, file string, ps *read.Problems) {
	southern(rec, file, ps)
	if !jump(rec, file, ps) {
		spell(rec, file, ps)
	}
	if !stuck(rec, file, ps) {
		flat(rec, file, ps)
	}
}

// flat finds one figure that is the lowest and the highest of many days, as when days that
// are missing are written as 0.
func flat(rec *Record, file string, ps *read.Problems) {
	at := map[float64][]time.Time{}
	for i, d := range rec.Days {
		if d.HasTemp() && d.TminC == d.TmaxC {
			at[d.TminC] = append(at[d.TminC], rec.Date(i))
		}
	}
	most := math.NaN()
	for figureC, days := range at {
		if math.IsNaN(most) || len(days) > len(at[most]) || len(days) == len(at[most]) && figureC < most {
			most = figureC
		}
	}
	if days := at[most]; len(days) >= flatDays {
		ps.Report(read.Problem{Code: FlatGuard, Level: read.Ask, File: file, Fix: "leave the figures of missing days blank",
			Message: fmt.Sprintf("%d days have a lowest and a highest of %.1f C, the first is %s: as if what is missing were written so", len(days), most, days[0].Format(time.DateOnly))})
	}
}

// southern finds a record of the other half of the earth.
func southern(rec *Record, file string, ps *read.Problems) {
	const fix = "name a record from north of the equator: the months of this one stand half a year off"
	if rec.Station.LatDeg < 0 {
		ps.Report(read.Problem{Code: SouthernGuard, File: file, Message: fmt.Sprintf("the record is of a place at latitude %.1f, south of the equator", rec.Station.LatDeg), Fix: fix})
		return
	}
	var sum, n [2]float64 // December to February, June to August
	for i, d := range rec.Days {
		if !d.HasTemp() {
			continue
		}
		k := -1
		switch rec.Date(i).Month() {
		case time.December, time.January, time.February:
			k = 0
		case time.June, time.July, time.August:
			k = 1
		}
		if k >= 0 {
			sum[k] += (d.TminC + d.TmaxC) / 2
			n[k]++
		}
	}
	if n[0] < daysForSigns || n[1] < daysForSigns {
		return
	}
	if winter, summer := sum[0]/n[0], sum[1]/n[1]; winter > summer+southernC {
		ps.Report(read.Problem{Code: SouthernGuard, File: file,
			Message: fmt.Sprintf("January is warmer than July (December to February %.0f C, June to August %.0f C): the record is of the southern half of the earth", winter, summer), Fix: fix})
	}
}

// monthMean is the mean temperature of a month of a year.
type monthMean struct {
	year  int
	month time.Month
	meanC float64
	days  int
}

func monthMeans(rec *Record) []monthMean {
	var out []monthMean
	for i, d := range rec.Days {
		date := rec.Date(i)
		if n := len(out); n == 0 || out[n-1].month != date.Month() || out[n-1].year != date.Year() {
			out = append(out, monthMean{year: date.Year(), month: date.Month()})
		}
		if m := &out[len(out)-1]; d.HasTemp() {
			m.days++
			m.meanC += ((d.TminC+d.TmaxC)/2 - m.meanC) / float64(m.days)
		}
	}
	return slices.DeleteFunc(out, func(m monthMean) bool { return m.days < daysOfMonth })
}

// jump finds a month that is unlike the same month of the other years, as when
// this season's days are in another unit than the rest.
func jump(rec *Record, file string, ps *read.Problems) bool {
	all := monthMeans(rec)
	var byMonth [13][]monthMean
	for _, m := range all {
		byMonth[m.month] = append(byMonth[m.month], m)
	}
	for _, m := range all {
		if p, odd := m.odd(byMonth[m.month]); odd {
			p.File = file
			ps.Report(p)
			return true // the first is enough
		}
	}
	return false
}

// meanOf is the mean temperature of some days from one on; false when one is not
// known.
func meanOf(days []Day) (meanC float64, ok bool) {
	for _, d := range days {
		if !d.HasTemp() {
			return 0, false
		}
		meanC += (d.TminC + d.TmaxC) / 2 / float64(len(days))
	}
	return meanC, true
}

// spell finds days in a row that are unlike the same part of the year in the other
// years, as when the last few are in another unit than the rest.
func spell(rec *Record, file string, ps *read.Problems) {
	const part = 10 // days of the year that are taken together
	type spellMean struct {
		day, year int
		meanC     float64
	}
	var byPart [367/part + 1][]spellMean
	for i := 0; i+spellDays <= len(rec.Days); i++ {
		if m, ok := meanOf(rec.Days[i : i+spellDays]); ok {
			date := rec.Date(i)
			byPart[date.YearDay()/part] = append(byPart[date.YearDay()/part], spellMean{i, date.Year(), m})
		}
	}
	for _, all := range byPart {
		means := make([]float64, len(all))
		years := map[int]bool{}
		for i, m := range all {
			means[i], years[m.year] = m.meanC, true
		}
		if len(years) <= otherYears {
			continue
		}
		usual := median(means)
		m := slices.MaxFunc(all, func(a, b spellMean) int { return cmp.Compare(math.Abs(a.meanC-usual), math.Abs(b.meanC-usual)) })
		if math.Abs(m.meanC-usual) > spellC {
			ps.Report(read.Problem{Code: SpellGuard, Level: read.Ask, File: file, Fix: "check the unit of these days",
				Message: fmt.Sprintf("%s to %s have a mean temperature of %.0f C where other years have %.0f C", rec.Date(m.day).Format("2 January"),
					rec.Date(m.day+spellDays-1).Format("2 January 2006"), m.meanC, usual)})
			return // the first is enough
		}
	}
}

// odd compares a month with the same months of other years.
func (m monthMean) odd(others []monthMean) (read.Problem, bool) {
	var means []float64
	for _, o := range others {
		if o.year != m.year {
			means = append(means, o.meanC)
		}
	}
	if len(means) < otherYears {
		return read.Problem{}, false
	}
	usual, most := median(means), jumpC
	if m.days < wholeMonth {
		most = spellC
	}
	if math.Abs(m.meanC-usual) <= most {
		return read.Problem{}, false
	}
	return read.Problem{Code: JumpGuard, Level: read.Ask, Fix: "check the unit of these days",
		Message: fmt.Sprintf("%s %d has a mean temperature of %.0f C where other years have %.0f C", m.month, m.year, m.meanC, usual)}, true
}

// stuck finds the same figures day after day for weeks.
func stuck(rec *Record, file string, ps *read.Problems) bool {
	for _, s := range Check(rec).Stuck {
		if n := s.Days(); n >= stuckForWeeks {
			ps.Report(read.Problem{Code: StuckGuard, Level: read.Ask, File: file, Fix: "leave the figures of these days blank",
				Message: fmt.Sprintf("all %d days from %s to %s have a lowest of %.1f and a highest of %.1f C: a stuck instrument or copied figures",
					n, s.First.Format(time.DateOnly), s.Last.Format(time.DateOnly), s.TminC, s.TmaxC)})
			return true
		}
	}
	return false
}

// Unlike asks about days, such as a forecast, that are far from what the same
// month has in a record of the place. file is how the days are called in
// messages; usual may be nil.
func Unlike(days, usual *Record, file string) read.Problems {
	var ps read.Problems
	if usual == nil {
		return nil
	}
	var byMonth [13][]monthMean
	for _, m := range monthMeans(usual) {
		byMonth[m.month] = append(byMonth[m.month], m)
	}
	for _, m := range monthMeans(days) {
		if p, odd := m.odd(byMonth[m.month]); odd {
			p.File = file
			ps.Report(p)
			return ps
		}
	}
	return nil
}
