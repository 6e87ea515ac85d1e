package season

import (
	"cmp"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// Names in a season folder.
const (
	settingsFile = "settings.toml"
	seasonBook   = "season.xlsx" // all tables as sheets
	yardsName    = "yards"
	coloniesName = "colonies"
	talliesName  = "tallies"
	equipName    = "equipment"
	givenName    = "given"
)

// Bounds of what a beekeeper may write. All are own judgement: they let through
// whatever can be, and stop slips of the pen and of the unit.
const (
	leastLatDeg, mostLatDeg = 25.0, 70.0 // degrees north: where bees winter and spring comes from March to June
	surestLatDeg            = 38.0       // degrees north from which the model is at home
	mostElevM               = 4000.0     // m
	leastElevM              = -450.0     // m
	mostDaysBetween         = 90         // days
	mostSpreadDays          = 40.0       // days, SD of bloom
	spreadDays              = 5.0        // days, SD of an expected bloom without its own: fitted dandelion rules err by 3-4 days, dates differ between years by 7 (Fargo records)
	mostBloomDays           = 250        // days between today and bloom
	mostEmptyKg             = 30.0       // kg, one empty part of a hive
	mostGrossKg             = 300.0      // kg, a whole hive
	mostFrames              = 60.0       // frames of food or brood
	mostSeams               = 66.0       // seams
	leastCountC, mostCountC = -40.0, 45.0
	mostBoxesOfKind         = 8
	leastFrames, fullFrames = 3, 14       // frames in a box
	leastBaseC, mostBaseC   = -10.0, 20.0 // C, of a bloom rule (bloom.Threshold)
	leastNeedCd, mostNeedCd = 1.0, 3000.0 // C-days of a bloom rule: more than a whole warm spring
	oldDays                 = 120         // days after which an observation is too old to start from
	mostYards               = 10000       // yards of one folder
	mostKnownYards          = 500         // yards whose names are compared with one that is not there
	mostItems               = 100000      // pieces of one item
	mostHoldsL              = 1000.0      // L, a tub in the open
	mostFeederL             = 40.0        // L, what holds feed in a hive: a box full to its rim
	overfullKg              = 5.0         // kg over the fullest hive that can be, before a weight is refused
)

// Load reads a season folder. today is the day the question is asked; a day
// named in the settings takes its place. All problems of the folder come back
// at once; when none of them is fatal the season can be used.
func Load(dir string, today time.Time) (*Season, read.Problems) {
	return LoadAsked(dir, today, Asked{})
}

// Asked is what the call of a command says besides the folder.
type Asked struct {
	Day       time.Time   // the day the question is asked for, whatever day the settings name; zero: none
	Confirmed []read.Code // questions answered besides those that the settings confirm
}

// LoadAsked is Load with what the call says.
func LoadAsked(dir string, today time.Time, asked Asked) (*Season, read.Problems) {
	var ps read.Problems
	st, err := os.Stat(dir)
	switch {
	case err != nil:
		ps.Add(dir, 0, 0, "there is no such folder", "check its name, or make one with bloomgap init "+dir)
		return nil, ps
	case !st.IsDir():
		ps.Add(dir, 0, 0, "this is not a folder", "name the folder that holds "+settingsFile+" and the tables")
		return nil, ps
	}
	l := loader{fsys: os.DirFS(dir), dir: dir, disk: true, asked: asked}
	s := l.load(today)
	return s, l.ps
}

// loader reads one folder.
type loader struct {
	fsys  fs.FS
	dir   string // as the user named it
	disk  bool   // on disk, so that weather files can be looked for
	ps    read.Problems
	s     *Season
	books map[string]book       // files read so far
	lost  bool                  // the settings name a day, but it cannot be read
	given map[string]*read.Grid // tables that come from no file

	asked Asked // by the call

	yardAt map[string]int // place in the season\'s yards, by nameKey
}

// book is a file of the folder with its tables.
type book struct {
	found bool // it is there
	grids []*read.Grid
}

// open reads a file of the folder once.
func (l *loader) open(file string) book {
	lim := read.DefaultLimits()
	data, found, ok := read.FileIn(l.fsys, file, l.label(file), lim.MaxBytes, &l.ps)
	if !ok {
		return book{found: found}
	}
	return book{true, read.Tables(l.label(file), data, lim, &l.ps)}
}

// label is a file as it is called in messages.
func (l *loader) label(name string) string { return filepath.Join(l.dir, name) }

func (l *loader) load(today time.Time) *Season {
	l.s = &Season{Dir: l.dir, Today: today, Settings: DefaultSettings()}
	l.books = map[string]book{}
	data, found, ok := read.FileIn(l.fsys, settingsFile, l.label(settingsFile), mostSettingsBytes, &l.ps)
	switch {
	case found && !ok:
		l.lost = true
	case !found:
		l.ps.Warn(l.label(settingsFile), 0, 0, "there are no settings", "the usual ones are used; bloomgap init writes a file to start from")
	default:
		var named time.Time
		l.s.Settings, named = parseSettings(l.label(settingsFile), data, today, l.asked.Day, &l.ps)
		if !named.IsZero() {
			l.s.Today = named
		}
		l.lost = named.IsZero() && (l.ps.Has(SettingsUnreadable) || l.ps.Has(TodayUnreadable))
	}
	if !l.asked.Day.IsZero() {
		l.s.Today, l.lost = l.asked.Day, false
	}
	l.tables()
	l.s.Settings.Confirmed = append(l.s.Settings.Confirmed, l.asked.Confirmed...)
	l.ps = l.ps.Confirm(l.s.Settings.Confirmed)
	l.s.Reading = l.ps.Warnings()
	return l.s
}

// tables reads the tables by the settings and the day.
func (l *loader) tables() {
	if l.s.Today.IsZero() {
		panic("season: today is not given")
	}
	l.s.Today = midnight(l.s.Today)
	l.yards()
	l.colonies()
	l.tallies()
	l.equipment()
	l.feedGiven()
}

// midnight is a day without its hour.
func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// mass is the unit of a weight whose heading names none.
func (l *loader) mass() string { return read.OutputUnit("kg", l.s.Settings.UnitsUS).Name }

// find opens a table by its name; nil when it is nowhere.
func (l *loader) find(name string, required bool) *read.Grid {
	if l.given != nil {
		return l.given[name]
	}
	var found []*read.Grid
	failed := false
	for _, file := range []string{name + ".csv", name + ".xlsx", seasonBook} {
		book, done := l.books[file]
		if !done {
			book = l.open(file)
			l.books[file] = book
		}
		failed = failed || book.found && len(book.grids) == 0
		if g := pick(book.grids, name, file == seasonBook); g != nil {
			found = append(found, g)
		}
	}
	if len(found) > 1 {
		l.ps.Add(found[1].File, 0, 0, fmt.Sprintf("the table of %s is in %s as well", name, found[0].File), "keep one of the two")
	}
	if len(found) > 0 {
		return found[0]
	}
	if required && !failed {
		l.ps.Add(l.label(name+".csv"), 0, 0, fmt.Sprintf("there is no table of %s", name),
			fmt.Sprintf("write %s.csv or %s.xlsx, or a sheet named %s in %s", name, name, name, seasonBook))
	}
	return nil
}

// pick is the sheet of a name; a file of its own needs no such name.
func pick(grids []*read.Grid, name string, onlyByName bool) *read.Grid {
	for _, g := range grids {
		if sameName(g.Name, name) {
			return g
		}
	}
	if onlyByName || len(grids) == 0 {
		return nil
	}
	return grids[0]
}

func (l *loader) yardColumns() []read.Column {
	mass := l.mass()
	weight := func(name string, aliases ...string) read.Column {
		return read.Column{Name: name, Aliases: aliases, Unit: "kg", Bare: mass}
	}
	return append([]read.Column{
		{Name: "yard", Aliases: []string{"name", "apiary"}, Required: true},
		{Name: "lat", Aliases: []string{"latitude", "lat_deg"}, Required: true},
		{Name: "lon", Aliases: []string{"longitude", "long", "lon_deg"}},
		{Name: "elev", Aliases: []string{"elevation", "altitude"}, Unit: "m", Bare: read.OutputUnit("m", l.s.Settings.UnitsUS).Name},
		{Name: "weather", Aliases: []string{"weather_file", "weather_files"}},
		{Name: "weather_place", Aliases: []string{"weather_location"}},
		{Name: "climate"},
		{Name: "forecast", Aliases: []string{"forecast_file"}},
		{Name: "next_visit"},
		{Name: "days_between", Aliases: []string{"days_between_visits"}},
		{Name: "visits", Aliases: []string{"visit_dates"}},
		{Name: "bloom_date", Aliases: []string{"bloom"}},
		{Name: "bloom_spread", Aliases: []string{"bloom_spread_days"}},
		{Name: "early_forage"},
		{Name: "plants"},
		{Name: "bloom_base", Unit: "C", Bare: read.OutputUnit("C", l.s.Settings.UnitsUS).Name},
		{Name: "bloom_start"},
		{Name: "bloom_need_cd", Aliases: []string{"bloom_need"}},
		{Name: "monthly_means_c"},
		{Name: "monthly_means_f"},
		{Name: "trip_price", Aliases: []string{"price_trip"}},
		weight("lid"), weight("inner_cover"), weight("floor"),
		weight("deep_box"), weight("medium_box"), weight("shallow_box"), weight("large_box"), weight("wrap"),
	}, append(truckColumns(), dustingColumns()...)...)
}

func (l *loader) yards() {
	g := l.find(yardsName, true)
	if g == nil {
		return
	}
	t := read.New(g, l.yardColumns(), &l.ps)
	for _, r := range t.Rows {
		if l.ps.Full() {
			break
		}
		name, ok := r.Name("yard")
		if !ok {
			continue
		}
		y := Yard{Name: cleanName(name)}
		if l.yard(y.Name) != nil {
			r.Problem("yard", fmt.Sprintf("the yard %q appears twice", y.Name), "keep one row for each yard")
			continue
		}
		r.Need("lat")
		y.LatDeg = r.Degrees("lat", "NS", leastLatDeg, mostLatDeg)
		if y.LatDeg < surestLatDeg {
			r.Warn("lat", "the model is made for places with a real winter", "read its answers with care this far south")
		}
		y.LonDeg = r.Degrees("lon", "EW", -180, 180)
		y.ElevM = r.FloatIn("elev", leastElevM, mostElevM)
		l.weather(r, &y)
		y.NextVisit = r.Date("next_visit")
		y.DaysBetween, _ = r.Int("days_between", 1, mostDaysBetween)
		y.Visits = r.Dates("visits")
		if r.Has("visits") && (r.Has("next_visit") || r.Has("days_between")) {
			r.Warn("visits", "listed visits and a next visit are both given", "the listed ones are used")
		}
		l.checkVisits(r, &y)
		l.bloom(r, &y)
		l.earlyForage(r, &y)
		for p := range strings.FieldsFuncSeq(r.Text("plants"), isListMark) {
			if p = strings.ToLower(cleanName(p)); p != "" {
				y.Plants = append(y.Plants, p)
			}
		}
		l.tares(r, &y)
		l.dusting(r, &y)
		l.round(r, &y)
		l.tripPrice(r, &y)
		if len(l.s.Yards) == mostYards {
			r.Report(
				"yard",
				read.Problem{Code: read.FileTooLarge, Message: fmt.Sprintf("there are more than %d yards", mostYards), Fix: "plan them in several folders"},
			)
			break
		}
		if l.yardAt == nil {
			l.yardAt = map[string]int{}
		}
		l.yardAt[nameKey(y.Name)] = len(l.s.Yards)
		l.s.Yards = append(l.s.Yards, y)
	}
	if t.HeaderLine() > 0 && len(t.Rows) == 0 && t.HasColumn("yard") && t.HasColumn("lat") {
		l.ps.Add(t.File, 0, 0, "there is no yard in the table", "write one row for each yard")
	}
}

// checkVisits looks for visits of another year and for those that are past.
func (l *loader) checkVisits(r read.Row, y *Yard) {
	for _, v := range y.Visits {
		if outOfSeason(v, l.s.Today) && v.After(l.s.Today) {
			r.Problem("visits", fmt.Sprintf("the visit on %s is not in this season", iso(v)), "correct the year, or take it out")
		}
	}
	if last := lastDate(y.Visits); !last.IsZero() && last.Before(l.s.Today) {
		r.Warn("visits", "all listed visits are past", "list those to come")
		y.Visits = nil
	}
	var off []string
	for _, v := range y.Visits {
		if l.s.Settings.Truck.Off[v.Weekday()] && !v.Before(l.s.Today) {
			off = append(off, v.Format("Monday 2006-01-02"))
		}
	}
	if len(off) > 0 {
		r.Warn("visits", "listed on a day off: "+strings.Join(off, ", "), "it is planned as listed; name another day, or change days_off in "+settingsFile)
	}
	switch ago := days(y.NextVisit, l.s.Today); {
	case y.NextVisit.IsZero() || l.lost:
	case outOfSeason(y.NextVisit, l.s.Today) || ago > oldDays:
		r.Problem("next_visit", fmt.Sprintf("the next visit on %s is not in this season", iso(y.NextVisit)), "correct the year, or leave it empty")
	case ago > 0 && len(y.Visits) == 0:
		step := cmp.Or(y.DaysBetween, DefaultDaysBetween)
		next := y.VisitDates(l.s.Today, l.s.Today.AddDate(0, 0, step))[0]
		r.Warn("next_visit", fmt.Sprintf("the next visit on %s is past", iso(y.NextVisit)),
			fmt.Sprintf("visits every %d days from it are counted on, the next on %s; write the day that you go", step, iso(next)))
	}
}

// yard finds a yard that was read by its name; nil when there is none.
func (l *loader) yard(name string) *Yard {
	if i, ok := l.yardAt[nameKey(name)]; ok {
		return &l.s.Yards[i]
	}
	return nil
}

func lastDate(ds []time.Time) time.Time {
	if len(ds) == 0 {
		return time.Time{}
	}
	return ds[len(ds)-1]
}

// isListMark tells what separates the entries of a list inside one cell.
func isListMark(c rune) bool { return c == ';' || c == '|' || c == '\n' || c == ',' }

func (l *loader) weather(r read.Row, y *Yard) {
	y.Climate = cleanName(r.Text("climate"))
	l.monthlyMeans(r, y)
	if r.Has("weather") {
		for _, f := range strings.FieldsFunc(r.Text("weather"), func(c rune) bool { return c == ';' || c == '|' || c == '\n' }) {
			if f = strings.TrimSpace(f); f == "" {
				continue
			}
			if p, ok := l.file(r, "weather", f); ok {
				y.WeatherFiles = append(y.WeatherFiles, p)
			}
		}
	}
	y.WeatherPlace = cleanName(r.Text("weather_place"))
	if r.Has("forecast") {
		y.ForecastFile, _ = l.file(r, "forecast", r.Text("forecast"))
	}
	switch {
	case r.Has("weather"):
		// A climate or monthly means beside it serve a record that holds few springs.
		if y.Climate != "" {
			l.climate(r, y)
		}
	case y.MonthlyMeanC != nil:
		if y.Climate != "" {
			r.Warn("climate", "monthly means and a climate are both given", "the means are used")
		}
		y.Climate = ""
	case y.Climate != "":
		l.climate(r, y)
	default:
		y.Climate = autoClimate
		r.Warn(
			"",
			fmt.Sprintf("the yard %q has no weather record", y.Name),
			"made-up springs of the nearest built-in climate are used; name a record under weather, or write auto under climate",
		)
	}
}

// autoClimate stands for the built-in climate nearest to the yard.
const autoClimate = "auto"

// climate finds the built-in climate of a name; the place without its country
// will do.
func (l *loader) climate(r read.Row, y *Yard) {
	if sameName(y.Climate, autoClimate) {
		y.Climate = autoClimate
		return
	}
	var places []string
	for _, n := range climate.Builtin() {
		town, _, _ := strings.Cut(n.Place, ",")
		if sameName(n.Place, y.Climate) || sameName(town, y.Climate) {
			y.Climate = n.Place
			return
		}
		places = append(places, town)
	}
	fix := "write auto, or one of " + strings.Join(places, ", ")
	if near := read.Nearest(y.Climate, places); near != "" {
		fix = fmt.Sprintf("did you mean %q? Else %s", near, fix)
	}
	r.Problem("climate", fmt.Sprintf("there is no built-in climate %q", y.Climate), fix)
}

// file finds a file that a table names.
func (l *loader) file(r read.Row, col, name string) (string, bool) {
	p := filepath.FromSlash(name)
	if !filepath.IsAbs(p) {
		p = filepath.Join(l.dir, p)
	}
	reason := "is not there"
	if l.disk {
		st, err := os.Stat(p)
		switch {
		case err == nil && !st.IsDir():
			return p, true
		case err == nil:
			reason = "is a folder"
		}
	} else if st, err := fs.Stat(l.fsys, path.Clean(name)); err == nil && !st.IsDir() {
		return p, true
	}
	fix := "put it into the season folder or correct its name; separate several with ;"
	if l.given != nil { // no folder is asked about
		fix = "correct its name; separate several with ;"
	}
	r.Problem(col, fmt.Sprintf("the %s file %q %s", col, name, reason), fix)
	return "", false
}

// earlyForage reads what blooms within flight before the first dependable nectar.
func (l *loader) earlyForage(r read.Row, y *Yard) {
	if !r.Has("early_forage") {
		return
	}
	text := strings.ToLower(cleanName(r.Text("early_forage")))
	early, ok := colony.ParseEarlyForage(text)
	if !ok {
		r.Problem("early_forage", fmt.Sprintf("early forage %q is not known", text),
			"write none, some or good: willow, maple and the like within flight of the yard; leave it empty when you do not know")
	}
	y.EarlyForage = early
}

func (l *loader) bloom(r read.Row, y *Yard) {
	y.BloomDate = r.Date("bloom_date")
	given := r.Has("bloom_spread")
	y.BloomSpreadDays = r.FloatIn("bloom_spread", 0, mostSpreadDays)
	if !(y.BloomSpreadDays >= 0) { // empty or not usable
		y.BloomSpreadDays = 0
	}
	hasRule := r.Has("bloom_base") || r.Has("bloom_start") || r.Has("bloom_need_cd")
	if hasRule {
		l.bloomRule(r, y, given)
	}
	if y.BloomDate.IsZero() {
		if given && !hasRule {
			r.Warn("bloom_spread", "a spread of bloom is given without its date", "it is not used; fill in bloom_date")
		}
		y.BloomSpreadDays = 0
		return
	}
	if hasRule {
		r.Warn("bloom_date", "a bloom date and a bloom rule are both given", "the date is used")
		y.BloomRule = bloom.Threshold{}
	}
	if p, odd := nectarQuestion(y.BloomDate, y.LatDeg); odd {
		r.Report("bloom_date", p)
	}
	if away := days(l.s.Today, y.BloomDate); away > mostBloomDays || away < -mostBloomDays {
		r.Problem("bloom_date", fmt.Sprintf("bloom on %s is not in this season", y.BloomDate.Format(time.DateOnly)), "correct the year, or leave it empty")
		y.BloomDate = time.Time{}
		return
	}
	if !given && y.BloomDate.After(l.s.Today) {
		y.BloomSpreadDays = spreadDays
	}
}

// bloomRule reads a rule that was fitted to the beekeeper's own dates.
func (l *loader) bloomRule(r read.Row, y *Yard, spreadGiven bool) {
	whole := true
	for _, col := range []string{"bloom_base", "bloom_start", "bloom_need_cd"} {
		if !r.Has(col) {
			r.Problem(col, "the bloom rule lacks "+col, "give bloom_base_c, bloom_start and bloom_need_cd together, as bloomgap bloom fit prints them")
			whole = false
		}
	}
	th := bloom.Threshold{Plant: ownPlant, Form: "own rule", Role: bloom.DependableNectar, Status: bloom.Fitted, SpreadStatus: bloom.Fitted,
		Source: "given with the yard", SpreadDays: y.BloomSpreadDays,
		BaseC: r.FloatIn("bloom_base", leastBaseC, mostBaseC), NeedCd: r.FloatIn("bloom_need_cd", leastNeedCd, mostNeedCd)}
	if !spreadGiven {
		th.SpreadDays = spreadDays
	}
	if text := r.Text("bloom_start"); r.Has("bloom_start") {
		doy, ok := StartDOY(text)
		if !ok {
			r.Problem("bloom_start", fmt.Sprintf("bloom_start %q is not a day from 1 December to 30 June", cleanName(text)), "write month-day, such as 04-01")
			whole = false
		}
		th.StartDOY = doy
	}
	if whole && th.BaseC >= leastBaseC && th.NeedCd >= leastNeedCd { // NaN: told already
		y.BloomRule = th
	}
}

// ownPlant is what the plant of a yard's own bloom rule is called.
const ownPlant = "nectar plant"

// StartDOY reads the day on which a bloom rule begins to count, month-day from
// 12-01 to 06-30, as a day of a common year: 1 is 1 January, 0 the day before.
func StartDOY(text string) (doy int, ok bool) {
	md, err := weather.ParseMonthDay(strings.TrimSpace(text))
	if err != nil || md.Month > time.June && md.Month < time.December {
		return 0, false
	}
	doy = md.In(commonYear).YearDay()
	if md.Month == time.December {
		doy -= 365
	}
	return doy, true
}

// StartText writes what StartDOY reads.
func StartText(doy int) string {
	return time.Date(commonYear, time.January, doy, 0, 0, 0, 0, time.UTC).Format("01-02")
}

const commonYear = 2001 // any year without 29 February

// monthlyMeans reads twelve typed mean temperatures.
func (l *loader) monthlyMeans(r read.Row, y *Yard) {
	unit := "c"
	switch {
	case r.Has("monthly_means_c") && r.Has("monthly_means_f"):
		r.Problem("monthly_means_f", "monthly means are given in C and in F", "keep one of the two")
		return
	case r.Has("monthly_means_f"):
		unit = "f"
	case !r.Has("monthly_means_c"):
		return
	}
	col := "monthly_means_" + unit
	const fix = "write the mean temperature of January to December as twelve numbers separated by spaces"
	words := strings.FieldsFunc(r.Text(col), func(c rune) bool { return isListMark(c) || c == ' ' || c == '\u00a0' })
	if len(words) != 12 {
		r.Problem(col, fmt.Sprintf("there are %d monthly means", len(words)), fix)
		return
	}
	typed := climate.Monthly{Place: y.Name}
	from, _ := read.FindUnit(unit)
	toC, _ := read.FindUnit("C")
	for m, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			r.Problem(col, fmt.Sprintf("%q is not a number", w), fix)
			return
		}
		typed.MeanC[m], typed.SwingC[m], typed.RainMm[m] = read.Convert(v, from, toC), math.NaN(), math.NaN()
	}
	if p, odd := meansOdd(typed.MeanC[:]); odd {
		r.Report(col, p)
		return
	}
	if _, err := climate.FromMonthly(typed); err != nil {
		r.Problem(col, oneLine(err.Error()), "check the figures and their unit")
		return
	}
	y.MonthlyMeanC = typed.MeanC[:]
}

