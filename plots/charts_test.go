package plots

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/forage/golden"
)

// heightCm is the height that a chart wants at a width, its drawing pressed to a share.
func heightCm(c *Chart, widthCm, share float64) float64 {
	return c.heightOn(newSheet(c.look, nil, widthCm*ptPerCm, 0), share)
}

func render(t require.TestingT, c *Chart, format string, w, h float64) []byte {
	var b bytes.Buffer
	require.NoError(t, c.Write(&b, format, w, h))
	return b.Bytes()
}

// laid lays a chart on a canvas that draws nothing, at a share of the height that its
// drawing wants.
func laid(c *Chart, widthCm, share float64) *sheet {
	s := newSheet(c.look, nil, widthCm*ptPerCm, heightCm(c, widthCm, share)*ptPerCm)
	c.lay(s)
	return s
}

func TestGolden(t *testing.T) {
	t.Parallel()
	for _, c := range inventAll(LookOf(inventPlan(36))) {
		if c.name == "grid200" {
			continue // the small grid shows the same parts
		}
		t.Run(c.name, func(t *testing.T) {
			got := render(t, c.chart, "svg", 16, 0)
			file := filepath.Join("testdata", c.name+".svg")
			if golden.Updating() {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(file, got, 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, string(want), string(got), "look at the drawing, then run with -update")
		})
	}
}

func TestTitles(t *testing.T) {
	d := inventDetail("North", "B7")
	with := func(change func(d *plan.Detail)) plan.Detail {
		d := inventDetail("North", "B7")
		change(&d)
		return d
	}
	flat := func(v float64) plan.Band {
		b := plan.Band{}
		for range d.Dates {
			b.P50 = append(b.P50, v)
		}
		return b
	}
	l := DefaultLook()
	middle := func(change func(d *plan.Detail)) plan.Detail { // the share that holds the reserve is not known
		d := inventDetail("North", "B7")
		d.Reserve = nil
		if change != nil {
			change(&d)
		}
		return d
	}
	gain := func(g plan.Range, wanted float64) string {
		return GainTitle(d, plan.Supplement{Considered: true, GainBees: g, WantedBees: plan.Range{P50: wanted}})
	}
	bare := func(d *plan.Detail) { d.BeesSupplement, d.BeesGain = plan.Band{}, plan.Band{} }
	springs := func(ys ...plan.YearFact) string { return SpringsTitle(plan.YardPlan{Name: "A", Years: ys}, l) }
	pl := inventPlan(36)
	none := plan.Plan{Yards: []plan.YardPlan{{Name: "A"}}, Colonies: []plan.ColonyPlan{{Verdict: plan.NoFeed}, {Verdict: plan.Dead}}}
	for _, c := range []struct{ name, got, want string }{
		{"reserve, left alone and fed", StoresTitle(d, l), "Left alone, B7 holds its reserve to nectar in 12 % of springs; fed as planned, in 92 %"},
		{"reserve, no feed", StoresTitle(with(func(d *plan.Detail) { d.StoresFed = plan.Band{} }), l), "Left alone, B7 holds its reserve to nectar in 12 % of springs"},
		// 8.2 - 0.1 i - 0.0012 i^2 < 5 first at i = 25 (4.95), and 14 March + 25 days is 8 April.
		{"median under the reserve, plan holds", StoresTitle(middle(nil), l), "In the middle spring B7 passes its reserve about 8 April; fed as planned it holds it"},
		{"US date", StoresTitle(middle(func(d *plan.Detail) { d.StoresFed = plan.Band{} }), Look{Units: US, TextPt: 9}), "In the middle spring B7 passes its reserve about April 8"},
		{"plan passes it as well", StoresTitle(middle(func(d *plan.Detail) { d.StoresFed = d.StoresAlone }), l),
			"In the middle spring B7 passes its reserve about 8 April; fed as planned about 8 April"},
		{"under it already", StoresTitle(middle(func(d *plan.Detail) { d.ReserveKg = 9; d.StoresFed = plan.Band{} }), l), "In the middle spring B7 is under its reserve from the start"},
		{"under it already, plan mends it", StoresTitle(middle(func(d *plan.Detail) { d.ReserveKg = 8.5 }), l),
			"In the middle spring B7 is under its reserve from the start; fed as planned it holds it from 24 March"},
		{"plenty", StoresTitle(middle(func(d *plan.Detail) { d.StoresAlone = flat(20) }), l), "In the middle spring B7 holds its reserve to nectar, about 1 May"},
		{"passed only after nectar has come", StoresTitle(middle(func(d *plan.Detail) { d.ReserveKg = 0.3 }), l), "In the middle spring B7 holds its reserve to nectar, about 1 May"},
		{"plenty, nectar beyond the days", StoresTitle(middle(func(d *plan.Detail) { d.StoresAlone = flat(20); d.NectarFrac, d.BloomFrac = nil, nil }), l),
			"In the middle spring B7 holds its reserve to 23 May"},
		{"no days", StoresTitle(plan.Detail{Colony: "B7"}, l), "No stores to show for B7"},

		{"risk left alone and fed", RiskTitle(d), "Left alone, B7 starves in 65 % of springs; fed as planned, in 3 %"},
		{"the plan's own risks before the ends of the curves", RiskTitle(plan.Detail{Colony: "B7", Dates: d.Dates[:1], RiskAlone: []float64{0.61}, RiskFed: []float64{0.08},
			Starves: &plan.Ends{Alone: 0.61, Fed: 0.07}}), "Left alone, B7 starves in 61 % of springs; fed as planned, in 7 %"},
		{"one spring", RiskTitle(plan.Detail{Colony: "B7", Dates: d.Dates[:1], RiskAlone: []float64{0.01}}), "Left alone, B7 starves in 1 % of springs"},
		{"no risk", RiskTitle(plan.Detail{Colony: "B7", Dates: d.Dates[:1], RiskAlone: []float64{0}}), "Left alone, B7 starves in 0 % of springs"},
		{"risk without days", RiskTitle(plan.Detail{Colony: "B7"}), "No risk to show for B7"},

		// On 27 April (i = 44) the difference is half of 2600.
		{"bees", BeesTitle(d, l), "B7 has about 12,100 bees at bloom, 27 April; with supplement about 13,400"},
		{"no supplement", BeesTitle(with(bare), l), "B7 has about 12,100 bees at bloom, 27 April"},
		{"bloom after the days", BeesTitle(with(func(d *plan.Detail) { d.BloomFrac = nil; bare(d) }), l), "B7 has about 17,400 bees on 23 May"},
		{"gain", GainTitle(d, inventProtein()), "Supplement gives B7 1,300 more bees at bloom in the middle spring (8 in 10 springs: 700 to 1,900)"},
		{"gain, not sure", gain(plan.Range{P10: -320, P50: 300, P90: 900}, 0),
			"Supplement may give B7 more bees or fewer: 300 more bees at bloom in the middle spring (8 in 10 springs: 300 fewer to 900 more)"},
		{"gain, none", gain(plan.Range{P10: -300, P50: -100, P90: 20}, 0), "Supplement gives B7 no more bees at bloom"},
		{"gain, a day named", gain(plan.Range{P10: 400, P50: 900, P90: 1500}, 14000),
			"Supplement gives B7 900 more bees on the day wanted in the middle spring (8 in 10 springs: 400 to 1,500)"},
		{"gain, not asked", GainTitle(d, plan.Supplement{}), "No supplement to weigh for B7"},

		{"sugar", SugarChart(d, 5, l).title, "B7: 8.4 kg of sugar as planned leaves a risk of 3 %; 4.2 kg, 15 %"},
		{"start", StartChart(d, 5, l).title, "B7: starting on 21 March leaves a risk of 3 %; 7 days later, 8 %"},
		{"moved", MovedTitle(inventMoved(14)), "14 days late: left alone it starves in 62 % of springs, not 55 %; fed, in 4 %"},
		{"moved, early", MovedTitle(inventMoved(-7)), "7 days early: left alone it starves in 62 % of springs, not 55 %; fed, in 4 %"},
		{"ranking", RankTitle(pl, "North"), "North: 7 of 9 live colonies need feed; B3 is most at risk, 50 % of springs"},
		{"ranking, no yard", RankTitle(pl, "Nowhere"), "Nowhere: no live colony to show"},
		{"need", NeedTitle(pl, "North"), "North: stores cover the need in 0 of 9 live colonies; 9 may hold enough or not"},
		{"visits", VisitsTitle(pl, l), "8 visits to feed, the first at North on 18 March"},
		{"visits, none", VisitsTitle(none, l), "No visit to feed is planned"},

		{"grid, one too late", GridTitle(pl, l), "25 of 35 live colonies need feed, the first at once"},
		{"grid, none", GridTitle(none, l), "The one live colony needs no feed"},
		{"grid, empty", GridTitle(plan.Plan{}, l), "No colonies to show"},
		{"grid, all dead", GridTitle(plan.Plan{Colonies: []plan.ColonyPlan{{Verdict: plan.Dead}}}, l), "No colony is alive"},
		{"grid, one by a day", GridTitle(plan.Plan{Colonies: []plan.ColonyPlan{{Verdict: plan.Feed, StartBy: day(3, 20)}, {Verdict: plan.NoFeed}}}, l), "1 of 2 live colonies needs feed, the first by 20 March"},

		{"order", OrderTitle(pl, l), "Have 263 L of syrup, enough in 9 in 10 springs; North takes the most"},
		// 262.6 L / 3.785411784 L a US gallon = 69.4
		{"order, US", OrderTitle(pl, Look{Units: US, TextPt: 9}), "Have 69 gal of syrup, enough in 9 in 10 springs; North takes the most"},
		{"no order", OrderTitle(none, DefaultLook()), "No syrup is needed"},
		{"map", MapTitle(pl, DefaultLook()), "Most syrup goes to North: 61 L in the middle spring"},
		{"map, none", MapTitle(none, DefaultLook()), "No yard needs syrup in the middle spring"},
		{"springs, none", SpringsTitle(plan.YardPlan{Name: "A"}, l), "A: no springs to show"},
		{"springs, one", springs(plan.YearFact{Bloom: time.Date(2012, 2, 29, 0, 0, 0, 0, time.UTC), NonFlying: 9}), "A: first bloom on 28 February; 9 days without flight before nectar"},
		{"springs, two years", springs(plan.YearFact{Bloom: time.Date(2012, 5, 2, 0, 0, 0, 0, time.UTC), NonFlying: 9}, plan.YearFact{Bloom: time.Date(1999, 4, 30, 0, 0, 0, 0, time.UTC), NonFlying: 30}),
			"A: first bloom from 30 April to 2 May; 9 to 30 days without flight before nectar"},
		{"springs without bloom", springs(plan.YearFact{NonFlying: 4}, plan.YearFact{NonFlying: 7}), "A: 4 to 7 days without flight before nectar; no bloom by the end"},
		{"bars", BarTitle(inventBars()), "The risk of starving depends most on stores when seen: 48 % of its spread"},
		{"bars, none", BarTitle(Bars{}), "No parameters to show"},
		{"weather", WeatherTitle(inventWeather()), "Peace River has 63 days without flight in the middle spring, from 48 (2001) to 76 (1990)"},
		{"weather, months only", WeatherTitle(Weather{Place: "X", MeanC: inventWeather().MeanC}), "X is coldest in January and warmest in July"},
		{"hindcast, nothing seen", HindcastTitle(Hindcast{What: "Hive weight"}), "Hive weight: nothing was observed to check it by"},
	} {
		t.Run(c.name, func(t *testing.T) { require.Equal(t, c.want, c.got) })
	}
}

// A hindcast counts what lies in its bands, and not what started it.
func TestHindcastScore(t *testing.T) {
	h := Hindcast{
		Dates:    []time.Time{day(4, 1), day(4, 2), day(4, 3), day(4, 4)},
		Band:     plan.Band{P10: []float64{1, 1, 1, 1}, P25: []float64{2, 2, 2, 2}, P50: []float64{3, 3, 3, 3}, P75: []float64{4, 4, 4, 4}, P90: []float64{5, 5, 5, 5}},
		SeenOn:   []time.Time{day(4, 1), day(4, 2), day(4, 3), day(4, 4), day(5, 1)},
		Seen:     []float64{3, 3, 4.5, 6, 3},
		StartsOn: day(4, 1),
	}
	n, outer, inner := h.score()
	require.Equal(t, [3]int{3, 2, 1}, [3]int{n, outer, inner})
}

func TestUnitsOnAxes(t *testing.T) {
	t.Parallel()
	want := map[string][2][]string{ // metric, US
		"stores":   {{"Stores, kg", "Date, 2026", "reserve 5 kg", "4 L", "2 kg"}, {"Stores, lb", "Date, 2026", "reserve 11 lb", "1.1 gal", "4 lb"}},
		"risk":     {{"starved, %", "Date, 2026"}, {"starved, %"}},
		"bees":     {{"Adult bees", "Brood, cells", "Date, 2026", "43 days"}, {"Adult bees"}},
		"grid36":   {{"date, %", "week, by its date", "14 Mar", "risk fed", "start by"}, {"date, %"}},
		"order":    {{"Syrup, L"}, {"Syrup, gal"}},
		"map":      {{"Latitude, degrees", "Longitude, degrees", " km", "° N", "° W"}, {" mi"}},
		"springs":  {{"First bloom, date", "Days without flight", "Share of springs"}, {"First bloom, date"}},
		"rank":     {{"Springs, %"}, {"Springs, %"}},
		"need":     {{"Stores, kg"}, {"Stores, lb"}},
		"visits":   {{"Date, 2026", "1 Apr"}, {"Date, 2026", "Apr 1"}},
		"sugar":    {{"Sugar given, kg", "starves before nectar, %"}, {"Sugar given, lb"}},
		"start":    {{"First feeding", "28 Mar"}, {"First feeding", "Mar 28"}},
		"gain":     {{"More adult bees", "Date, 2026"}, {"More adult bees", "Date, 2026"}},
		"bars":     {{"Share of spread, %"}, {"Share of spread, %"}},
		"weather":  {{"Temperature, °C", "Month", "Days without flight", "Spring, year"}, {"Temperature, °F"}},
		"moved":    {{"Springs, %", "nectar 13 May"}, {"Springs, %", "nectar May 13"}},
		"hindcast": {{"Hive weight, kg", "Date, 2026"}, {"Hive weight, lb"}},
	}
	for u, units := range []Units{Metric, US} {
		l := DefaultLook()
		l.Units = units
		for _, c := range inventAll(l) {
			if c.name == "grid200" {
				continue
			}
			var all strings.Builder
			for _, w := range laid(c.chart, 17, 1).texts {
				all.WriteString(w.str + "\n")
			}
			require.NotEmpty(t, want[c.name][u], c.name)
			for _, w := range want[c.name][u] {
				require.Contains(t, all.String(), w, "%s, units %d", c.name, units)
			}
		}
	}
}

// checkLayout holds that no text meets another, none leaves the page, and none
// is smaller than 8 points.
func checkLayout(t require.TestingT, name string, s *sheet) {
	page := box{0, 0, s.w, s.h}
	for i, a := range s.texts {
		require.GreaterOrEqual(t, a.pt, float64(MinTextPt), "%s: %q", name, a.str)
		require.True(t, a.box.within(page), "%s at %.0f x %.0f pt: %q leaves the page: %+v", name, s.w, s.h, a.str, a.box)
		for _, b := range s.texts[:i] {
			require.False(t, a.box.grow(-0.6).meets(b.box), "%s at %.0f x %.0f pt: %q meets %q", name, s.w, s.h, a.str, b.str)
		}
	}
}

func TestNothingOverlaps(t *testing.T) {
	t.Parallel()
	for _, size := range []float64{8, 9, 12} {
		l := LookOf(inventPlan(36))
		l.TextPt = size
		for _, c := range inventAll(l) {
			if c.name == "grid200" {
				continue // TestGridPages lays all its rows
			}
			for _, w := range []float64{7, 9, 13, 17, 29} {
				for _, share := range []float64{1, shortest, 1.5} {
					checkLayout(t, fmt.Sprintf("%s, %g pt", c.name, size), laid(c.chart, w, share))
				}
			}
		}
	}
}

// Whatever the numbers, a chart is drawn and stays readable.
func TestAnyNumbers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 150).Draw(t, "days")
		holes := rapid.SampledFrom([]float64{0, 0.05, 0.6}).Draw(t, "share of NaN")
		top := rapid.SampledFrom([]float64{0, 1e-6, 1, 40, 1e5}).Draw(t, "largest")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		upTo := func(most float64) []float64 {
			v := make([]float64, n)
			level := rng.Float64()
			for i := range v {
				level = math.Min(1, math.Max(0, level+0.2*(rng.Float64()-0.5)))
				v[i] = most * level
				if rng.Float64() < holes {
					v[i] = math.NaN()
				}
			}
			return v
		}
		frac := func() []float64 { return upTo(1) }
		b := func() plan.Band {
			return plan.Band{P10: upTo(top), P25: upTo(top), P50: upTo(top), P75: upTo(top), P90: upTo(top)}
		}
		name := rapid.StringN(0, 40, -1)
		d := plan.Detail{Yard: name.Draw(t, "yard"), Colony: name.Draw(t, "colony"), ReserveKg: 5,
			StoresAlone: b(), StoresFed: b(), RiskAlone: frac(), RiskFed: frac(), Bees: b(), BeesSupplement: b(), Brood: b(), NectarFrac: frac(), BloomFrac: frac()}
		for i := range n {
			d.Dates = append(d.Dates, day(3, 1).AddDate(0, 0, i))
			if i%6 == 0 {
				d.Visits = append(d.Visits, d.Dates[i])
				d.Feedings = append(d.Feedings, plan.Feeding{Date: d.Dates[i], SyrupL: 3, OnlyIfLow: i > 20})
			}
		}
		w := rapid.Float64Range(MinWidthCm, 25).Draw(t, "width")
		for _, c := range []*Chart{StoresChart(d, DefaultLook()), RiskChart(d, 5, DefaultLook()), BeesChart(d, inventProtein(), DefaultLook())} {
			checkLayout(t, c.title, laid(c, w, 1))
			checkSVG(t, render(t, c, "svg", w, 0), c)
		}
	})
}

