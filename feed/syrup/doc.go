// Package syrup is the physics of sugar syrup: how much sugar and water make
// how many litres, how heavy it is, when it crystallises, and how much ripe stores the bees make of it.
//
// The density of a sucrose solution at 20 C is interpolated in a published
// table by a monotone cubic; everything about mixing follows from it and from
// the masses, because masses add and volumes do not. What the bees store per
// litre is interpolated between three published trials.
//
// Units: kg, L, C, and the sugar mass fraction (kg sugar per kg syrup). A litre
// is a litre at 20 C; from 0 to 30 C the volume changes by about 1 %.
//
// Left out: sugars other than sucrose (inverted or starch syrups), loss of
// strength on keeping, and everything about the feeder.
//
// Sources: density from the CRC Handbook of Chemistry and Physics,
// concentrative properties of aqueous solutions; solubility from Charles 1960,
// as remembered; stores gained from Curth 1981 (Hohenheim), as cited by others.
package syrup
