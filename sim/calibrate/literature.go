package calibrate

import (
	"math"
	"time"

	"bloomgap/forage"
	"bloomgap/sim/check"
	"bloomgap/sim/colony"
)

// observation is one number of a source that is fitted.
type observation struct {
	Source, What, Unit string
	Value, SD          float64
	Why                string // of the SD
}

// literature are the observations besides the hives, in the order in which
// literatureModel gives them.
var literature = []observation{
	{"Norrstroem, Niklasson & Leidenberger 2021", "use in winter at 3.5 C", "kg/d", 0.039, 0.005, "SE of 32 hives 0.0023; bees and weather not theirs"},
	{"Harbo 1983", "use without brood, 34,000 bees", "mg/d", 4.2, 0.7, "published"},
	{"Harbo 1983", "use without brood, 8,900 bees", "mg/d", 4.5, 1.0, "published 1.7 between colonies"},
	{"Harbo 1983", "use without brood, 4,400 bees", "mg/d", 6.7, 1.0, "published 1.5 between colonies"},
	{"Harris 2010", "fewest bees, days after 11 March", "d", 48, 3.5, "counts every 12 days: 12 over the root of 12"},
	{
		"Harris 2010",
		"from fewest bees to the number of 11 March, middling colony",
		"d",
		25,
		4,
		"30 counted on means of colonies, which by the model's spread take 5 to 8 days longer than the middling one",
	},
	{
		"Seeley & Visscher 1985; Seeley 2019",
		"log of use after 1 February against before",
		"1",
		math.Log(1.35),
		0.25,
		"only \"more\" is published: 1.05 to 1.75",
	},
	{"Seeley & Visscher 1985; Seeley 2019", "day of the lowest weight", "d", 105, 7, "mid-April, within two weeks: two SD"},
	{"Seeley & Visscher 1985; Seeley 2019", "log of cells two weeks after the solstice", "1", math.Log(100), 0.25, "\"about\""},
	{"Seeley & Visscher 1985; Seeley 2019", "the same at Farnham", "1", math.Log(100), 0.5, "colder than Ithaca"},
	{"Seeley & Visscher 1985; Seeley 2019", "weight lost October to April", "kg", 22, 2.5, "20 and more, and 25; 17 to 30 held"},
	{"Seeley & Visscher 1985; Seeley 2019", "the same at Farnham", "kg", 22, 2.5, "as above"},
	{"Liebig, cold week", "use in a cold week", "kg/week", 2.4, 0.35, "\"over 2\", never 16"},
	{"Mattila & Otis 2006", "more brood on 10 April with supplement", "%", 4, 1.5, "sign only"},
	{"Mattila & Otis 2006", "more workers reared by 10 July with supplement", "%", 0, 4, "\"gone\""},
	{"Jeffree 1956", "log of cells of brood on 1 November", "1", math.Log(25), 0.8, "1 of 4 to 1 of 7 colonies with brood: with more than about 50 cells"},
}

// bench runs the literature: a few springs of a few places, one middling colony.
type bench struct {
	outlooks map[string]*forage.Outlook
	runner   colony.Runner
	path     colony.Path
	fed      colony.Path
}

// Bees on 1 October, as in bloomgap/sim/check.
const americanBees, europeanBees = 23000.0, 13000.0

// springsEach is how many springs of a place a set of parameters is run on, 1,
// 3-30, own judgement: time.
const springsEach = 4

func newBench(recs check.Records) (*bench, error) {
	b := &bench{outlooks: map[string]*forage.Outlook{}}
	for _, s := range check.Wanted() {
		switch s.Key {
		case "grambek", "milwaukee", "grand_forks", "farnham":
		default:
			continue
		}
		o, _, err := s.Outlook(recs)
		if err != nil {
			return nil, err
		}
		if s.Key == "grambek" {
			o.Springs = winterSprings(o)
		}
		if step := len(o.Springs) / springsEach; step > 1 {
			var kept []forage.Spring
			for i := step / 2; i < len(o.Springs) && len(kept) < springsEach; i += step {
				kept = append(kept, o.Springs[i])
			}
			o.Springs = kept
		}
		b.outlooks[s.Key] = o
	}
	return b, nil
}

