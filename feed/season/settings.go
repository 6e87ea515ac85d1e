package season

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	toml "github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"bloomgap/feed/syrup"
	"bloomgap/forage/read"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// DefaultSettings are what stands when settings.toml says nothing else.
func DefaultSettings() Settings {
	return Settings{
		AcceptRiskFrac: 0.05, ReserveKg: 5, ReserveFrac: 0.5, SugarBagKg: metricBagKg,
		LossFrac: usualLossFrac, WasteFrac: usualWasteFrac,
		BeesWantedBees: math.NaN(), ProteinConsidered: true,
		Springs: 30, Draws: 10, Seed: 1,
		Rules: DefaultRules(), Dusting: DefaultDusting(), Prices: DefaultPrices(),
	}
}

// What an order allows for beside hunger.
const (
	usualLossFrac  = 0.05 // colonies lost from the day of the plan to nectar for other reasons, 0.02-0.15, own judgement: queens, mice, disease
	usualWasteFrac = 0.10 // most sugar spilled, left in bags or spoiled, 0-0.2, own judgement
)

// DefaultRules are the temperatures on the day's maximum that decide the kind
// of feed. Published rules disagree (4 C for a pail on the top bars, Collison
// 2017; 10 C, Atlantic Canada apiculture advisers 2023; 13 C, an Ontario
// checklist), and so they are settings.
func DefaultRules() FeedRules {
	return FeedRules{SolidOnlyBelowC: 4, TouchingOnlyBelowC: 10, AnyFeederFromC: 13}
}

// Bounds of the settings.
const (
	mostLossFrac     = 0.9    // 1 (own judgement: nothing to plan is left)
	mostReserveKg    = 60.0   // kg (own judgement: more than winter stores)
	mostBagKg        = 1500.0 // kg (own judgement: a bulk bag)
	mostBees         = 100000 // bees (own judgement: more than any colony)
	fewestBeesWanted = 1000   // bees (own judgement: fewer are no colony, and likely thousands)
	mostSprings      = 500    // springs (own judgement: keeps a run short)
	mostDraws        = 1000   // draws (own judgement: keeps a run short)
	lowestRuleC      = -20.0  // C (own judgement)
	highestRuleC     = 30.0   // C (own judgement)

	mostSettingsBytes = 1 << 20 // bytes (own judgement: thousands of lines)
	mostSettings      = 500     // keys (own judgement: more than there are)
	mostKeyParts      = 4       // parts of a key between dots (own judgement: more than any has)
)

// Masses are what a bee and a cell of brood weigh, by the settings' figures.
func (s *Settings) Masses() observe.Masses {
	base := colony.DefaultParams()
	for _, p := range s.Parameters {
		_ = base.Set(p.Name, p.Value) // checked where they were read
	}
	return observe.MassesOf(&base)
}

