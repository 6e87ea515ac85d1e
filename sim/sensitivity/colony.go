package sensitivity

import (
	"context"
	"fmt"
	"math"

	"bloomgap/forage"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// The factors of a colony.
const (
	Stores   = "stores at the start"
	Bees     = "bees at the start"
	Brood    = "brood at the start"
	Weather  = "weather of the spring"
	Bloom    = "error of the bloom date"
	Heat     = "heat of the cluster"
	Activity = "activity and flight"
	Rearing  = "laying and rearing"
	Deaths   = "deaths and work of bees"
	Pollen   = "pollen"
	Nectar   = "early nectar"
	Reach    = "stores out of reach"
	Site     = "site, hive and breed"
	Other    = "other parameters"
)

// parameterFactors tells the factor of each drawn parameter by its name. One
// that is not listed falls to Other; "" is one that does not act on a colony
// left alone.
var parameterFactors = map[string]string{
	"heat_loss_w": Heat, "core_broodless_c": Heat, "core_brood_c": Heat, "brood_half_warm_cells": Heat, "brood_opening": Heat,
	"need_share":      Site,
	"wrap_heat_share": Heat, "contraction_per_k": Heat, "contract_from_c": Heat, "energy_mj_per_kg": Heat, "bee_mass_g": Heat,
	"activity_mg": Activity, "flight_mg_per_h": Activity, "active_from_c": Activity,
	"larva_honey_mg": Rearing, "nursing_honey_mg": Rearing,
	"unreachable_kg": Reach, "unreachable_below_c": Reach,
	"lay_max_per_day": Rearing, "nurse_half_bees": Rearing, "cover_cells_per_bee": Rearing,
	"brood_cold_c": Rearing, "brood_warm_c": Rearing, "short_day_share": Rearing, "autumn_share": Rearing,
	"hatch_share": Rearing, "seal_share": Rearing, "emerge_share": Rearing,
	"winter_loss_per_day": Deaths, "nursing_loss": Deaths, "winter_flight_loss": Deaths, "house_loss_per_day": Deaths,
	"house_days": Deaths, "recruit_per_day": Deaths, "recruit_inhibition": Deaths, "forager_flight_loss": Deaths,
	"forager_rest_loss": Deaths, "winter_forager_share": Deaths, "full_flight_h": Deaths, "idle_flight_share": Deaths,
	"pollen_mg_per_h": Pollen, "pollen_bee_share": Pollen, "pollen_full_g": Pollen, "start_pollen_g": Pollen,
	"pollen_ramp_days": Pollen, "pollen_per_worker_mg": Pollen, "pollen_budget_days": Pollen,
	"nectar_mg_per_h": Nectar, "early_nectar_share": Nectar, "nectar_day_flight_h": Nectar, "nectar_from_c": Nectar, "nectar_full_c": Nectar,
	"early_good_ratio": Nectar, "early_none_ratio": Nectar, "early_unknown_sd": Nectar,
	"bloom_to_flow_days": Bloom, "bloom_ramp_days": Bloom,
	"supplement_mg_day": "", "supplement_pollen_share": "", "take_up_ml_per_bee": "", "take_up_cold_share": "",
	"take_up_touch_share": "", "solid_kg_per_kg_sugar": "", "syrup_yield": "",
}

// order is the order in which factors are listed.
var order = []string{Stores, Bees, Brood, Weather, Bloom, Heat, Activity, Rearing, Deaths, Pollen, Nectar, Reach, Site, Other}

// The inputs that are no parameters, by their place in the point.
const (
	atStores = iota
	atBees
	atBrood
	atSpring
	atBloom
	atPollen
	atEarly
	atParameters // the first parameter
)

// The answers, by their place.
const (
	daysToEmpty = iota
	storesShort
	answers
)

// Options say how much is run.
type Options struct {
	Base      colony.Params // the middle of every parameter
	Early     colony.EarlyForage
	Points    int // points a sample, 64-65536; runs are 2 to 14 times as many
	Boots     int // bootstrap resamples, 0-10000; 0 gives no intervals
	Seed      uint64
	ReserveKg float64 // stores to be held until nectar
}

// DefaultOptions gives intervals of about +-0.05.
func DefaultOptions() Options {
	return Options{Base: colony.DefaultParams(), Points: 4096, Boots: 200, Seed: 1, ReserveKg: 5}
}

// Validate tells what is out of range.
func (o Options) Validate() error {
	switch {
	case o.Points < 64 || o.Points > 65536:
		return fmt.Errorf("points must lie between 64 and 65536, not %d", o.Points)
	case o.Boots < 0 || o.Boots > 10000:
		return fmt.Errorf("bootstrap resamples must lie between 0 and 10000, not %d", o.Boots)
	case !(o.ReserveKg >= 0 && o.ReserveKg <= 50):
		return fmt.Errorf("the reserve must lie between 0 and 50 kg, not %g", o.ReserveKg)
	}
	return nil
}

// Answer is one thing looked at, with what drives it.
type Answer struct {
	Name     string // "days to empty", "stores short"
	Unit     string // "d", "kg"
	Mean, SD float64
	// AtLimitFrac is the share of runs at the end of the scale: stores that last
	// beyond the days looked at, or nothing short.
	AtLimitFrac float64
	Indices     []Index // in the order of the factors
}

// Result is what drives the answers of one colony.
type Result struct {
	Colony  string
	Answers []Answer
	// Parameters lists the drawn parameters of each factor, by its name.
	Parameters map[string][]string
}

// Colony works out what drives the answers of one colony left alone. seen is
// what is known of it; its Draw is not used. today is the day of the outlook on
// which the question is asked. It ends early with the context's error.
func Colony(ctx context.Context, name string, o *forage.Outlook, today int, seen ensemble.InitialSpread, opt Options) (Result, error) {
	if err := opt.Validate(); err != nil {
		return Result{}, err
	}
	if len(o.Springs) == 0 || seen.Day+2 >= len(o.Springs[0].Days) {
		return Result{}, fmt.Errorf("colony %s was seen after the last day looked at", name)
	}
	w := newWork(o, today, seen, opt)
	runs := sample(func(u, out []float64) {
		if ctx.Err() != nil {
			out[daysToEmpty], out[storesShort] = 0, 0
			return
		}
		w.run(u, out)
	}, w.inputs, answers, w.groups, opt.Points, opt.Seed)
	if err := ctx.Err(); err != nil {
		return Result{}, err
	}
	r := Result{Colony: name, Parameters: w.parameters}
	limits := [answers]float64{daysToEmpty: float64(w.days), storesShort: 0}
	for k, a := range [answers]Answer{{Name: "days to empty", Unit: "d"}, {Name: "stores short", Unit: "kg"}} {
		a.Mean, a.SD, a.AtLimitFrac = runs[k].describe(limits[k])
		a.Indices = runs[k].indices(ctx, w.groups, opt.Boots, opt.Seed)
		r.Answers = append(r.Answers, a)
	}
	if err := ctx.Err(); err != nil {
		return Result{}, err
	}
	return r, nil
}

// describe gives the mean and SD of an answer and the share of runs at its
// limit.
func (s *sums) describe(limit float64) (mean, sd, atLimit float64) {
	n := float64(2 * len(s.a))
	for _, half := range [][]float64{s.a, s.b} {
		for _, y := range half {
			mean += y / n
			if y == limit {
				atLimit += 1 / n
			}
		}
	}
	for _, half := range [][]float64{s.a, s.b} {
		for _, y := range half {
			sd += (y - mean) * (y - mean) / (n - 1)
		}
	}
	return mean, math.Sqrt(sd), atLimit
}

// work holds the scratch of one colony's runs.
type work struct {
	place      *ensemble.SpringEnsemble
	seen       ensemble.InitialSpread
	today      int
	opt        Options
	groups     []Group
	drawn      []int // places in the catalogue, by input from atParameters on
	parameters map[string][]string
	inputs     int
	days       int // looked at
	runner     colony.Runner
	c          ensemble.Realization
	s          ensemble.Sample
	barren     []colony.ForceDay // a spring without nectar from bloom on
}

func newWork(o *forage.Outlook, today int, seen ensemble.InitialSpread, opt Options) *work {
	w := &work{seen: seen, today: today, opt: opt, parameters: map[string][]string{},
		place: ensemble.NewSpringEnsemble(
			o,
			ensemble.NewSharedDraws(opt.Base, 1, opt.Seed, true),
			ensemble.SpringEnsembleOptions{Today: today, ReadDay: -1, Early: opt.Early},
		)}
	w.seen.Draw = nil
	w.days = len(o.Springs[0].Days) - seen.Day - 1
	inputs := map[string][]int{}
	put := func(factor string, at int) { inputs[factor] = append(inputs[factor], at) }
	if seen.StoresSDKg > 0 {
		put(Stores, atStores)
	}
	if seen.BeesLogSD > 0 {
		put(Bees, atBees)
	}
	if math.IsNaN(seen.BroodCells) || seen.BroodLogSD > 0 {
		put(Brood, atBrood)
	}
	if len(o.Springs) > 1 {
		put(Weather, atSpring)
	}
	if o.BloomSpreadDays > 0 {
		put(Bloom, atBloom)
	}
	if o.PollenSpread > 0 {
		put(Pollen, atPollen)
	}
	if opt.Early == colony.EarlyUnknown {
		put(Nectar, atEarly)
	}
	w.inputs = atParameters
	for i, c := range colony.Catalogue() {
		if c.Spread == colony.Fixed || (c.Name == "wrap_heat_share" && !seen.Wrapped) {
			continue
		}
		factor, known := parameterFactors[c.Name]
		if !known {
			factor = Other
		}
		if factor == "" {
			continue
		}
		put(factor, w.inputs)
		w.parameters[factor] = append(w.parameters[factor], c.Name)
		w.drawn = append(w.drawn, i)
		w.inputs++
	}
	for _, name := range order {
		if at := inputs[name]; len(at) > 0 {
			w.groups = append(w.groups, Group{Name: name, Inputs: at})
		}
	}
	return w
}

// run takes the colony through one spring twice: with its bloom, for what is
// short, and with no nectar from the day of bloom on, for the days to empty.
func (w *work) run(u, out []float64) {
	s := &w.s
	s.Params = w.opt.Base
	for k, at := range w.drawn {
		colony.Catalogue()[at].SetAt(&s.Params, &w.opt.Base, ensemble.NormalAt(u[atParameters+k]))
	}
	s.Spring = springAt(w.place.Outlook.Springs, u[atSpring])
	s.BloomZ, s.PollenZ = ensemble.NormalAt(u[atBloom]), ensemble.NormalAt(u[atPollen])
	s.EarlyZ = ensemble.NormalAt(u[atEarly])
	s.StoresZ, s.BeesZ, s.BroodZ = ensemble.NormalAt(u[atStores]), ensemble.NormalAt(u[atBees]), ensemble.NormalAt(u[atBrood])
	s.BloomSpread, s.PollenDays = w.place.Outlook.BloomSpreadDays, w.place.Outlook.PollenSpread
	c := &w.c
	w.place.RealizeAt(&w.seen, s, w.today, c)
	with := w.runner.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, nil)
	out[storesShort] = math.Max(0, math.Max(with.ShortKg, w.opt.ReserveKg-with.LeastKg))

	w.barren = append(w.barren[:0], c.Forcing...)
	for t := max(0, c.Span.BloomDay); t < len(w.barren); t++ {
		w.barren[t].NectarH = 0
	}
	c.Span.NectarDay, c.Span.Days = w.days, w.days
	none := w.runner.Run(colony.Spring{Params: &c.Params, Forcing: w.barren, Span: c.Span}, c.Start, &colony.Treatment{}, 0, nil)
	out[daysToEmpty] = float64(w.days)
	if none.StarveDay >= 0 {
		out[daysToEmpty] = float64(none.StarveDay)
	}
}

func springAt(springs []forage.Spring, u float64) int {
	for i := range springs {
		if u < springs[i].Weight {
			return i
		}
		u -= springs[i].Weight
	}
	return len(springs) - 1
}
