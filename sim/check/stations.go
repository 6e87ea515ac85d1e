package check

import (
	"fmt"
	"math"
	"time"

	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/weather"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// Station is a place whose weather the rows run on.
type Station struct {
	Key            string // in Records
	Name           string
	File           string // name of its file among the reference records
	LatDeg, LonDeg float64
	ElevM          float64
}

// Wanted lists the places of the rows.
func Wanted() []Station {
	return []Station{
		{"farnham", "Farnham", "farnham_qc_ca_7022320.csv", 45.30, -72.90, 68},
		{"milwaukee", "Milwaukee", "milwaukee_wi_us_USW00014839.csv", 42.955, -87.904, 203},
		{"grand_forks", "Grand Forks", "grand_forks_nd_us_USC00323621.csv", 47.92, -97.10, 253},
		{"wuerzburg", "Wuerzburg", "wuerzburg_de_05705.csv", 49.77, 9.96, 268},
		{"bern", "Bern", "bern_ch_BER.csv", 46.99, 7.46, 553},
		{"grambek", "Grambek", "grambek_de_01736.csv", 53.57, 10.68, 15},
	}
}

// Records are daily records by the Key of a wanted station. A station without
// one runs on generated springs.
type Records map[string]*weather.Record

// blooms gives the first pollen and the first dependable nectar of a place from
// the usual rules of its region: silver maple or willow, and dandelion.
func (s Station) blooms() (pollen, nectar bloom.Threshold) {
	for _, th := range bloom.Default(s.LatDeg, s.LonDeg) {
		switch th.Plant {
		case "silver maple", "willow":
			pollen = th
		case "dandelion":
			nectar = th
		}
	}
	return pollen, nectar
}

// The season that every run is dated in; its own year does not matter.
var (
	seasonStart = time.Date(2026, time.October, 1, 0, 0, 0, 0, time.UTC)
	seasonEnd   = time.Date(2027, time.July, 15, 0, 0, 0, 0, time.UTC)
)

// dayOf is a date of the season in days since 1 October.
func dayOf(month time.Month, day int) int {
	year := seasonEnd.Year()
	if month >= time.October {
		year--
	}
	return int(math.Round(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Sub(seasonStart).Hours() / 24))
}

// Outlook makes the springs of a station from its record, one for each whole season
// from October to July, or from its generated climate where there is none or it holds
// fewer than leastSprings whole ones. source says which.
func (s Station) Outlook(recs Records) (o *forage.Outlook, source string, err error) {
	years, source := wholeYears(recs[s.Key]), s.Name+", record"
	if len(years) < leastSprings {
		years, source = s.generated(), s.Name+", generated"
	}
	pollen, nectar := s.blooms()
	o, err = forage.NewOutlook(forage.Prospect{
		LatDeg: s.LatDeg, Start: seasonStart, Today: seasonStart, End: seasonEnd,
		Years: years, Pollen: pollen, Nectar: nectar,
	})
	return o, source, err
}

// site is a station with its springs.
type site struct {
	Station
	outlook *forage.Outlook
	climate string // words for the rows
}

const leastSprings = 5 // whole springs a record must hold to be used, 3-15, own judgement

// wholeYears are the seasons of a record that lack no day once short gaps are
// filled.
func wholeYears(rec *weather.Record) []forage.Year {
	if rec == nil || len(rec.Days) == 0 {
		return nil
	}
	rec, _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
	var out []forage.Year
	for y := rec.First.Year(); y <= rec.Last().Year(); y++ {
		first := time.Date(y-1, seasonStart.Month(), seasonStart.Day(), 0, 0, 0, 0, time.UTC)
		last := time.Date(y, seasonEnd.Month(), seasonEnd.Day(), 0, 0, 0, 0, time.UTC)
		whole := true
		for d := first; whole && !d.After(last); d = d.AddDate(0, 0, 1) {
			_, whole = rec.At(d)
		}
		if whole {
			out = append(out, forage.Year{Label: first.Format("2006"), Record: rec, Number: y, Weight: 1, Origin: forage.Past})
		}
	}
	return out
}

// generated are springs made from the built-in climate next to the place.
func (s Station) generated() []forage.Year {
	var out []forage.Year
	for _, rec := range climate.Generate(climate.NearestAt(s.LatDeg, s.LonDeg, s.ElevM), generatedSprings, generatedSeed) {
		out = append(out, forage.Year{Label: rec.Name, Record: rec, Number: rec.Last().Year(), Weight: 1, Origin: forage.Generated})
	}
	return out
}

// The springs of a generated climate.
const (
	generatedSprings = 30 // as many as a climate normal has, 10-100, common practice
	generatedSeed    = 1  // any
)

// trial is what a row runs: one kind of colony on one site.
type trial struct {
	site     *site
	base     colony.Params
	fixed    bool // no spread of parameters
	members  int
	seed     uint64
	step     func()
	bees     float64
	beesSD   float64 // natural logarithm
	brood    float64
	broodSD  float64 // natural logarithm
	from     time.Time
	pollen   float64 // times the reserve of start_pollen_g
	wrapped  bool
	supplied bool
	suppFrom time.Time
	early    colony.EarlyForage
}

// Start of the runs over winter, on 1 October. America: Avitabile 1978 counted
// 20,800 bees at the end of October in Connecticut (cited), a tenth fewer than on
// its first day (worked). Europe: a cluster of
// 1.5 kg in winter (memory).
const (
	americanBees  = 23000.0
	europeanBees  = 13000.0
	autumnBeesSD  = 0.25 // natural logarithm, 0.1-0.4, own judgement
	broodPerBee   = 0.17 // cells, 0.05-0.3, own judgement: about one comb side
	autumnBroodSD = 0.3  // natural logarithm, 0.2-0.6, own judgement
	plentyKg      = 60.0 // stores that do not end
)

func (s *site) winter(base colony.Params, opt Options) trial {
	bees := europeanBees
	if s.LonDeg < 0 {
		bees = americanBees
	}
	return trial{site: s, base: base, members: opt.Members, seed: opt.Seed, step: opt.step, bees: bees, beesSD: autumnBeesSD,
		brood: broodPerBee * bees, broodSD: autumnBroodSD, from: seasonStart, pollen: 1}
}

// run is one member's path. Place i of the path is first+i days after 1 October.
type run struct {
	path   colony.Path
	out    colony.Outcome
	params colony.Params
	first  int
	temp   []colony.ForceDay
	member int
	spring int
	span   colony.Span
}

// at is a column's value on a date of the season, in days since 1 October.
func (r *run) at(column []float64, day int) float64 { return column[day-r.first] }

// weightKg is what a balance shows of what moves in a hive.
func (r *run) weightKg(day int) float64 { return r.path.WeightKg(day-r.first, &r.params) }

// usedKg is what was eaten from the evening of one day to that of another.
func (r *run) usedKg(from, to int) float64 {
	sum := 0.0
	for _, kg := range r.path.UsedKg[from-r.first+1 : to-r.first+1] {
		sum += kg
	}
	return sum
}

// meanC is the mean air temperature of the days after from up to to.
func (r *run) meanC(from, to int) float64 {
	sum := 0.0
	for i := from + 1; i <= to; i++ {
		sum += r.temp[i-r.first].MeanC
	}
	return sum / float64(to-from)
}

// runs takes the trial through all its members.
func (t trial) runs() []run {
	out := make([]run, t.members)
	draw := t.drawing()
	for m := range out {
		draw("check", m, &out[m])
	}
	return out
}

// hives returns what takes a number of colonies through one member: they share
// its spring and what is not known of bees in general, and differ as colonies do.
func (t trial) hives() func(member, number int) []run {
	draw := t.drawing()
	return func(member, number int) []run {
		out := make([]run, number)
		for i := range out {
			draw(fmt.Sprint("hive ", i), member, &out[i])
		}
		return out
	}
}

// drawing prepares the members and returns what runs a colony in one of them.
func (t trial) drawing() func(key string, m int, o *run) {
	draws := ensemble.NewSharedDraws(t.base, t.members, t.seed, t.fixed)
	pl := ensemble.NewSpringEnsemble(t.site.outlook, draws, ensemble.SpringEnsembleOptions{ReadDay: -1, Early: t.early})
	d := ensemble.NewSampler(pl)
	day := t.site.outlook.Day(t.from)
	seen := &ensemble.InitialSpread{Day: day, BeesLogMu: math.Log(t.bees), BeesLogSD: t.beesSD, Wrapped: t.wrapped,
		BroodCells: t.brood, BroodLogSD: t.broodSD, StoresKg: plentyKg, StoresMin: plentyKg, StoresMax: plentyKg}
	var r colony.Runner
	var care colony.Treatment
	if t.supplied {
		care.Supplement = true
		care.SupplementFrom = t.site.outlook.Day(t.suppFrom) - day - 1
	}
	return func(key string, m int, o *run) {
		t.step()
		var c ensemble.Realization
		d.Realize(ensemble.KeyOf(key), seen, m, &c)
		c.Start.PollenG *= t.pollen
		c.Span.Days = len(c.Forcing)
		if t.base.LayMaxPerDay == 0 { // a broodless trial: the queen is caged
			c.Params.LayMaxPerDay = 0
		}
		o.params, o.first, o.temp, o.member, o.spring, o.span = c.Params, day+1, c.Forcing, m, pl.Members[m].Spring, c.Span
		o.out = r.Run(c.Spring(), c.Start, &care, 0, &o.path)
	}
}
