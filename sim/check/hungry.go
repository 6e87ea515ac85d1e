package check

import (
	"math"
	"time"

	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// A light colony of early spring, on which the two readings of hunger part.
const (
	lightBees, lightBeesSD = 8000.0, 0.25 // SD of the logarithm
	lightKg, lightKgSD     = 4.0, 2.0
	lightMost              = 30.0 // kg
)

// hungry are the rows on the second reading of hunger: brood cut back as stores
// fall (colony.Runner.SimulateHungry) beside a colony kept growing. No source
// gives either, so the rows hold only that the second is the milder one.
func (b *bench) hungry() []Row {
	var rows []Row
	for _, key := range []string{"farnham", "bern"} {
		s := b.sites[key]
		day := dayOf(time.March, 20)
		pl := ensemble.NewSpringEnsemble(s.outlook, ensemble.NewSharedDraws(b.base, b.opt.Members, b.opt.Seed, false), ensemble.SpringEnsembleOptions{ReadDay: -1})
		d := ensemble.NewSampler(pl)
		seen := &ensemble.InitialSpread{Day: day, BeesLogMu: math.Log(lightBees), BeesLogSD: lightBeesSD, BroodCells: math.NaN(),
			StoresKg: lightKg, StoresSDKg: lightKgSD, StoresMax: lightMost}
		var r colony.Runner
		var c ensemble.Realization
		var care colony.Treatment
		growing, cut := 0.0, 0.0
		for m := range b.opt.Members {
			b.opt.step()
			d.Realize(ensemble.KeyOf("hungry"), seen, m, &c)
			if r.Run(c.Spring(), c.Start, &care, 0, nil).StarveDay >= 0 {
				growing++
			}
			if r.SimulateHungry(c.Spring(), c.Start, &care, 0, nil).StarveDay >= 0 {
				cut++
			}
		}
		n := float64(b.opt.Members)
		rows = append(rows, Row{Use: Identity, Quantity: "chance that food ends, brood cut back as stores fall", Unit: "1", PublishedValue: math.NaN(), PublishedLow: 0, PublishedHigh: growing / n,
			Source: "none: the upper end is the model's careful reading, a colony kept growing", Status: "worked", Climate: s.climate,
			Assumed: "8,000 bees and 4 kg, give or take 2, on 20 March, unfed; laying falls from 4 kg to none at 1 kg", Reason: "a colony that eats less cannot run out sooner; decisions rest on the careful reading",
		}.With([]float64{cut / n}))
	}
	return rows
}