// days counts the days from one date to another.
func days(from, to time.Time) int { return int(to.Sub(from).Hours() / 24) }

func (l *loader) tares(r read.Row, y *Yard) {
	t := observe.DefaultTares()
	put := func(col string, to *float64, box bool) bool {
		v := r.FloatIn(col, 0, mostEmptyKg)
		if !(v >= 0) {
			return false
		}
		if p, odd := partQuestion(v, *to, box, r.Unit(col).Name); odd {
			r.Report(col, p)
		}
		*to = v
		return true
	}
	put("lid", &t.LidKg, false)
	put("inner_cover", &t.InnerCoverKg, false)
	put("floor", &t.FloorKg, false)
	put("wrap", &t.WrapKg, false)
	for _, box := range []struct {
		col string
		to  *float64
	}{{"deep_box", &t.DeepKg}, {"medium_box", &t.MediumKg}, {"shallow_box", &t.ShallowKg}, {"large_box", &t.LargeKg}} {
		t.Own = put(box.col, box.to, true) || t.Own
	}
	y.Tares = t
}

func (l *loader) colonyColumns() []read.Column {
	mass := l.mass()
	weight := func(name string, aliases ...string) read.Column {
		return read.Column{Name: name, Aliases: aliases, Unit: "kg", Bare: mass}
	}
	return []read.Column{
		{Name: "yard", Aliases: []string{"apiary"}},
		{Name: "colony", Aliases: []string{"hive", "name"}, Required: true},
		{Name: "date", Aliases: []string{"date_seen", "seen"}, Required: true},
		{Name: "alive"},
		{Name: "boxes", Aliases: []string{"box"}},
		{Name: "frames_per_box"},
		{Name: "wrapped", Old: []string{"insulated"}},
		weight("gross", "gross_weight", "weight"),
		weight("lift_back", "back"), weight("lift_left", "left"), weight("lift_right", "right"),
		{Name: "heft"},
		{Name: "food_frames_deep", Aliases: []string{"food_frames", "frames_of_food"}},
		{Name: "food_frames_medium"},
		{Name: "seams", Aliases: []string{"seams_of_bees"}},
		{Name: "count_temp", Aliases: []string{"temp_at_count"}, Unit: "C", Bare: read.OutputUnit("C", l.s.Settings.UnitsUS).Name},
		{Name: "brood_frames", Aliases: []string{"frames_of_brood"}},
		{Name: "sealed_percent"},
		weight("sugar_over_cluster"),
		{Name: "confirmed"},
		{Name: "note", Aliases: []string{"notes"}},
	}
}

