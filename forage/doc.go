// Package forage is the world outside the hive: weather, day length, flight
// hours, bloom, nectar and pollen. Its rooms read and describe; this package
// puts them together into the possible springs that the colony model runs on.
package forage
