package feed

// demand is what one schedule uses, member by member, in whole millilitres and
// grams, so that sums are exact in any order.
type demand struct {
	syrupML, waterML, sugarG, solidG []int64
}

func (d *demand) grow(members int) {
	for _, s := range []*[]int64{&d.syrupML, &d.waterML, &d.sugarG, &d.solidG} {
		*s = make([]int64, members)
	}
}