// checkSVG holds that it is XML, is named for screen readers and has no ids.
func checkSVG(t require.TestingT, svg []byte, c *Chart) {
	dec := xml.NewDecoder(bytes.NewReader(svg))
	var path []string
	var title, desc strings.Builder
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch e := tok.(type) {
		case xml.StartElement:
			path = append(path, e.Name.Local)
			if len(path) == 1 {
				require.Equal(t, "svg", e.Name.Local)
				role := ""
				for _, a := range e.Attr {
					if a.Name.Local == "role" {
						role = a.Value
					}
				}
				require.Equal(t, "img", role)
			}
			for _, a := range e.Attr {
				require.NotEqual(t, "id", a.Name.Local)
				require.NotContains(t, a.Value, "NaN")
				require.NotContains(t, a.Value, "Inf")
			}
		case xml.EndElement:
			path = path[:len(path)-1]
		case xml.CharData:
			switch path = path[:len(path):len(path)]; strings.Join(path, "/") {
			case "svg/title":
				title.Write(e)
			case "svg/desc":
				desc.Write(e)
			}
		}
	}
	require.NotEmpty(t, title.String())
	require.NotEmpty(t, desc.String())
	if !strings.ContainsFunc(c.title, func(r rune) bool { return r < ' ' || r > 0x7e }) {
		require.Equal(t, c.title, title.String())
	}
}

