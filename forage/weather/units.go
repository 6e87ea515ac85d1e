package weather

import (
	"bloomgap/forage/read"
	"fmt"
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
			if asIs.looksF() {
				in.problem(
					UnitGuard,
					read.Error,
					0,
					0,
					fmt.Sprintf(
						"the headings give no unit of temperature and the figures look like F (median highest %.0f, median lowest %.0f)",
						asIs.high,
						asIs.low,
					),
					"name the columns tmin_f and tmax_f (or tmin_c and tmax_c), or give the units",
				)
				break
			}
			u[Tmin], u[Tmax] = unitMetric, unitMetric
		}
		if u[Precip] == unitOpen {
			u[Precip] = unitMetric
			if u[Tmax] == unitUS && in.names[Precip] != "" {
				u[Precip] = unitUS
				in.problem(
					UnitAssumed,
					read.Note,
					0,
					0,
					fmt.Sprintf("the heading %q gives no unit; taken as inches, since the temperatures are in F", in.names[Precip]),
					"name the column precip_in or precip_mm",
				)
			}
		}
	}
	var s [3]linear
	for e := range s {
		s[e] = scaleOf(Element(e), u[e])
	}
	if len(in.ps.Errors()) == 0 {
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
		in.problem(
			UnitAssumed,
			read.Note,
			0,
			0,
			fmt.Sprintf("the file does not give its units; its figures (median highest %.0f) are F and inches", f.high),
			"give the units if that is wrong",
		)
		return all(unitUS)
	case decimals:
		return all(unitMetric)
	}
	in.problem(
		UnitGuard,
		read.Error,
		0,
		0,
		"the file does not give its units and its whole figures may be C or F",
		"give the units: metric (C, mm) or US (F, inches)",
	)
	return all(unitMetric)
}
