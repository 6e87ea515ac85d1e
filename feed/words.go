package feed

import (
	"fmt"
	"math"
	"time"

	"bloomgap/feed/season"
	"bloomgap/forage/read"
)

// words writes amounts in the units the reader asked for.
type words struct{ us bool }

func (w words) amount(value float64, metric, format string) string {
	from := read.OutputUnit(metric, false)
	to := read.OutputUnit(metric, w.us)
	return fmt.Sprintf(format+" %s", read.Convert(value, from, to), to.Name)
}

func (w words) kg(kg float64) string { return w.amount(kg, "kg", "%.1f") }
func (w words) litres(l float64) string {
	if w.us { // a fill is a small part of a gallon
		return w.amount(l, "L", "%.2f")
	}
	return w.amount(l, "L", "%.1f")
}

func (w words) temp(c float64) string { return w.amount(c, "C", "%.0f") }

func (w words) kgRange(r Range) string {
	from, to := read.OutputUnit("kg", false), read.OutputUnit("kg", w.us)
	at := func(kg float64) float64 { return read.Convert(kg, from, to) }
	return fmt.Sprintf("%.1f %s (%.1f-%.1f)", at(r.P50), to.Name, at(r.P10), at(r.P90))
}

func day(t time.Time) string { return t.Format("2 Jan") }

func days(r DateRange) string {
	return fmt.Sprintf("%s (%s to %s)", day(r.P50), day(r.P10), day(r.P90))
}

func percent(f float64) string {
	switch {
	case f > 0 && f < 0.005:
		return "under 1 %"
	case f < 1 && f > 0.995:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*f)
}

// reason tells in plain words why a colony gets its verdict.
func reason(s *subject, out *ColonyPlan, w *worker) string {
	set := &w.p.season.Settings
	wd := words{set.UnitsUS}
	n := out.Members
	perWeek := 7 * w.rangeOf(w.alone.needPerDay[:n]).P50
	saw := fmt.Sprintf("Food %s on %s%s: about %s for some %.0f bees.", s.obs.Food.Kind, day(s.obs.Date), looks(s), wd.kgRange(out.StoresKg), round(out.Bees.P50, 100))
	until := fmt.Sprintf("Nectar can be counted on from %s; until then it needs about %s a week.", days(out.Nectar), wd.kg(perWeek))
	var verdict string
	switch out.Verdict {
	case Feed:
		verdict = fmt.Sprintf("Left alone it starves before nectar in %s of springs", percent(out.Risk.Frac))
		if !out.StarveDate.IsZero() {
			verdict += fmt.Sprintf(", the first %s of them by %s", percent(set.AcceptRiskFrac), day(out.StarveDate))
		}
		verdict += fmt.Sprintf("; %s is accepted. With the plan %s remain.", percent(set.AcceptRiskFrac), percent(out.RiskFed.Frac))
		if n := len(out.Fills); n > 0 && out.Fills[0].SolidKg > 0 {
			verdict += " It begins with solid feed, since syrup is not taken in such cold."
		}
		verdict += " Once begun, go on until nectar comes: what was given is eaten."
	case Watch:
		verdict = fmt.Sprintf("Left alone it starves in %s of springs, which is accepted", percent(out.Risk.Frac))
		if !out.ReserveDate.IsZero() {
			verdict += fmt.Sprintf(", but its stores pass under the reserve of %s about %s", wd.kg(set.ReserveKg), day(out.ReserveDate))
		} else {
			verdict += ", but not by much"
		}
		verdict += ". Look again at the next visit."
	default:
		verdict = fmt.Sprintf("Left alone it starves in %s of springs and holds the reserve of %s in most.", percent(out.Risk.Frac), wd.kg(set.ReserveKg))
	}
	out.Surety.Words = suretyWords(s, out, wd)
	return saw + " " + until + " " + verdict
}

// looks tells of the looks before the last one.
func looks(s *subject) string {
	switch n := len(s.looks) - 1; {
	case n < 1:
		return ""
	case n == 1:
		return ", and once before"
	default:
		return fmt.Sprintf(", and %d times before", n)
	}
}

// suretyWords says whether weighing would change the answer.
func suretyWords(s *subject, out *ColonyPlan, wd words) string {
	u := &out.Surety
	line := fmt.Sprintf("needs no feed from about %s of stores on %s up", wd.kg(u.NeedStoresKg), day(s.obs.Date))
	if !math.IsNaN(u.NeedGrossKg) {
		line += fmt.Sprintf(" (about %s on a scale under the whole hive)", wd.kg(u.NeedGrossKg))
	}
	if u.WeighFirst {
		return fmt.Sprintf("Weigh it: if it is as light as it may be the risk is %s, if as heavy %s. It %s.",
			percent(u.RiskIfLightly), percent(u.RiskIfHeavily), line)
	}
	if s.obs.Food.Kind == season.FoodGross || s.obs.Food.Kind == season.FoodLiftBoth {
		return fmt.Sprintf("It was weighed. It %s.", line)
	}
	return fmt.Sprintf("Weighing would hardly change the answer. It %s.", line)
}

func round(x, step float64) float64 { return math.Round(x/step) * step }

// Cautions are the usual ones; they defer to label, prescription, inspector and
// local law.
func Cautions() []string {
	return []string{
		"Look for disease before feeding, uniting or clearing: suspected foulbrood is notifiable in most places; call the bee inspector and move nothing.",
		"White sugar only. Never honey of unknown origin, brown sugar or molasses. Do not boil or acidify syrup: the products of burnt sugar kill bees.",
		"Hot syrup burns. Let it cool to hand warmth before it is carried or given.",
		"A full deep box weighs 36-41 kg (80-90 lb): lift with two people or an aid, or take frames out first.",
		"Feed inside the hive, in the evening, entrance reduced, nothing spilt. Feeding in the open feeds strangers, starts robbing and spreads disease.",
		"No syrup with honey supers on. Drugs only by label and veterinary prescription; local law and the inspector rule over this plan.",
		"Stores of a dead colony are not feed until it is known why it died.",
	}
}

// LeftOut is what the model leaves out, for the foot of a plan.
func LeftOut() []string {
	return []string{
		"queens that fail, disease, mites and poisoning, except as they hide in the spread of bee mortality",
		"robbing, drifting, wind, sunshine, snow and the site's own climate",
		"the brood a hungry colony gives up before it dies: the need shown is that of a colony kept growing",
		"colonies under about 2,000 bees, where the figures behind the heat balance end",
	}
}