func (l *loader) colonies() {
	tallied := l.given == nil && l.find(talliesName, false) != nil
	g := l.find(coloniesName, !tallied)
	if g == nil {
		return
	}
	t := read.New(g, l.colonyColumns(), &l.ps)
	entries := map[string][]entry{}
	var order []string
	for _, r := range t.Rows {
		if l.ps.Full() {
			break
		}
		e, ok := l.entry(r, "colony")
		if !ok {
			continue
		}
		key := strings.ToLower(e.yard + "\x00" + e.name)
		twice := slices.IndexFunc(entries[key], func(o entry) bool { return o.obs.Date.Equal(e.obs.Date) })
		if twice >= 0 && entries[key][twice].join(&e) {
			continue
		}
		if twice >= 0 {
			r.Problem(
				"colony",
				fmt.Sprintf(
					"the colony %q of %s appears twice for %s, first in row %d",
					e.name,
					e.yard,
					e.obs.Date.Format(time.DateOnly),
					entries[key][twice].row.Line,
				),
				"keep one row for a colony and day; later looks get a row with their own date",
			)
			continue
		}
		if len(entries[key]) == 0 {
			order = append(order, key)
		}
		entries[key] = append(entries[key], e)
	}
	for _, key := range order {
		es := entries[key]
		slices.SortStableFunc(es, func(a, b entry) int { return a.obs.Date.Compare(b.obs.Date) })
		l.s.Colonies = append(l.s.Colonies, l.colony(es))
	}
	if !tallied && t.HeaderLine() > 0 && len(t.Rows) == 0 && t.HasColumn("colony") && t.HasColumn("date") {
		l.ps.Add(t.File, 0, 0, "there is no colony in the table", "write one row for each colony")
	}
}

