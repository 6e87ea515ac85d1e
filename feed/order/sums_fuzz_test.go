package order

import (
	"bytes"
	"strings"
	"testing"

	"bloomgap/feed/plan"
)

// FuzzReadSums reads parts of orders that were tampered with: each is refused or
// makes an order that holds nothing below zero.
func FuzzReadSums(f *testing.F) {
	var good bytes.Buffer
	if err := WriteSums(&good, plan.Sums{Format: plan.SumsFormat, Terms: []plan.Term{{Name: "seed", Value: "1"}}, Keys: []string{"a"}, Seed: 1, Members: 2, BagKg: 25,
		Yards: []string{"A"}, Fed: 1, SyrupML: []int64{1, 2}, WaterML: []int64{1, 2}, SugarG: []int64{1, 2}, SolidG: []int64{0, 0}, SupplementG: []int64{0, 0}}); err != nil {
		f.Fatal(err)
	}
	f.Add(good.String())
	f.Add(strings.Replace(good.String(), `"syrup_ml":[1,2]`, `"syrup_ml":[-1,9223372036854775807]`, 1))
	f.Add(strings.Replace(good.String(), `25`, `-25`, 1))
	f.Add(good.String() + good.String())
	f.Add(`{"format":"bloomgap sums 2","members":1000000000}`)
	f.Add("")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadSums(strings.NewReader(text))
		if err != nil {
			return
		}
		merged, err := MergeSums([]plan.Sums{s})
		if err != nil {
			return
		}
		o := Of(merged)
		for _, v := range []float64{o.SugarKg.P50, o.SugarKg.P90, o.SyrupL.P90, o.WaterL.P90} {
			if !(v >= 0) {
				t.Fatalf("an order of %g from %q", v, text)
			}
		}
	})
}