func TestSVG(t *testing.T) {
	t.Parallel()
	for _, c := range inventAll(LookOf(inventPlan(36))) {
		for _, w := range []float64{9, 17} {
			b := render(t, c.chart, "svg", w, 0)
			checkSVG(t, b, c.chart)
			if c.name != "grid200" { // its pages are held to the limit below
				require.Less(t, len(b), 40_000, c.name)
			}
			if c.name == "stores" || c.name == "risk" || c.name == "bees" { // three for each colony of a report
				require.Less(t, len(b), 15_000, c.name)
			}
		}
	}
}

func TestGridPages(t *testing.T) {
	t.Parallel()
	p := inventPlan(200)
	pages := RiskGridPages(p, LookOf(p), 0)
	require.Len(t, pages, 5, "200 rows at 48 a page")
	seen := map[string]bool{}
	for i, c := range pages {
		require.Less(t, heightCm(c, 17, 1), 27.0, "A4 less a margin of 1.35 cm")
		s := laid(c, 17, 1)
		checkLayout(t, "page", s)
		for _, w := range s.texts {
			seen[w.str] = true
		}
		require.Less(t, len(render(t, c, "svg", 17, 0)), 40_000)
		require.Contains(t, c.title, fmt.Sprintf("(rows %d to %d of 200)", i*48+1, min(i*48+48, 200)))
	}
	for _, c := range p.Colonies {
		require.True(t, seen[rowName(c)], rowName(c))
	}
	require.Len(t, RiskGridPages(plan.Plan{}, DefaultLook(), 10), 1)
}

