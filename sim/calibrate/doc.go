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
//	left out of the fit 0.77, 0.80, 0.76                 0.88, 1.14, 1.72
//	                    83/100, 60/96, 51/78             52/93, 59/95, 44/91
//	fitted to it        0.81, 0.89, 0.98                 0.65, 0.78, 0.94
//	                    85/100, 59/96, 32/78             66/98, 81/99, 77/93
//
// Over both hives left out, 58 and 92 % of the readings lie within the bands. The
// goal of 0.7 kg is missed. That Wuerzburg is met better when it is left out says how
// little two hives decide.
//
// The bands of 80 % are too wide, most likely since nothing is taken as known of the
// colony (a number of bees with a half of it as SD, where both hives seem to lie near the middle),
// and since the parameters are drawn one by one though the fit ties them together. Neither was taken
// apart, and the bands were not narrowed to what these two hives show.
//
// # What remains wrong
//
// February (Wuerzburg lost 2.2 kg, the model 1.5), the middle of March there (0.2 kg
// gained before the model's willow), 2 to 16 April there (1.3 kg gained, about 0
// in the model), Schwartau's 2.9 kg in the cold of late April (1.4 in the model), and
// sealed brood of small colonies in May, half of what was counted in Ohio.
package calibrate
