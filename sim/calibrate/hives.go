package calibrate

import (
	"context"
	"fmt"
	"math"
	"time"

	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/sim/check/hives"
	"bloomgap/sim/colony"
	"bloomgap/sim/hindcast"
)

// hive is a weighed hive ready to run: the weather of its days as an outlook that
// begins on New Year's Day, and its weights with the work of keepers taken out.
type hive struct {
	hives.Hive
	outlook *forage.Outlook
	kg      map[time.Time]float64
}

var (
	hiveFirst = time.Date(2017, time.January, 1, 0, 0, 0, 0, time.UTC)
	hiveLast  = time.Date(2017, time.April, 30, 0, 0, 0, 0, time.UTC)
)

// segmentEnds part a hive's spring; each segment is one observation.
var segmentEnds = []time.Time{
	time.Date(2017, time.January, 2, 0, 0, 0, 0, time.UTC), time.Date(2017, time.February, 1, 0, 0, 0, 0, time.UTC),
	time.Date(2017, time.March, 1, 0, 0, 0, 0, time.UTC), time.Date(2017, time.March, 13, 0, 0, 0, 0, time.UTC),
	time.Date(2017, time.March, 24, 0, 0, 0, 0, time.UTC), time.Date(2017, time.April, 2, 0, 0, 0, 0, time.UTC),
	time.Date(2017, time.April, 16, 0, 0, 0, 0, time.UTC), time.Date(2017, time.April, 30, 0, 0, 0, 0, time.UTC),
}

// newHive makes a hive ready to be fitted.
func newHive(weighed hives.Hive) (*hive, error) {
	h := &hive{Hive: weighed, kg: map[time.Time]float64{}}
	opt := hindcast.DefaultOptions()
	opt.PastSpan = true
	opt.Members = 100 // only for the work of keepers, which does not hang on members
	r, err := hindcast.Run(context.Background(), h.Series(hiveFirst), opt)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", h.Name, err)
	}
	for _, p := range r.Points {
		h.kg[p.Date] = p.Kg
	}
	site, rec := h.Site, h.Record
	p := forage.Prospect{LatDeg: site.LatDeg, Start: hiveFirst, Today: hiveLast, End: hiveLast.AddDate(0, 0, 60), Season: rec,
		Years: []forage.Year{{Label: "2017", Record: rec, Number: 2017, Weight: 1, Origin: forage.Past}}}
	for _, th := range bloom.Default(site.LatDeg, site.LonDeg) {
		switch {
		case th.Role == bloom.DependableNectar && p.Nectar.Plant == "":
			p.Nectar = th
		case th.Role != bloom.DependableNectar && p.Pollen.Plant == "":
			p.Pollen = th
		}
	}
	h.outlook, err = forage.NewOutlook(p)
	return h, err
}

// changes gives the change of weight in each segment, kg, for one set of
// parameters and of what is not known of the hive: z are standard normals of
// bees, bloom and pollen.
func (h *hive) changes(run *colony.Runner, path *colony.Path, p *colony.Params, z hiveDraw, out []float64) []float64 {
	sp := &h.outlook.Springs[0]
	table := colony.Forcing(sp.Days, p)
	known := hindcast.UnknownColony()
	bees := math.Exp(known.BeesLogMu + known.BeesLogSD*z.bees)
	table = table[1:] // the run starts on the evening of New Year's Day
	start := colony.InitialState{Bees: bees, BroodCells: colony.ExpectedBrood(p, &table[0], bees), StoresKg: plentyKg,
		PollenG: colony.StartPollenG(p, &table[0], bees), HeatShare: 1}
	n := h.outlook.Day(hiveLast)
	bloomDay := sp.BloomDay + int(math.Round(z.bloom*h.outlook.BloomSpreadDays)) - 1
	span := colony.Span{PollenDay: sp.PollenDay + int(math.Round(z.pollen*h.outlook.PollenSpread)) - 1, BloomDay: bloomDay,
		NectarDay: len(table), ReadDay: -1, Days: n}
	run.Run(colony.Spring{Params: p, Forcing: table, Span: span}, start, &colony.Treatment{}, 0, path)
	last := math.NaN()
	for i, end := range segmentEnds {
		kg := path.WeightKg(h.outlook.Day(end)-1, p)
		if i > 0 {
			out = append(out, kg-last)
		}
		last = kg
	}
	return out
}

// seen gives the changes that the scale showed.
func (h *hive) seen() []float64 {
	var out []float64
	for i := 1; i < len(segmentEnds); i++ {
		out = append(out, h.kg[segmentEnds[i]]-h.kg[segmentEnds[i-1]])
	}
	return out
}

// hiveDraw is what is not known of a hive, as standard normals.
type hiveDraw struct{ bees, bloom, pollen float64 }

const plentyKg = 60.0 // stores that do not end
