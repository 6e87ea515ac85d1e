package syrup_test

import (
	"fmt"

	"bloomgap/feed/syrup"
)

// Syrup of three parts of sugar to two of water, by weight.
func ExampleParse() {
	s, err := syrup.Parse("3:2")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %.0f %% sugar, %.2f kg of it in a litre\n", s, 100*s.MassFrac, s.SugarKgPerL())
	// Output:
	// 3:2: 60 % sugar, 0.77 kg of it in a litre
}
