package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/plots/files"
	"bloomgap/plots/report"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

// cardOptions are the flags of the command card.
type cardOptions struct {
	cells   []*hiveFlag
	units   string
	yards   []string
	judged  string
	today   string
	out     []string
	json    bool
	force   bool
	confirm confirmFlag
}

// cardCells are the flags of hive that say where hives stand and how they are built.
func cardCells() []*hiveFlag {
	return slices.DeleteFunc(hiveFlags(), func(f *hiveFlag) bool {
		return !f.yard && !slices.Contains([]string{"boxes", "frames_per_box", "wrapped"}, f.column)
	})
}

func newCardCmd(c *console) *cobra.Command {
	o := &cardOptions{cells: cardCells()}
	cmd := &cobra.Command{
		Use:   "card [FOLDER]",
		Short: "Print a card that decides at the hive: feed if under, give so much",
		Long: `Card makes one page for each yard of a season folder, or for a place given by
flags: rows are seams of bees, columns the visits ahead, and each cell says under
what weight, lift, frames of food or heft a hive is fed on that day, and what it
gets. It is for yards where you heft and decide on the spot. The lines are found
as those of a plan, for hives that nobody has looked at yet. The files of --out
are written by their endings: .pdf, .html, .csv or .json.`,
		Example: "  bloomgap card my-spring\n  bloomgap card my-spring --yard \"Example Yard\" --judged lift-back --out card.pdf\n  bloomgap card --climate farnham --boxes \"2 deep\" --next-visit 2027-03-23",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usageError{fmt.Errorf("name one season folder, not %d", len(args))}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return runCard(cmd.Context(), c, o, args) },
	}
	f := cmd.Flags()
	registerHive(f, o.cells)
	f.StringVar(&o.today, "today", "", "day the card is made for, such as 2027-03-25, or now (default: the settings' or the clock's)")
	f.StringVar(&o.judged, "judged", "", "how you will judge food: "+judgedWords()+" (default: as most hives of the yard were)")
	f.StringVar(&o.units, "units", "", "metric or us: units of the answer (default: as the settings say)")
	f.StringArrayVar(&o.yards, "yard", nil, "make the card of this yard only; may be given several times")
	f.StringArrayVar(&o.out, "out", nil, "file to write the cards to: .pdf, .html, .csv or .json; may be given several times")
	f.BoolVar(&o.json, "json", false, "print the cards as JSON, in metric units")
	f.BoolVar(&o.force, "force", false, forceHelp)
	o.confirm.register(f)
	return cmd
}

// judgedWays are the ways of judging food by their word.
var judgedWays = []struct {
	word string
	kind season.FoodKind
}{{"scale", season.FoodGross}, {"lift-back", season.FoodLiftBack}, {"frames", season.FoodFrames}, {"heft", season.FoodHeft}}

func judgedWords() string {
	var list []string
	for _, w := range judgedWays {
		list = append(list, w.word)
	}
	return strings.Join(list, ", ")
}

// validate tells what of the call is off, and gives the way of judging food.
func (o *cardOptions) validate() (season.FoodKind, error) {
	if err := checkUnits(o.units); err != nil {
		return 0, err
	}
	for _, path := range o.out {
		if o.writer(path, nil, words.Style{}) == nil {
			return 0, usageError{fmt.Errorf("--out %q: its ending says what to write; end it in .pdf, .html, .csv or .json", path)}
		}
	}
	if o.judged == "" {
		return season.FoodUnknown, nil
	}
	for _, w := range judgedWays {
		if w.word == strings.ToLower(o.judged) {
			return w.kind, nil
		}
	}
	return 0, usageError{fmt.Errorf("--judged %q is not known; write one of: %s", o.judged, judgedWords())}
}

// writer writes cards in the form that the ending of a file asks for; nil for an ending
// that is not known.
func (o *cardOptions) writer(path string, cards []plan.Card, u words.Style) func(io.Writer) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".pdf":
		return func(w io.Writer) error { return report.WriteCardSheets(w, cards, u) }
	case ".html":
		return func(w io.Writer) error { return report.WriteCardsPage(w, cards, u) }
	case ".csv":
		return func(w io.Writer) error { return files.WriteCardsCSV(w, cards, u) }
	case ".json":
		return func(w io.Writer) error { return files.WriteCardsJSON(w, cards) }
	}
	return nil
}

// season reads the folder, or makes one hive of the flags.
func (o *cardOptions) season(c *console, args []string) (*season.Season, error) {
	confirmed, err := o.confirm.codes()
	if err != nil {
		return nil, err
	}
	yard, hive := map[string]string{}, map[string]string{}
	for _, f := range o.cells {
		switch {
		case strings.TrimSpace(f.value) == "":
		case len(args) > 0:
			return nil, usageError{fmt.Errorf("--%s is for a place without a folder; write it in the tables of %s", f.name, args[0])}
		case f.yard:
			yard[f.column] = f.value
		default:
			hive[f.column] = f.value
		}
	}
	if len(args) > 0 {
		day, err := c.dayNamed(o.today)
		if err != nil {
			return nil, err
		}
		s, ps := season.LoadAsked(args[0], c.today(), season.Asked{Day: day, Confirmed: confirmed})
		if err := ps.Err(); err != nil {
			return nil, err
		}
		c.warnBesidePlan(ps)
		return s, nil
	}
	if yard["climate"] == "" && yard["weather"] == "" && yard["lat"] != "" {
		yard["climate"] = "auto"
	}
	day, err := c.dayNamed(o.today)
	if err != nil {
		return nil, err
	}
	if day.IsZero() {
		day = c.today()
	}
	set := season.DefaultSettings()
	set.Confirmed = confirmed
	s, ps := season.OneHive(set, day, yard, hive)
	// What the hive holds is not asked here: the card is for any.
	return s, ps.Err()
}

func runCard(ctx context.Context, c *console, o *cardOptions, args []string) error {
	judged, err := o.validate()
	if err != nil {
		return err
	}
	s, err := o.season(c, args)
	if err != nil {
		return err
	}
	if o.units != "" {
		s.Settings.SetUnits(o.units == "us")
	}
	if len(o.yards) > 0 {
		if err := s.Keep(o.yards); err != nil {
			return usageError{fmt.Errorf("--yard: %w", err)}
		}
	}
	out, err := beginFiles(weatherFilesOf(s), o.force, o.out...)
	if err != nil {
		return err
	}
	defer out.Close()
	worlds, ps := visits.Worlds(s, readWeather)
	if s.Dir == "" {
		ps = season.InFlags(ps)
	}
	if err := ps.Err(); err != nil {
		return err
	}
	c.warn(ps)
	opt := feed.DefaultOptions(s.Settings)
	opt.Protein = false
	planner, err := feed.NewPlanner(s, worlds, opt)
	if err != nil {
		return err
	}
	cards, err := stoppable(ctx, func() ([]plan.Card, error) { return planner.Cards(ctx, judged) })
	if err != nil {
		return err
	}
	u := words.Style{US: s.Settings.UnitsUS}
	for _, path := range o.out {
		if err := writeAndSay(ctx, c, out, path, o.writer(path, cards, u)); err != nil {
			return err
		}
	}
	if o.json {
		return files.WriteCardsJSON(c.out, cards)
	}
	screen := terminal.DefaultScreen()
	screen.Words, screen.Colour = u, c.outIsTerminal && c.getenv("NO_COLOR") == ""
	return terminal.WriteCards(c.out, cards, screen)
}
