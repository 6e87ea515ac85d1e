package colony

import (
	"math"
	"time"

	"bloomgap/forage"
	"bloomgap/forage/flight"
)

// ForceDay is what one day of weather does to any colony at a place: worked out
// once per spring and shared by all colonies, draws and feedings.
type ForceDay struct {
	HeatKg  float64 // honey per W/K of cluster heat loss, K and day, contraction included, kg
	MeanC   float64 // mean air temperature, C
	SmoothC float64 // mean of about ten days back, C
	Season  float64 // what day length allows of full laying, 0 to 1
	Cover   float64 // brood that a bee keeps warm against that at ContractFromC
	Awake   float64 // share of the day above ActiveFromC, 0 to 1
	Flight  float64 // foraging as a share of a full day of flight, 0 to 1
	FlightH float64 // hours of foraging
	PollenH float64 // hours in which pollen is gathered: half by foraging, half by flight near the hive
	NectarH float64 // hours of foraging in open bloom, each by what bloom gives at the day's warmth
	GainH   float64 // hours of foraging on a day warm enough for gain
	Cold    float64 // 0 after a day on which bees move, up to 1 in a long cold spell
	Mild    float64 // 0 at 10 C maximum and below, 1 at 15 C and above
	Chill   float64 // 0 at 4 C maximum and below, 1 at 10 C and above
	Autumn  float64 // share of the bees emerging that live through winter, 0 in spring
}

// Limits of syrup take-up on the day's maximum, C. Source: rules of
// practice: solid only under 4 C, feeders touching the cluster to 10 C, take-up
// free from about 15 C (common practice).
const (
	takeUpNoneC = 4.0
	takeUpSlowC = 10.0
	takeUpFreeC = 15.0
)

const (
	smoothDays   = 10.0 // memory of the brood nest for temperature, d, 5-20, own judgement
	coldFullDays = 10.0 // days without movement until stores within reach are eaten out, d, 5-20, own judgement
	shortDayH    = 8.0  // h, day of the least laying, 7.5-9, midwinter at 50 N
	longDayH     = 13.0 // h, day that holds laying back no more, 12-15, own judgement: April
)

// Forcing turns the days of a spring into what they do to a colony. The values
// of p that describe the air and the cluster's shape are used; those that are
// drawn per colony are not.
func Forcing(days []forage.Day, p *Params) []ForceDay {
	out := make([]ForceDay, len(days))
	coldRun := 0.0
	smooth := 0.0
	for i, d := range days {
		mean := (d.TminC + d.TmaxC) / 2
		if i == 0 {
			smooth = firstSmoothC(days)
		}
		smooth += (mean - smooth) / smoothDays
		if d.TmaxC < p.UnreachableBelowC {
			coldRun++
		} else {
			coldRun = 0
		}
		below := max(0, p.ContractFromC-mean)
		autumn := autumnShare(d.Date)
		light := clamp01((d.DayLengthH - shortDayH) / (longDayH - shortDayH))
		season := p.ShortDayShare + (1-p.ShortDayShare)*light*light*light
		season *= 1 - autumn*(1-p.AutumnShare)
		sun := flight.SunShare(d.TminC, d.TmaxC)
		flightH := d.ForagingH * sun
		flightShare := min(1, flightH/p.FullFlightH)
		f := ForceDay{
			HeatKg:  86400 / (p.EnergyMJPerKg * 1e6) / (1 + p.ContractionPerK*below),
			MeanC:   mean,
			SmoothC: smooth,
			Season:  season,
			Cover:   (p.CoreBroodC - p.ContractFromC) / max(leastRiseK, p.CoreBroodC-mean),
			Awake:   flight.WarmShare(d.TminC, d.TmaxC, p.ActiveFromC),
			Flight:  flightShare,
			FlightH: flightH,
			PollenH: flightH + nearFlight*max(0, d.CleansingH*sun-flightH),
			Cold:    min(1, coldRun/coldFullDays),
			Mild:    clamp01((d.TmaxC - takeUpSlowC) / (takeUpFreeC - takeUpSlowC)),
			Chill:   clamp01((d.TmaxC - takeUpNoneC) / (takeUpSlowC - takeUpNoneC)),
			Autumn:  autumn,
		}
		if d.TmaxC >= p.NectarFromC {
			f.GainH = flightH
			f.NectarH = flightH * clamp01((d.TmaxC-p.NectarFromC)/(p.NectarFullC-p.NectarFromC))
		}
		out[i] = f
	}
	return out
}

// nearFlight is the share of cool hours, in which bees fly but few forage, that
// gathers pollen, 1, 0.2-0.8, own judgement between two sources: Burrill & Dietz
// 1981 saw foraging rise from 12 to 20 C, Vicens & Bosch 2000 full activity at 12
// to 14 C in sun. Pollen of willow and maple stands near the hive.
const nearFlight = 0.5

// leastRiseK keeps the brood that a bee warms within what it can nurse on hot
// days, K, 8-20, own judgement: the nest is warmed little above 20 C.
const leastRiseK = 14.0

// firstSmoothC stands in for the days before the run: the mean of its first ten.
func firstSmoothC(days []forage.Day) float64 {
	n := min(len(days), int(smoothDays))
	sum := 0.0
	for _, d := range days[:n] {
		sum += (d.TminC + d.TmaxC) / 2
	}
	return sum / float64(n)
}

// Days of the northern year between which a colony turns to winter.
const (
	winterBeesFirst = 213 // 1 August: the first bees that may live through winter, 200-240, common practice
	winterBeesAll   = 274 // 1 October: every bee that emerges does, 260-290, common practice
	solstice        = 356 // 22 December: the new season begins
)

// autumnShare is how far a date has gone towards winter, 0 to 1; 0 again from
// the solstice on.
func autumnShare(date time.Time) float64 {
	doy := date.YearDay()
	if doy >= solstice {
		return 0
	}
	return clamp01(float64(doy-winterBeesFirst) / (winterBeesAll - winterBeesFirst))
}

func clamp01(x float64) float64 { return max(0, min(1, x)) }

// NectarDay returns the first day from bloom on at which dependable nectar has
// come in: the second day of gain, at which the bees have hours enough in open
// bloom. It returns len(f) when that day lies behind the table.
func NectarDay(f []ForceDay, bloomDay int, p *Params) int {
	good := 0
	for i := max(bloomDay, 0); i < len(f); i++ {
		if f[i].GainH >= p.NectarDayFlightH {
			if good++; good == nectarGoodDays {
				return i
			}
		}
	}
	return len(f)
}

// FlowDay is NectarDay counted from first flower: bloom_to_flow_days later.
func FlowDay(f []ForceDay, firstFlowerDay int, p *Params) int {
	return NectarDay(f, firstFlowerDay+int(math.Round(p.BloomToFlowDays)), p)
}

const nectarGoodDays = 2 // days of gain that end the danger, d, 1-4, common practice: bloom and a cold spell often coincide
