package report

import (
	"html/template"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/plots"
)

// Sizes of the charts on a page, cm: narrow enough that letters stay readable
// where a phone shows them 9 to 10 cm wide.
const (
	chartCm = 11.0
	gridCm  = 12.0
)

// gridRows is the number of colonies on one picture of the grid, so that each
// fits a printed page; own choice, 20-45.
const gridRows = 40

// look is that of the charts of a page, which tells the source once itself.
func look(p *plan.Plan, us bool) plots.Look {
	l := plots.LookOf(*p)
	l.Units, l.Source = plots.Metric, ""
	if us {
		l.Units = plots.US
	}
	return l
}

// ofColony makes a chart of a colony one of a page; nil is none.
func ofColony(us bool, chart func(*plan.Plan, *plan.ColonyPlan, plan.Detail, plots.Look) *plots.Chart) ColonyChart {
	return func(p *plan.Plan, c *plan.ColonyPlan, d *plan.Detail) (string, error) {
		if pic := chart(p, c, *d, look(p, us)); pic != nil {
			return drawn(pic, chartCm)
		}
		return "", nil
	}
}

// DrawCharts are the charts of package plots in the units of the reader.
func DrawCharts(us bool) Charts {
	return Charts{
		Grid: func(p *plan.Plan) ([]string, error) {
			if len(p.Colonies) == 0 {
				return nil, nil
			}
			grid, err := drawnAll(gridCm, plots.RiskGridPages(*p, look(p, us), gridRows)...)
			if err != nil {
				return nil, err
			}
			visits, err := drawn(plots.VisitsChart(*p, look(p, us)), chartCm)
			return append(grid, visits), err
		},
		Order: func(p *plan.Plan) (string, error) {
			if p.Order.Colonies == 0 {
				return "", nil
			}
			return drawn(plots.OrderChart(*p, look(p, us)), chartCm)
		},
		Map: func(p *plan.Plan) (string, error) {
			if !plots.MapSays(*p) {
				return "", nil
			}
			c, err := plots.YardMap(*p, look(p, us))
			if err != nil {
				return "", err
			}
			return drawn(c, chartCm)
		},
		Yard: func(p *plan.Plan, y *plan.YardPlan) ([]string, error) {
			l := look(p, us)
			charts := []*plots.Chart{plots.RankChart(*p, y.Name, l), plots.NeedChart(*p, y.Name, l)}
			if len(y.Years) > 0 {
				charts = append(charts, plots.SpringsChart(*y, l))
			}
			return drawnAll(chartCm, charts...)
		},
		Stores: ofColony(us, func(p *plan.Plan, c *plan.ColonyPlan, d plan.Detail, l plots.Look) *plots.Chart {
			return plots.StoresChart(d, l)
		}),
		Risk: ofColony(us, func(p *plan.Plan, c *plan.ColonyPlan, d plan.Detail, l plots.Look) *plots.Chart {
			return plots.RiskChart(d, p.AcceptPct, l)
		}),
		Bees: ofColony(us, func(p *plan.Plan, c *plan.ColonyPlan, d plan.Detail, l plots.Look) *plots.Chart {
			return plots.BeesChart(d, c.Supplement, l)
		}),
		Sugar: ofColony(us, sugar), Start: ofColony(us, start), Gain: ofColony(us, gain),
	}
}

// AskedCharts are the pictures that belong to an answer, those of package plots in the
// units of the reader, fit for a page.
func AskedCharts(p *plan.Plan, a *plan.Asked, us bool) ([]template.HTML, error) {
	if len(a.Springs) == 0 {
		return nil, nil
	}
	out := make([]template.HTML, 1)
	return out, put(&out[0])(drawn(plots.MovedChart(*p, *a, look(p, us)), chartCm))
}

func sugar(p *plan.Plan, _ *plan.ColonyPlan, d plan.Detail, l plots.Look) *plots.Chart {
	if len(d.BySugar) == 0 {
		return nil
	}
	return plots.SugarChart(d, p.AcceptPct, l)
}

func start(p *plan.Plan, _ *plan.ColonyPlan, d plan.Detail, l plots.Look) *plots.Chart {
	if len(d.ByStart) == 0 {
		return nil
	}
	return plots.StartChart(d, p.AcceptPct, l)
}

func gain(_ *plan.Plan, c *plan.ColonyPlan, d plan.Detail, l plots.Look) *plots.Chart {
	if !c.Supplement.Considered {
		return nil
	}
	return plots.GainChart(d, c.Supplement, l)
}

func drawnAll(widthCm float64, charts ...*plots.Chart) ([]string, error) {
	var out []string
	for _, c := range charts {
		svg, err := drawn(c, widthCm)
		if err != nil {
			return nil, err
		}
		out = append(out, svg)
	}
	return out, nil
}

func drawn(c *plots.Chart, widthCm float64) (string, error) {
	var b strings.Builder
	err := c.Write(&b, "svg", widthCm, 0)
	return b.String(), err
}
