package visits

import (
	"time"

	"bloomgap/feed/plan"
)

// Calendar lists what to do on each visit of a yard.
func (y *Yard) Calendar(cs []*plan.ColonyPlan) []plan.Visit {
	var out []plan.Visit
	for k := range y.Visits {
		v := plan.Visit{Date: y.Visits[k].Date}
		if k == 0 {
			for _, c := range cs {
				if c.Verdict == plan.Dead {
					v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, Colonies: many(c), What: plan.SeeDead{By: y.tasks.fly}})
				}
			}
		}
		v.Tasks = append(v.Tasks, y.workTasks(k, cs)...)
		for _, c := range cs {
			for _, f := range c.Feedings {
				if f.Date.Equal(v.Date) {
					v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, Colonies: many(c), What: giving(&f, c)})
				}
			}
			if k == 0 && c.Confidence.WeighFirst {
				v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, Colonies: many(c), What: plan.WeighHive{}})
			} else if k == 0 && c.Verdict == plan.Watch {
				v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, Colonies: many(c), What: plan.HeftAgain{}})
			}
		}
		if len(v.Tasks) > 0 {
			out = append(out, v)
		}
	}
	return append(out, y.lateRounds(cs)...)
}

// many is how many colonies a tally stands for; 0 for one colony.
func many(c *plan.ColonyPlan) int {
	if c.Tally == nil {
		return 0
	}
	return c.Tally.Colonies
}

// giving is a feeding as a task.
func giving(f *plan.Feeding, c *plan.ColonyPlan) plan.Note {
	if f.SolidKg > 0 {
		return plan.GiveSolid{SolidKg: f.SolidKg, If: lineOf(f)}
	}
	return plan.GiveSyrup{SyrupL: f.SyrupL, Strength: c.Strength, Feeder: c.Choice.Feeder, If: lineOf(f)}
}

// lineOf is the line by which a feeding is given.
func lineOf(f *plan.Feeding) plan.FeedLine {
	switch {
	case f.UnderKg == 0 && f.OnlyIfLow:
		return plan.FeedLine{NeededFrac: f.NeededFrac}
	case f.UnderKg == 0:
		return plan.FeedLine{}
	}
	return plan.FeedLine{UnderKg: f.UnderKg, UnderGrossKg: f.UnderGrossKg, UnderHeft: f.UnderHeft, NeededFrac: f.NeededFrac}
}

// Flying is the day by which bees have flown since the day of the plan in half the
// springs; zero when there is none.
func (y *Yard) Flying() time.Time { return y.tasks.fly }

// Dusted tells that rounds of preventive dusting are planned.
func (y *Yard) Dusted() bool { return len(y.tasks.rounds) > 0 }
