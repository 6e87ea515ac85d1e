package weather

import (
	"fmt"
	"math"
	"slices"
)

// linear turns a figure of the file into C or mm: (v - zero) * times / over.
// Division by ten and multiplication are kept apart so that -139 tenths become
// the very number that "-13.9" is.
type linear struct{ zero, times, over float64 }

func (l linear) apply(v float64) float64 { return (v - l.zero) * l.times / l.over }

const (
	freezingF = 32.0 // F, exact
	fPerC     = 1.8  // F a C, exact
	mmPerInch = 25.4 // mm an inch, exact
	mmPerCm   = 10.0 // mm a cm, exact
	tenthsPer = 10.0 // tenths a unit, exact
)

func scaleOf(e Element, u unit) linear {
	switch {
	case u == unitTenths:
		return linear{0, 1, tenthsPer}
	case u == unitUS && e != Precip:
		return linear{freezingF, 1, fPerC}
	case u == unitUS:
		return linear{0, mmPerInch, 1}
	case u == unitCm:
		return linear{0, mmPerCm, 1}
	}
	return linear{0, 1, 1}
}

// Signs that figures taken for C are something else. Common sense checked against
// the eight reference records, whose medians are: highest 6 to 16 C, lowest -2 to 6 C,
// daily range 7 to 13 C.
const (
	hotMedianC    = 40.0 // C; no place on earth has a median daily highest above it
	warmNightsC   = 32.0 // C; nor a median daily lowest above this
	hotDayC       = 50.0 // C; days above it are a rarity of deserts
	hotDaysShare  = 0.03 // share of days above hotDayC that is beyond the hottest desert towns
	wideRangeC    = 40.0 // C; median daily range that no place has: tenths
	coldMedianC   = -8.0 // C; median highest of a whole year that no place with bees has: C taken for F
	daysForSigns  = 30   // days needed before the figures are judged
	daysOfAYear   = 360  // days needed before a year's median is judged
	dryYearMm     = 100.0
	wetYearMm     = 7000.0
	rainyDayShare = 0.2 // share of days with rain above which under dryYearMm looks like inches
)

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
	return f.high > hotMedianC || f.low > warmNightsC || f.heat > hotDaysShare
}

// settleUnits decides the unit of each element from the heading, the option and,
// where both leave it open, the figures; it warns where figures and unit disagree.
func (in *reader) settleUnits(raw [3][]float64) [3]linear {
	u := in.units
	fixed := in.layout != layoutPlain && in.layout != layoutOrder && in.layout != layoutAccess
	asIs := figuresOf(raw, [3]linear{scaleOf(Tmin, unitMetric), scaleOf(Tmax, unitMetric), scaleOf(Precip, unitMetric)})
	switch {
	case fixed:
	case in.layout == layoutAccess && in.whole[Tmin] && in.whole[Tmax]:
		u = [3]unit{unitTenths, unitTenths, unitTenths}
	case in.opt.Units == UnitsMetric:
		u = [3]unit{unitMetric, unitMetric, unitMetric}
	case in.opt.Units == UnitsUS:
		u = [3]unit{unitUS, unitUS, unitUS}
	case in.ask:
		u = in.orderUnits(asIs)
	default:
		for _, e := range []Element{Tmin, Tmax} {
			if u[e] != unitOpen {
				continue
			}
			if other := u[Tmin+Tmax-e]; other != unitOpen {
				u[e] = other
				continue
			}
			if asIs.days >= daysForSigns && asIs.looksF() {
				in.ps.Add(in.file, 0, 0, fmt.Sprintf("the headings give no unit of temperature and the figures look like F (median highest %.0f, median lowest %.0f)", asIs.high, asIs.low),
					"name the columns tmin_f and tmax_f (or tmin_c and tmax_c), or give the units")
				break
			}
			u[Tmin], u[Tmax] = unitMetric, unitMetric
		}
		if u[Precip] == unitOpen {
			u[Precip] = unitMetric
			if u[Tmax] == unitUS && in.names[Precip] != "" {
				u[Precip] = unitUS
				in.ps.Warn(in.file, 0, 0, fmt.Sprintf("the heading %q gives no unit; taken as inches, since the temperatures are in F", in.names[Precip]),
					"name the column precip_in or precip_mm")
			}
		}
	}
	var s [3]linear
	for e := range s {
		s[e] = scaleOf(Element(e), u[e])
	}
	if len(in.ps.Fatal()) == 0 {
		in.suspect(raw, s, u)
	}
	return s
}

// orderUnits tells C from F from tenths in NOAA's order form, which does not say.
func (in *reader) orderUnits(f figures) [3]unit {
	all := func(u unit) [3]unit { return [3]unit{u, u, u} }
	decimals := !in.whole[Tmin] || !in.whole[Tmax]
	switch {
	case f.days >= fewestForUnits && f.spread > wideRangeC && !decimals:
		return all(unitTenths)
	case f.days >= fewestForUnits && f.looksF():
		in.ps.Warn(in.file, 0, 0, fmt.Sprintf("the file does not give its units; its figures (median highest %.0f) are F and inches", f.high), "give the units if that is wrong")
		return all(unitUS)
	case decimals:
		return all(unitMetric)
	}
	in.ps.Add(in.file, 0, 0, "the file does not give its units and its whole figures may be C or F", "give the units: metric (C, mm) or US (F, inches)")
	return all(unitMetric)
}

// suspect warns where the figures do not fit the unit they were read in.
func (in *reader) suspect(raw [3][]float64, s [3]linear, u [3]unit) {
	f := figuresOf(raw, s)
	if f.days < daysForSigns {
		return
	}
	name := in.names[Tmax]
	switch {
	case f.spread > wideRangeC:
		in.ps.Warn(in.file, 0, 0, fmt.Sprintf("the figures under %q look like tenths of a degree (median daily range %.0f C)", name, f.spread),
			"divide them by ten, or check the file")
	case u[Tmax] != unitUS && f.looksF():
		in.ps.Warn(in.file, 0, 0, fmt.Sprintf("the figures under %q are read as C but look like F (median highest %.0f, median lowest %.0f)", name, f.high, f.low),
			"name the columns tmin_f and tmax_f, or give the units")
	case u[Tmax] == unitUS && f.days >= daysOfAYear && f.high < coldMedianC:
		in.ps.Warn(in.file, 0, 0, fmt.Sprintf("the figures under %q are read as F but look like C (median highest %.0f C)", name, f.high),
			"name the columns tmin_c and tmax_c, or give the units")
	}
	total, wet, days := 0.0, 0, 0
	for _, v := range raw[Precip] {
		if v = s[Precip].apply(v); v >= 0 {
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
		in.ps.Warn(in.file, 0, 0, fmt.Sprintf("the precipitation is only %.0f mm a year and yet falls on %d %% of the days; it looks like inches or cm", year, 100*wet/days),
			"name the column precip_in, or give the units")
	case year > wetYearMm:
		in.ps.Warn(in.file, 0, 0, fmt.Sprintf("the precipitation is %.0f mm a year; its unit looks wrong", year), "name the column precip_mm, or check the file")
	}
}

const daysInYear = 365.25 // days, mean of the calendar
