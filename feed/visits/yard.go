package visits

import (
	"fmt"
	"math"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/forage"
	"bloomgap/forage/read"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// Weather is the world of a yard, as Worlds makes it. Its springs are made
// when the yard is planned and dropped after, so that many yards need no more
// room than a few.
type Weather struct {
	Source   plan.WeatherSource // where its springs come from
	Warnings []plan.Note        // what the reader of the plan must know of it

	prospect forage.Prospect
}

// Outlook makes the possible springs of a yard.
func (w Weather) Outlook() (*forage.Outlook, error) { return forage.NewOutlook(w.prospect) }

// Later is the weather with every spring so many days later from today on, or earlier. No
// more is known of this season then, and a forecast speaks of another spring.
func (w Weather) Later(days int) Weather {
	w.prospect.LaterDays, w.prospect.Forecast = days, nil
	return w
}

// UnknownOutlook makes them as they were before anything of this season was
// known, from a day on.
func (w Weather) UnknownOutlook(start time.Time) (*forage.Outlook, error) {
	q := w.prospect
	q.Season, q.Forecast = nil, nil
	q.Start, q.Today = start, start
	return forage.NewOutlook(q)
}

// Visit is a round of a yard, with what the weather after it is like.
type Visit struct {
	Day        int // of the outlook
	Date       time.Time
	MaxC       float64 // median of the day's maximum until the next visit
	MeanC      float64 // median of the day's mean
	NeededFrac float64 // share of members in which nectar has not come by then
}

// Facts are what a yard's members have in common.
type Facts struct {
	Bloom, Nectar        plan.DateRange
	NonFlying, ColdSpell plan.Range
	Years                []plan.YearFact
}

// Yard is a yard while its colonies are planned.
type Yard struct {
	Season   *season.Season
	Site     *season.Yard
	Colonies []*season.Colony
	Weather  Weather
	Outlook  *forage.Outlook          // without its springs once closed
	Springs  *ensemble.SpringEnsemble // nil once closed
	Today    int                      // day of the outlook
	Visits   []Visit
	Weeks    []int // days of the outlook on which risk is told
	Facts    Facts

	opt     Options
	tasks   yardTasks
	learned *ensemble.YardPart // nil: nothing
}

// Options say on what a yard is opened.
type Options struct {
	Draws   *ensemble.SharedDraws
	Base    *colony.Params
	Members int // that what the springs have in common is worked out on, at most those drawn
}

// Open makes the springs, members and visits of a yard. Its error is a
// read.InputError.
func Open(s *season.Season, site *season.Yard, colonies []*season.Colony, w Weather, opt Options) (*Yard, error) {
	y := &Yard{Season: s, Site: site, Colonies: colonies, Weather: w, opt: opt}
	if err := y.makeSprings(); err != nil {
		return nil, err
	}
	o := y.Outlook
	y.Weather.Source.Fingerprint = o.Fingerprint()
	members := y.Springs.Members[:opt.Members]

	late := 0
	for i := range members {
		late = max(late, members[i].NectarDay)
	}
	if last := o.Day(o.Springs[0].Days[len(o.Springs[0].Days)-1].Date); late > last {
		y.Weather.Warnings = append(y.Weather.Warnings, plan.NectarBeyond{LastDay: o.Date(last)})
	}
	for _, date := range y.fitVisits(o.Date(late)) {
		y.Visits = append(y.Visits, Visit{Day: o.Day(date), Date: date})
	}
	if len(y.Visits) == 0 {
		var ps read.Problems
		ps.Add(s.Dir, 0, 0, fmt.Sprintf("yard %s has no visit between %s and nectar", site.Name, s.Today.Format(time.DateOnly)),
			"give next_visit, or other dates under visits")
		return nil, ps.Err()
	}
	y.weatherAfterVisits(members)
	y.weatherOfWork()
	for day := y.Today; day <= late+6; day += 7 {
		y.Weeks = append(y.Weeks, day)
	}
	y.gatherFacts(members)
	return y, nil
}

// Close drops the springs of a yard.
func (y *Yard) Close() {
	y.Springs = nil
	y.Outlook = &forage.Outlook{Start: y.Outlook.Start}
}

// Reopen makes the springs of a yard again that was closed.
func (y *Yard) Reopen() error {
	if y.Springs == nil {
		return y.makeSprings()
	}
	return nil
}

// makeSprings makes the springs, forcing tables and members of a yard.
func (y *Yard) makeSprings() error {
	o, err := y.Weather.Outlook()
	if err != nil {
		return y.NoOutlook(err)
	}
	y.Outlook = o
	y.Today = o.Day(y.Season.Today)
	readDay := -1
	if wanted := y.Season.Settings.BeesWantedDate; !wanted.IsZero() {
		readDay = o.Day(wanted)
	}
	y.Springs = ensemble.NewSpringEnsemble(
		o,
		y.opt.Draws,
		ensemble.SpringEnsembleOptions{Today: y.Today, ReadDay: readDay, Yard: y.Site.Name, Early: y.Site.EarlyForage},
	)
	if y.learned != nil {
		y.Springs.Learn(*y.learned)
	}
	return nil
}

// Learn has the members of a yard go by what is known of the parts that its colonies have
// in common, now and when it is opened again.
func (y *Yard) Learn(part ensemble.YardPart) {
	y.learned = &part
	y.Springs.Learn(part)
}

// NoOutlook is the error of a yard whose springs cannot be made.
func (y *Yard) NoOutlook(err error) error {
	return read.InputError{Problems: read.Problems{noOutlook(y.Season, y.Site, err)}}
}

// Dates are the days of the visits.
func (y *Yard) Dates() []time.Time {
	out := make([]time.Time, len(y.Visits))
	for i := range y.Visits {
		out[i] = y.Visits[i].Date
	}
	return out
}

// weatherAfterVisits fills in what the days after each visit are like.
func (y *Yard) weatherAfterVisits(members []ensemble.Member) {
	o := y.Outlook
	for k := range y.Visits {
		v := &y.Visits[k]
		end := v.Day + season.DefaultDaysBetween
		if k+1 < len(y.Visits) {
			end = y.Visits[k+1].Day
		}
		var maxC, meanC []float64
		for i := range o.Springs {
			days := o.Springs[i].Days
			for d := v.Day; d < min(end, len(days)); d++ {
				maxC = append(maxC, days[d].TmaxC)
				meanC = append(meanC, (days[d].TminC+days[d].TmaxC)/2)
			}
		}
		v.MaxC, v.MeanC = plan.RangeOf(maxC).P50, plan.RangeOf(meanC).P50
		n := 0
		for i := range members {
			if members[i].NectarDay > v.Day {
				n++
			}
		}
		v.NeededFrac = float64(n) / float64(len(members))
	}
}

// gatherFacts works out bloom, nectar and days without flight over the members.
func (y *Yard) gatherFacts(members []ensemble.Member) {
	o := y.Outlook
	n := len(members)
	bloom, nectar := make([]float64, n), make([]float64, n)
	still, spell := make([]float64, n), make([]float64, n)
	for i := range members {
		m := &members[i]
		bloom[i], nectar[i] = float64(m.BloomDay), float64(m.NectarDay)
		a, b := nonFlying(o.Springs[m.Spring].Days, y.Today, m.NectarDay)
		still[i], spell[i] = float64(a), float64(b)
	}
	y.Facts.Bloom, y.Facts.Nectar = dateRange(o, bloom), dateRange(o, nectar)
	y.Facts.NonFlying, y.Facts.ColdSpell = plan.RangeOf(still), plan.RangeOf(spell)
	for i := range o.Springs {
		sp := &o.Springs[i]
		nectarDay := colony.FlowDay(y.Springs.Forcing[i], sp.BloomDay, y.opt.Base)
		a, b := nonFlying(sp.Days, y.Today, nectarDay)
		y.Facts.Years = append(y.Facts.Years, plan.YearFact{Label: sp.Label, Bloom: o.Date(sp.BloomDay), Nectar: o.Date(nectarDay), NonFlying: a, LongSpell: b})
	}
}

// nonFlying counts the days on which bees cannot fly from one day to another,
// and their longest run.
func nonFlying(days []forage.Day, from, to int) (count, longest int) {
	run := 0
	for d := from; d < min(to, len(days)); d++ {
		if days[d].CanFly() {
			run = 0
			continue
		}
		count++
		run++
		longest = max(longest, run)
	}
	return count, longest
}

func dateRange(o *forage.Outlook, days []float64) plan.DateRange {
	r := plan.RangeOf(days)
	at := func(d float64) time.Time { return o.Date(int(math.Round(d))) }
	return plan.DateRange{P10: at(r.P10), P50: at(r.P50), P90: at(r.P90)}
}
