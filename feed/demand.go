package feed

// demand is what one schedule uses, member by member, in whole millilitres and
// grams, so that sums are exact in any order.
type demand struct {
	syrupML, sugarG, solidG, supplementG []int64
}
