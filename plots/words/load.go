package words

import (
	"fmt"
	"time"

	"bloomgap/feed/plan"
)

// Load says what feed to take along to a yard on a day: the feedings of that day,
// syrup by ratio, then solid. Feedings that fewer than half the springs need are put
// behind, as so much more.
func Load(pl *plan.Plan, yard string, day time.Time, u Style) []string {
	type part struct{ sure, late float64 }
	var strengths []string
	syrup := map[string]*part{}
	var solid part
	put := func(p *part, v float64, late bool) {
		if late {
			p.late += v
		} else {
			p.sure += v
		}
	}
	for _, c := range pl.Colonies {
		if c.Yard != yard {
			continue
		}
		n := float64(c.Stands())
		for _, f := range c.Feedings {
			if !f.Date.Equal(day) {
				continue
			}
			if f.SyrupL > 0 {
				s := Strength(c.Strength)
				if syrup[s] == nil {
					strengths = append(strengths, s)
					syrup[s] = &part{}
				}
				put(syrup[s], n*f.SyrupL, f.OnlyIfLow)
			}
			put(&solid, n*f.SolidKg, f.OnlyIfLow)
		}
	}
	var out []string
	add := func(p part, write func(float64) string, what string) {
		switch {
		case p.sure > 0 && p.late > 0:
			out = append(out, fmt.Sprintf("%s of %s, and %s more for hives that are low", write(p.sure), what, write(p.late)))
		case p.sure > 0:
			out = append(out, fmt.Sprintf("%s of %s", write(p.sure), what))
		case p.late > 0:
			out = append(out, fmt.Sprintf("%s of %s for hives that are low", write(p.late), what))
		}
	}
	for _, s := range strengths {
		what := "syrup"
		if s != "" {
			what = s + " syrup"
		}
		add(*syrup[s], u.Volume, what)
	}
	add(solid, u.Mass, "solid sugar")
	return out
}
