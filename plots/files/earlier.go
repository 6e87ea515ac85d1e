package files

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/since"
	"bloomgap/feed/syrup"
	"bloomgap/forage/read"
)

// What to do about a file that is no plan to compare with.
const giveAPlan = "give the JSON of an earlier plan: plan.json of the folder that --out wrote, or what --json printed"

// ReadEarlier reads a plan that WriteJSON wrote, as far as it is compared with a later
// one. The name is that of the file in messages. A file that cannot be used comes
// back as problems, all of them.
func ReadEarlier(name string, data []byte) (since.Snapshot, read.Problems) {
	var ps read.Problems
	if !isPlan(name, data, &ps) {
		return since.Snapshot{}, ps
	}
	d := Document{Settings: SettingsDoc{ReserveFrac: Num(math.NaN()), LostFrac: Num(math.NaN()), WasteFrac: Num(math.NaN())}}
	if err := json.Unmarshal(data, &d); err != nil {
		notJSON(name, data, err, &ps)
		return since.Snapshot{}, ps
	}
	r := earlier{file: name, ps: &ps}
	s := r.snapshot(&d)
	return s, ps
}

// isPlan tells whether a file is a plan of the version that is read here.
func isPlan(name string, data []byte, ps *read.Problems) bool {
	var head struct {
		Format  string `json:"format"`
		Version any    `json:"version"`
	}
	bad := func(message, fix string) bool {
		ps.Add(name, 0, 0, message, fix)
		return false
	}
	switch text := bytes.TrimSpace(data); {
	case len(text) == 0:
		return bad("the file is empty", giveAPlan)
	case bytes.HasPrefix(text, []byte("PK")):
		return bad("this is a workbook or an archive, not JSON", giveAPlan)
	case text[0] != '{':
		return bad("this is not the JSON of a plan", giveAPlan)
	}
	if err := json.Unmarshal(data, &head); err != nil {
		notJSON(name, data, err, ps)
		return false
	}
	version, isNumber := head.Version.(float64)
	switch {
	case strings.HasPrefix(head.Format, "bloomgap sums"):
		return bad("this is a part of an order that --sums wrote, not a plan", giveAPlan)
	case head.Format != Format:
		return bad("this is JSON, but not a plan of bloomgap", giveAPlan)
	case !isNumber || version != math.Trunc(version) || version < 1:
		return bad("the version of the plan is missing or not a whole number", giveAPlan)
	case version == 1:
		return bad("this plan is of version 1, which holds neither what was seen of a colony nor what it was given, so that nothing can say why it moved",
			"plan again with this version, and compare the next plan with that one")
	case version > FormatVersion:
		return bad(fmt.Sprintf("this plan is of version %.0f, written by a later bloomgap; this one reads version %d", version, FormatVersion),
			"use that bloomgap, or plan again with this one")
	}
	return true
}

// notJSON tells where a file is broken.
func notJSON(name string, data []byte, err error, ps *read.Problems) {
	at := int64(-1)
	message := err.Error()
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		at, message = syntax.Offset, "the file is broken here: "+syntax.Error()
	case errors.As(err, &kind):
		at, message = kind.Offset, fmt.Sprintf("%s cannot be a %s", kind.Field, kind.Value)
	case errors.Is(err, io.ErrUnexpectedEOF):
		at = int64(len(data))
	}
	line, column := 0, 0
	if at >= 0 {
		before := data[:min(at, int64(len(data)))]
		line = 1 + bytes.Count(before, []byte("\n"))
		column = max(1, len(before)-1-bytes.LastIndexByte(before, '\n'))
	}
	ps.Add(name, line, column, message, "take the file as bloomgap wrote it")
}

// earlier turns a document back into what is compared, and collects what it lacks.
type earlier struct {
	file string
	ps   *read.Problems
}

func (r earlier) bad(where, message string) {
	r.ps.Add(r.file, 0, 0, where+": "+message, "take the file as bloomgap wrote it")
}

