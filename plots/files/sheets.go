package files

import (
	"io"
	"math"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/forage/read"
	"bloomgap/plots/words"
)

// Sheets are the tables of a plan, one row for each thing, each heading with
// its unit: colonies, feedings, yards, order, equipment, visits, notes.
func Sheets(pl *plan.Plan, u words.Style) []read.Sheet {
	return []read.Sheet{
		{Name: "colonies", Rows: colonyRows(pl, u)},
		{Name: "feedings", Rows: feedingRows(pl, u)},
		{Name: "yards", Rows: yardRows(pl, u)},
		{Name: "order", Rows: orderRows(pl, u)},
		{Name: "equipment", Rows: gearRows(pl)},
		{Name: "visits", Rows: visitRows(pl, u)},
		{Name: "notes", Rows: noteRows(pl, u)},
	}
}

// File is a file of a plan: its name and what writes it.
type File struct {
	Name  string
	Write func(io.Writer) error
}

// CSVs are the Sheets as files of their own. Their names begin with plan-, so that
// none bears the name of an input.
func CSVs(pl *plan.Plan, u words.Style) []File {
	var out []File
	for _, s := range Sheets(pl, u) {
		out = append(out, File{"plan-" + s.Name + ".csv", func(w io.Writer) error { return read.WriteCSV(w, s.Rows) }})
	}
	return out
}

// field is a column of a sheet: its heading and its cell for a thing.
type field[T any] struct {
	name string
	cell func(T) any
}

func rowsOf[T any](fields []field[T], things []T) [][]any {
	rows := make([][]any, 0, len(things)+1)
	head := make([]any, len(fields))
	for i, f := range fields {
		head[i] = f.name
	}
	rows = append(rows, head)
	for _, t := range things {
		row := make([]any, len(fields))
		for i, f := range fields {
			row[i] = f.cell(t)
		}
		rows = append(rows, row)
	}
	return rows
}

// measured is a column with a figure in kg or L, written in the reader's unit.
func measured[T any](u words.Style, name, metric string, decimals int, get func(T) float64) field[T] {
	return field[T]{name + "_" + u.UnitHeading(metric), func(t T) any { return read.Number{Value: u.Value(get(t), metric), Decimals: decimals} }}
}

func pct(frac float64) read.Number { return read.Number{Value: 100 * frac, Decimals: 1} }

func plain(v float64, decimals int) read.Number {
	return read.Number{Value: v, Decimals: decimals}
}

type ranked struct {
	*plan.ColonyPlan
	place int
}

