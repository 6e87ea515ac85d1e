package report

import (
	"errors"
	"math"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/plots"
)

// Sizes of the charts on a page, cm: narrow enough that letters stay readable
// where a phone shows them 9 to 10 cm wide.
const (
	chartCm = 11.0
	gridCm  = 14.0
)

// gridRows is the number of colonies on one picture of the grid, so that each
// fits a printed page; own choice, 20-45.
const gridRows = 40

// DrawCharts are the charts of package plots in the units of the reader.
func DrawCharts(us bool) Charts {
	look := func(p *plan.Plan) plots.Look {
		l := plots.LookOf(*p)
		l.Units, l.Source = plots.Metric, "" // the page itself tells the source once
		if us {
			l.Units = plots.US
		}
		return l
	}
	return Charts{
		Grid: func(p *plan.Plan) ([]string, error) {
			if len(p.Colonies) == 0 {
				return nil, nil
			}
			var out []string
			for _, c := range plots.RiskGridPages(*p, look(p), gridRows) {
				svg, err := drawn(c, gridCm)
				if err != nil {
					return nil, err
				}
				out = append(out, svg)
			}
			return out, nil
		},
		Order: func(p *plan.Plan) (string, error) {
			if p.Order.Colonies == 0 {
				return "", nil
			}
			return drawn(plots.OrderChart(*p, look(p)), chartCm)
		},
		Map: func(p *plan.Plan) (string, error) {
			known := 0
			for _, y := range p.Yards {
				if !math.IsNaN(y.LatDeg) && !math.IsNaN(y.LonDeg) {
					known++
				}
			}
			if known < 2 { // one disc alone is no map
				return "", nil
			}
			c, err := plots.YardMap(*p, look(p))
			if errors.Is(err, plots.ErrNoCoordinates) {
				return "", nil
			}
			if err != nil {
				return "", err
			}
			return drawn(c, chartCm)
		},
		Springs: func(p *plan.Plan, y *plan.YardPlan) (string, error) {
			if len(y.Years) == 0 {
				return "", nil
			}
			return drawn(plots.SpringsChart(y.Years, look(p)), chartCm)
		},
		Stores: func(p *plan.Plan, c *plan.ColonyPlan, d *plan.Detail) (string, error) {
			return drawn(plots.StoresChart(*d, look(p)), chartCm)
		},
		Risk: func(p *plan.Plan, c *plan.ColonyPlan, d *plan.Detail) (string, error) {
			return drawn(plots.RiskChart(*d, p.AcceptPct, look(p)), chartCm)
		},
		Bees: func(p *plan.Plan, c *plan.ColonyPlan, d *plan.Detail) (string, error) {
			return drawn(plots.BeesChart(*d, c.Supplement, look(p)), chartCm)
		},
	}
}

func drawn(c *plots.Chart, widthCm float64) (string, error) {
	var b strings.Builder
	err := c.Write(&b, "svg", widthCm, 0)
	return b.String(), err
}
