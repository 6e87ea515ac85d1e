package web

import (
	"context"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/plots/report"
	"bloomgap/plots/words"
)

// askField is a field of the page. Its name is that of the flag of the command
// hive, so that both are read by the same rules and share their words.
type askField struct {
	Name, Label, Hint string
	Kind              string // text, day, choice, pick or check
	Choices           []askChoice
	Slider            *askSlider
	By                string // way to judge food that it belongs to
	Half              bool   // two stand side by side

	cell    string // column of the tables; "" when it is none
	yard    bool
	measure string // metric unit of a bare number; "" for none

	// As it stands in one question.
	Value, Problem, Unit string
}

type askChoice struct{ Value, Text string }

// askSlider are the bounds of a slider. They bound the slider only; other
// figures can be typed.
type askSlider struct{ Min, Max, Step float64 }

// askGroup is a part of the form.
type askGroup struct {
	Title, Note, ID string
	Fields          []*askField
	Folded          bool
}

// longestValue is the most letters of a field, own choice.
const longestValue = 80

// Sliders, in metric and US units; own choice of what hives weigh in spring.
var (
	grossSlider = [2]askSlider{{10, 60, 0.5}, {20, 130, 1}}
	liftSlider  = [2]askSlider{{4, 35, 0.5}, {8, 80, 1}}
)