func colonyRows(pl *plan.Plan, u words.Style) [][]any {
	things := make([]ranked, len(pl.Colonies))
	for i := range pl.Colonies {
		things[i] = ranked{&pl.Colonies[i], i + 1}
	}
	f := func(name string, get func(c ranked) any) field[ranked] {
		return field[ranked]{name, func(c ranked) any {
			if c.Verdict == plan.Dead && deadLacks(name) {
				return nil
			}
			return get(c)
		}}
	}
	m := func(name, metric string, get func(c ranked) float64) field[ranked] {
		g := measured(u, name, metric, 2, get)
		return f(g.name, g.cell)
	}
	supplement := func(name string, get func(p *plan.Supplement) any) field[ranked] {
		return f(name, func(c ranked) any {
			if !c.Supplement.Considered {
				return nil
			}
			return get(&c.Supplement)
		})
	}
	fed := func(name string, get func(c ranked) any) field[ranked] {
		return f(name, func(c ranked) any {
			if len(c.Feedings) == 0 {
				return nil
			}
			return get(c)
		})
	}
	fields := []field[ranked]{
		f("urgency", func(c ranked) any { return c.place }),
		f("yard", func(c ranked) any { return c.Yard }),
		f("colony", func(c ranked) any { return c.Colony }),
		f("colonies", func(c ranked) any { return c.Stands() }),
		f("looked_at", func(c ranked) any {
			if c.Tally == nil {
				return nil
			}
			return c.Tally.LookedAt
		}),
		f("verdict", func(c ranked) any { return c.Verdict.String() }),
		f("start_by", func(c ranked) any { return c.StartBy }),
		f("go_sooner", func(c ranked) any { return c.TooLate }),
		m("syrup", "L", func(c ranked) float64 { return c.SyrupL }),
		f("syrup_ratio", func(c ranked) any { return words.Strength(c.Strength) }),
		m("syrup_sugar", "kg", func(c ranked) float64 { return c.SyrupSugarKg }),
		m("solid", "kg", func(c ranked) float64 { return c.SolidKg }),
		m("sugar_all_colonies", "kg", func(c ranked) float64 { return float64(c.Stands()) * (c.SyrupSugarKg + c.SolidKg) }),
		f("feeder", func(c ranked) any { return words.Feeder(c.Choice.Feeder) }),
		fed("feeder_on_hand", func(c ranked) any { return c.Choice.OnHand }),
		f("feeder_reason", func(c ranked) any { return u.Note(c.Choice.Reason) }),
		f("next_best_feeder", func(c ranked) any { return words.Feeder(c.Choice.RunnerUp) }),
		f("next_best_why_not", func(c ranked) any { return u.Note(c.Choice.Against) }),
		f("feedings", func(c ranked) any { return len(c.Feedings) }),
		f("risk_pct", func(c ranked) any { return pct(c.Risk.Frac) }),
		f("risk_error_pct", func(c ranked) any { return pct(c.Risk.ErrFrac) }),
		fed("risk_fed_pct", func(c ranked) any { return pct(c.RiskFed.Frac) }),
		fed("risk_fed_error_pct", func(c ranked) any { return pct(c.RiskFed.ErrFrac) }),
		fed("reserve_held_pct", func(c ranked) any { return pct(c.ReserveFrac) }),
		f("seen_on", func(c ranked) any { return c.SeenOn }),
		m("stores_p10", "kg", func(c ranked) float64 { return c.StoresKg.P10 }),
		m("stores_p50", "kg", func(c ranked) float64 { return c.StoresKg.P50 }),
		m("stores_p90", "kg", func(c ranked) float64 { return c.StoresKg.P90 }),
		f("bees_p10", func(c ranked) any { return plain(c.Bees.P10, 0) }),
		f("bees_p50", func(c ranked) any { return plain(c.Bees.P50, 0) }),
		f("bees_p90", func(c ranked) any { return plain(c.Bees.P90, 0) }),
		f("reserve_passed_on", func(c ranked) any { return c.ReserveDate }),
		f("accepted_risk_passed_on", func(c ranked) any { return c.StarveDate }),
		f("bloom_p10", func(c ranked) any { return c.Bloom.P10 }),
		f("bloom_p50", func(c ranked) any { return c.Bloom.P50 }),
		f("bloom_p90", func(c ranked) any { return c.Bloom.P90 }),
		f("nectar_p10", func(c ranked) any { return c.Nectar.P10 }),
		f("nectar_p50", func(c ranked) any { return c.Nectar.P50 }),
		f("nectar_p90", func(c ranked) any { return c.Nectar.P90 }),
		f("days_without_flight_p50", func(c ranked) any { return plain(c.NonFlying.P50, 0) }),
		f("longest_cold_spell_days_p50", func(c ranked) any { return plain(c.ColdSpell.P50, 0) }),
		f("bees_at_bloom_p10", func(c ranked) any { return plain(c.BloomBees.P10, 0) }),
		f("bees_at_bloom_p50", func(c ranked) any { return plain(c.BloomBees.P50, 0) }),
		f("bees_at_bloom_p90", func(c ranked) any { return plain(c.BloomBees.P90, 0) }),
		f("weigh_first", func(c ranked) any { return c.Confidence.WeighFirst }),
		m("no_feed_above_stores", "kg", func(c ranked) float64 { return none(c.Confidence.NeedStoresKg) }),
		m("no_feed_above_gross", "kg", func(c ranked) float64 { return none(c.Confidence.NeedGrossKg) }),
		f("risk_if_light_pct", func(c ranked) any { return pct(c.Confidence.RiskIfLightFrac) }),
		f("risk_if_heavy_pct", func(c ranked) any { return pct(c.Confidence.RiskIfHeavyFrac) }),
		supplement("supplement_from", func(p *plan.Supplement) any { return p.From }),
		supplement("supplement_risk_pct", func(p *plan.Supplement) any { return pct(p.Risk.Frac) }),
		supplement("supplement_risk_fed_pct", func(p *plan.Supplement) any { return pct(p.RiskFed.Frac) }),
		supplement("supplement_bees_at_bloom_p50", func(p *plan.Supplement) any { return plain(p.BloomBees.P50, 0) }),
		supplement("supplement_extra_syrup_"+u.UnitHeading("L"), func(p *plan.Supplement) any { return plain(u.Value(p.ExtraSyrupL, "L"), 2) }),
		supplement("supplement_eaten_"+u.UnitHeading("kg"), func(p *plan.Supplement) any { return plain(u.Value(p.SupplementKg, "kg"), 2) }),
		supplement("supplement_window_from", func(p *plan.Supplement) any { return p.WindowFrom }),
		supplement("supplement_window_to", func(p *plan.Supplement) any { return p.WindowTo }),
		supplement("supplement_advice", func(p *plan.Supplement) any { return u.Text(p.Advice) }),
		f("reason", func(c ranked) any { return u.Text(c.Reason) }),
		f("confidence", func(c ranked) any { return u.Note(c.Confidence.Note) }),
		f("warnings", func(c ranked) any { return strings.Join(u.Notes(c.Warnings), "; ") }),
		f("wrap_off_from", func(c ranked) any {
			if !c.Unwrap.Known() {
				return nil
			}
			return c.Unwrap.From
		}),
		m("wrap_off_now_costs", "kg", func(c ranked) float64 {
			if !c.Unwrap.Known() {
				return math.NaN()
			}
			return c.Unwrap.CostKg.P50
		}),
	}
	return rowsOf(fields, things)
}

