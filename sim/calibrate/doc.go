// Package calibrate fits the parameters of the colony to what was published and
// to two weighed hives at once, and says beforehand what is fitted and what is
// kept for checking.
package calibrate
