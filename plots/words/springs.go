package words

import (
	"fmt"
	"strings"

	"bloomgap/feed/plan"
)

// springs renders what is answered of late and early springs.
func springs(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.SpringMoved:
		return u.springMoved(&x), true
	case plan.SpringThirds:
		said := func(frac, fed, kg float64) string {
			if !x.Feeds {
				return Share(frac)
			}
			return fmt.Sprintf("%s left alone, %s fed (%s)", Share(frac), Share(fed), u.Mass(kg))
		}
		return fmt.Sprintf("Of the simulated springs as they are, the latest third (nectar about %s) starve it in %s; the earliest (%s) in %s.",
			u.ShortDay(x.LateNectar), said(x.LateFrac, x.LateFed, x.LateKg), u.ShortDay(x.EarlyNectar), said(x.EarlyFrac, x.EarlyFed, x.EarlyKg)), true
	case plan.SpringWeek:
		return fmt.Sprintf("Why: it eats about %s of stores a week until nectar, less what early forage brings.", u.Mass(x.KgPerWeek)), true
	case plan.SpringLook:
		return fmt.Sprintf("Nobody knows yet which spring it will be: look again on %s and plan anew.", u.Day(x.Next)), true
	}
	return "", false
}

// moved is "two weeks late", "10 days early".
func moved(laterDays int) string {
	word := "late"
	if laterDays < 0 {
		laterDays, word = -laterDays, "early"
	}
	switch laterDays {
	case 7:
		return "one week " + word
	case 14:
		return "two weeks " + word
	}
	return Count(laterDays, "day", "days") + " " + word
}

func (u Style) springMoved(x *plan.SpringMoved) string {
	verdict := x.Verdict.String()
	if x.Verdict == x.PlainVerdict {
		verdict = "still " + verdict
	} else {
		verdict += ", where the plain answer is " + x.PlainVerdict.String()
	}
	against := ", not " + Share(x.PlainRiskFrac)
	if Share(x.RiskFrac) == Share(x.PlainRiskFrac) {
		against = " either way"
	}
	text := fmt.Sprintf("%s (nectar about %s, not %s): %s. Left alone it starves in %s of springs%s.", Title(moved(x.LaterDays)), u.ShortDay(x.Nectar),
		u.ShortDay(x.PlainNectar), verdict, Share(x.RiskFrac), against)
	if x.SugarKg == 0 {
		return text
	}
	text += fmt.Sprintf(" On average %s of sugar", u.Mass(x.SugarKg))
	if x.PlainSugarKg > 0 {
		text += fmt.Sprintf(", not %s", u.Mass(x.PlainSugarKg))
	}
	text += fmt.Sprintf("; fed so, %s starve it", Share(x.FedFrac))
	if x.PlainSugarKg > 0 {
		text += fmt.Sprintf(", by today's lines %s", Share(x.ByPlainFrac))
	}
	text += "."
	first := func(solid, syrup float64) string {
		var parts []string
		if solid > 0 {
			parts = append(parts, u.Mass(solid)+" solid")
		}
		if syrup > 0 {
			parts = append(parts, u.Volume(syrup)+" of syrup")
		}
		return strings.Join(parts, " and ")
	}
	now, plain := first(x.SolidKg, x.SyrupL), first(x.PlainSolidKg, x.PlainSyrupL)
	same := now == plain && x.StartBy.Equal(x.PlainStartBy)
	if !x.StartBy.IsZero() {
		now += " by " + u.Day(x.StartBy)
	}
	if same {
		return text + " The first feeding stays as it is: " + now + "."
	}
	if !x.PlainStartBy.IsZero() && !x.PlainStartBy.Equal(x.StartBy) {
		plain += " by " + u.Day(x.PlainStartBy)
	}
	text += " First feeding: " + now
	if plain != "" {
		text += ", not " + plain
	}
	return text + "."
}