// The grid prints the risk of each week as a number, so that shade is not needed.
func TestGridNumbers(t *testing.T) {
	w := []time.Time{day(3, 14), day(3, 21), day(3, 28)}
	p := plan.Plan{
		Yards: []plan.YardPlan{{Name: "A", WeekDates: w}, {Name: "B", WeekDates: []time.Time{day(3, 21), day(3, 28)}}},
		Colonies: []plan.ColonyPlan{
			{Yard: "A", Colony: "1", Verdict: plan.Feed, RiskByWeek: []float64{0.12, 0.34, 0.97}, StartBy: day(3, 19), RiskFed: plan.Risk{Frac: 0.04}},
			{Yard: "B", Colony: "2", Verdict: plan.NoFeed, RiskByWeek: []float64{0.003, 0.08}},
		},
	}
	s := laid(RiskGrid(p, DefaultLook()), 17, 1)
	at := map[string]box{}
	for _, x := range s.texts {
		at[x.str] = x.box
	}
	for _, want := range []string{"12", "34", "97", "8", "4 %", "19 Mar", "14 Mar", "A 1", "B 2"} {
		require.Contains(t, at, want)
	}
	require.NotContains(t, at, "0", "under 1 % stays empty")
	mid := func(b box) float64 { return (b.x0 + b.x1) / 2 }
	require.InDelta(t, mid(at["97"]), mid(at["8"]), 0.1, "weeks of yards that start later stand under their own date")
	require.InDelta(t, mid(at["14 Mar"]), mid(at["12"]), 0.1)
	require.InDelta(t, at["A 1"].y0, at["97"].y0, 1e-6)
	require.InDelta(t, at["B 2"].y0, at["8"].y0, 1e-6)
}

