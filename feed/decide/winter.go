package decide

import (
	"math"

	"bloomgap/feed/schedule"
	"bloomgap/sim/colony"
)

// NeedKg is the stores that a cluster so many times as large must hold on the first day of
// its run to reach nectar in all but a share of springs without feed: what it held and
// what it lacked, which does not hang on what it held.
func (k *Case) NeedKg(times, exceptFrac float64) float64 {
	n := k.a.members
	kg := make([]float64, n)
	for m := range n {
		c := &k.a.cases[m]
		start := c.Start
		start.Bees, start.BroodCells, start.PollenG = start.Bees*times, start.BroodCells*times, start.PollenG*times
		o := k.w.runner.Run(c.Spring(), start, &colony.Treatment{}, 0, nil)
		kg[m] = math.Max(0, start.StoresKg+o.ShortKg)
	}
	return schedule.Quantile(kg, 1-exceptFrac)
}

// StarvedBy is the chance that the colony left alone has starved before a day of the
// outlook.
func (k *Case) StarvedBy(day int) float64 { return oddsOf(k.s, k.a).starvedBefore(k.w, day) }
