package syrup

import (
	"strconv"
)

const (
	// looseSugarKgPerL is the weight of a litre of granulated sugar, poured, not
	// shaken: kg/L; range 0.80-0.90; 200 g to the US cup (trade tables).
	looseSugarKgPerL = 0.845
	// waterKgPerL is the density of water at 20 C, kg/L (CRC Handbook of
	// Chemistry and Physics, concentrative properties of aqueous solutions).
	waterKgPerL = 0.9982
)

// ByVolume is the strength of granulated sugar and water measured in the same
// vessel: sugarParts : waterParts. Weighing is surer: loose sugar differs by
// some 5 % in density. Both parts must be above 0.
func ByVolume(sugarParts, waterParts float64) Strength {
	sugarKg, waterKg := sugarParts*looseSugarKgPerL, waterParts*waterKgPerL
	label := strconv.FormatFloat(sugarParts, 'g', -1, 64) + ":" + strconv.FormatFloat(waterParts, 'g', -1, 64) + " by volume"
	return Strength{MassFrac: sugarKg / (sugarKg + waterKg), Label: label}
}
