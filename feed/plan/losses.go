package plan

import "gonum.org/v1/gonum/stat/distuv"

// LossesOf is a number of colonies lost as a share, with the exact binomial interval of
// Clopper & Pearson 1934 (Biometrika 26:404-413) at 95 %: the least share under which so
// many or more are lost in 2.5 % of yards, and the most under which so many or fewer are.
// lost lies between 0 and of, and of is 1 or more.
func LossesOf(lost, of int) Losses {
	out := Losses{Lost: lost, Of: of, Frac: float64(lost) / float64(of), LeastFrac: 0, MostFrac: 1}
	x, n := float64(lost), float64(of)
	const tail = 0.025
	if lost > 0 {
		out.LeastFrac = distuv.Beta{Alpha: x, Beta: n - x + 1}.Quantile(tail)
	}
	if lost < of {
		out.MostFrac = distuv.Beta{Alpha: x + 1, Beta: n - x}.Quantile(1 - tail)
	}
	return out
}