// askForm lists the fields of the page.
func askForm(o *Folder, us bool) []*askGroup {
	pick := func(s [2]askSlider) *askSlider {
		if us {
			return &s[1]
		}
		return &s[0]
	}
	climates := []askChoice{{"", "the nearest to the coordinates"}}
	for _, n := range climate.Builtin() {
		climates = append(climates, askChoice{n.Place, n.Place})
	}
	where := []*askField{
		{Name: "climate", Label: "Built-in climate", Kind: "pick", Choices: climates, cell: "climate", yard: true},
		{Name: "lat", Label: "Latitude north", Kind: "text", Half: true, Hint: "such as 45.3", cell: "lat", yard: true},
		{Name: "lon", Label: "Longitude east", Kind: "text", Half: true, Hint: "such as -72.9", cell: "lon", yard: true},
	}
	note := "Name a built-in climate, or give coordinates in degrees; west is negative."
	if o != nil {
		yards := []askChoice{{"", "another place"}}
		for _, y := range o.Season.Yards {
			yards = append(yards, askChoice{y.Name, y.Name})
		}
		where = append([]*askField{{Name: "at", Label: "Yard of the opened folder", Kind: "pick", Choices: yards}}, where...)
		note = "A yard of the folder brings its own weather and bloom. For another place name a built-in climate, or give coordinates in degrees; west is negative."
	}
	return []*askGroup{
		{ID: "where", Title: "Where", Note: note, Fields: where},
		{ID: "hive", Title: "Hive", Fields: []*askField{
			{Name: "date", Label: "Day it was looked at", Kind: "day", cell: "date"},
			{Name: "boxes", Label: "Boxes", Kind: "text", Hint: "such as 1 deep, or 1 deep + 1 medium", cell: "boxes"},
			{Name: "wrapped", Label: "Wrapped", Kind: "choice", Choices: []askChoice{{"", "no"}, {"yes", "yes"}}, cell: "wrapped"},
		}},
		{ID: "food", Title: "Food", Note: "Fill in what you have; the surest is used.", Fields: []*askField{
			{
				Name:    "heft",
				Label:   "Hefted",
				Kind:    "choice",
				By:      "heft",
				Choices: []askChoice{{"light", "light"}, {"fair", "fair"}, {"heavy", "heavy"}, {"", "not hefted"}},
				cell:    "heft",
			},
			{Name: "gross", Label: "Weight of the whole hive", Kind: "text", By: "gross", Slider: pick(grossSlider), measure: "kg", cell: "gross"},
			{Name: "lift-back", Label: "Hand scale at the back", Kind: "text", By: "lift-back", Slider: pick(liftSlider), measure: "kg", cell: "lift_back"},
			{Name: "lift-left", Label: "Lifted at the left", Kind: "text", Half: true, By: "lift", Slider: pick(liftSlider), measure: "kg", cell: "lift_left"},
			{
				Name:    "lift-right",
				Label:   "Lifted at the right",
				Kind:    "text",
				Half:    true,
				By:      "lift",
				Slider:  pick(liftSlider),
				measure: "kg",
				cell:    "lift_right",
			},
			{
				Name:   "food-frames-deep",
				Label:  "Deep frames of food",
				Kind:   "text",
				Half:   true,
				By:     "frames",
				Slider: &askSlider{0, 10, 0.5},
				cell:   "food_frames_deep",
			},
			{
				Name:   "food-frames-medium",
				Label:  "Medium frames of food",
				Kind:   "text",
				Half:   true,
				By:     "frames",
				Slider: &askSlider{0, 10, 0.5},
				cell:   "food_frames_medium",
			},
		}},
		{ID: "bees", Title: "Bees", Fields: []*askField{
			{
				Name:   "seams",
				Label:  "Seams of bees",
				Kind:   "text",
				Hint:   "spaces between combs that are full of bees",
				Slider: &askSlider{1, 10, 0.5},
				cell:   "seams",
			},
			{Name: "count-temp", Label: "Air when counted", Kind: "text", Half: true, measure: "C", cell: "count_temp"},
			{Name: "brood-frames", Label: "Frames of brood", Kind: "text", Half: true, cell: "brood_frames"},
		}},
		{ID: "nectar", Title: "Nectar", Fields: []*askField{
			{Name: "bloom-date", Label: "First dependable nectar, if known", Kind: "day", Slider: &askSlider{0, 120, 1}, cell: "bloom_date", yard: true},
			{Name: "supplement", Label: "Weigh up a protein supplement", Kind: "check"},
		}},
		{ID: "more", Title: "More", Folded: true, Fields: []*askField{
			{Name: "next-visit", Label: "Next visit", Kind: "day", Half: true, cell: "next_visit", yard: true},
			{Name: "days-between", Label: "Days from visit to visit", Kind: "text", Half: true, cell: "days_between", yard: true},
			{Name: "bloom-spread", Label: "Nectar date off by, days", Kind: "text", Half: true, cell: "bloom_spread", yard: true},
			{Name: "shift-days", Label: "Late or early spring: by, days", Kind: "text", Half: true, Hint: "left empty: 14"},
			{Name: "price-colony", Label: "A colony is worth", Kind: "text", Half: true, Hint: "prices: your own money"},
			{Name: "price-sugar", Label: "A kg of sugar costs", Kind: "text", Half: true},
			{Name: "price-trip", Label: "A trip to the yard costs", Kind: "text", Half: true},
			{Name: "trip-hives", Label: "Hives that a trip serves", Kind: "text", Half: true, Hint: "left empty: 1"},
			{Name: "unwrap-on", Label: "Wrap off on", Kind: "day", Half: true},
			{Name: "bees-wanted", Label: "Many bees wanted by", Kind: "day", Half: true},
			{Name: "frames-per-box", Label: "Frames in a full box", Kind: "text", Half: true, cell: "frames_per_box"},
			{Name: "elev", Label: "Height above sea", Kind: "text", Half: true, measure: "m", cell: "elev", yard: true},
			{Name: "name", Label: "Name of the colony", Kind: "text", cell: "colony"},
			{Name: "today", Label: "Day of the question", Kind: "day", Half: true, Hint: "left empty: today"},
			{Name: "seed", Label: "Seed of the draws", Kind: "text", Half: true, Hint: "left empty: 1"},
			{Name: "units", Label: "Units", Kind: "choice", Choices: []askChoice{{"", "kg, L, C"}, {"us", "lb, gal, F"}}},
		}},
	}
}

// ask is one question as it came.
type ask struct {
	Groups  []*askGroup
	fields  map[string]*askField
	us      bool
	General []string // problems that belong to no field
	Notes   []string // warnings about what was put in
	Empty   bool     // nothing was asked yet
	Doubts  []doubt  // figures that look wrong, to be confirmed if they are right
	bad     bool

	confirmed []read.Code // what was asked about and is right as it is
	question  string      // the word of what is asked beside the plan; "" for nothing
}

// doubt is a question of the guards about a figure: it has a box to tick when
// the figure is right as it is.
type doubt struct {
	Code   read.Code
	Ticked bool
}

// bareNumber is a number without a unit.
var bareNumber = regexp.MustCompile(`^[-+]?[0-9]+([.,][0-9]+)?$`)