// entry is one row of the table of colonies, or of that of tallies.
type entry struct {
	row        read.Row
	what       string // colony or tally: which the row is of
	yard, name string
	obs        Observation
	boxes      []Boxes // nil = not said
	frames     int     // 0 = not said
	wrapped    bool
	wrapSaid   bool
	confirmed  bool // what looks odd in the row is right as it is
}

// join takes over what a second row of the same colony and day adds: the food by
// another way, and what the first did not look at. It fails where both say the
// same thing, or one of them is of a dead colony.
func (e *entry) join(o *entry) bool {
	a, b := &e.obs, &o.obs
	ways := map[FoodKind]bool{}
	for _, f := range slices.Concat([]Food{a.Food}, a.Also, []Food{b.Food}, b.Also) {
		if f.Kind != FoodUnknown && ways[f.Kind] {
			return false
		}
		ways[f.Kind] = true
	}
	if a.Food.Kind == FoodUnknown || b.Food.Kind == FoodUnknown || !a.Alive || !b.Alive {
		return false
	}
	for _, at := range [][2]*float64{{&a.SeamsOfBees, &b.SeamsOfBees}, {&a.CountTempC, &b.CountTempC}, {&a.BroodFrames, &b.BroodFrames},
		{&a.SealedFrac, &b.SealedFrac}, {&a.OverKg, &b.OverKg}} {
		switch {
		case math.IsNaN(*at[0]):
			*at[0] = *at[1]
		case !math.IsNaN(*at[1]) && *at[0] != *at[1]:
			return false
		}
	}
	all := slices.Concat([]Food{a.Food, b.Food}, a.Also, b.Also)
	slices.SortStableFunc(all, func(x, y Food) int { return cmp.Compare(x.Kind, y.Kind) })
	a.Food, a.Also = all[0], all[1:]
	if e.boxes == nil {
		e.boxes = o.boxes
	}
	return true
}