// winterSprings are those with a winter like that of the weighed Swedish hives,
// 2.5 to 4.5 C from December to February.
func winterSprings(o *forage.Outlook) []forage.Spring {
	var out []forage.Spring
	from, to := 61, 151
	for _, sp := range o.Springs {
		sum := 0.0
		for _, d := range sp.Days[from:to] {
			sum += (d.TminC + d.TmaxC) / 2
		}
		if mean := sum / float64(to-from); math.Abs(mean-3.5) < 1 {
			out = append(out, sp)
		}
	}
	return out
}

// season runs a colony from 1 October on one spring. supplement is the day it
// gets some from; 0 none.
func (b *bench) season(p *colony.Params, sp *forage.Spring, bees float64, supplement int, path *colony.Path) []colony.ForceDay {
	table := colony.Forcing(sp.Days, p)
	span := colony.Span{PollenDay: sp.PollenDay, BloomDay: sp.BloomDay, ReadDay: -1, Days: len(table)}
	span.NectarDay = colony.FlowDay(table, sp.BloomDay, p)
	care := colony.Treatment{Supplement: supplement > 0, SupplementFrom: supplement}
	b.runner.Run(
		colony.Spring{Params: p, Forcing: table, Span: span},
		colony.InitialState{Bees: bees, BroodCells: 0.17 * bees, StoresKg: plentyKg, PollenG: colony.StartPollenG(p, &table[0], bees), HeatShare: 1},
		&care,
		0,
		path,
	)
	return table
}