// readAsk reads a question from an address. Fields that are not of the page are
// named and left out: files above all cannot be asked for here.
func readAsk(q url.Values, o *Folder) *ask {
	last := func(name string) string {
		if v := q[name]; len(v) > 0 {
			return strings.TrimSpace(v[len(v)-1])
		}
		return ""
	}
	unitsUS := func(text string) bool { return text == "us" }
	a := &ask{question: last("ask"), us: unitsUS(last("units")), fields: map[string]*askField{}, Empty: true}
	if o != nil && len(q["units"]) == 0 {
		a.us = o.Season.Settings.UnitsUS
	}
	a.Groups = askForm(o, a.us)
	for _, g := range a.Groups {
		for _, f := range g.Fields {
			a.fields[f.Name] = f
			f.Value = last(f.Name)
			if f.measure != "" {
				f.Unit = read.OutputUnit(f.measure, a.us).Name
				if was := last("was"); was != "" && unitsUS(was) != a.us && bareNumber.MatchString(f.Value) {
					f.Value += " " + read.OutputUnit(f.measure, unitsUS(was)).Name
				}
			}
			if f.Value != "" {
				a.Empty = false
			}
			if len(f.Value) > longestValue {
				f.Value = ""
				a.problem(f.Name, "this is too long; keep it under "+fmt.Sprint(longestValue)+" letters")
			}
			if f.Kind == "pick" && f.Value != "" && f.Name == "at" && o.yard(f.Value) == nil {
				a.problem(f.Name, fmt.Sprintf("the opened folder has no yard %q; choose one of the list", words.Clean(f.Value)))
			}
		}
	}
	if a.Empty && o != nil && len(o.Season.Yards) > 0 {
		a.fields["at"].Value = o.Season.Yards[0].Name
	}
	if f := a.fields["supplement"]; len(q["supplement"]) == 0 {
		f.Value = "yes"
	}
	if f := a.fields["units"]; a.us {
		f.Value = "us"
	} else {
		f.Value = ""
	}
	for _, word := range q["confirm"] {
		if code, ok := season.ConfirmCode(word); ok && !slices.Contains(a.confirmed, code) {
			a.confirmed = append(a.confirmed, code)
		}
	}
	var unknown []string
	for name := range q {
		if a.fields[name] == nil && name != "was" && name != "confirm" && name != "ask" {
			unknown = append(unknown, name)
		}
	}
	slices.Sort(unknown)
	for _, name := range unknown[:min(len(unknown), 5)] {
		a.Notes = append(
			a.Notes,
			fmt.Sprintf("The page has no field %q; it is left out. Files are given to the command hive only.", words.Clean(shorten(name))),
		)
	}
	return a
}

func shorten(s string) string {
	if r := []rune(s); len(r) > longestValue {
		return string(r[:longestValue]) + "..."
	}
	return s
}

// value is what stands in a field; "" for one that the page has not.
func (a *ask) value(name string) string {
	if f := a.fields[name]; f != nil {
		return f.Value
	}
	return ""
}

// problem puts a problem beside its field.
func (a *ask) problem(name, words string) {
	a.bad = true
	f := a.fields[name]
	switch {
	case f == nil:
		a.General = append(a.General, sentence(words))
	case f.Problem == "":
		f.Problem = sentence(words)
	default:
		f.Problem += " " + sentence(words)
	}
	if f != nil {
		for _, g := range a.Groups {
			if slices.Contains(g.Fields, f) {
				g.Folded = false
			}
		}
	}
}

// Problems lists the fields with a problem.
func (a *ask) Problems() []*askField {
	var out []*askField
	for _, g := range a.Groups {
		for _, f := range g.Fields {
			if f.Problem != "" {
				out = append(out, f)
			}
		}
	}
	return out
}