// entry reads a row whose colony, or tally, is named in a column.
func (l *loader) entry(r read.Row, column string) (e entry, ok bool) {
	name, ok := r.Name(column)
	e = entry{row: r, what: column, yard: cleanName(r.Text("yard")), name: cleanName(name)}
	switch {
	case e.yard == "" && len(l.s.Yards) == 1:
		e.yard = l.s.Yards[0].Name
	case e.yard == "":
		r.Problem("yard", "the row names no yard", "fill in the yard")
		ok = false
	default:
		if y := l.yard(e.yard); y != nil {
			e.yard = y.Name
		} else {
			l.unknownYard(r, e.yard)
			ok = ok && len(l.s.Yards) > 0
		}
	}
	o := &e.obs
	if r.Need("date") {
		o.Date = r.Date("date")
	}
	if o.Date.After(l.s.Today) && !l.lost {
		r.Problem(
			"date",
			fmt.Sprintf("date %s lies after today, %s", o.Date.Format(time.DateOnly), l.s.Today.Format(time.DateOnly)),
			"correct it, or the day named in "+settingsFile,
		)
	}
	e.confirmed = r.Bool("confirmed", false)
	o.Alive = r.Bool("alive", true)
	e.boxes = parseBoxes(r)
	e.frames, _ = r.Int("frames_per_box", leastFrames, fullFrames)
	e.wrapSaid = r.Has("wrapped")
	e.wrapped = r.Bool("wrapped", false)
	o.SeamsOfBees = r.FloatIn("seams", 0, mostSeams)
	o.CountTempC = r.FloatIn("count_temp", leastCountC, mostCountC)
	if p, odd := countQuestion(o.CountTempC, o.Date); odd {
		e.ask("count_temp", p)
	}
	o.BroodFrames = r.FloatIn("brood_frames", 0, mostFrames)
	o.SealedFrac = r.FloatIn("sealed_percent", 0, 100) / 100
	if o.SealedFrac > 0 && o.SealedFrac <= 0.01 {
		r.Problem("sealed_percent", fmt.Sprintf("sealed_percent %g looks like a share", 100*o.SealedFrac), fmt.Sprintf("write percent: %g", 1e4*o.SealedFrac))
	}
	o.OverKg = r.FloatIn("sugar_over_cluster", 0, mostSolidKg)
	o.Note = r.Text("note")
	o.Food, o.Also = l.food(r)
	if !o.Alive && (o.SeamsOfBees > 0 || o.BroodFrames > 0) {
		r.Problem("alive", fmt.Sprintf("the %s %q is dead but has bees or brood", e.what, e.name), "write yes under alive, or leave seams and brood_frames empty")
	}
	if p, odd := liftQuestion(o.Food); odd {
		e.ask("lift_left", p)
	}
	if o.Alive && o.SeamsOfBees == 0 {
		r.Problem(
			"seams",
			fmt.Sprintf("the %s %q is alive but has no bees", e.what, e.name),
			"write no under alive, or leave seams empty when they were not counted",
		)
	}
	return e, ok && !o.Date.IsZero()
}