// Validate tells all that is wrong with the settings.
func (s Settings) Validate() error {
	var errs []error
	check := func(ok bool, message string) {
		if !ok {
			errs = append(errs, errors.New(message))
		}
	}
	check(s.AcceptRiskFrac > 0 && s.AcceptRiskFrac < 1, "the accepted risk must lie above 0 and below 100 %")
	check(s.ReserveKg >= 0 && s.ReserveKg <= mostReserveKg, "the reserve must lie from 0 to 60 kg")
	check(s.ReserveFrac > 0 && s.ReserveFrac < 1, "the share of springs that hold the reserve must lie above 0 and below 100 %")
	check(s.LossFrac >= 0 && s.LossFrac <= mostLossFrac, "the colonies lost must lie from 0 to 90 %")
	check(s.WasteFrac >= 0 && s.WasteFrac <= mostLossFrac, "the waste of sugar must lie from 0 to 90 %")
	check(s.SugarBagKg > 0 && s.SugarBagKg <= mostBagKg, "a sugar bag must lie above 0 and up to 1500 kg")
	check(s.ChooseStrength() || s.Strength.Validate() == nil, "the syrup strength must be one that can be mixed")
	check(math.IsNaN(s.BeesWantedBees) || s.BeesWantedBees > 0 && s.BeesWantedBees <= mostBees, "the bees wanted must lie above 0 and up to 100000")
	check(s.Springs >= 0 && s.Springs <= mostSprings, "the number of springs must lie from 0 to 500")
	check(s.Draws >= 1 && s.Draws <= mostDraws, "the number of draws must lie from 1 to 1000")
	r := s.Rules
	check(
		r.SolidOnlyBelowC >= lowestRuleC && r.SolidOnlyBelowC <= r.TouchingOnlyBelowC && r.TouchingOnlyBelowC <= r.AnyFeederFromC &&
			r.AnyFeederFromC <= highestRuleC,
		"the feeding temperatures must rise from solid_only_below to touching_only_below to any_feeder_from, from -20 to 30 C",
	)
	if err := s.Dusting.validate(); err != nil {
		errs = append(errs, err)
	}
	if err := s.Prices.Validate(); err != nil {
		errs = append(errs, err)
	}
	params := colony.DefaultParams()
	for _, p := range s.Parameters {
		if err := params.Set(p.Name, p.Value); err != nil {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// settingsReader turns settings into Settings and keeps the problems.
type settingsReader struct {
	file string
	at   map[string]unstable.Position
	vals map[string]any
	ps   *read.Problems
}

// knownSettings lists every key of settings.toml.
func knownSettings() []string {
	return []string{
		"units", "today", "accept_risk_percent", "reserve_kg", "reserve_lb", "reserve_springs_percent", "lost_percent", "waste_percent",
		"strength", "sugar_bag_kg", "sugar_bag_lb",
		"supplement", "protein", "bees_wanted_date", "bees_wanted", "seams_wanted", "springs", "draws", "seed",
		"days_off", "load_limit_kg", "load_limit_lb", "load_limit_l", "load_limit_gal", "container_l", "container_gal", "order_lead_days",
		"dusting_first_round", "dusting_rounds", "dusting_days_between", "dusting_g_per_colony", "supers_on", "days_before_supers",
		"feeding.allow_open", "feeding.solid_only_below_c", "feeding.solid_only_below_f", "feeding.touching_only_below_c",
		"feeding.touching_only_below_f", "feeding.any_feeder_from_c", "feeding.any_feeder_from_f",
		"prices.colony", "prices.sugar", "prices.trip", "prices.trip_hives", "prices.day", "prices.scale", "prices.currency",
	}
}

// parseSettings reads settings.toml. today is the day named there, the zero
// time when none is; asked is the day asked for then. A day that the call names takes
// the place of both.
func parseSettings(file string, data []byte, asked, called time.Time, ps *read.Problems) (s Settings, today time.Time) {
	s = DefaultSettings()
	var found read.Problems
	r := settingsReader{file: file, ps: &found, at: map[string]unstable.Position{}, vals: map[string]any{}}
	if p, ok := tooManyKeys(file, data); !ok {
		ps.Report(p)
		return s, today
	}
	var tree map[string]any
	if err := toml.Unmarshal(data, &tree); err != nil {
		line, col, message := 0, 0, err.Error()
		var de *toml.DecodeError
		if errors.As(err, &de) {
			line, col = de.Position()
			message = strings.TrimPrefix(de.Error(), "toml: ")
		}
		ps.Report(read.Problem{Code: SettingsUnreadable, File: file, Line: line, Column: col, Message: "the settings cannot be read: " + oneLine(message),
			Fix: "write name = value, with text in quotation marks"})
		return s, today
	}
	r.flatten("", tree)
	r.positions(data)
	r.unknown()
	r.read(&s, &today)
	if !called.IsZero() {
		today = called
	}
	if !today.IsZero() {
		asked = today
	}
	r.dusting(&s.Dusting, asked)
	if wanted := s.BeesWantedDate; !wanted.IsZero() && wanted.Before(midnight(asked)) {
		line, col := r.place("bees_wanted_date")
		r.ps.Warn(file, line, col, fmt.Sprintf("bees_wanted_date %s is past and not used", wanted.Format(time.DateOnly)), "set a day to come, or remove it")
		s.BeesWantedDate, s.BeesWantedBees = time.Time{}, math.NaN()
	}
	slices.SortStableFunc(found, func(a, b read.Problem) int { return cmp.Or(a.Line-b.Line, a.Column-b.Column) })
	*ps = append(*ps, found...)
	return s, today
}

// tooManyKeys refuses settings that no keeper writes before they are taken apart,
// which may take long; false with the problem.
func tooManyKeys(file string, data []byte) (read.Problem, bool) {
	var p unstable.Parser
	p.Reset(data)
	keys := 0
	for p.NextExpression() {
		e := p.Expression()
		parts := 0
		var at unstable.Position
		for it := e.Key(); it.Next(); parts++ {
			if parts == 0 {
				at = p.Shape(p.Range(it.Node().Data)).Start
			}
		}
		problem := read.Problem{Code: SettingsUnreadable, File: file, Line: at.Line, Column: at.Column}
		switch keys++; {
		case parts > mostKeyParts:
			problem.Message, problem.Fix = fmt.Sprintf("the key has %d parts between dots", parts), "write name = value, with at most one heading in brackets"
			return problem, false
		case keys > mostSettings:
			problem.Message, problem.Fix = fmt.Sprintf("there are more than %d settings", mostSettings), "check that this is the right file"
			return problem, false
		}
	}
	return read.Problem{}, true
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func (r *settingsReader) flatten(prefix string, tree map[string]any) {
	for k, v := range tree {
		if sub, ok := v.(map[string]any); ok {
			r.flatten(prefix+k+".", sub)
			continue
		}
		r.vals[prefix+k] = v
	}
}

// positions finds where each key stands.
func (r *settingsReader) positions(data []byte) {
	var p unstable.Parser
	p.Reset(data)
	prefix := ""
	for p.NextExpression() {
		e := p.Expression()
		var parts []string
		var at unstable.Position
		for it := e.Key(); it.Next(); {
			n := it.Node()
			if len(parts) == 0 {
				at = p.Shape(p.Range(n.Data)).Start
			}
			parts = append(parts, string(n.Data))
		}
		key := strings.Join(parts, ".")
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			prefix = key + "."
			r.at[key] = at
		case unstable.KeyValue:
			r.at[prefix+key] = at
		}
	}
}

// place is where a key stands; a key inside braces is placed at its table.
func (r *settingsReader) place(key string) (line, col int) {
	for {
		if p, ok := r.at[key]; ok {
			return p.Line, p.Column
		}
		i := strings.LastIndexByte(key, '.')
		if i < 0 {
			return 0, 0
		}
		key = key[:i]
	}
}

func (r *settingsReader) add(key, message, fix string) { r.report(key, read.Input, message, fix) }

func (r *settingsReader) report(key string, code read.Code, message, fix string) {
	line, col := r.place(key)
	r.ps.Report(read.Problem{Code: code, File: r.file, Line: line, Column: col, Message: message, Fix: fix})
}

// problemAt is a problem of a key, to be filled in.
func (r *settingsReader) problemAt(key string) read.Problem {
	line, col := r.place(key)
	return read.Problem{File: r.file, Line: line, Column: col}
}

func (r *settingsReader) unknown() {
	known := knownSettings()
	var keys []string
	for k := range r.vals {
		if !slices.Contains(known, k) && !strings.HasPrefix(k, parametersPrefix) && !strings.HasPrefix(k, confirmPrefix) {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	for _, k := range keys {
		fix := "remove it, or begin its line with #"
		last := k[strings.LastIndexByte(k, '.')+1:]
		switch near := read.Nearest(last, lastParts(known)); {
		case near == last:
			fix = "it belongs above the first heading in brackets"
			if table, _, ok := strings.Cut(fullName(near, known), "."); ok {
				fix = fmt.Sprintf("it belongs under [%s]", table)
			}
		case near != "":
			fix = fmt.Sprintf("did you mean %q?", near)
		}
		r.add(k, fmt.Sprintf("the setting %q is not known", oneLine(k)), fix)
	}
}

// parametersPrefix begins the keys of the table of parameters.
const parametersPrefix = "parameters."

// parameters reads the figures of the colony model that are to be other than
// usual, in the order of the file.
func (r *settingsReader) parameters(s *Settings) {
	var keys []string
	for k := range r.vals {
		if strings.HasPrefix(k, parametersPrefix) {
			keys = append(keys, k)
		}
	}
	slices.SortFunc(keys, func(a, b string) int {
		la, ca := r.place(a)
		lb, cb := r.place(b)
		return cmp.Or(la-lb, ca-cb, cmp.Compare(a, b))
	})
	list := colony.Catalogue()
	names := make([]string, len(list))
	for i, c := range list {
		names[i] = c.Name
	}
	for _, k := range keys {
		name := strings.TrimPrefix(k, parametersPrefix)
		i := slices.Index(names, name)
		if i < 0 {
			fix := "bloomgap parameters lists them"
			if near := read.Nearest(name, names); near != "" {
				fix = fmt.Sprintf("did you mean %q? Else %s", near, fix)
			}
			r.add(k, fmt.Sprintf("there is no parameter %q", oneLine(name)), fix)
			continue
		}
		if v, ok := r.number(k, list[i].Low, list[i].High); ok {
			s.Parameters = append(s.Parameters, Parameter{Name: name, Value: v})
		}
	}
}

// confirmPrefix begins the keys of the table of confirmed questions.
const confirmPrefix = "confirm."

// confirmed reads which questions the keeper has answered.
func (r *settingsReader) confirmed(s *Settings) {
	for _, k := range slices.Sorted(maps.Keys(r.vals)) {
		word, ok := strings.CutPrefix(k, confirmPrefix)
		if !ok {
			continue
		}
		code, known := ConfirmCode(word)
		if !known {
			fix := "the questions are " + strings.Join(ConfirmCodes(), ", ")
			if near := read.Nearest(word, ConfirmCodes()); near != "" {
				fix = fmt.Sprintf("did you mean %q? Else %s", near, fix)
			}
			r.report(k, ConfirmUnknown, fmt.Sprintf("there is no question %q to confirm", oneLine(word)), fix)
			continue
		}
		yes := false
		if r.yesNo(k, &yes); yes {
			s.Confirmed = append(s.Confirmed, code)
		}
	}
}

func lastParts(keys []string) []string {
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = k[strings.LastIndexByte(k, '.')+1:]
	}
	return out
}

func fullName(last string, keys []string) string {
	for _, k := range keys {
		if k == last || strings.HasSuffix(k, "."+last) {
			return k
		}
	}
	return ""
}

func (r *settingsReader) number(key string, lo, hi float64) (float64, bool) {
	v, ok := r.vals[key]
	if !ok {
		return 0, false
	}
	var x float64
	switch v := v.(type) {
	case int64:
		x = float64(v)
	case float64:
		x = v
	default:
		r.add(key, key+" must be a number", "write it without quotation marks")
		return 0, false
	}
	if !(x >= lo && x <= hi) {
		r.add(key, fmt.Sprintf("%s = %v is not possible: it must lie from %s to %s", key, v, trim(lo), trim(hi)), "correct it")
		return 0, false
	}
	return x, true
}

func trim(v float64) string {
	if v == math.Trunc(v) {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 4, 64)
}

func (r *settingsReader) whole(key string, lo, hi int) (int, bool) {
	x, ok := r.number(key, float64(lo), float64(hi))
	if ok && x != math.Trunc(x) {
		r.add(key, key+" must be a whole number", "write it without decimals")
		return 0, false
	}
	return int(x), ok
}

func (r *settingsReader) yesNo(key string, to *bool) {
	switch v := r.vals[key].(type) {
	case nil:
	case bool:
		*to = v
	default:
		r.add(key, key+" must be true or false", "write true or false without quotation marks")
	}
}

// renamed reads a key of an earlier version, with a warning that names the new
// one. Both at once is a problem.
func (r *settingsReader) renamed(old, now string, do func()) {
	if _, ok := r.vals[old]; !ok {
		return
	}
	if _, both := r.vals[now]; both {
		r.add(old, fmt.Sprintf("%s and its old name %s are both given", now, old), "keep "+now)
		return
	}
	line, col := r.place(old)
	r.ps.Warn(r.file, line, col, fmt.Sprintf("the setting %q is called %q now; it is read all the same", old, now), "call it "+now)
	do()
}

func (r *settingsReader) text(key string) (string, bool) {
	switch v := r.vals[key].(type) {
	case nil:
	case string:
		return v, strings.TrimSpace(v) != ""
	default:
		r.add(key, key+" must be text", "put it in quotation marks")
	}
	return "", false
}

func (r *settingsReader) date(key string) time.Time {
	var text string
	switch v := r.vals[key].(type) {
	case nil:
		return time.Time{}
	case toml.LocalDate:
		text = v.String()
	case string:
		if text = v; text == "" {
			return time.Time{}
		}
	}
	d, err := time.Parse(time.DateOnly, text)
	if err != nil || d.Year() < 1900 || d.Year() > 2200 {
		code := read.CellDate
		if key == "today" {
			code = TodayUnreadable
		}
		r.report(key, code, key+" is not a date", "write year-month-day without quotation marks, such as 2027-03-20")
		return time.Time{}
	}
	return d
}

// pair reads a setting that may stand in a metric or in a US unit.
func (r *settingsReader) pair(stem, metric, us string, lo, hi float64, to *float64) {
	keyM, keyU := stem+"_"+strings.ToLower(metric), stem+"_"+strings.ToLower(us)
	_, hasM := r.vals[keyM]
	_, hasU := r.vals[keyU]
	if hasM && hasU {
		r.add(keyU, fmt.Sprintf("%s and %s are both given", keyM, keyU), "keep one of the two")
		return
	}
	um, _ := read.FindUnit(metric)
	uu, _ := read.FindUnit(us)
	if v, ok := r.number(keyM, lo, hi); ok {
		*to = v
	}
	if v, ok := r.number(keyU, read.Convert(lo, um, uu), read.Convert(hi, um, uu)); ok {
		*to = read.Convert(v, uu, um)
	}
}

func (r *settingsReader) read(s *Settings, today *time.Time) {
	if v, ok := r.text("units"); ok {
		switch strings.ToLower(v) {
		case "us":
			s.UnitsUS = true
		case "metric":
		default:
			r.add("units", fmt.Sprintf("units %q are not known", oneLine(v)), `write "metric" or "us"`)
		}
	}
	*today = r.date("today")
	if v, ok := r.number("accept_risk_percent", 0.1, 99); ok {
		s.AcceptRiskFrac = v / 100
		if p, odd := riskQuestion(v, r.problemAt("accept_risk_percent")); odd {
			r.ps.Report(p)
		}
	}
	r.pair("reserve", "kg", "lb", 0, mostReserveKg, &s.ReserveKg)
	if v, ok := r.number("reserve_springs_percent", 5, 99); ok {
		s.ReserveFrac = v / 100
	}
	if v, ok := r.number("lost_percent", 0, 100*mostLossFrac); ok {
		s.LossFrac = v / 100
	}
	if v, ok := r.number("waste_percent", 0, 100*mostLossFrac); ok {
		s.WasteFrac = v / 100
	}
	bagKg := math.NaN()
	if r.pair("sugar_bag", "kg", "lb", 0.1, mostBagKg, &bagKg); !math.IsNaN(bagKg) {
		s.SugarBagKg, s.OwnBag = bagKg, true
	}
	s.SetUnits(s.UnitsUS)
	if v, ok := r.text("strength"); ok && !strings.EqualFold(strings.TrimSpace(v), "choose") {
		st, err := syrup.Parse(v)
		if err != nil {
			r.add("strength", oneLine(err.Error()), `or write "choose"`)
		} else {
			s.Strength = st
			if p, odd := mixQuestion(st, r.problemAt("strength")); odd {
				r.ps.Report(p)
			}
		}
	}
	r.supplement(s)
	if v, ok := r.whole("springs", 0, mostSprings); ok {
		s.Springs = v
	}
	if v, ok := r.whole("draws", 1, mostDraws); ok {
		s.Draws = v
	}
	if v, ok := r.whole("seed", 0, math.MaxInt32); ok {
		s.Seed = uint64(v)
	}
	r.truck(&s.Truck)
	r.prices(&s.Prices)
	r.yesNo("feeding.allow_open", &s.AllowOpenFeeding)
	r.parameters(s)
	r.confirmed(s)
	r.rules(s)
}

// supplement reads whether a supplement is weighed up, and for how many bees by when.
func (r *settingsReader) supplement(s *Settings) {
	r.yesNo("supplement", &s.ProteinConsidered)
	r.renamed("protein", "supplement", func() { r.yesNo("protein", &s.ProteinConsidered) })
	s.BeesWantedDate = r.date("bees_wanted_date")
	bees, hasBees := r.number("bees_wanted", fewestBeesWanted, mostBees)
	if hasBees {
		s.BeesWantedBees = bees
	}
	if seams, ok := r.number("seams_wanted", 0.5, 40); ok {
		if hasBees {
			r.add("seams_wanted", "bees_wanted and seams_wanted are both given", "keep one of the two")
		}
		s.BeesWantedBees = observe.BeesFromSeams(seams, observe.SeamLooseC, Deep).MeanBees
	}
	if !math.IsNaN(s.BeesWantedBees) && s.BeesWantedDate.IsZero() {
		key := "bees_wanted"
		if !hasBees {
			key = "seams_wanted"
		}
		r.add(key, "bees are wanted, but no day for them is given", "write bees_wanted_date = 2027-05-01, say")
	}
}

// rules reads the feeding temperatures.
func (r *settingsReader) rules(s *Settings) {
	rules := &s.Rules
	r.pair("feeding.solid_only_below", "C", "F", lowestRuleC, highestRuleC, &rules.SolidOnlyBelowC)
	r.pair("feeding.touching_only_below", "C", "F", lowestRuleC, highestRuleC, &rules.TouchingOnlyBelowC)
	r.pair("feeding.any_feeder_from", "C", "F", lowestRuleC, highestRuleC, &rules.AnyFeederFromC)
	if !(rules.SolidOnlyBelowC <= rules.TouchingOnlyBelowC && rules.TouchingOnlyBelowC <= rules.AnyFeederFromC) {
		r.add("feeding", "the feeding temperatures do not rise", "put them in the order solid_only_below, touching_only_below, any_feeder_from")
		s.Rules = DefaultRules()
	}
}