// sentence begins with a capital and ends in a full stop.
func sentence(s string) string {
	s = words.Clean(s)
	if s == "" {
		return s
	}
	s = strings.ToUpper(s[:1]) + s[1:]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

// take sorts problems to their fields and warnings to the notes.
func (a *ask) take(ps read.Problems) {
	for _, p := range ps {
		if p.Level == read.Ask {
			a.doubt(p.Code, false)
			p.Level = read.Error // the box to tick stands for what the command would need
		} else if slices.Contains(a.confirmed, p.Code) {
			a.doubt(p.Code, true)
		}
		words := p.Text()
		name := strings.TrimPrefix(p.File, "--")
		switch {
		case p.Level == read.Note:
			a.Notes = append(a.Notes, sentence(words))
		case a.fields[name] != nil:
			a.problem(name, words)
		default:
			a.problem("", words)
		}
	}
}

// doubt gives a question of the guards its box to tick, once.
func (a *ask) doubt(code read.Code, ticked bool) {
	if d := (doubt{code, ticked}); !slices.Contains(a.Doubts, d) {
		a.Doubts = append(a.Doubts, d)
	}
}

// flagError is a problem of the words of a flag.
func (a *ask) flagError(name string, err error) {
	a.problem(name, strings.TrimPrefix(err.Error(), "--"))
}

// Bounds of the work of one question that runs on the settings of a folder.
const (
	mostAskMembers = 1000
	mostAskFactor  = 8
)

// season makes the season of the question, as the command hive does. It is nil
// when there are problems; they are with their fields then.
func (a *ask) season(clock time.Time, o *Folder) *season.Season {
	at := o.yard(a.value("at"))
	set := season.DefaultSettings()
	if at != nil {
		set = o.Season.Settings
	}
	set.SetUnits(a.us)
	set.Confirmed = append(slices.Clip(set.Confirmed), a.confirmed...)
	set.ProteinConsidered = a.value("supplement") == "yes"
	if !set.ProteinConsidered {
		set.BeesWantedDate = time.Time{} // of the folder
	}
	yard, colony := map[string]string{}, map[string]string{}
	for name, f := range a.fields {
		switch {
		case f.Value == "" || f.cell == "" || at != nil && slices.Contains([]string{"lat", "lon", "elev", "climate"}, name):
		case f.yard:
			yard[f.cell] = f.Value
		default:
			colony[f.cell] = f.Value
		}
	}
	if v := a.value("seed"); v != "" {
		if _, err := fmt.Sscanf(v, "%d", &set.Seed); err != nil || fmt.Sprint(set.Seed) != v {
			a.problem("seed", fmt.Sprintf("%q is not a seed; write a whole number from 0 up", v))
		}
	}
	if err := a.asking().Validate(); err != nil {
		a.problem("", err.Error())
	}
	day, err := season.DayAsked(clock, a.value("today"), colony["date"])
	if err != nil {
		a.flagError("today", err)
		day = clock
	}
	if v := a.value("bees-wanted"); v != "" {
		d, err := season.ParseDay("--bees-wanted", v)
		if err != nil {
			a.flagError("bees-wanted", err)
		}
		set.BeesWantedDate = d
	}
	switch {
	case at != nil:
		yard["lat"], yard["climate"] = typed(at.LatDeg), "auto"
	case yard["climate"] == "":
		yard["climate"] = "auto" // what an empty cell means, without the advice to name a file
	}
	s, ps := season.OneHive(set, day, yard, colony)
	a.take(ps)
	if a.bad {
		return nil
	}
	if at != nil {
		standAt(s, at, o.Season)
	}
	a.fields["today"].Value = day.Format(time.DateOnly)
	return s
}

// asking is what is named beside a further question; what is no number is refused by its
// Validate.
func (a *ask) asking() feed.AskOptions {
	o := feed.DefaultAskOptions()
	if v := a.value("shift-days"); v != "" {
		days, err := strconv.Atoi(v)
		if err != nil {
			days = 0
		}
		o.ShiftDays = days
	}
	for name, to := range map[string]*float64{"price-colony": &o.Prices.Colony, "price-sugar": &o.Prices.SugarPerKg, "price-trip": &o.Prices.Trip} {
		*to = priceOf(a.value(name))
	}
	if v := a.value("trip-hives"); v != "" {
		hives, err := strconv.Atoi(v)
		if err != nil {
			hives = 0
		}
		o.Prices.TripHives = hives
	}
	if on, err := time.Parse(time.DateOnly, a.value("unwrap-on")); err == nil {
		o.UnwrapOn = on
	}
	return o
}

// priceOf reads a price; one that is none is refused by the Validate of what it goes into.
func priceOf(text string) float64 {
	if text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return -1
	}
	return v
}

// standAt puts the hive into a yard of an opened folder: its weather, its bloom
// and visits where nothing else was said, its equipment.
func standAt(s *season.Season, at *season.Yard, folder *season.Season) {
	said := s.Yards[0]
	y := *at
	if !said.BloomDate.IsZero() {
		y.BloomDate, y.BloomSpreadDays = said.BloomDate, said.BloomSpreadDays
	}
	if !said.NextVisit.IsZero() || said.DaysBetween > 0 {
		y.Visits = nil
	}
	if !said.NextVisit.IsZero() {
		y.NextVisit = said.NextVisit
	}
	if said.DaysBetween > 0 {
		y.DaysBetween = said.DaysBetween
	}
	s.Yards[0] = y
	s.Colonies[0].Yard = y.Name
	s.Equipment, s.Invented = folder.Equipment, folder.Invented
}