func TestSameBytes(t *testing.T) {
	t.Parallel()
	for i, c := range inventAll(LookOf(inventPlan(36))) {
		again := inventAll(LookOf(inventPlan(36)))[i]
		for _, f := range []string{"svg", "png", "pdf"} {
			require.True(t, bytes.Equal(render(t, c.chart, f, 12, 0), render(t, again.chart, f, 12, 0)), "%s %s", c.name, f)
		}
		require.Contains(t, string(render(t, c.chart, "pdf", 12, 0)), "/CreationDate (D:20260314000000", "the day of the plan")
	}
	l := DefaultLook()
	require.Contains(t, string(render(t, RiskChart(inventDetail("", "B7"), 5, l), "pdf", 12, 0)), "/CreationDate (D:20000101000000")
}

func TestFormats(t *testing.T) {
	c := StoresChart(inventDetail("North", "B7"), DefaultLook())
	im, err := png.Decode(bytes.NewReader(render(t, c, "png", 10, 20)))
	require.NoError(t, err)
	require.InDelta(t, 10/2.54*pngDPI, im.Bounds().Dx(), 1)
	require.InDelta(t, 20/2.54*pngDPI, im.Bounds().Dy(), 1)
	require.True(t, bytes.HasPrefix(render(t, c, "pdf", 10, 0), []byte("%PDF-")))
	require.Contains(t, string(render(t, c, "svg", 10, 20)), `width="10cm" height="20cm"`)

	for _, bad := range []struct {
		format, want string
		w, h         float64
	}{
		{"gif", "svg, png or pdf", 10, 0},
		{"svg", "7 to 120 cm", 3, 0},
		{"svg", "7 to 120 cm", math.NaN(), 0},
		{"svg", "too low to read", 10, 3},
		{"png", "too large", 120, 1000},
	} {
		require.ErrorContains(t, c.Write(io.Discard, bad.format, bad.w, bad.h), bad.want)
	}
	require.ErrorContains(t, StoresChart(inventDetail("", "B7"), Look{TextPt: 6}).Write(io.Discard, "svg", 10, 0), "text of 6 points", "6 points cannot be read")
}

func TestEmptyAndOne(t *testing.T) {
	t.Parallel()
	l := DefaultLook()
	one := plan.Detail{Colony: "B7", ReserveKg: 5, Dates: []time.Time{day(3, 14)},
		StoresAlone: plan.Band{P50: []float64{6}}, RiskAlone: []float64{0.2}, Bees: plan.Band{P50: []float64{9000}}, Feedings: []plan.Feeding{{Date: day(3, 14), SyrupL: 4}}}
	single1 := plan.Plan{AcceptPct: 5, Colonies: []plan.ColonyPlan{{Yard: "A", Colony: "1", StoresKg: plan.Range{P10: math.NaN(), P50: 3, P90: math.NaN()}}}}
	_, err := YardMap(plan.Plan{Yards: []plan.YardPlan{{Name: "A", LatDeg: 56, LonDeg: math.NaN()}}}, l)
	require.ErrorIs(t, err, ErrNoCoordinates)
	single, err := YardMap(plan.Plan{Yards: []plan.YardPlan{{Name: "A", LatDeg: 56, LonDeg: -117}, {Name: "B", LatDeg: math.NaN(), LonDeg: math.NaN()}}}, l)
	require.NoError(t, err)
	require.Contains(t, single.subtitle, "Without coordinates: B")
	same, err := YardMap(plan.Plan{Yards: []plan.YardPlan{{Name: "A", LatDeg: 56, LonDeg: -117}, {Name: "B", LatDeg: 56, LonDeg: -117}}}, l)
	require.NoError(t, err)
	for name, c := range map[string]*Chart{
		"no stores": StoresChart(plan.Detail{}, l), "no risk": RiskChart(plan.Detail{}, 5, l), "no bees": BeesChart(plan.Detail{}, plan.Supplement{}, l),
		"no colonies": RiskGrid(plan.Plan{}, l), "no yards": OrderChart(plan.Plan{}, l), "no springs": SpringsChart(plan.YardPlan{}, l),
		"no bars": BarChart(Bars{}, l), "no weather": WeatherChart(Weather{}, l), "no hindcast": HindcastChart(Hindcast{}, l),
		"no springs asked": MovedChart(plan.Plan{}, plan.Asked{}, l),
		"no ranking":       RankChart(plan.Plan{}, "A", l), "no need": NeedChart(plan.Plan{}, "A", l), "no visits": VisitsChart(plan.Plan{}, l),
		"no sugar": SugarChart(one, 5, l), "no start": StartChart(one, 5, l), "no gain": GainChart(one, plan.Supplement{}, l),
		"ranking of one": RankChart(single1, "A", l), "need of one": NeedChart(single1, "A", l),
		"one visit":         VisitsChart(plan.Plan{Yards: []plan.YardPlan{{Name: "A", Visits: []plan.Visit{{Date: day(4, 2)}}}}}, l),
		"one day of stores": StoresChart(one, l), "one day of risk": RiskChart(one, 5, l), "one day of bees": BeesChart(one, plan.Supplement{}, l),
		"one colony": RiskGrid(plan.Plan{Colonies: []plan.ColonyPlan{{Colony: "B7"}}}, l), "one yard": OrderChart(plan.Plan{Yards: []plan.YardPlan{{Name: "A"}}}, l),
		"one spring": SpringsChart(plan.YardPlan{Years: []plan.YearFact{{Label: "2001", Bloom: day(4, 2), NonFlying: 3}}}, l), "spring without bloom": SpringsChart(plan.YardPlan{Years: []plan.YearFact{{Label: "made 1"}}}, l),
		"one bar":         BarChart(Bars{Of: "risk", Bars: []Bar{{Name: "x", First: math.NaN(), Total: math.NaN(), TotalLo: math.NaN()}}}, l),
		"one year":        WeatherChart(Weather{Place: "X", Years: []int{2001}, NonFlying: []float64{0}}, l),
		"one observation": HindcastChart(Hindcast{What: "Bees", Unit: "bees", Dates: one.Dates, Band: one.Bees, SeenOn: one.Dates, Seen: []float64{8000}}, l),
		"one place":       single, "two yards on one spot": same,
	} {
		t.Run(name, func(t *testing.T) {
			require.NotEmpty(t, c.title)
			for _, w := range []float64{7, 17} {
				checkLayout(t, name, laid(c, w, 1))
				checkSVG(t, render(t, c, "svg", w, 0), c)
			}
			render(t, c, "png", 9, 0)
			render(t, c, "pdf", 9, 0)
		})
	}
}

