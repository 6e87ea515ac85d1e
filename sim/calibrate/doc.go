// Package calibrate fits the parameters of the colony to what was published and
// to two weighed hives at once, and says beforehand what is fitted and what is
// kept for checking.
//
// # What is fitted
//
// Sources lists every source as fit or check. The observations of the fit are few
// numbers with an SD each (observation), whose reason stands beside it; those of a
// hive are its changes of weight over seven stretches of its spring. The model
// runs the middling colony on a few springs of the places (bench) and each hive on
// its own days, with bees, bloom and what differs among colonies free for it. No
// parameter belongs to one hive; its class of early forage comes from the
// landscape.
//
// # How
//
// An ensemble smoother in several rounds: points drawn from the priors are moved by
// their regression on what the model gives. What comes out is a cloud of points,
// that is, middles, spreads and how they hang together. The catalogue takes the
// middles and each spread by itself; that high heat loss goes with low activity,
// say, is lost, so bands are somewhat wider than the cloud's. Spreads among
// colonies are kept, widened by what is still not known of their middle.
//
// # What it is worth
//
// Fitting one hive and the sources and predicting the other, nothing of it tuned,
// is the evidence. Even that is not blind: the two hives were looked at when the
// processes were mended, and priors were set with the scores of earlier fits in
// sight. Hives that nobody has looked at decide.
//
// # Before and after
//
// Mean error of 30-day changes, kg, and readings within the bands of 50 and 80 %,
// bees unknown, from 2 January, 1 February and 1 March 2017, mean of five seeds
// (SD from seed to seed 0.03-0.16):
//
//	                    Wuerzburg                        Schwartau
//	first model         0.89, 1.13, 1.23                 1.44, 1.99, 3.36
//	                    81/100, 67/91, 42/68             24/67, 35/60, 23/37
//	left out of the fit 0.81, 0.91, 0.82                 0.95, 1.24, 1.81
//	                    83/100, 62/98, 43/77             38/90, 45/91, 40/90
//	fitted to it        0.86, 1.02, 1.11                 0.71, 0.85, 0.98
//
// Over both hives left out, 52 and 91 % of the readings lie within the bands. That
// Wuerzburg is met better when it is left out says how little two hives decide.
//
// # What remains wrong
//
// February (Wuerzburg lost 2.2 kg, the model 1.5), the middle of March there (0.2 kg
// gained before the model's willow), 2 to 16 April there (1.3 kg gained, about 0
// in the model), Schwartau's 2.9 kg in the cold of late April (1.4 in the model), and
// sealed brood of small colonies in May, half of what was counted in Ohio.
package calibrate