// deadLacks tells which columns have nothing to say of a dead colony.
func deadLacks(name string) bool {
	switch name {
	case "urgency", "yard", "colony", "colonies", "looked_at", "verdict", "seen_on", "reason", "warnings":
		return false
	}
	return true
}

// none turns a figure that is not set into an empty cell.
func none(v float64) float64 {
	if v <= 0 {
		return math.NaN()
	}
	return v
}

func feedingRows(pl *plan.Plan, u words.Style) [][]any {
	type feeding struct {
		c *plan.ColonyPlan
		f plan.Feeding
		n int
	}
	var things []feeding
	for i := range pl.Colonies {
		for n, f := range pl.Colonies[i].Feedings {
			things = append(things, feeding{&pl.Colonies[i], f, n + 1})
		}
	}
	return rowsOf([]field[feeding]{
		{"yard", func(t feeding) any { return t.c.Yard }},
		{"colony", func(t feeding) any { return t.c.Colony }},
		{"colonies", func(t feeding) any { return t.c.Stands() }},
		{"feeding", func(t feeding) any { return t.n }},
		{"date", func(t feeding) any { return t.f.Date }},
		measured(u, "syrup", "L", 2, func(t feeding) float64 { return t.f.SyrupL }),
		{"syrup_ratio", func(t feeding) any {
			if t.f.SyrupL == 0 {
				return nil
			}
			return words.Strength(t.c.Strength)
		}},
		measured(u, "sugar", "kg", 2, func(t feeding) float64 { return t.f.SugarKg }),
		measured(u, "solid", "kg", 2, func(t feeding) float64 { return t.f.SolidKg }),
		{"feeder", func(t feeding) any {
			if t.f.SyrupL == 0 {
				return words.Feeder(plan.SolidOverCluster)
			}
			return words.Feeder(t.c.Choice.Feeder)
		}},
		{"only_if_low", func(t feeding) any { return t.f.OnlyIfLow }},
		{"springs_needing_it_pct", func(t feeding) any { return pct(t.f.NeededFrac) }},
	}, things)
}

func yardRows(pl *plan.Plan, u words.Style) [][]any {
	type yard = plan.YardPlan
	return rowsOf([]field[yard]{
		{"yard", func(y yard) any { return y.Name }},
		{"latitude_deg", func(y yard) any { return plain(y.LatDeg, 4) }},
		{"longitude_deg", func(y yard) any { return plain(y.LonDeg, 4) }},
		{"feed", func(y yard) any { return y.Feed }},
		{"watch", func(y yard) any { return y.Watch }},
		{"no_feed", func(y yard) any { return y.NoFeed }},
		{"dead", func(y yard) any { return words.DeadCount(pl, y) }},
		{"dead_colonies", func(y yard) any { return strings.Join(words.DeadOf(pl, y), ", ") }},
		{"next_visit", func(y yard) any { return words.NextVisit(pl, y.Name) }},
		{"bloom_p10", func(y yard) any { return y.Bloom.P10 }},
		{"bloom_p50", func(y yard) any { return y.Bloom.P50 }},
		{"bloom_p90", func(y yard) any { return y.Bloom.P90 }},
		{"nectar_p10", func(y yard) any { return y.Nectar.P10 }},
		{"nectar_p50", func(y yard) any { return y.Nectar.P50 }},
		{"nectar_p90", func(y yard) any { return y.Nectar.P90 }},
		{"days_without_flight_p10", func(y yard) any { return plain(y.NonFlying.P10, 0) }},
		{"days_without_flight_p50", func(y yard) any { return plain(y.NonFlying.P50, 0) }},
		{"days_without_flight_p90", func(y yard) any { return plain(y.NonFlying.P90, 0) }},
		{"weather", func(y yard) any { return u.WeatherSource(y.Weather) }},
		{"warnings", func(y yard) any { return strings.Join(u.Notes(y.Warnings), "; ") }},
	}, pl.Yards)
}