// Names of any kind are escaped, kept on the page and never run into numbers.
func TestNames(t *testing.T) {
	t.Parallel()
	for _, name := range []string{
		`<script>alert("x")</script> & 'co' ]]>`,
		strings.Repeat("long ", 40),
		strings.Repeat("x", 180),
		"Łąka Großmütterchen Ñandú été",
		"bad\x00bytes\xff\x1b[31m",
		"",
	} {
		l := DefaultLook()
		l.Source = name
		d := inventDetail(name, name)
		p := inventPlan(12)
		for i := range p.Yards {
			p.Yards[i].Name = name + fmt.Sprint(i)
		}
		for i := range p.Colonies {
			p.Colonies[i].Yard, p.Colonies[i].Colony = p.Yards[i%4].Name, name
		}
		b := inventBars()
		b.Of, b.Note = name, name
		for i := range b.Bars {
			b.Bars[i].Name = name
		}
		h := inventHindcast()
		h.Name, h.What = name, name
		w := inventWeather()
		w.Place, w.Within = name, name
		ys := p.Yards[0].Years
		for i := range ys {
			ys[i].Label = name
		}
		m, err := YardMap(p, l)
		require.NoError(t, err)
		for _, c := range []*Chart{StoresChart(d, l), RiskChart(d, 5, l), BeesChart(d, inventProtein(), l), RiskGrid(p, l), OrderChart(p, l), m,
			RankChart(p, p.Yards[0].Name, l), NeedChart(p, p.Yards[0].Name, l), VisitsChart(p, l), SugarChart(d, 5, l), StartChart(d, 5, l), GainChart(d, inventProtein(), l), SpringsChart(p.Yards[0], l), BarChart(b, l), HindcastChart(h, l), WeatherChart(w, l)} {
			for _, width := range []float64{8, 17} {
				checkLayout(t, c.subtitle, laid(c, width, 1))
				svg := render(t, c, "svg", width, 0)
				checkSVG(t, svg, c)
				require.NotContains(t, string(svg), "<script")
			}
			render(t, c, "pdf", 17, 0)
		}
	}
}

func TestFitKeepsTheEnd(t *testing.T) {
	s := newSheet(DefaultLook(), nil, 500, 500)
	a, b := s.fit("A very long name of a yard, hive 17", s.plain(), 90), s.fit("A very long name of a yard, hive 18", s.plain(), 90)
	require.NotEqual(t, a, b, "names that differ at the end stay different")
	require.LessOrEqual(t, s.width(a, s.plain()), 90.0)
	row := s.fitRow(plan.ColonyPlan{Yard: "A very long name of a yard", Colony: "B17"}, s.plain(), 70)
	require.True(t, strings.HasSuffix(row, "… B17"), row)
}

// A title is wrapped, never cut.
func TestWrapCutsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		str := rapid.StringMatching(`[a-zA-Z<&é ]{0,120}`).Draw(t, "text")
		w := rapid.Float64Range(20, 300).Draw(t, "width")
		s := newSheet(DefaultLook(), nil, 500, 500)
		lines := s.wrap(str, s.title(), w)
		require.Equal(t, strings.Join(strings.Fields(str), ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
		for _, l := range lines {
			require.LessOrEqual(t, s.width(l, s.title()), w)
		}
	})
}