// hiveAnswer is what the page shows of an answer.
type hiveAnswer struct {
	Ask *ask
	words.Answer
	Word           string // the verdict in a word
	Short          string // the risk in a few words
	Charts         []template.HTML
	Invented       bool
	Cautions, Left []string
	Foot           string
	Link           template.URL
	Command        string
	BloomDay       string // median of the first dependable bloom, for the slider
	Questions      []questionLink
	Asked          []saidAnswer
}

// answer works a question out. Only the context ends it early; what is wrong
// with the question stands in the answer.
func (h *handler) answer(ctx context.Context, a *ask) (*hiveAnswer, error) {
	out := &hiveAnswer{Ask: a}
	if a.Empty {
		return out, nil
	}
	s := a.season(h.today(), h.opened)
	if s == nil {
		return out, nil
	}
	key := string(a.link()) + " " + h.today().Format(time.DateOnly)
	w, ok := h.hives.find(key)
	if !ok {
		var err error
		if w, err = h.workOut(ctx, a, s); w == nil {
			return out, err
		}
		h.hives.put(key, w, 0)
	}
	*out = w.answer
	a.Doubts = append(a.Doubts, w.doubts...)
	a.Notes = slices.DeleteFunc(append(a.Notes, w.notes...), func(n string) bool { return slices.Contains(out.Warnings, n) }) // said once
	out.Ask, out.Link, out.Command = a, a.link(), a.command()
	return out, w.ask(ctx, out, a.question, string(out.Link))
}

// workOut plans the hive of a question; nil when that cannot be done, with what is wrong
// in the question or the error of the context.
func (h *handler) workOut(ctx context.Context, a *ask, s *season.Season) (*worked, error) {
	notes, doubts := len(a.Notes), len(a.Doubts)
	worlds, ps := visits.Worlds(s, h.read)
	a.take(ps)
	if a.bad {
		return nil, nil
	}
	opt := feed.DefaultOptions(s.Settings)
	opt.Members, opt.MostFactor, opt.Workers, opt.NoPrices = min(opt.Members, mostAskMembers), min(opt.MostFactor, mostAskFactor), 1, true
	planner, err := feed.NewPlanner(s, worlds, opt)
	if err != nil {
		a.problem("", err.Error())
		return nil, nil
	}
	h.plans.Add(1)
	pl, err := planner.Run(ctx)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		a.problem("", err.Error())
		return nil, nil
	}
	c := &pl.Colonies[0]
	u := unitsOf(pl)
	w := &worked{planner: planner, plan: pl, asking: a.asking(), notes: slices.Clone(a.Notes[notes:]), doubts: slices.Clone(a.Doubts[doubts:])}
	a.Notes, a.Doubts = a.Notes[:notes], a.Doubts[:doubts]
	out := &w.answer
	if err := h.charts(ctx, out, planner, pl, c); err != nil {
		return nil, err
	}
	out.Answer = words.AnswerFor(pl, c, u)
	for _, g := range words.GroupWarnings(pl, u) {
		if w := g.Text; !slices.Contains(out.Warnings, w) {
			out.Warnings = append(out.Warnings, w)
		}
	}
	out.Word, out.Short = c.Verdict.String(), shortRisk(c)
	out.Invented, out.Cautions, out.Left = pl.Invented, u.Notes(pl.Cautions), u.Notes(pl.Limits)
	out.Foot = fmt.Sprintf("%s, %s, on %s: %d simulated springs, random seed %d.", out.Yard, out.Colony, u.LongDay(pl.Today), c.Members, pl.Seed)
	out.BloomDay = c.Bloom.P50.Format(time.DateOnly)
	return w, nil
}

// shortRisk is the risk in a few words, which do not break within a figure.
func shortRisk(c *plan.ColonyPlan) string {
	whole := func(r plan.Risk) string { return strings.ReplaceAll(words.Risk(r), " ", "\u00a0") }
	switch {
	case c.Verdict == plan.Dead:
		return ""
	case len(c.Feedings) > 0:
		return fmt.Sprintf("risk %s left alone, %s when fed", whole(c.Risk), whole(c.RiskFed))
	}
	return "risk " + whole(c.Risk)
}

func (h *handler) charts(ctx context.Context, out *hiveAnswer, planner *feed.Planner, pl *plan.Plan, c *plan.ColonyPlan) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	d, ok, err := planner.Detail(ctx, c)
	if err != nil || !ok {
		return err
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	draw := report.DrawCharts(pl.Season.Settings.UnitsUS)
	out.Charts, err = report.ColonyCharts(pl, c, &d, draw)
	return err
}

