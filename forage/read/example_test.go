package read_test

import (
	"fmt"
	"strings"

	"bloomgap/forage/read"
)

// A table of weights in pounds is read in kilograms, and what is wrong with it is
// told by file, line and column.
func ExampleRead() {
	const text = "hive,gross_lb\noak,60\nelm,heavy\n"
	var ps read.Problems
	for _, grid := range read.Read("weights.csv", strings.NewReader(text), read.DefaultLimits(), &ps) {
		table := read.New(grid, []read.Column{{Name: "hive"}, {Name: "gross", Unit: "kg"}}, &ps)
		for _, row := range table.Rows {
			fmt.Printf("%s %.1f kg\n", row.Text("hive"), row.FloatIn("gross", 0, 200))
		}
	}
	for _, p := range ps {
		fmt.Println(p)
	}
	// Output:
	// oak 27.2 kg
	// elm NaN kg
	// weights.csv:3:2: gross "heavy" is not a number; write a number only, or leave the cell empty when it is not known
}
