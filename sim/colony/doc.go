// Package colony is the colony: one day's step, and many springs at once.
//
// # The model in a paragraph
//
// A colony is overwintered bees, young house bees, older house bees and
// foragers; brood by age of egg, open larva and sealed cell; stores, pollen,
// syrup in a feeder and sugar over the cluster. Each day the queen lays the
// least of what season and temperature call for and the bees can nurse (the
// saturating form of Khoury, Myerscough & Barron 2011), what the contracted
// cluster covers, and what the pollen in store, today's pollen and the
// supplement would rear. House bees turn foragers under the social inhibition of
// the same authors. Bees die by age and work: brood and flight shorten the life
// of overwintered bees, foragers die per day of flight. Before the first pollen
// bloom there is little flight. From then on pollen comes in, less of it the
// more is in store, and early nectar, as much of it as the landscape has
// (EarlyForage); from the first flower of the dependable bloom on nectar rises to
// plenty. Hours of flight count by the sun, which the day's range of temperature
// tells (forage/flight), nectar also by the day's warmth; pollen is gathered near
// the hive on cool days too.
//
// # What a colony uses in a day
//
//	heat   = U sqrt(M) (1 + a B/(B+N)) (core - T) / (1 + k (from - T)+)
//	core   = broodless + (brood nest - broodless) B/(B+half)
//	larvae = honey fed and burnt by nurses per larva over six days of open brood
//	awake  = mg per bee, by the share of the day above active_from_c
//	flight = mg per bee on the wing and hour
//
// with N bees of mass M kg, B cells of brood, T the day's mean, C, and the
// parameters heat_loss_w (U, less when wrapped), brood_opening (a),
// contraction_per_k (k), contract_from_c, brood_half_warm_cells (half). The
// ranges keep k (core - from) under 1, so a contracting cluster still pays more
// the colder it gets. On a warmer day a colder one may cost less, because bees
// stay in.
//
// # Fitted and checked
//
// Catalogue says of each parameter where it comes from. Some are fitted to the
// rows of bloomgap/sim/check, which names them there.
//
// # Units and signs
//
// Stores are kilograms of ripe honey (80 % sugar by mass); syrup and sugar are
// turned into it when they are given and what processing burns is booked as
// lost. Temperatures are C, bees and cells are counts, a day is the unit of
// time. Day 0 is the first day of a run; stores are those of its evening.
//
// # Hunger does not slow the colony
//
// A colony short of food cuts its brood before it dies. The model leaves that
// out on purpose: until the food ends the bees are reared as if it would last.
// So the need shown is that of a colony kept growing, more food can never bring
// an earlier end in any single spring, and the same run tells how much is
// missing: after the day the food ends the run goes on in debt. The chance that
// comes of it is that of food ending in a colony kept growing, the careful reading.
// SimulateHungry is the other one, with brood cut back as stores fall.
//
// # What the model leaves out
//
// Queens (failing, swarming), disease, mites and pesticides except as they hide
// in the spread of bee mortality; robbing and drifting; wind; snow
// cover and the site's own climate; moisture; cells filled with honey that
// crowd brood; the separate fate of the two clusters of a split nest; uneven
// warmth within a box; laying workers; colonies under about 2,000 bees, where
// the figures behind the heat balance end.
package colony
