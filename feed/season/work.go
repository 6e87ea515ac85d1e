package season

import (
	"errors"
	"fmt"
	"time"

	"bloomgap/forage/read"
)

// Dusting is the preventive powder that a veterinarian prescribed for the
// colonies of a yard, and the day their honey supers go on. Label and
// prescription rule over all of it.
type Dusting struct {
	FirstRound       time.Time // day of the first round; zero = no dusting is planned
	Rounds           int       // rounds in all, 1-5; in a yard 0 = as in the settings
	DaysBetween      int       // days from round to round, 3-7; in a yard 0 = as in the settings
	SupersOn         time.Time // day the honey supers go on; zero = not known
	DaysBeforeSupers int       // days from the last round to the supers, 1-120; 0 = nobody has said; in a yard 0 = as in the settings
	GPerColony       float64   // powder that was prescribed for a colony and round, g, 0.5-500, as the keeper entered it; 0 = not entered; in a yard 0 = as in the settings
	None             bool      // a yard that is not dusted though the settings name a round
}

// DefaultDusting is what stands beside a first round when nothing else is said:
// three rounds five days apart (common practice). How long supers wait after the
// last round has no usual value: prescription and label rule, and residues of
// oxytetracycline dusted on in icing sugar were found in honey eight weeks after
// (Thompson et al. 2006, Apidologie 37:51), longer than the four weeks that common
// practice waits.
func DefaultDusting() Dusting {
	return Dusting{Rounds: 3, DaysBetween: 5}
}

// Bounds of the rounds of dusting: what prescriptions ask for (common practice)
// with some room about it.
const (
	mostRounds                    = 5          // rounds, usually 3
	leastRoundDays, mostRoundDays = 3, 7       // days from round to round, usually 4-7
	leastPowderG, mostPowderG     = 0.5, 500.0 // g a colony (own judgement: slips of the pen and the unit; no dose)
	mostSupersDays                = 120        // days from the last round to the supers (own judgement: twice the eight weeks of Thompson et al. 2006)
)

// Dates lists the days of all rounds, the past ones too; none when no dusting is
// planned.
func (d Dusting) Dates() []time.Time {
	if d.FirstRound.IsZero() || d.None {
		return nil
	}
	out := make([]time.Time, d.Rounds)
	for k := range out {
		out[k] = d.FirstRound.AddDate(0, 0, k*d.DaysBetween)
	}
	return out
}

// validate tells what is out of range.
func (d Dusting) validate() error {
	var errs []error
	if d.Rounds < 1 || d.Rounds > mostRounds {
		errs = append(errs, errors.New("the rounds of dusting must be 1 to 5"))
	}
	if d.DaysBetween < leastRoundDays || d.DaysBetween > mostRoundDays {
		errs = append(errs, errors.New("the rounds of dusting must lie 3 to 7 days apart"))
	}
	if d.DaysBeforeSupers < 0 || d.DaysBeforeSupers > mostSupersDays {
		errs = append(errs, errors.New("the last round of dusting must lie 1 to 120 days before the supers, or 0 when nobody has said"))
	}
	if d.GPerColony != 0 && !(d.GPerColony >= leastPowderG && d.GPerColony <= mostPowderG) {
		errs = append(errs, errors.New("the powder prescribed for a colony must lie from 0.5 to 500 g, or be 0 when nobody has entered it"))
	}
	return errors.Join(errs...)
}

// DustingAt is what holds for a yard: what its row says, and the settings where
// it says nothing.
func (s Settings) DustingAt(y *Yard) Dusting {
	d, own := s.Dusting, y.Dusting
	if !own.FirstRound.IsZero() {
		d.FirstRound = own.FirstRound
	}
	if own.Rounds > 0 {
		d.Rounds = own.Rounds
	}
	if own.DaysBetween > 0 {
		d.DaysBetween = own.DaysBetween
	}
	if !own.SupersOn.IsZero() {
		d.SupersOn = own.SupersOn
	}
	if own.DaysBeforeSupers > 0 {
		d.DaysBeforeSupers = own.DaysBeforeSupers
	}
	if own.GPerColony > 0 {
		d.GPerColony = own.GPerColony
	}
	d.None = own.None
	return d
}

// dusting reads the settings of the rounds. asked is the day the season is asked
// for.
func (r *settingsReader) dusting(d *Dusting, asked time.Time) {
	d.FirstRound = r.seasonDate("dusting_first_round", asked)
	d.SupersOn = r.seasonDate("supers_on", asked)
	whole := func(key string, lo, hi int, to *int) {
		if v, ok := r.whole(key, lo, hi); ok {
			*to = v
		}
	}
	whole("dusting_rounds", 1, mostRounds, &d.Rounds)
	whole("dusting_days_between", leastRoundDays, mostRoundDays, &d.DaysBetween)
	whole("days_before_supers", 1, mostSupersDays, &d.DaysBeforeSupers)
	if g, ok := r.number("dusting_g_per_colony", leastPowderG, mostPowderG); ok {
		d.GPerColony = g
	}
}

// seasonDate is a date that must lie in the season.
func (r *settingsReader) seasonDate(key string, asked time.Time) time.Time {
	d := r.date(key)
	if outOfSeason(d, asked) {
		r.add(key, fmt.Sprintf("%s = %s is not in this season", key, iso(d)), "correct the year, or leave it out")
		return time.Time{}
	}
	return d
}

// outOfSeason tells that a day lies so far from the day asked that the year must
// be wrong. An unknown day does not.
func outOfSeason(d, asked time.Time) bool {
	if d.IsZero() || asked.IsZero() {
		return false
	}
	away := days(asked, d)
	return away > mostBloomDays || away < -mostBloomDays
}

// dustingColumns are the columns of a yard that differs from the settings.
func dustingColumns() []read.Column {
	return []read.Column{
		{Name: "dusting_first_round", Aliases: []string{"first_round"}},
		{Name: "dusting_rounds"},
		{Name: "dusting_days_between"},
		{Name: "dusting_g_per_colony"},
		{Name: "supers_on"},
		{Name: "days_before_supers"},
	}
}

// dusting reads what a yard's row says of the rounds; 0 rounds leave it out.
func (l *loader) dusting(r read.Row, y *Yard) {
	date := func(col string) time.Time {
		d := r.Date(col)
		if outOfSeason(d, l.s.Today) {
			r.Problem(col, fmt.Sprintf("%s %s is not in this season", col, iso(d)), "correct the year, or leave it empty")
			return time.Time{}
		}
		return d
	}
	d := &y.Dusting
	rounds, said := r.Int("dusting_rounds", 0, mostRounds)
	d.Rounds, d.None = rounds, said && rounds == 0
	d.FirstRound, d.SupersOn = date("dusting_first_round"), date("supers_on")
	d.DaysBetween, _ = r.Int("dusting_days_between", leastRoundDays, mostRoundDays)
	d.DaysBeforeSupers, _ = r.Int("days_before_supers", 1, mostSupersDays)
	if g := r.FloatIn("dusting_g_per_colony", leastPowderG, mostPowderG); g > 0 {
		d.GPerColony = g
	}
	if d.None && !d.FirstRound.IsZero() {
		r.Warn("dusting_rounds", "a first round of dusting is given, but 0 rounds", "none is planned here; give the rounds, or leave the first one empty")
	}
}