// AllYards is the name under which the order for everything is written.
const AllYards = "all yards"

// scoped is the order of a yard or of all.
type scoped struct {
	scope string
	plan.Order
}

func scopes(pl *plan.Plan) []scoped {
	things := []scoped{{AllYards, pl.Order}}
	for _, y := range pl.Yards {
		things = append(things, scoped{y.Name, y.Order})
	}
	return things
}

func orderRows(pl *plan.Plan, u words.Style) [][]any {
	fields := []field[scoped]{
		{"yard", func(o scoped) any { return o.scope }},
		{"colonies_fed", func(o scoped) any { return o.Colonies }},
	}
	add := func(name, metric string, get func(o scoped) plan.Amount) {
		fields = append(fields,
			measured(u, name+"_p50", metric, 1, func(o scoped) float64 { return get(o).P50 }),
			measured(u, name+"_p90", metric, 1, func(o scoped) float64 { return get(o).P90 }))
	}
	add("sugar", "kg", func(o scoped) plan.Amount { return o.SugarKg })
	fields = append(fields,
		field[scoped]{"bags_p50", func(o scoped) any { return plain(o.SugarBags.P50, 0) }},
		field[scoped]{"bags_p90", func(o scoped) any { return plain(o.SugarBags.P90, 0) }},
		measured(u, "bag", "kg", 1, func(o scoped) float64 { return o.BagKg }))
	add("syrup", "L", func(o scoped) plan.Amount { return o.SyrupL })
	add("syrup_sugar", "kg", func(o scoped) plan.Amount { return o.SyrupSugarKg })
	add("water", "L", func(o scoped) plan.Amount { return o.WaterL })
	add("solid", "kg", func(o scoped) plan.Amount { return o.SolidKg })
	add("supplement", "kg", func(o scoped) plan.Amount { return o.SupplementKg })
	return rowsOf(fields, scopes(pl))
}

func gearRows(pl *plan.Plan) [][]any {
	type line struct {
		scope string
		plan.GearLine
	}
	var things []line
	for _, o := range scopes(pl) {
		for _, g := range o.Gear {
			things = append(things, line{o.scope, g})
		}
	}
	return rowsOf([]field[line]{
		{"yard", func(l line) any { return l.scope }},
		{"item", func(l line) any { return string(l.Item) }},
		{"needed", func(l line) any { return l.Needed }},
		{"on_hand", func(l line) any { return l.OnHand }},
		{"to_get", func(l line) any { return l.Buy }},
	}, things)
}

func visitRows(pl *plan.Plan, u words.Style) [][]any {
	type task struct {
		yard string
		v    plan.Visit
		plan.Task
	}
	var things []task
	for _, y := range pl.Yards {
		for _, v := range y.Visits {
			for _, t := range v.Tasks {
				things = append(things, task{y.Name, v, t})
			}
			if len(v.Tasks) == 0 {
				things = append(things, task{y.Name, v, plan.Task{What: plan.Look{}}})
			}
		}
	}
	return rowsOf([]field[task]{
		{"date", func(t task) any { return t.v.Date }},
		{"yard", func(t task) any { return t.yard }},
		{"colony", func(t task) any { return t.Colony }},
		{"colonies", func(t task) any {
			if t.Colony == "" {
				return nil
			}
			return max(1, t.Colonies)
		}},
		{"task", func(t task) any { return u.Note(t.What) }},
	}, things)
}

func noteRows(pl *plan.Plan, u words.Style) [][]any {
	rows := [][]any{{"kind", "yard", "colony", "note"}}
	for _, s := range words.MadeFrom(pl, u) {
		rows = append(rows, []any{"about", "", "", s})
	}
	for _, n := range words.Warnings(pl, u) {
		rows = append(rows, []any{"warning", n.Yard, n.Colony, n.Text})
	}
	for _, s := range u.Notes(pl.Cautions) {
		rows = append(rows, []any{"caution", "", "", s})
	}
	for _, s := range u.Notes(pl.Limits) {
		rows = append(rows, []any{"left out", "", "", s})
	}
	return rows
}
