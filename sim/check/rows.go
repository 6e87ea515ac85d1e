package check

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/stat"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

// Options say how large the ensemble is.
type Options struct {
	Members int    // 20 to 2000
	Seed    uint64 // same seed, same table
	step    func()
}

// stopped ends the rows from within a run; it begins and ends in Rows.
type stopped struct{ err error }

// DefaultOptions are those of the command.
func DefaultOptions() Options { return Options{Members: 400, Seed: 1} }

// Validate refuses an ensemble too small for its 10 and 90 %, or too large to
// hold.
func (o Options) Validate() error {
	if o.Members < 20 || o.Members > 2000 {
		return fmt.Errorf("members is %d; give 20 to 2000", o.Members)
	}
	return nil
}

// bench holds what the rows share.
type bench struct {
	base  colony.Params
	opt   Options
	sites map[string]*site
}

// Rows runs every row with one parameter set. A station without a record, or
// with fewer than five whole seasons, runs on a generated climate and its rows
// say so. It ends early with the context's error.
func Rows(ctx context.Context, recs Records, base colony.Params, opt Options) (rows []Row, err error) {
	if err := opt.Validate(); err != nil {
		return nil, err
	}
	opt.step = func() { // called for each run
		if err := ctx.Err(); err != nil {
			panic(stopped{err})
		}
	}
	defer func() {
		if fault := recover(); fault != nil {
			s, ok := fault.(stopped)
			if !ok {
				panic(fault)
			}
			rows, err = nil, s.err
		}
	}()
	b := &bench{base: base, opt: opt, sites: map[string]*site{}}
	var errs []error
	for _, s := range Wanted() {
		opt.step()
		o, source, err := s.Outlook(recs)
		errs = append(errs, err)
		b.sites[s.Key] = &site{Station: s, outlook: o, climate: source}
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	for _, part := range []func() []Row{b.adults, b.broodless, b.winter, b.spring, b.brood, b.supplement,
		b.brooding, b.growth, b.presence, b.hungry, b.twoStage, b.stages} {
		rows = append(rows, part()...)
	}
	for i := range rows {
		if !rows[i].Inside && !rows[i].NotRun && !rows[i].explained {
			rows[i] = rows[i].Because("no reason is known: this weather or these parameters do not meet it")
		}
	}
	return rows, nil
}

// each takes a value from every run.
func each(runs []run, value func(r *run) float64) []float64 {
	out := make([]float64, len(runs))
	for i := range runs {
		out[i] = value(&runs[i])
	}
	return out
}

// adults are the rows on the number of bees.
func (b *bench) adults() []Row {
	kept := func(key, source, status string, value float64) Row {
		t := b.sites[key].winter(b.base, b.opt)
		return Row{Quantity: "bees alive early March of those at the end of October", Unit: "1", PublishedValue: value, PublishedLow: 0.55, PublishedHigh: 0.80,
			Source: source, Status: status, Climate: t.site.climate,
		}.With(each(t.runs(), func(r *run) float64 {
			return r.at(r.path.Bees, dayOf(time.March, 5)) / r.at(r.path.Bees, dayOf(time.October, 31))
		}))
	}
	manitoba := b.sites["grand_forks"]
	var runs []run
	yard := manitoba.winter(b.base, b.opt).hives()
	for m := range min(b.opt.Members, manitobaMembers) {
		runs = append(runs, mean(yard(m, manitobaHives)))
	}
	first := dayOf(time.March, 11)
	lowest := func(r *run) int { return least(r.path.Bees, first-r.first) + r.first }
	const harris = "Harris 2010, J. Apic. Res. 49(2):159-169"
	return []Row{
		kept("wuerzburg", "Liebig, 3,258 colonies", "read", 0.70),
		kept("farnham", "Avitabile 1978, J. Apic. Res., 20,800 to 12,000", "cited", 0.58),
		Row{Use: Fitted, Reason: "fed nursing_loss, winter_flight_loss, forager_flight_loss", Quantity: "fewest bees, days after 11 March", Unit: "d", PublishedValue: 48, PublishedLow: 42, PublishedHigh: 54,
			Source: harris, Status: "read", Climate: manitoba.climate, Assumed: "wintered outdoors; counts every 12 days, so the day is known to 6 days either way",
		}.With(each(runs, func(r *run) float64 { return float64(lowest(r) - first) })),
		Row{Use: Fitted, Reason: "fed house_loss_per_day, forager_flight_loss, nurse_half_bees", Quantity: "from fewest bees to the number of 11 March", Unit: "d", PublishedValue: 30, PublishedLow: 24, PublishedHigh: 36,
			Source: harris, Status: "read", Climate: manitoba.climate, Assumed: "as above",
		}.With(each(runs, func(r *run) float64 {
			low, level := lowest(r), r.at(r.path.Bees, first)
			for day := low; day-r.first < len(r.path.Bees); day++ {
				if r.at(r.path.Bees, day) >= level {
					return float64(day - low)
				}
			}
			return float64(len(r.path.Bees) + r.first - low) // not in the season: at least so long
		})).Because("the seed decides: with 100 springs the middle is 23 to 32 days"),
	}
}

// The counts are means over colonies, and so are the model's.
const (
	manitobaMembers = 100 // springs with their draws, 20-200, own judgement: time
	manitobaHives   = 12  // colonies in each, 5-50, own judgement
)

// mean is the mean number of bees of runs over the same days.
func mean(runs []run) run {
	out := run{first: runs[0].first}
	out.path.Bees = make([]float64, len(runs[0].path.Bees))
	for i := range runs {
		for d, n := range runs[i].path.Bees {
			out.path.Bees[d] += n / float64(len(runs))
		}
	}
	return out
}

// least is the place of the least value of a column from a place on.
func least(column []float64, from int) int {
	at := from
	for i := from; i < len(column); i++ {
		if column[i] < column[at] {
			at = i
		}
	}
	return at
}

// constant is a site where every day is alike.
func constant(name string, latDeg, tminC, tmaxC float64, start time.Time, days int) *site {
	sp := forage.Spring{Label: name, Weight: 1, PollenDay: days, BloomDay: days}
	for i := range days {
		sp.Days = append(sp.Days, forage.NewDay(start.AddDate(0, 0, i), tminC, tmaxC, 0, latDeg, forage.Generated))
	}
	return &site{outlook: &forage.Outlook{Start: start, Springs: []forage.Spring{sp}}, climate: fmt.Sprintf("every day %g to %g C", tminC, tmaxC)}
}

// Days of Harbo's trials. His weather is not in what was read; own judgement,
// chosen before any parameter was.
const (
	harboMinC, harboMaxC = 6.0, 16.0 // C
	harboLatDeg          = 30.5      // degrees, Baton Rouge
	harboDays            = 30
)

// broodless are the rows on use without brood.
func (b *bench) broodless() []Row {
	const harbo = "Harbo 1983, Environ. Entomol."
	place := constant("broodless", harboLatDeg, harboMinC, harboMaxC, time.Date(2026, time.November, 1, 0, 0, 0, 0, time.UTC), harboDays+1)
	base := b.base
	base.LayMaxPerDay = 0
	const assumed = "weather: 6 to 16 C, dry, 30 N in November; colonies alike but for the bees' own differences"
	mgPerBee := func(bees float64) []float64 {
		t := trial{site: place, base: base, members: b.opt.Members, seed: b.opt.Seed, step: b.opt.step, bees: bees, from: place.outlook.Start, pollen: 1}
		return each(t.runs(), func(r *run) float64 {
			used, days := 0.0, 0.0
			for i, kg := range r.path.UsedKg {
				used += kg
				days += r.path.Bees[i]
			}
			return used / days * 1e6
		})
	}
	row := func(bees, value, sd float64) []Row {
		v := mgPerBee(bees)
		what := fmt.Sprintf("honey per bee and day without brood, %.0f bees", bees)
		return []Row{
			Row{Use: Fitted, Reason: "fed activity_mg, idle_flight_share", Quantity: what, Unit: "mg/d", PublishedValue: value, PublishedLow: value - sd, PublishedHigh: value + sd,
				Source: harbo + fmt.Sprintf(", %g +- %g", value, sd), Status: "read", Climate: place.climate, Assumed: assumed}.With(v),
			Row{Quantity: "the same, SD over colonies", Unit: "mg/d", PublishedValue: sd, PublishedLow: sd / 2, PublishedHigh: 2 * sd,
				Source: harbo, Status: "read", Climate: place.climate, Assumed: "number of colonies not known: held to a factor of 2",
			}.With([]float64{stat.StdDev(v, nil)}),
		}
	}
	rows := append(append(row(34000, 4.2, 0.7), row(8900, 4.5, 1.7)...), row(4400, 6.7, 1.5)...)
	small, large := mgPerBee(4400), mgPerBee(34000)
	for i := range small {
		small[i] /= large[i]
	}
	return append(rows, Row{Quantity: "the same, 4,400 bees against 34,000", Unit: "1", PublishedValue: 1.6, PublishedLow: 1.3, PublishedHigh: 2.0,
		Source: harbo, Status: "read", Climate: place.climate, Assumed: assumed}.With(small))
}

// Winter of the Swedish hives.
const (
	swedishC      = 3.5  // mean of the winter, C
	swedishBandC  = 1.0  // winters within this of it are taken, C, own judgement
	swedishHives  = 32   // hives weighed
	swedishSDLow  = 0.80 // 95 % interval of an SD from 32 hives, share: root of 31 over the chi-square quantiles 48.2 and 17.5
	swedishSDHigh = 1.33
)

// winter are the rows on use in winter.
func (b *bench) winter() []Row {
	const source = "Norrstroem, Niklasson & Leidenberger 2021, PLoS ONE 16(10):e0258398"
	from, to := dayOf(time.December, 1), dayOf(time.March, 1)
	days := float64(to - from)
	t := b.sites["grambek"].winter(b.base, b.opt)
	perDay := func(r *run) float64 { return r.usedKg(from, to) / days }
	var loss, sds []float64
	yard := t.hives()
	for _, r := range t.runs() {
		if math.Abs(r.meanC(from, to)-swedishC) > swedishBandC {
			continue
		}
		loss = append(loss, perDay(&r))
		if len(sds) < swedishMembers {
			sds = append(sds, stat.StdDev(each(yard(r.member, swedishHives), perDay), nil))
		}
	}
	const assumed = "December to February of winters with a mean of 2.5 to 4.5 C; 13,000 bees on 1 October"
	bern := b.sites["bern"].winter(b.base, b.opt)
	bern.wrapped, bern.bees, bern.brood = true, skepBees, skepBrood
	lossOf := func(r *run) float64 {
		return (r.weightKg(dayOf(time.October, 2)) - r.weightKg(dayOf(time.March, 31))) / float64(dayOf(time.March, 31)-dayOf(time.October, 2)) * 1000
	}
	one := each(bern.runs(), lossOf)
	united := bern
	united.bees, united.brood = 2*skepBees, 2*skepBrood
	two := each(united.runs(), lossOf)
	for i := range two {
		two[i] /= one[i]
	}
	const gelieu = "de Gelieu, in Jardine's Naturalist's Library: Bees, 30 Swiss hives 1813-14"
	skep := fmt.Sprintf("%.0f bees and %.0f cells on 1 October, straw counted as a wrap; from 1 October, not 20 September", skepBees, skepBrood)
	return []Row{
		Row{Use: Fitted, Reason: "fed heat_loss_w, brood_half_warm_cells", Quantity: "food used in winter at a mean of 3.5 C", Unit: "kg/d", PublishedValue: 0.039, PublishedLow: 0.026, PublishedHigh: 0.052,
			Source: source, Status: "read", Climate: t.site.climate, Assumed: assumed}.With(loss),
		Row{Use: Fitted, Reason: "fed the SD of heat_loss_w", Quantity: "the same, SD over 32 hives", Unit: "kg/d", PublishedValue: 0.013, PublishedLow: 0.013 * swedishSDLow, PublishedHigh: 0.013 * swedishSDHigh,
			Source: source, Status: "read; band worked: 95 % interval of the SD of 32", Climate: t.site.climate, Assumed: assumed}.With(sds),
		Row{Use: Fitted, Reason: "fed the number of bees assumed in a skep, which decides the row", Quantity: "weight lost by small colonies over winter", Unit: "g/d", PublishedValue: 29, PublishedLow: 27, PublishedHigh: 31,
			Source: gelieu, Status: "cited", Climate: bern.site.climate, Assumed: skep}.With(one).
			Because("the band is as narrow as the doubt about the pound"),
		Row{Quantity: "two colonies united against one", Unit: "1", PublishedValue: 1, PublishedLow: math.Inf(-1), PublishedHigh: 1,
			Source: gelieu + ", ate no more than one", Status: "cited", Climate: bern.site.climate, Assumed: skep}.With(two).
			Because("heat grows with the square root of the bees (Southwick 1985) and food for brood and for bees about in proportion, so two eat 1.6 times as much as one. By Harbo's colonies, nearly alike per bee from 8,900 to 34,000, two would eat 1.9 times as much: no set of parameters meets both. We believe the later weighings"),
	}
}

// Colonies in straw skeps; own judgement.
const (
	skepBees  = 5000.0
	skepBrood = 400.0
)

// swedishMembers is the number of members.
const swedishMembers = 30 // members for which 32 hives are run, 10-100, own judgement: time

// spring are the rows on use from autumn to spring.
func (b *bench) spring() []Row {
	var rows []Row
	feb, end := dayOf(time.February, 1), dayOf(time.April, 30)
	for _, key := range []string{"wuerzburg", "bern", "grambek"} {
		t := b.sites[key].winter(b.base, b.opt)
		runs := t.runs()
		from := dayOf(time.February, 28)
		dec := dayOf(time.November, 30)
		rate := func(r *run) float64 { return r.usedKg(from, end) / float64(end-from) }
		rows = append(rows,
			Row{Quantity: "food used in March and April", Unit: "kg/week", PublishedValue: 1, PublishedLow: 0.6, PublishedHigh: 1.4,
				Source: "Austrian and German institute pages", Status: "read", Climate: t.site.climate,
			}.With(each(runs, func(r *run) float64 { return 7 * rate(r) })),
			Row{Quantity: "use in March and April against December and January", Unit: "1", PublishedValue: math.NaN(), PublishedLow: 2, PublishedHigh: 5,
				Source: "Austrian and German institute pages", Status: "read", Climate: t.site.climate,
			}.With(each(runs, func(r *run) float64 { return rate(r) / (r.usedKg(dec, feb-1) / float64(feb-1-dec)) })))
	}
	const seeley = "Seeley & Visscher 1985, Ecol. Entomol. 10:81-88; Seeley 2019, The Lives of Bees"
	for _, key := range []string{"farnham", "milwaukee"} {
		t := b.sites[key].winter(b.base, b.opt)
		t.early = colony.EarlyGood // maple woods
		runs := t.runs()
		oct := dayOf(time.October, 2)
		rows = append(rows,
			Row{Quantity: "weight lost October to April, unfed", Unit: "kg", PublishedValue: 25, PublishedLow: 17, PublishedHigh: 30,
				Source: seeley, Status: "read", Climate: t.site.climate, Assumed: "to the lowest weight by 30 April",
			}.With(each(runs, func(r *run) float64 {
				low := math.Inf(1)
				for day := oct; day <= end; day++ {
					low = math.Min(low, r.weightKg(day))
				}
				return r.weightKg(oct) - low
			})),
			Row{Use: Fitted, Reason: "fed brood_half_warm_cells", Quantity: "food used 1 February to 30 April against 1 October to 1 February", Unit: "1", PublishedValue: math.NaN(), PublishedLow: 1, PublishedHigh: math.Inf(1),
				Source: seeley + ", more after 1 February", Status: "cited", Climate: t.site.climate,
			}.With(each(runs, func(r *run) float64 { return r.usedKg(feb, end) / r.usedKg(oct, feb) })),
			Row{Use: Fitted, Reason: "fed early_nectar_share", Quantity: "lowest hive weight, day of the year", Unit: "d", PublishedValue: 105, PublishedLow: 91, PublishedHigh: 119,
				Source: seeley + ", net gain from mid-April, +- 2 weeks", Status: "cited", Climate: t.site.climate,
			}.With(each(runs, func(r *run) float64 {
				low := feb
				for day := feb; day-r.first < len(r.path.Bees); day++ {
					if r.weightKg(day) < r.weightKg(low) {
						low = day
					}
				}
				return float64(low - dayOf(time.January, 1) + 1)
			})).Because("the colonies stood at Ithaca, New York, where spring comes earlier than here: March and April are colder by about 3 and 1 C (Ithaca from memory)"))
	}
	return append(rows, b.coldSnap()...)
}

// A strong colony in a cold week of late April; own judgement.
const (
	strongBees  = 25000.0
	strongBrood = 25000.0
	snapMinC    = 0.0
	snapMaxC    = 6.0
)

func (b *bench) coldSnap() []Row {
	const liebig = "Liebig (State Institute of Apiculture, Hohenheim)"
	place := constant("cold snap", 48.7, snapMinC, snapMaxC, time.Date(2027, time.April, 20, 0, 0, 0, 0, time.UTC), 8)
	t := trial{site: place, base: b.base, members: b.opt.Members, seed: b.opt.Seed, step: b.opt.step,
		bees: strongBees, brood: strongBrood, from: place.outlook.Start, pollen: 1}
	week := each(t.runs(), func(r *run) float64 {
		sum := 0.0
		for _, kg := range r.path.UsedKg {
			sum += kg
		}
		return sum
	})
	return []Row{
		Row{Use: Fitted, Reason: "fed brood_opening", Quantity: "food used by a strong colony in a cold week", Unit: "kg/week", PublishedValue: math.NaN(), PublishedLow: 2, PublishedHigh: 4,
			Source: liebig + ", over 2 kg/week", Status: "read; the upper end is twice that", Climate: place.climate, Assumed: "late April, 25,000 bees, 25,000 cells"}.With(week),
	}
}

// brood are the rows on the size of the nest.
func (b *bench) brood() []Row {
	const seeley = "Seeley 2019, The Lives of Bees, 141-142, Ithaca"
	var rows []Row
	for _, key := range []string{"farnham", "milwaukee"} {
		t := b.sites[key].winter(b.base, b.opt)
		runs := t.runs()
		rows = append(rows,
			Row{Use: Fitted, Reason: "fed short_day_share, brood_cold_c", Quantity: "cells of brood two weeks after the solstice", Unit: "cells", PublishedValue: 100, PublishedLow: 50, PublishedHigh: 200,
				Source: seeley + ", about 100", Status: "read; held to a factor of 2", Climate: t.site.climate,
			}.With(each(runs, func(r *run) float64 { return r.at(r.path.BroodCells, dayOf(time.January, 4)) })))
	}
	return rows
}

// supplement are the rows on protein supplement.
func (b *bench) supplement() []Row {
	const ontario = "Mattila & Otis 2006, J. Econ. Entomol. 99:604, Ontario"
	without := b.sites["farnham"].winter(b.base, b.opt)
	with := without
	with.supplied, with.suppFrom = true, seasonEnd.AddDate(0, 0, -seasonEnd.YearDay()+supplementDOY)
	plain, fed := without.runs(), with.runs()
	gain := func(plain, fed []run, value func(r *run) float64) []float64 {
		p, f := each(plain, value), each(fed, value)
		for i := range f {
			f[i] = 100 * (f[i]/p[i] - 1)
		}
		return f
	}
	reared := func(day int) func(r *run) float64 {
		return func(r *run) float64 {
			sum := 0.0
			for d := dayOf(time.March, 1); d <= day; d++ {
				sum += r.at(r.path.Emerged, d)
			}
			return sum
		}
	}
	broodOn := func(day int) func(r *run) float64 {
		return func(r *run) float64 { return r.at(r.path.BroodCells, day) }
	}
	const assumed = "patties from 10 March until dandelion; workers reared since 1 March"
	climate := without.site.climate
	return []Row{
		Row{Use: Fitted, Reason: "fed start_pollen_g", Quantity: "more brood on 10 April with supplement", Unit: "%", PublishedValue: math.NaN(), PublishedLow: least1, PublishedHigh: math.Inf(1),
			Source: ontario + ", brood earlier", Status: "read; sign, held to 1 %", Climate: climate, Assumed: assumed,
		}.With(gain(plain, fed, broodOn(dayOf(time.April, 10)))).
			Because("in about half of the springs pollen comes early enough that a patty changes next to nothing by that day; in a tenth of them it makes half as much brood again"),
		Row{Use: Fitted, Reason: "fed start_pollen_g", Quantity: "more workers reared by 5 May with supplement", Unit: "%", PublishedValue: math.NaN(), PublishedLow: least1, PublishedHigh: math.Inf(1),
			Source: ontario + ", most workers by late April or early May", Status: "read; sign, held to 1 %", Climate: climate, Assumed: assumed,
		}.With(gain(plain, fed, reared(dayOf(time.May, 5)))),
		Row{Use: Fitted, Reason: "fed pollen_full_g", Quantity: "more workers reared by midsummer with supplement", Unit: "%", PublishedValue: 0, PublishedLow: -5, PublishedHigh: 5,
			Source: ontario + ", gap gone by midsummer", Status: "read; gone held to be 5 %", Climate: climate, Assumed: assumed,
		}.With(gain(plain, fed, reared(dayOf(time.July, 10)))).
			Because("in the model a lead in bees breeds further bees until July; a full box, swarming and work divided anew, which level real colonies, are not in it. Do not use the model for the worth of supplement after dandelion"),
	}
}

const (
	supplementDOY = 69  // 10 March: 4-6 weeks before bees are wanted, common practice
	least1        = 1.0 // %, the least that counts as more
)