func (r earlier) snapshot(d *Document) since.Snapshot {
	set := &d.Settings
	s := since.Snapshot{Today: d.Today.Time, Members: d.Members, Seed: d.Seed,
		SugarKg: plan.Amount{P10: float64(d.Order.SugarKg.P10), P50: float64(d.Order.SugarKg.P50), P90: float64(d.Order.SugarKg.P90)},
		Settings: since.Settings{AcceptFrac: float64(set.AcceptFrac), ReserveKg: float64(set.ReserveKg), ReserveFrac: float64(set.ReserveFrac),
			LossFrac: float64(set.LostFrac), WasteFrac: float64(set.WasteFrac), Strength: set.Strength, Supplement: set.Supplement,
			WantedOn: set.WantedOn.Time, WantedBees: float64(set.WantedBees)}}
	if s.Today.IsZero() {
		r.bad("today", "the day of the plan is missing")
	}
	if d.TextUnits != "metric" && d.TextUnits != "us" {
		r.bad("text_units", fmt.Sprintf("%q is neither metric nor us", d.TextUnits))
	}
	for _, p := range set.Parameters {
		s.Settings.Parameters = append(s.Settings.Parameters, season.Parameter{Name: p.Name, Value: float64(p.Value)})
	}
	for i := range d.Yards {
		y := &d.Yards[i]
		w := &y.Weather
		out := since.Yard{Name: y.Name, Nectar: plan.DateRange{P10: y.Nectar.P10.Time, P50: y.Nectar.P50.Time, P90: y.Nectar.P90.Time},
			Weather: plan.WeatherSource{Record: w.Record, Climate: w.Climate, ObservedTo: w.ObservedTo.Time, ForecastTo: w.ForecastTo.Time, Bloom: w.Bloom.Time}}
		for _, v := range y.Visits {
			if !v.Date.Before(s.Today) {
				out.NextVisit = v.Date.Time
				break
			}
		}
		s.Yards = append(s.Yards, out)
	}
	seen := map[[2]string]bool{}
	for i := range d.Colonies {
		c := &d.Colonies[i]
		where := fmt.Sprintf("colonies[%d]", i)
		if c.Yard == "" || c.Colony == "" {
			r.bad(where, "a colony has no yard or no name")
			continue
		}
		name := [2]string{strings.ToLower(c.Yard), strings.ToLower(c.Colony)}
		if seen[name] {
			r.bad(where, fmt.Sprintf("the colony %q of %s stands there twice", c.Colony, c.Yard))
		}
		seen[name] = true
		s.Colonies = append(s.Colonies, r.colony(c, where))
	}
	return s
}

// colony is a colony as it is compared.
func (r earlier) colony(c *ColonyDoc, where string) since.Colony {
	out := since.Colony{Yard: c.Yard, Name: c.Colony, SeenOn: c.SeenOn.Time, StartBy: c.StartBy.Time, TooLate: c.TooLate,
		StoresKg: plan.Range{P10: float64(c.StoresKg.P10), P50: float64(c.StoresKg.P50), P90: float64(c.StoresKg.P90)},
		Risk:     r.risk(c.Risk, where), RiskFed: plan.Risk{Frac: math.NaN(), ErrFrac: math.NaN()}}
	if c.Tally != nil {
		out.Tallied = c.Tally.Colonies
	}
	v := slices.Index([]string{"feed", "watch", "no feed", "dead"}, c.Verdict)
	if v < 0 {
		r.bad(where, fmt.Sprintf("the verdict %q is not known", c.Verdict))
	}
	out.Verdict = plan.Verdict(max(0, v))
	if c.RiskFed != nil {
		out.RiskFed = r.risk(*c.RiskFed, where)
	}
	if err := out.Feeder.UnmarshalText([]byte(c.Feeder.Code)); err != nil {
		r.bad(where, err.Error())
	}
	for _, f := range c.Feedings {
		under := float64(f.UnderKg)
		if math.IsNaN(under) {
			under = 0
		}
		out.Feedings = append(out.Feedings, plan.Feeding{Date: f.Date.Time, SyrupL: float64(f.SyrupL), SolidKg: float64(f.SolidKg), UnderKg: under})
	}
	for i := range c.Looks {
		out.Looks = append(out.Looks, r.look(&c.Looks[i], where))
	}
	for _, g := range c.FeedGiven {
		row := since.Given{On: g.On.Time, SyrupL: float64(g.SyrupL), SolidKg: float64(g.SolidKg), CombsDeep: float64(g.Deep), CombsFlat: float64(g.Medium)}
		if row.SyrupL > 0 {
			strength, err := syrup.Parse(g.Strength)
			if err != nil {
				r.bad(where, "feed_given: "+err.Error())
				continue
			}
			row.SugarKg = row.SyrupL * strength.SugarKgPerL()
		}
		out.Given = append(out.Given, row)
	}
	return out
}

func (r earlier) risk(d RiskDoc, where string) plan.Risk {
	x := plan.Risk{Frac: float64(d.Frac), ErrFrac: float64(d.ErrFrac)}
	if x.Frac < 0 || x.Frac > 1 || x.ErrFrac < 0 {
		r.bad(where, "a risk is a share from 0 to 1")
	}
	return x
}

func (r earlier) look(d *LookDoc, where string) since.Look {
	out := since.Look{On: d.On.Time, Alive: d.Alive, Read: since.Readings{GrossKg: float64(d.GrossKg), LiftLeftKg: float64(d.LiftLeftKg),
		LiftRightKg: float64(d.LiftRightKg), LiftBackKg: float64(d.LiftBackKg), Deep: float64(d.FramesDeep), Medium: float64(d.FramesMedium),
		Seams: float64(d.Seams), CountTempC: float64(d.CountTempC), BroodFrames: float64(d.BroodFrames)}}
	found := false
	for k := season.FoodUnknown; k <= season.FoodHeft; k++ {
		if k.FigureCode() == d.FoodBy {
			out.FoodBy, found = k, true
		}
	}
	if !found {
		r.bad(where, fmt.Sprintf("food cannot be judged by %q", d.FoodBy))
	}
	if d.Heft == "" {
		return out
	}
	for _, h := range []season.Heft{season.HeftLight, season.HeftFair, season.HeftHeavy} {
		if h.String() == d.Heft {
			out.Heft = h
		}
	}
	if out.Heft == 0 {
		r.bad(where, fmt.Sprintf("a heft is light, fair or heavy, not %q", d.Heft))
	}
	return out
}