// A kilometre east is as long on the map as a kilometre north.
func TestMapAspect(t *testing.T) {
	s := newSheet(DefaultLook(), nil, 500, 500)
	for _, lat := range []float64{0, 45, 56, 65, -35} {
		p, in := s.axes(""), box{0, 0, 400, 300}
		scale := ground(p, in, []float64{lat - 0.2, lat + 0.2}, []float64{-118, -117})
		c := s.on(in)
		x, y := p.Transforms(&c)
		north := float64(y(lat+1/kmPerDegree) - y(lat))
		east := float64(x(-117.5+1/(kmPerDegree*math.Cos(lat*math.Pi/180))) - x(-117.5))
		require.InDelta(t, north, east, 1e-9)
		require.InDelta(t, scale/kmPerDegree, north, 1e-9)
	}
}

// Many yards close together: all names are on the map and none meet.
func TestMapLabels(t *testing.T) {
	p := plan.Plan{}
	for i := range 14 {
		a := float64(i) * 2.4
		y := plan.YardPlan{Name: fmt.Sprintf("Yard number %d", i), LatDeg: 56 + 0.05*math.Sin(a)*float64(i%4), LonDeg: -117 + 0.09*math.Cos(a)*float64(i%5)}
		y.Order.SyrupL.P50 = float64(10 + 7*i)
		p.Yards = append(p.Yards, y)
	}
	m, err := YardMap(p, DefaultLook())
	require.NoError(t, err)
	s := laid(m, 17, 1)
	checkLayout(t, "map", s)
	n := 0
	for _, w := range s.texts {
		if strings.HasPrefix(w.str, "Yard number") {
			n++
		}
	}
	require.Equal(t, 14, n)
}

// simplify keeps each point within the tolerance of what is drawn.
func TestSimplify(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "n")
		ps := make([]vg.Point, n)
		for i := range ps {
			ps[i] = point(float64(i), rapid.Float64Range(0, 3).Draw(t, "y"))
		}
		kept := simplify(ps, 0.5)
		require.Equal(t, ps[0], kept[0])
		require.Equal(t, ps[n-1], kept[len(kept)-1])
		for _, p := range ps {
			near := math.Inf(1)
			for i := 1; i < len(kept); i++ {
				ab, ap := kept[i].Sub(kept[i-1]), p.Sub(kept[i-1])
				f := min(1, max(0, ap.Dot(ab)/ab.Dot(ab)))
				off := ap.Sub(ab.Scale(f))
				near = math.Min(near, math.Hypot(float64(off.X), float64(off.Y)))
			}
			require.LessOrEqual(t, near, 1.0) // distance to the line is held to 0.5; to the piece it may be a little more
		}
	})
}

func TestDateTicks(t *testing.T) {
	s := newSheet(DefaultLook(), nil, 500, 500)
	for _, span := range []int{0, 1, 5, 20, 70, 200, 900} {
		for _, width := range []float64{120, 250, 500} {
			from := dayOf(day(2, 10))
			ts := dates{s, width}.Ticks(from, from+float64(span))
			require.NotEmpty(t, ts)
			end := math.Inf(-1)
			for _, k := range ts {
				require.GreaterOrEqual(t, k.Value, from)
				x := (k.Value - from) / math.Max(1, float64(span)) * width
				w := s.width(k.Label, s.plain()) / 2
				require.Greater(t, x-w, end)
				end = x + w
				require.Contains(t, dateOf(k.Value).Format("2 Jan 2006"), strings.Fields(k.Label)[0])
			}
		}
	}
}

func TestNumberTicks(t *testing.T) {
	step, lo, hi := roundOut(0, 12.3, 5)
	require.Equal(t, 0.0, lo)
	require.Equal(t, 15.0, hi)
	require.Equal(t, []plot.Tick{{Value: 0, Label: "0"}, {Value: 5, Label: "5"}, {Value: 10, Label: "10"}, {Value: 15, Label: "15"}}, step.Ticks(lo, hi))
	step, lo, hi = roundOut(0, 0.3, 3)
	require.Equal(t, "0.1", step.Ticks(lo, hi)[1].Label)
	_, lo, hi = roundOut(math.NaN(), math.NaN(), 5)
	require.Less(t, lo, hi)
}

func TestWords(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 4: "4", 4.25: "4.2", 9.96: "10", 1234.4: "1,234", 1234567: "1,234,567", -20: "-20"} {
		require.Equal(t, want, amount(v))
	}
	for f, want := range map[float64]string{0: "0 %", 0.004: "under 1 %", 0.42: "42 %", 0.996: "over 99 %", 1: "100 %"} {
		require.Equal(t, want, percent(f))
	}
}

func TestLookOf(t *testing.T) {
	p := plan.Plan{Season: &season.Season{Settings: season.Settings{UnitsUS: true}}, Today: day(3, 14), Members: 1200, Seed: 42, Invented: true}
	l := LookOf(p)
	require.Equal(t, US, l.Units)
	require.Equal(t, "Invented example: no real hives. bloomgap, 1,200 simulated springs, random seed 42. Worked out for March 14, 2026.", l.Source)
	require.NoError(t, l.Validate())
	p.Invented = false
	require.NotContains(t, LookOf(p).Source, "Invented")
	require.ErrorContains(t, Look{Units: 7, TextPt: 9}.Validate(), "neither metric nor US")
}

// linear is the linear light of an sRGB colour (IEC 61966-2-1).
func linear(c color.NRGBA) [3]float64 {
	f := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return [3]float64{f(c.R), f(c.G), f(c.B)}
}

func luminance(l [3]float64) float64 { return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2] }

func labF(t float64) float64 {
	if t > 216.0/24389 {
		return math.Cbrt(t)
	}
	return (24389.0/27*t + 16) / 116
}

