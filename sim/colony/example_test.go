package colony_test

import (
	"fmt"

	"bloomgap/sim/colony"
)

// Every figure of the model is listed with its unit, its range and its source.
func ExampleCatalogue() {
	for _, p := range colony.Catalogue() {
		if p.Name == "bee_mass_g" {
			fmt.Println(p.Typical >= p.Low, p.Typical <= p.High, p.Unit, p.Source != "")
		}
	}
	// Output:
	// true true g true
}
