package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/plots/words"
)

// askFlags are what is asked beside the plan, and what is named with it.
type askFlags struct {
	words     []string
	options   feed.AskOptions
	unwrapOn  string
	heft      string // of the neighbour
	colonies  []string
	questions []plan.Question
	trips     map[string]float64 // what trips cost to yards with a price of their own, where the settings' prices serve
	typical   func() bool        // whether the neighbour is told by its seams or heft
}

// names are the flags of questions, for the groups of the help.
func (*askFlags) names() []string {
	return []string{"ask", "shift-days", "unwrap-on", "unwrap-kg", "weak-bees", "neighbour", "neighbour-seams", "neighbour-heft", "lost", "of",
		"currency", "price-colony", "price-sugar", "price-trip", "trip-hives", "price-day", "price-scale"}
}

func (a *askFlags) register(f *pflag.FlagSet) {
	a.options = feed.DefaultAskOptions()
	a.typical = func() bool { return f.Changed("neighbour-seams") || f.Changed("neighbour-heft") }
	o := &a.options
	f.StringSliceVar(&a.words, "ask", nil, "answer this question in place of the plan: "+questionWords())
	f.IntVar(&o.ShiftDays, "shift-days", o.ShiftDays, "for --ask late and early: days that the spring comes later or earlier")
	f.Float64Var(&o.WeakBees, "weak-bees", o.WeakBees, "for --ask unite: bees under which a colony is too weak")
	f.StringVar(&o.With, "neighbour", "", "for --ask unite: name of the colony of the same yard to unite it with, by its last look")
	f.Float64Var(&o.Neighbour.Seams, "neighbour-seams", o.Neighbour.Seams, "for --ask unite: seams of bees of the colony to unite it with")
	f.StringVar(&a.heft, "neighbour-heft", o.Neighbour.Heft.String(), "for --ask unite: how that one hefts: light, fair or heavy")
	p := &o.Prices
	f.StringVar(&p.Currency, "currency", "", "for --ask worth: your word for money")
	f.Float64Var(&p.Colony, "price-colony", 0, "for --ask worth: a colony alive at nectar")
	f.Float64Var(&p.SugarPerKg, "price-sugar", 0, "for --ask worth: a kg of sugar")
	f.Float64Var(&p.Trip, "price-trip", 0, "for --ask worth: a trip to the yard")
	f.IntVar(&p.TripHives, "trip-hives", p.TripHives, "for --ask worth: hives that a trip serves")
	f.Float64Var(&p.Day, "price-day", 0, "for --ask worth: a day of work")
	f.Float64Var(&p.Scale, "price-scale", 0, "for --ask worth: a scale")
	f.IntVar(&o.Lost, "lost", 0, "for --ask dead: colonies lost this winter, together with --of")
	f.IntVar(&o.Of, "of", 0, "for --ask dead: how many there were before it")
	f.StringVar(&a.unwrapOn, "unwrap-on", "", "for --ask unwrap: day the wrap would come off (default: the next visit)")
	f.Float64Var(&o.UnwrapKg, "unwrap-kg", o.UnwrapKg, "for --ask unwrap: food that it may cost, kg")
}

// read reads the words of the questions and what is named with them.
func (a *askFlags) read() error {
	for _, word := range a.words {
		q, err := plan.ParseQuestion(strings.ToLower(strings.TrimSpace(word)))
		if err != nil {
			return usageError{fmt.Errorf("--ask %q is not known; write one of: %s", word, questionWords())}
		}
		a.questions = append(a.questions, q)
	}
	heft, known := season.ParseHeft(strings.ToLower(strings.TrimSpace(a.heft)))
	if !known {
		return usageError{fmt.Errorf("--neighbour-heft %q is not known; write light, fair or heavy", a.heft)}
	}
	a.options.Neighbour.Heft = heft
	if a.options.With = strings.TrimSpace(a.options.With); a.options.With != "" {
		switch {
		case !slices.Contains(a.questions, plan.AskUnite):
			return usageError{errors.New("--neighbour is for --ask unite; ask that, or leave it out")}
		case a.typical():
			return usageError{errors.New("--neighbour names a colony that was looked at; leave out --neighbour-seams and --neighbour-heft")}
		}
	}
	if a.unwrapOn != "" {
		var err error
		if a.options.UnwrapOn, err = parseDay("--unwrap-on", a.unwrapOn); err != nil {
			return err
		}
	}
	if err := a.options.Validate(); err != nil {
		return usageError{err}
	}
	return nil
}

// price takes the prices of the settings where no flag names one. A question of prices
// without any is refused.
func (a *askFlags) price(s *season.Season) error {
	if a.options.Prices == season.DefaultPrices() {
		a.options.Prices, a.trips = s.Settings.Prices, season.TripPrices(s.Yards)
	}
	if slices.Contains(a.questions, plan.AskWorth) && !a.options.Prices.Given() {
		where := ""
		if s.Dir != "" {
			where = ", or write them in settings.toml under [prices]"
		}
		return usageError{fmt.Errorf("--ask worth: %w; give --price-colony, and --price-sugar or --price-trip%s", feed.ErrNoPrices, where)}
	}
	return nil
}

// of answers the questions of the colonies of a plan that are asked about: those named, or
// the only one.
func (a *askFlags) of(ctx context.Context, planner *feed.Planner, pl *plan.Plan) (out []plan.Asked, err error) {
	asked := 0
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		if len(pl.Colonies) > 1 && !slices.ContainsFunc(a.colonies, func(name string) bool { return strings.EqualFold(strings.TrimSpace(name), c.Colony) }) {
			continue
		}
		asked++
		opt := a.options
		if trip, own := a.trips[c.Yard]; own {
			opt.Prices.Trip = trip
		}
		for _, q := range a.questions {
			answer, ok, err := planner.Ask(ctx, c, q, opt)
			var none *feed.NoNeighbourError
			if errors.As(err, &none) {
				return nil, usageError{fmt.Errorf("--neighbour: %w", err)}
			}
			if err != nil {
				return nil, err
			}
			if !ok {
				return nil, usageError{fmt.Errorf("--ask: colony %s of %s is dead or was not looked at; nothing can be said of it", words.Clean(c.Colony), words.Clean(c.Yard))}
			}
			out = append(out, answer)
		}
	}
	if asked == 0 && len(a.questions) > 0 {
		return nil, usageError{errors.New("--ask: no colony of this plan is meant; name one with --colony, and its yard with --yard")}
	}
	return out, nil
}

// questionWords lists the words of --ask.
func questionWords() string {
	var list []string
	for _, q := range plan.Questions() {
		list = append(list, q.String())
	}
	return strings.Join(list, ", ")
}