// link is the address that holds the whole question.
func (a *ask) link() template.URL {
	q := url.Values{}
	for name, f := range a.fields {
		if name == "supplement" || f.Value != "" {
			q.Set(name, f.Value)
		}
	}
	if a.value("supplement") != "yes" {
		q.Set("supplement", "no")
	}
	for _, code := range a.confirmed {
		q.Add("confirm", string(code))
	}
	return template.URL("/?" + q.Encode()) // encoded above
}

// colonyOf finds a planned colony in the folder; nil when it is not there.
func colonyOf(o *Folder, c *plan.ColonyPlan) *season.Colony {
	for i := range o.Season.Colonies {
		if col := &o.Season.Colonies[i]; col.Yard == c.Yard && col.Name == c.Colony {
			return col
		}
	}
	return nil
}

// questionOf is the question of a colony of an opened folder, as it was last
// seen: asked on the page, it gives the answer of the plan when the colony was
// looked at once.
func questionOf(o *Folder, c *plan.ColonyPlan) template.URL {
	col := colonyOf(o, c)
	if col == nil || !col.Alive || col.Last() == nil {
		return ""
	}
	obs := col.Last()
	set := o.Season.Settings
	q := url.Values{}
	put := func(name string, v float64, unit string) {
		if !math.IsNaN(v) {
			q.Set(name, strings.TrimSpace(typed(v)+" "+unit))
		}
	}
	q.Set("at", col.Yard)
	q.Set("name", col.Name)
	q.Set("date", obs.Date.Format(time.DateOnly))
	q.Set("today", o.Season.Today.Format(time.DateOnly))
	q.Set("seed", fmt.Sprint(set.Seed))
	q.Set("frames-per-box", fmt.Sprint(col.FramesPerBox))
	var boxes []string
	for _, b := range col.Boxes {
		boxes = append(boxes, fmt.Sprintf("%d %s", b.Count, b.Kind))
	}
	q.Set("boxes", strings.Join(boxes, " + "))
	if col.Insulated {
		q.Set("wrapped", "yes")
	}
	switch f := obs.Food; f.Kind {
	case season.FoodGross:
		put("gross", f.GrossKg, "kg")
	case season.FoodLiftBoth:
		put("lift-left", f.LiftLeftKg, "kg")
		put("lift-right", f.LiftRightKg, "kg")
	case season.FoodLiftBack:
		put("lift-back", f.LiftBackKg, "kg")
	case season.FoodFrames:
		put("food-frames-deep", f.FramesDeep, "")
		put("food-frames-medium", f.FramesMedium, "")
	case season.FoodHeft:
		q.Set("heft", f.Heft.String())
	}
	put("seams", obs.SeamsOfBees, "")
	put("count-temp", obs.CountTempC, "C")
	put("brood-frames", obs.BroodFrames, "")
	if !set.ProteinConsidered && set.BeesWantedDate.IsZero() {
		q.Set("supplement", "no")
	}
	if set.UnitsUS {
		q.Set("units", "us")
	}
	return template.URL("/?" + q.Encode()) // encoded above
}

// command is the same question to the command, "" when it was about a yard of
// a folder.
func (a *ask) command() string {
	if f := a.fields["at"]; f != nil && f.Value != "" {
		return ""
	}
	words := []string{"bloomgap", "hive"}
	for _, g := range a.Groups {
		for _, f := range g.Fields {
			switch {
			case f.Name == "supplement" && f.Value != "yes":
				words = append(words, "--supplement=false")
			case f.Name == "climate" && f.Value == "": // as the page takes it
				words = append(words, "--climate=auto")
			case f.Name == "supplement" || f.Value == "":
			case f.measure != "" && a.us && bareNumber.MatchString(f.Value): // the command takes no bare number for US units
				words = append(words, "--"+f.Name+"="+shellWord(f.Value+" "+f.Unit))
			default:
				words = append(words, "--"+f.Name+"="+shellWord(f.Value))
			}
		}
	}
	for _, code := range a.confirmed {
		words = append(words, "--confirm="+string(code))
	}
	return strings.Join(words, " ")
}

var plainWord = regexp.MustCompile(`^[A-Za-z0-9_.:+-]+$`)

// shellWord quotes a word for a shell.
func shellWord(s string) string {
	if plainWord.MatchString(s) {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// typed is a number as one types it.
func typed(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