func (l *loader) unknownYard(r read.Row, name string) {
	var known []string
	for _, y := range l.s.Yards[:min(len(l.s.Yards), mostKnownYards)] {
		known = append(known, y.Name)
	}
	fix := "add it to the table of yards"
	if near := read.Nearest(name, known); near != "" {
		fix = fmt.Sprintf("did you mean %q? Else add it to the table of yards", near)
	}
	r.Problem("yard", fmt.Sprintf("the yard %q is not in the table of yards", name), fix)
}

// kinds are the box words.
var kinds = map[string]BoxKind{"deep": Deep, "medium": Medium, "shallow": Shallow, "large": Large}

var boxPart = regexp.MustCompile(`^(?:([0-9]{1,3})\s*x?\s*)?([a-z]+?)s?$`)

// parseBoxes reads "2 deep", "deep + medium", "1 deep, 2 shallow".
func parseBoxes(r read.Row) []Boxes {
	if !r.Has("boxes") {
		return nil
	}
	text := strings.ToLower(r.Text("boxes"))
	var out []Boxes
	for part := range strings.FieldsFuncSeq(text, func(c rune) bool { return isListMark(c) || c == '+' || c == '&' }) {
		part = cleanName(part)
		if part == "" {
			continue
		}
		m := boxPart.FindStringSubmatch(part)
		kind, known := Deep, false
		n := 1
		if m != nil {
			kind, known = kinds[m[2]]
			if m[1] != "" {
				n, _ = strconv.Atoi(m[1])
			}
		}
		if !known || n < 1 || n > mostBoxesOfKind {
			r.Problem(
				"boxes",
				fmt.Sprintf("boxes %q cannot be understood", cleanName(r.Text("boxes"))),
				"write such as 1 deep, or 1 deep + 1 medium; the kinds are deep, medium, shallow and large",
			)
			return nil
		}
		if i := slices.IndexFunc(out, func(b Boxes) bool { return b.Kind == kind }); i >= 0 {
			out[i].Count += n
		} else {
			out = append(out, Boxes{Kind: kind, Count: n})
		}
	}
	return out
}

// food takes the surest of the ways given, and the others beside it.
func (l *loader) food(r read.Row) (surest Food, also []Food) {
	var given []Food
	if v := r.FloatIn("gross", 0, mostGrossKg); v >= 0 {
		given = append(given, Food{Kind: FoodGross, GrossKg: v})
	}
	left, right := r.FloatIn("lift_left", 0, mostGrossKg), r.FloatIn("lift_right", 0, mostGrossKg)
	switch {
	case left >= 0 && right >= 0:
		given = append(given, Food{Kind: FoodLiftBoth, LiftLeftKg: left, LiftRightKg: right})
	case r.Has("lift_left") && !r.Has("lift_right"):
		r.Problem("lift_right", "the hive was lifted at the left only", "lift both sides, or write one lift under lift_back")
	case r.Has("lift_right") && !r.Has("lift_left"):
		r.Problem("lift_left", "the hive was lifted at the right only", "lift both sides, or write one lift under lift_back")
	}
	deep, medium := r.FloatIn("food_frames_deep", 0, mostFrames), r.FloatIn("food_frames_medium", 0, mostFrames)
	if deep >= 0 || medium >= 0 {
		f := Food{Kind: FoodFrames}
		if deep >= 0 {
			f.FramesDeep = deep
		}
		if medium >= 0 {
			f.FramesMedium = medium
		}
		given = append(given, f)
	}
	if v := r.FloatIn("lift_back", 0, mostGrossKg); v >= 0 {
		given = append(given, Food{Kind: FoodLiftBack, LiftBackKg: v})
	}
	if heft, ok := ParseHeft(r.Choice("heft", "light", "fair", "heavy")); ok {
		given = append(given, Food{Kind: FoodHeft, Heft: heft})
	}
	if len(given) == 0 {
		return Food{}, nil
	}
	if len(given) > 1 && !given[0].Kind.Weighed() {
		r.Warn("", "the food is given in more than one way", fmt.Sprintf("the surest is used: %s", given[0].Kind))
	}
	return given[0], given[1:]
}

