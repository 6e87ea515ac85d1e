package flight_test

import (
	"fmt"

	"bloomgap/forage/flight"
)

// The first day of spring near Farnham, Quebec, 45.3 degrees north: a dry day of
// 2 to 14 C lets bees out, one of -4 to 5 C does not.
func ExampleCanFly() {
	const latDeg, dayOfYear = 45.3, 79
	fmt.Printf("%.1f hours of daylight\n", flight.DayLengthH(latDeg, dayOfYear))
	fmt.Println(flight.CanFly(2, 14, 0, latDeg, dayOfYear), flight.CanFly(-4, 5, 0, latDeg, dayOfYear))
	// Output:
	// 12.1 hours of daylight
	// true false
}
