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
// say, is lost. The three factors of early nectar, where that cost most, are given
// the spreads that keep those of their products (tie). Spreads among
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
//	left out of the fit 0.77, 0.80, 0.77                 0.87, 1.14, 1.70
//	                    82/100, 59/96, 43/78             51/93, 58/94, 42/91
//	fitted to it        0.82, 0.91, 1.02                 0.60, 0.69, 0.78
//	                    85/100, 58/96, 28/78             67/98, 84/99, 77/94
//
// Over both hives left out, 56 and 92 % of the readings lie within the bands. The
// goal of 0.7 kg is missed. That Wuerzburg is met better when it is left out says how
// little two hives decide.
//
// # Why the bands are so wide
//
// TestWidth takes the band of eight in ten apart (mean over the days, as the SD of a
// normal so wide, kg; Wuerzburg and Schwartau from 2 January, then from 1 March):
//
//	all                                1.41 1.35   1.72 1.68
//	bees alone                         0.84 0.62   0.52 0.34
//	need_share                         0.51 0.47   0.59 0.52
//	heat_loss_w                        0.40 0.40   0.26 0.27
//	other differences of colonies      0.31 0.32   0.49 0.56
//	nectar                             0.27 0.33   0.65 0.81
//	other parameters of all colonies   0.32 0.36   0.54 0.64
//	dates of bloom                     0.32 0.14   0.74 0.34
//	scale and damp                     0.46 0.48   0.37 0.38
//
// In winter it is the colony: unknown colonies lose 33 % more or less (one SD) from
// January to March, and 32 weighed Swedish hives, large and small, 33 % (Norrstroem et
// al. 2021; 30 hives of one Swiss keeper, 19 %, de Gelieu 1814). So size, site and
// heat do not count one thing twice. In spring they partly did: the fit ties nectar
// an hour, the early share and the ratio of good landscapes together, and drawn one
// by one they spread the change from January to the end of April by 3.8 and 3.2 kg
// where the cloud itself has 3.3 and 2.9. That is mended for these three (1.76 to
// 1.72 and 1.68 kg in the table); the rest of the cloud's ties are weak.
//
// Nor do two hives show that bands are too wide. Where hives drawn from the model stand
// in for the two, so that the bands are right, their share in the band of eight in ten
// over the three starts runs from 57 to 97 % (8 times in 10), of half of them from 26
// to 76 %; 92 % or more comes 3 times in 10 (TestWidthTold). The bands were
// not narrowed to what these two hives show.
//
// # What was tried of the processes
//
// Pollen gathered in cool hours (a share of 0.5) feeds the model's nest through the cold of
// late April, when both scales fell faster. With full work from 12 to 14 C in 300
// W/m2 of sun instead (Vicens & Bosch 2000), or a share of 0.2, and all fitted anew, the
// hive left out is met worse or no better: Wuerzburg 0.77, 0.82, 0.81 and
// 0.76, 0.80, 0.74, Schwartau 0.91, 1.19, 1.78 and 0.93, 1.23, 1.85. Nectar by hours of
// foraging alone, which rise with warmth to 20 C themselves, without the rise by the day's
// maximum besides, would give the gains of cool days at Wuerzburg (0.71, 0.72, 0.68) and
// lose as much at Schwartau (0.91, 1.20, 1.84). All three were dropped.
//
// # What remains wrong
//
// Changes in kg from 2 January to 1 February, 1 March, 13 March, 24 March, 2 April, 16
// April and 30 April, seen and by the middle of the model fitted to the other hive:
//
//	Wuerzburg  -1.32 -2.25 -0.64  0.16  0.30  1.29 -1.48
//	           -1.35 -1.39 -1.14 -0.99  1.82 -0.22 -0.92
//	Schwartau  -0.93 -0.97 -1.44 -0.77  3.34 -1.53 -2.90
//	           -1.30 -1.29 -0.97 -1.24  1.26 -1.56 -1.07
//
// Wuerzburg gained before the model's willow and on days of 11 to 15 C in early April;
// Schwartau in its willow, which a fit to the other hive cannot know. And
// sealed brood of small colonies in May is half of what was counted in Ohio.
package calibrate