// colony joins the rows of one colony, which are in order of date.
func (l *loader) colony(es []entry) Colony {
	last := es[len(es)-1]
	c := Colony{Yard: last.yard, Name: last.name, Alive: last.obs.Alive, FramesPerBox: observe.StandardFrames, Line: last.row.Line}
	for _, e := range es {
		if e.boxes != nil {
			c.Boxes = e.boxes
		}
		if e.frames > 0 {
			c.FramesPerBox = e.frames
		}
		if e.wrapSaid {
			c.Insulated = e.wrapped
		}
	}
	if c.Boxes == nil {
		c.Boxes = []Boxes{{Kind: Deep, Count: 1}}
		if c.Alive && !last.row.Has("boxes") {
			last.row.Warn("", fmt.Sprintf("the boxes of %s %q are not given", last.what, c.Name), "one deep box is assumed")
		}
	}
	died := time.Time{}
	for _, e := range es {
		l.checkRow(&c, e)
		switch {
		case !e.obs.Alive && died.IsZero():
			died = e.obs.Date
		case e.obs.Alive && !died.IsZero():
			e.row.Problem(
				"alive",
				fmt.Sprintf("the colony %q was dead on %s and is alive again", c.Name, died.Format(time.DateOnly)),
				"correct one of the rows, or give the new colony its own name",
			)
			died = time.Time{}
		}
		if first := FirstDay(l.s.Today); e.row.Line != last.row.Line && !e.obs.Date.IsZero() && e.obs.Date.Before(first) {
			e.row.Warn(
				"date",
				fmt.Sprintf("this look at colony %q lies before this season, which begins on %s, and is not used", c.Name, first.Format("2 January 2006")),
				"the later looks count",
			)
			continue
		}
		c.Observations = append(c.Observations, e.obs)
	}
	if c.Alive {
		l.checkLatest(&c, last)
	}
	return c
}

// FirstDay is the first day of the season that a day belongs to: 1 October
// before its spring, as feeding for winter is over then and made-up springs
// begin; in August and September, when the last spring is over, 1 August. What
// was seen before says little of the stores for the spring.
func FirstDay(today time.Time) time.Time {
	switch y := today.Year(); {
	case today.Month() >= time.October:
		return time.Date(y, time.October, 1, 0, 0, 0, 0, time.UTC)
	case today.Month() >= time.August:
		return time.Date(y, time.August, 1, 0, 0, 0, 0, time.UTC)
	default:
		return time.Date(y-1, time.October, 1, 0, 0, 0, 0, time.UTC)
	}
}

// checkLatest warns about what the last look lacks.
func (l *loader) checkLatest(c *Colony, last entry) {
	if away := days(last.obs.Date, l.s.Today); away > oldDays {
		last.row.Warn("date", fmt.Sprintf("the %s %q was last seen %d days ago", last.what, c.Name, away), "look again before trusting the plan")
	}
	known := func(has func(Observation) bool) bool { return slices.ContainsFunc(c.Observations, has) }
	if !known(func(o Observation) bool { return o.Food.Kind != FoodUnknown }) {
		last.row.Warn("", fmt.Sprintf("nothing is known of the food of %s %q", last.what, c.Name), "a wide guess is used; weigh or heft it")
	}
	if !known(func(o Observation) bool { return o.SeamsOfBees >= 0 }) {
		last.row.Warn("", fmt.Sprintf("the bees of %s %q were not counted", last.what, c.Name), "a wide guess is used; count the seams of bees from the top")
	}
}

// checkRow looks for what cannot be, given the boxes.
func (l *loader) checkRow(c *Colony, e entry) {
	hive := c.Hive(observe.DefaultTares(), observe.Masses{})
	frames := float64(hive.Frames())
	o, r := e.obs, e.row
	over := func(col string, v float64, what string) {
		if v > frames {
			r.Problem(col, fmt.Sprintf("%g %s do not fit in %g frames", v, what, frames), "correct it, or the boxes")
		}
	}
	over("seams", o.SeamsOfBees, "seams of bees")
	over("brood_frames", o.BroodFrames, "frames of brood")
	if f := o.Food.FramesDeep + o.Food.FramesMedium; f > frames {
		over("food_frames_deep", f, "frames of food")
	} else if f+o.BroodFrames > frames && o.BroodFrames <= frames {
		r.Problem("brood_frames", fmt.Sprintf("%g frames of food and %g of brood do not fit in %g frames", f, o.BroodFrames, frames), "count a comb with both in halves")
	}
	if o.BroodFrames <= frames {
		l.checkBrood(e)
	}
	l.checkWeight(c, e)
	l.checkApart(c, e)
}

// checkBrood tells of more brood than the bees cover, and asks where it is much more: it
// makes a colony out to be hungrier than it is.
func (l *loader) checkBrood(e entry) {
	o, r := e.obs, e.row
	if o.SeamsOfBees < 0 || !(o.BroodFrames > o.SeamsOfBees+1) {
		return
	}
	said := fmt.Sprintf("%g frames of brood are more than %g seams of bees cover", o.BroodFrames, o.SeamsOfBees)
	const fix = "count brood as combs that are full on both sides"
	if o.BroodFrames > mostBroodPerSeam*o.SeamsOfBees+1 {
		e.ask("brood_frames", read.Problem{Code: BroodGuard, Level: read.Ask, Message: said, Fix: fix})
		return
	}
	r.Warn("brood_frames", said, fix)
}

// checkApart asks about two readings of one day that contradict each other: the pair that
// lies furthest apart.
func (l *loader) checkApart(c *Colony, e entry) {
	if !e.obs.Alive || len(e.obs.Also) == 0 {
		return
	}
	hive := c.Hive(l.taresOf(c), l.s.Settings.Masses())
	look := e.obs.Look(0)
	worst, at := 1.0, [2]Food{}
	given := slices.Concat([]Food{e.obs.Food}, e.obs.Also)
	for i := range given {
		for _, other := range given[i+1:] {
			if z := hive.Contradict(&look, given[i], other); z > worst {
				worst, at = z, [2]Food{given[i], other}
			}
		}
	}
	if at[0].Kind == FoodUnknown {
		return
	}
	says := [2]string{}
	for i, f := range at {
		look.Food = f
		kg := math.Max(0, hive.StoresSeen(&look).MeanKg)
		says[i] = fmt.Sprintf("%s of food when %s", l.show(kg), f.Kind)
		if f.Kind == FoodHeft {
			says[i] = fmt.Sprintf("about %s of food when hefted %s", l.show(kg), f.Heft)
		}
	}
	col := columnOf(at[1].Kind)
	if at[1].Kind == FoodFrames && at[1].FramesDeep == 0 {
		col = "food_frames_medium"
	}
	e.ask(col, read.Problem{Code: ApartGuard, Level: read.Ask,
		Message: fmt.Sprintf("on one day %s %q holds %s and %s: they contradict each other", e.what, c.Name, says[0], says[1]),
		Fix:     "look at both again, their units and the rows beside; leave the wrong one empty"})
}