// lab is CIE L*a*b* for white D65.
func lab(l [3]float64) [3]float64 {
	x := (0.4124564*l[0] + 0.3575761*l[1] + 0.1804375*l[2]) / 0.95047
	y := luminance(l)
	z := (0.0193339*l[0] + 0.1191920*l[1] + 0.9503041*l[2]) / 1.08883
	return [3]float64{116*labF(y) - 16, 500 * (labF(x) - labF(y)), 200 * (labF(y) - labF(z))}
}

// The four lines differ in grey by lightness, have the contrast that WCAG 2.1
// (1.4.11) asks of graphics, and stay apart for the colour-blind; dash and marker
// differ as well.
func TestColours(t *testing.T) {
	// Machado, Oliveira and Fernandes 2009, IEEE Trans. Vis. Comput. Graph.
	// 15:1291, severity 1 (from memory; rows must add up to 1).
	blind := map[string][3][3]float64{
		"red-blind":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
		"green-blind": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
		"blue-blind":  {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	}
	for _, m := range blind {
		for _, r := range m {
			require.InDelta(t, 1, r[0]+r[1]+r[2], 1e-5)
		}
	}
	pens := []pen{penAlone, penPlan, penProt, penBoth}
	for i, a := range pens {
		require.GreaterOrEqual(t, 1.05/(luminance(linear(a.col))+0.05), 3.0, "contrast of line %d to white", i)
		for k, b := range pens[:i] {
			require.GreaterOrEqual(t, math.Abs(lab(linear(a.col))[0]-lab(linear(b.col))[0]), 10.0, "lightness of %d and %d", i, k)
			require.NotEqual(t, a.mark, b.mark)
			require.NotEqual(t, a.dash, b.dash)
			for name, m := range blind {
				see := func(c color.NRGBA) [3]float64 {
					l := linear(c)
					var o [3]float64
					for r := range m {
						o[r] = math.Min(1, math.Max(0, m[r][0]*l[0]+m[r][1]*l[1]+m[r][2]*l[2]))
					}
					return lab(o)
				}
				p, q := see(a.col), see(b.col)
				d := math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
				require.Greater(t, d, 12.0, "%s: lines %d and %d", name, i, k)
			}
		}
	}
	for i := 1; i < len(shades); i++ { // the grid darkens with risk
		require.Greater(t, lab(linear(shades[i-1].fill))[0]-lab(linear(shades[i].fill))[0], 3.0)
	}
	for i, s := range shades { // WCAG 2.1, 1.4.3: 4.5:1 for text
		a, b := luminance(linear(s.fill))+0.05, luminance(linear(s.text))+0.05
		require.GreaterOrEqual(t, math.Max(a, b)/math.Min(a, b), 4.5, "number on shade %d", i)
	}
	for _, c := range []color.NRGBA{ink, soft, colA, colPlan, colProt, rgb(0x5c5500)} {
		require.GreaterOrEqual(t, 1.05/(luminance(linear(c))+0.05), 4.5, "text on white")
	}
}

func BenchmarkStoresSVG(b *testing.B) {
	d := inventDetail("North", "B7")
	b.ReportAllocs()
	for b.Loop() {
		if err := StoresChart(d, DefaultLook()).Write(io.Discard, "svg", 12, 0); err != nil {
			b.Fatal(err)
		}
	}
}

func TestLinesBreakBetweenWords(t *testing.T) {
	require.Equal(t, []string{"from", "22 March", "on,", "2.5 kg", "in", "9 springs", "of", "10;", "77 %", "x"}, unbroken("from 22 March on, 2.5 kg in 9 springs of 10; 77 % x"))
}

// Stores that nectar brings do not press flat the days before it; what is left
// out is said.
func TestStoresScale(t *testing.T) {
	d := inventDetail("North", "B7")
	for i := 55; i < len(d.Dates); i++ {
		d.StoresAlone.P90[i] += 60
	}
	c := StoresChart(d, DefaultLook())
	require.Contains(t, c.subtitle, "more than 15 kg is not drawn")
	require.NotContains(t, StoresChart(inventDetail("North", "B7"), DefaultLook()).subtitle, "not drawn")
	s := laid(c, 17, 1)
	for _, w := range s.texts {
		require.NotEqual(t, "60", w.str)
	}
}

// A line that leaves the panel is cut where it leaves.
func TestLineIsCutAtTheTop(t *testing.T) {
	s := newSheet(DefaultLook(), nil, 100, 100)
	p := s.axes("")
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0, 4, 0, 5
	c := s.on(box{0, 0, 100, 100})
	for _, q := range lines([]float64{0, 1, 2}, []float64{0, 10, 0}, penReserve, 100, 0) {
		q.Plot(c, p)
	}
	require.NotEmpty(t, s.marks)
	left := 0.0
	for _, m := range s.marks {
		require.LessOrEqual(t, m.y1, 101.6)
		if m.x0 > 13 && m.x1 < 37 { // 10 is reached at x = 25, 5 at 12.5 and 37.5
			left++
		}
	}
	require.Zero(t, left)
}

// Charts may be written by several goroutines at once.
func TestAtOnce(t *testing.T) {
	c := StoresChart(inventDetail("North", "B7"), DefaultLook())
	want := render(t, c, "svg", 11, 0)
	var wg sync.WaitGroup
	got := make([][]byte, 8)
	for i := range got {
		wg.Go(func() {
			var b bytes.Buffer
			if c.Write(&b, "svg", 11, 0) == nil {
				got[i] = b.Bytes()
			}
		})
	}
	wg.Wait()
	for _, g := range got {
		require.True(t, bytes.Equal(want, g))
	}
}
