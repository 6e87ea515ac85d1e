package calibrate

import "bloomgap/sim/colony"

// prior is what is held of a parameter before the fit. Among colonies, SD is the
// spread between them, which the fit keeps, and MeanSD how well their middle is
// known; among springs the two are one.
type prior struct {
	Name    string
	Typical float64
	SD      float64 // in the unit of the catalogue's spread
	MeanSD  float64 // of the middle of colonies; 0: as SD
	Why     string
}

// priors lists what the fit may move.
var priors = []prior{
	{"heat_loss_w", 0.258, 0.15, 0.12, "Southwick 1985: 0.258"},
	{"need_share", 1, 0.13, 1e-6, "what is meant by 1; the spread is wider than 0.1, which two hives left"},
	{"core_broodless_c", 21, 1.5, 0, "Caron & Connor 2013"},
	{"contraction_per_k", 0.0247, 0.01, 0, "Severson & Erickson 1990, surface -40 %: 0.0247; heat need not follow the surface: air is drawn through a hive the more, the colder it is outside"},
	{"brood_half_warm_cells", 3300, 0.5, 0, "a comb side: the nest is at full warmth over what it covers"},
	{"brood_opening", 0.6, 0.2, 0, "Kronenberg & Heller 1982, the direction"},
	{"activity_mg", 3.5, 0.3, 0.4, "Harbo 1983 with the rest; Huang et al. 1998, 11 mg in active bees, as the upper end"},
	{"flight_mg_per_h", 4.5, 0.25, 0, "about 10 mg of sugar an hour on the wing (memory), for a third to a half of the time outside"},
	{"nursing_honey_mg", 90, 0.3, 0, "Debnam et al. 2024, 0.16-0.29 g a worker in all"},
	{"lay_max_per_day", 1850, 200, 100, "1,500 good (common practice), 2,000 in Khoury et al. 2011; the rate of a queen without other limits"},
	{"nurse_half_bees", 4500, 0.2, 0.2, "Harbo 1986, brood per bee highest near 4,500 bees"},
	{"cover_cells_per_bee", 2.2, 0.25, 0, "Harbo 1993 within a cycle, 0.34-0.72; spring nests hold more"},
	{"brood_cold_c", -9, 4, 0, "a trigger by warmth, of unknown level"},
	{"brood_warm_c", 9, 2.5, 0, "as brood_cold_c"},
	{"short_day_share", 0.04, 0.02, 0, "about 100 cells after the solstice"},
	{"winter_loss_per_day", 0.0022, 0.25, 0.2, "Liebig, 10-30 bees a day of some 10,000"},
	{"nursing_loss", 0.075, 0.4, 0, "Mattila & Otis 2007, the direction"},
	{"winter_flight_loss", 0.06, 0.4, 0, "Yamada et al. 2019, the direction"},
	{"house_loss_per_day", 0.025, 0.3, 0, "Prado et al. 2020, 40 % dead before foraging: 0.025 a day over 20 days"},
	{"forager_flight_loss", 0.18, 0.2, 0.25, "Prado et al. 2020, 0.36 a day foraged, Khoury et al. 2011 0.24 a day; full days of flight in spring are fewer"},
	{"pollen_mg_per_h", 30, 0.4, 0, "a load of 15 mg, two an hour"},
	{"start_pollen_g", 800, 0.45, 0.15, "half a comb to a comb of bee bread"},
	{"nectar_mg_per_h", 45, 0.35, 0, "gain of 0.5-2 kg a day in a first flow"},
	{"early_nectar_share", 0.4, 0.4, 0, "about break-even for stores (common practice): a quarter while dull and cool hours counted in full, which was twice as many"},
	{"early_good_ratio", 2, 0.5, 0, "own judgement: as much as a dependable bloom gives"},
	{"autumn_share", 0.02, 0.012, 0, "Jeffree 1956"},
}

// withPriors is the catalogue with the priors of the fit in place of its own.
func withPriors() []colony.Parameter {
	c := append([]colony.Parameter(nil), colony.Catalogue()...)
	for i := range c {
		for _, p := range priors {
			if c[i].Name == p.Name {
				c[i].Typical, c[i].SD = p.Typical, p.SD
				if c[i].Spread == colony.Fixed {
					c[i].Spread = colony.Normal
				}
			}
		}
	}
	return c
}