// columnOf is the column that a way of judging food is written in.
func columnOf(k FoodKind) string {
	return map[FoodKind]string{FoodGross: "gross", FoodLiftBoth: "lift_left", FoodLiftBack: "lift_back", FoodFrames: "food_frames_deep", FoodHeft: "heft"}[k]
}

// taresOf is what the empty hives of a colony's yard weigh.
func (l *loader) taresOf(c *Colony) observe.Tares {
	if y := l.yard(c.Yard); y != nil {
		return y.Tares
	}
	return observe.DefaultTares()
}

// show is a weight in the keeper's unit.
func (l *loader) show(v float64) string {
	kg, _ := read.FindUnit("kg")
	out := read.OutputUnit("kg", l.s.Settings.UnitsUS)
	return fmt.Sprintf("%.1f %s", read.Convert(v, kg, out), out.Name)
}

// checkWeight compares a weight with the empty and with the fullest hive.
func (l *loader) checkWeight(c *Colony, e entry) {
	totalKg, _ := e.obs.Food.TotalKg()
	if math.IsNaN(totalKg) {
		return
	}
	col, t := columnOf(e.obs.Food.Kind), l.taresOf(c)
	hive := c.Hive(t, l.s.Settings.Masses())
	tareKg, tareSDKg := hive.TareKg()
	show := l.show
	whose := "by the usual weights"
	if t.Own {
		whose = "by the weights of the yard"
	}
	slack := 2 * tareSDKg
	if t.Own {
		slack = tareSDKg
	}
	mostKg := tareKg + hive.FullKg() + overfullKg
	w := reading{
		totalKg: totalKg,
		tareKg:  tareKg,
		slackKg: slack,
		fullKg:  hive.FullKg(),
		frames:  float64(hive.Frames()),
		foodKg:  totalKg - tareKg,
		unit:    e.row.Unit(col).Name,
	}
	if w.figureKg = totalKg; e.obs.Food.Kind == FoodLiftBack {
		w.figureKg, w.lift = e.obs.Food.LiftBackKg, true
	}
	switch {
	case totalKg < tareKg-slack || totalKg < tareKg && t.Own:
		e.row.Problem(
			col,
			fmt.Sprintf("the hive of %s %q weighs %s in all, less than its empty boxes, which are %s %s", e.what, c.Name, show(totalKg), show(tareKg), whose),
			w.check(show)+", or weigh an empty hive and set deep_box, medium_box, lid, inner_cover and floor in the table of yards",
		)
	case totalKg > mostKg:
		e.row.Problem(
			col,
			fmt.Sprintf("the hive of %s %q weighs %s in all, more than its boxes can hold, %s", e.what, c.Name, show(totalKg), show(mostKg)),
			w.check(show),
		)
	case e.obs.Alive:
		look := e.obs.Look(0)
		w.foodKg = hive.StoresSeen(&look).MeanKg
		if p, odd := w.question(&e, show); odd {
			e.ask(col, p)
		}
		if p, odd := w.emptyQuestion(&e, show); odd {
			e.ask(col, p)
		} else if w.foodKg < 0 {
			e.row.Warn(col, fmt.Sprintf("the weight of %s %q leaves nothing for food once empty boxes of %s, bees and brood are taken off", e.what, c.Name, show(tareKg)),
				"weigh an empty hive and set deep_box, lid and so on in the table of yards")
		}
	}
}

// Items lists the kinds of equipment.
func Items() []Item {
	return []Item{BagRim, FrameFeeder, EntranceJar, Pail, Tray, EmptyBox, HoledCover, CandyRim, OpenTub, HiveWrapping}
}

// items are the words for equipment.
func items() []string {
	var out []string
	for _, i := range Items() {
		out = append(out, string(i))
	}
	return out
}

func (l *loader) equipment() {
	g := l.find(equipName, false)
	if g == nil {
		if l.given == nil && !slices.ContainsFunc(l.ps, func(p read.Problem) bool { return strings.Contains(p.File, equipName) }) {
			l.ps.Warn(l.label(equipName+".csv"), 0, 0, "there is no table of equipment", "the plan cannot tell what must be bought besides what it needs")
		}
		return
	}
	t := read.New(g, []read.Column{
		{Name: "yard", Aliases: []string{"apiary"}},
		{Name: "item", Aliases: []string{"equipment"}, Required: true},
		{Name: "count", Aliases: []string{"number"}, Required: true},
		{Name: "holds", Unit: "L", Bare: read.OutputUnit("L", l.s.Settings.UnitsUS).Name},
	}, &l.ps)
	for _, r := range t.Rows {
		q := Equipment{Yard: cleanName(r.Text("yard"))}
		if sameName(q.Yard, "all") {
			q.Yard = ""
		}
		if q.Yard != "" {
			if y := l.yard(q.Yard); y != nil {
				q.Yard = y.Name
			} else {
				l.unknownYard(r, q.Yard)
			}
		}
		if r.Need("item") {
			q.Item = item(r)
		}
		r.Need("count")
		q.Count, _ = r.Int("count", 0, mostItems)
		q.HoldsL = r.FloatIn("holds", 0.1, mostHoldsL)
		if q.HoldsL > mostFeederL && q.Item != OpenTub {
			r.Problem(
				"holds",
				fmt.Sprintf("one %s that holds %s is more than fits a hive", q.Item, r.Text("holds")),
				"write what one holds, in the unit of the heading",
			)
		}
		if q.Item != "" {
			l.s.Equipment = append(l.s.Equipment, q)
		}
	}
}

// item reads a kind of equipment, singular or plural.
func item(r read.Row) Item {
	words := items()
	text := strings.ToLower(cleanName(r.Text("item")))
	for _, w := range words {
		if plural := w + "s"; text == w || text == plural || w == string(EmptyBox) && text == "empty boxes" ||
			w == string(HoledCover) && text == "inner covers with hole" ||
			text == w+" feeder" ||
			text == w+" feeders" {
			return Item(w)
		}
	}
	return Item(r.Choice("item", words...))
}