// seasonDay is a date in days since 1 October of the year before.
func seasonDay(month time.Month, day int) int {
	year := 2027
	if month >= time.October {
		year--
	}
	return int(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Sub(time.Date(2026, time.October, 1, 0, 0, 0, 0, time.UTC)).Hours() / 24)
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

// model gives the model's value of every observation of literature.
func (b *bench) model(p *colony.Params, out []float64) []float64 {
	over := func(key string, bees float64, value func(path *colony.Path) float64) float64 {
		o, total := b.outlooks[key], 0.0
		for i := range o.Springs {
			b.season(p, &o.Springs[i], bees, 0, &b.path)
			total += value(&b.path)
		}
		return total / float64(len(o.Springs))
	}
	dec, feb, mar11, april30 := seasonDay(time.December, 1), seasonDay(time.February, 1), seasonDay(time.March, 11), seasonDay(time.April, 30)
	out = append(out, over("grambek", europeanBees, func(x *colony.Path) float64 { return sum(x.UsedKg[dec:seasonDay(time.March, 1)]) / 90 }))
	for _, bees := range []float64{34000, 8900, 4400} {
		out = append(out, b.broodless(p, bees))
	}
	low, back := 0.0, 0.0
	over("grand_forks", americanBees, func(x *colony.Path) float64 {
		at := mar11
		for i := mar11; i < len(x.Bees); i++ {
			if x.Bees[i] < x.Bees[at] {
				at = i
			}
		}
		low += float64(at-mar11) / float64(len(b.outlooks["grand_forks"].Springs))
		day := at
		for day < len(x.Bees)-1 && x.Bees[day] < x.Bees[mar11] {
			day++
		}
		back += float64(day-at) / float64(len(b.outlooks["grand_forks"].Springs))
		return 0
	})
	out = append(out, low, back)
	ratio, lowest, cells, autumn, lost := 0.0, 0.0, 0.0, 0.0, 0.0
	maples := *p
	maples.InLandscape(colony.EarlyGood, 0) // maple woods of New York and New England
	plain := p
	p = &maples
	over("milwaukee", americanBees, func(x *colony.Path) float64 {
		n := float64(len(b.outlooks["milwaukee"].Springs))
		ratio += sum(x.UsedKg[feb:april30]) / sum(x.UsedKg[:feb]) / n
		lost += lossOf(x, p, april30) / n
		at := feb
		for i := feb; i < len(x.Bees); i++ {
			if x.WeightKg(i, p) < x.WeightKg(at, p) {
				at = i
			}
		}
		lowest += (float64(at-seasonDay(time.January, 1)) + 1) / n
		cells += x.BroodCells[seasonDay(time.January, 4)] / n
		autumn += x.BroodCells[seasonDay(time.November, 1)] / n
		return 0
	})
	out = append(out, math.Log(ratio), lowest, math.Log(math.Max(cells, 1)))
	cells = 0
	far := over("farnham", americanBees, func(x *colony.Path) float64 {
		cells += x.BroodCells[seasonDay(time.January, 4)] / float64(len(b.outlooks["farnham"].Springs))
		return lossOf(x, p, april30)
	})
	p = plain
	out = append(out, math.Log(math.Max(cells, 1)), lost, far, b.coldWeek(p))
	o := b.outlooks["farnham"]
	early, summer := 0.0, 0.0
	mar10, apr10, jul10 := seasonDay(time.March, 10), seasonDay(time.April, 10), seasonDay(time.July, 10)
	for i := range o.Springs {
		b.season(p, &o.Springs[i], americanBees, 0, &b.path)
		b.season(p, &o.Springs[i], americanBees, mar10, &b.fed)
		early += 100 * (b.fed.BroodCells[apr10]/math.Max(1, b.path.BroodCells[apr10]) - 1) / float64(len(o.Springs))
		from := seasonDay(time.March, 1)
		summer += 100 * (sum(b.fed.Emerged[from:jul10])/math.Max(1, sum(b.path.Emerged[from:jul10])) - 1) / float64(len(o.Springs))
	}
	return append(out, early, summer, math.Log(math.Max(autumn, 1)))
}

// lossOf is what a hive loses from 2 October to its lowest weight by a day, kg.
func lossOf(x *colony.Path, p *colony.Params, until int) float64 {
	low := math.Inf(1)
	for i := 1; i <= until; i++ {
		low = math.Min(low, x.WeightKg(i, p))
	}
	return x.WeightKg(1, p) - low
}

// alike are days that are all the same, with nothing in bloom.
func alike(p *colony.Params, start time.Time, days int, latDeg, tminC, tmaxC float64) ([]colony.ForceDay, colony.Span) {
	var out []forage.Day
	for i := range days {
		out = append(out, forage.NewDay(start.AddDate(0, 0, i), tminC, tmaxC, 0, latDeg, forage.Generated))
	}
	return colony.Forcing(out, p), colony.Span{PollenDay: days, BloomDay: days, NectarDay: days, ReadDay: -1, Days: days}
}

// broodless is the use of a colony without brood, mg a bee and day.
func (b *bench) broodless(p *colony.Params, bees float64) float64 {
	q := *p
	q.LayMaxPerDay = 0
	table, span := alike(&q, time.Date(2026, time.November, 1, 0, 0, 0, 0, time.UTC), 30, 30.5, 6, 16)
	b.runner.Run(
		colony.Spring{Params: &q, Forcing: table, Span: span},
		colony.InitialState{Bees: bees, StoresKg: plentyKg, PollenG: 100, HeatShare: 1},
		&colony.Treatment{},
		0,
		&b.path,
	)
	return sum(b.path.UsedKg) / sum(b.path.Bees) * 1e6
}

// coldWeek is what a strong colony uses in a week of 0 to 6 C in late April, kg.
func (b *bench) coldWeek(p *colony.Params) float64 {
	table, span := alike(p, time.Date(2027, time.April, 20, 0, 0, 0, 0, time.UTC), 7, 48.7, 0, 6)
	b.runner.Run(
		colony.Spring{Params: p, Forcing: table, Span: span},
		colony.InitialState{Bees: 25000, BroodCells: 25000, StoresKg: plentyKg, PollenG: 2000, HeatShare: 1},
		&colony.Treatment{},
		0,
		&b.path,
	)
	return sum(b.path.UsedKg)
}
