package plantest

import (
	"strings"

	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/syrup"
)

// Nasty draws text as a season folder may hold it.
func Nasty() *rapid.Generator[string] {
	parts := []string{"=1+1", "+cmd", "-2+3", "@SUM(A1)", "<script>alert(1)</script>", "</td>", "&amp;", `"`, "'", "\n", "\r\n", "\t", "\x00", "\x1b[31m", "\u202e", "\u200b", "\xff", "é", "蜂", "🐝", ",", ";", "%s%d",
		"a_long_word_without_any_break_that_runs_on_and_on_and_on_and_on_and_on_and_on_and_on_and_on_and_on_and_on", "=HYPERLINK(\"x\")", " ", "{{.}}", "－1"}
	return rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(rapid.OneOf(rapid.SampledFrom(parts), rapid.StringN(0, 12, 40)), 0, 5).Draw(t, "parts"), "")
	})
}

// NastyPlan is Plan with other text wherever text can come from a season folder.
func NastyPlan(t *rapid.T) *plan.Plan {
	p := Plan()
	g := Nasty()
	names := map[string]string{}
	yard := func(s string) string {
		if _, ok := names[s]; !ok {
			names[s] = g.Draw(t, "yard")
		}
		return names[s]
	}
	for i := range p.Yards {
		y := &p.Yards[i]
		y.Name = yard(y.Name)
		y.Weather = plan.WeatherSource{Record: g.Draw(t, "record"), Generated: 3, Climate: g.Draw(t, "climate"), Plant: g.Draw(t, "plant")}
		y.Warnings = []plan.Note{plan.NoRecord{Climate: g.Draw(t, "warning"), Credit: g.Draw(t, "credit")}}
		for v := range y.Visits {
			for k := range y.Visits[v].Tasks {
				y.Visits[v].Tasks[k] = plan.Task{Colony: g.Draw(t, "colony"), What: plan.GiveSyrup{SyrupL: 1, Strength: syrup.Strength{MassFrac: 0.6, Label: g.Draw(t, "task")}}}
			}
		}
		for k := range y.Dead {
			y.Dead[k] = g.Draw(t, "dead")
		}
	}
	for i := range p.Colonies {
		c := &p.Colonies[i]
		c.Yard, c.Colony = yard(c.Yard), g.Draw(t, "colony")
		c.Warnings = []plan.Note{plan.LooksUnused{Problem: g.Draw(t, "problem")}}
		if !c.Strength.IsZero() {
			c.Strength = syrup.Strength{MassFrac: 0.6, Label: g.Draw(t, "label")}
		}
	}
	p.Cautions = append(p.Cautions, plan.ModelChanged{Parameters: []plan.ChangedParameter{{Name: g.Draw(t, "parameter"), Value: 1, Usual: 2, Unit: "kg"}}})
	return p
}
