package colony

// Pollen at the start of a run.
const (
	startPollenBees = 10000 // the colony that start_pollen_g speaks of, bees
	springPollenCut = 0.4   // of it that brood has used by the time light allows full laying, 1, 0-0.7, worked: paths run on from autumn
)

// StartPollenG is the pollen and the body reserves of a colony on a day, g: what
// it went through winter with, less what the brood of lengthening days has had.
func StartPollenG(p *Params, d *ForceDay, bees float64) float64 {
	cut := springPollenCut * d.Season
	if d.Autumn > 0 {
		cut = 0
	}
	return p.StartPollenG * bees / startPollenBees * (1 - cut)
}

// ExpectedBrood is the brood of a colony that has laid at the day's rate for 21
// days, less what the queen's growing rate makes too much of it, in cells.
func ExpectedBrood(p *Params, d *ForceDay, bees float64) float64 {
	lay := p.LayMaxPerDay * bees / (p.NurseHalfBees + bees) * d.Season *
		clamp01((d.SmoothC-p.BroodColdC)/(p.BroodWarmC-p.BroodColdC))
	return growingShare * emergeAge * min(lay, p.CoverCellsPerBee/emergeAge*d.Cover*bees)
}

// growingShare is brood against 21 days of the laying that today allows, 1,
// 0.3-0.7, worked: paths from October at six stations, 1 March to 5 April.
const growingShare = 0.45
