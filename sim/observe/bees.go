package observe

import "math"

// Bees in a seam of deep combs.
const (
	seamLooseBees   = 1350.0 // bees a seam from SeamLooseC up; range 1,100-1,500: 1,400 on occupied combs (Burgett and Burikam 1985, J. Econ. Entomol. 78:1154-1156), 1,100 worked from quick counts that read twice the full estimate (Aurell et al. 2025)
	SeamLooseC      = 14.0   // C from which bees are spread out (own judgement; range 10-16)
	seamClusterBees = 1900.0 // bees a seam when just clustered; range 1,700-2,100: a single layer on both sides of a comb (Burgett and Burikam 1985)
	seamClusterC    = 4.0    // C from which the volume of the cluster was followed down (Severson and Erickson 1990, Apidologie 21:135-142)
	seamTightC      = -23.0  // C where it was least (as above)
	tightVolume     = 0.45   // volume left of that at 4 C (as above, 55 % less)
	unknownCountC   = 7.0    // C assumed when the count has none (own judgement: an early spring look)
	seamsSDShare    = 0.35   // SD over mean for a count with its temperature (own judgement; range 0.25-0.5): quick counts read up to twice the full estimate (Aurell et al. 2025), and a seam holds 1,100 to 1,900 bees
	seamsWideShare  = 0.45   // the same without a temperature, or a few seams only (own judgement)
	fewSeams        = 2.0    // seams at or under which half a seam of error weighs much (own judgement)
	mostBeesPerSeam = 2430.0 // bees of a comb full on both sides (Burgett and Burikam 1985, from memory)
)

// A colony that nobody has counted: a wintered single of unknown strength, bees
// (own judgement; range 2,000-20,000).
const (
	unknownBees   = 10000.0
	unknownBeesSD = 5000.0
)

// CountedBeesLogSD is the error of a number of bees that is given as such,
// natural logarithm, 0.1-0.4, own judgement.
const CountedBeesLogSD = 0.25

// BeesEstimate is what is known of the number of adult bees: a lognormal with
// this mean and SD.
type BeesEstimate struct {
	MeanBees, SDBees float64
}

// LogParams gives the mean and SD of the logarithm of the number of bees, for
// drawing exp(mu + sigma z). The mean must be above 0.
func (b BeesEstimate) LogParams() (mu, sigma float64) {
	cv := b.SDBees / b.MeanBees
	s2 := math.Log1p(cv * cv)
	return math.Log(b.MeanBees) - s2/2, math.Sqrt(s2)
}

// BeesPerSeam is the adult bees in one seam of deep combs when seams are
// counted at an outdoor temperature in C. From 14 C up bees are spread out:
// 1,350. At 4 C they are clustered: 1,900. Below, the volume of the cluster
// falls by 55 % to -23 C, and a seam count with its cube root, so that bees per
// seam rise with volume^(-1/3), up to what a comb holds. Straight lines between.
func BeesPerSeam(countTempC float64) float64 {
	switch {
	case math.IsNaN(countTempC):
		return BeesPerSeam(unknownCountC)
	case countTempC >= SeamLooseC:
		return seamLooseBees
	case countTempC >= seamClusterC:
		return seamClusterBees + (seamLooseBees-seamClusterBees)*(countTempC-seamClusterC)/(SeamLooseC-seamClusterC)
	}
	cold := math.Min(1, (seamClusterC-countTempC)/(seamClusterC-seamTightC))
	return math.Min(mostBeesPerSeam, seamClusterBees*math.Pow(1-(1-tightVolume)*cold, -1.0/3))
}

// BeesFromSeams is the adult bees behind a count of seams, given the outdoor
// temperature at the count in C (NaN = unknown) and the kind of box. The SD is
// 35 % of the mean, 45 % without a temperature or with two seams or fewer. A
// quick look from the top overstates: the low figure for warm days allows for
// it. seams NaN gives the guess for an unknown colony, 10,000 +- 5,000 bees.
func BeesFromSeams(seams, countTempC float64, k BoxKind) BeesEstimate {
	if math.IsNaN(seams) {
		return BeesEstimate{MeanBees: unknownBees, SDBees: unknownBeesSD}
	}
	mean := seams * BeesPerSeam(countTempC) * k.DeepCombs()
	share := seamsSDShare
	if math.IsNaN(countTempC) || seams <= fewSeams {
		share = seamsWideShare
	}
	return BeesEstimate{MeanBees: mean, SDBees: share * mean}
}
