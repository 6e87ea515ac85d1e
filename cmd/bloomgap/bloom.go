package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"bloomgap/feed/season"
	"bloomgap/forage/bloom"
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
)

func newBloomCmd(c *console) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bloom",
		Short: "When plants bloom: this season's dates, and rules fitted to your own notes",
		Example: `  bloomgap bloom plants
  bloomgap bloom fit my-dandelions.csv station.csv
  bloomgap bloom forecast --lat 45.3 --lon -72.9 --weather station.csv`,
		Args: exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return usageError{fmt.Errorf("%s: name one of fit, forecast and plants", cmd.CommandPath())}
		},
	}
	cmd.AddCommand(newBloomFitCmd(c), newBloomForecastCmd(c), newBloomPlantsCmd(c))
	return cmd
}

func newBloomPlantsCmd(c *console) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "plants",
		Short:   "List the built-in bloom rules with their sources",
		Example: "  bloomgap bloom plants",
		Args:    exactly(0),
		RunE: func(*cobra.Command, []string) error {
			if asJSON {
				return writeJSON(c.out, newPlantDocs(bloom.Builtin()))
			}
			var p terminal.Page
			printPlants(&p, bloom.Builtin())
			return p.Flush(c.out)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	return cmd
}

func printPlants(p *terminal.Page, list []bloom.Threshold) {
	p.Heading("Built-in bloom rules: warmth above a base, added up from a day")
	var rows [][]string
	var sources []string
	for _, th := range list {
		n := slices.Index(sources, th.Source)
		if n < 0 {
			n = len(sources)
			sources = append(sources, th.Source)
		}
		rows = append(rows, []string{plantName(&th), th.Form, th.Role.String(), tenth(th.BaseC), startDay(th.StartDOY), tenth(th.NeedCd),
			tenth(th.SpreadDays) + map[bool]string{true: "*"}[th.SpreadStatus == bloom.Chosen], fmt.Sprintf("%d, %s", n+1, th.Status)})
	}
	p.Grid([]terminal.Column{terminal.Left("Plant", 14), terminal.Left("Rule", 19), terminal.Left("Worth", 0), terminal.Right("Base,\nC", 0),
		terminal.Right("From", 0), terminal.Right("Sum,\nC-days", 0), terminal.Right("+- days", 0), terminal.Left("Source", 0)}, rows)
	p.Line("* chosen here, not published.")
	p.Line("The grassland sum counts January by a half and February by three quarters. The base 50 F rule raises the day's lowest to the base. " +
		"Trees of a kind differ among themselves by about a week. +- days is that of the place the rule comes from; elsewhere it is taken wider.")
	p.Heading("Sources")
	for i, s := range sources {
		p.Item("%d: %s", i+1, s)
	}
	p.Heading("What to know before trusting one")
	for _, th := range list {
		if th.Note != "" {
			p.Item("%s, %s: %s.", plantName(&th), th.Form, strings.TrimRight(th.Note, "; ."))
		}
	}
}

// plantDoc is a built-in rule as JSON.
type plantDoc struct {
	Plant        string    `json:"plant"`
	Stage        string    `json:"stage,omitempty"`
	Rule         string    `json:"rule"`
	Worth        string    `json:"worth"`
	BaseC        files.Num `json:"base_c"`
	Start        string    `json:"start"`
	NeedCd       files.Num `json:"need_c_days"`
	SpreadDays   files.Num `json:"spread_days"`
	SpreadStatus string    `json:"spread_status"`
	Source       string    `json:"source"`
	Status       string    `json:"status"`
	Note         string    `json:"note,omitempty"`
}

func newPlantDocs(list []bloom.Threshold) []plantDoc {
	var out []plantDoc
	for _, th := range list {
		out = append(out, plantDoc{th.Plant, string(th.Stage), th.Form, th.Role.String(), files.Num(th.BaseC), season.StartText(th.StartDOY), files.Num(th.NeedCd),
			files.Num(th.SpreadDays), string(th.SpreadStatus), th.Source, string(th.Status), th.Note})
	}
	return out
}
