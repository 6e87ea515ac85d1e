package order

// Demand is what schedules use, member by member, in whole millilitres and
// grams, so that sums are exact in any order.
type Demand struct {
	syrupML, waterML, sugarG, solidG, supplementG, nowG []int64
}

func (d *Demand) columns() [6]*[]int64 {
	return [6]*[]int64{&d.syrupML, &d.waterML, &d.sugarG, &d.solidG, &d.supplementG, &d.nowG}
}

// grow makes d a zero demand over members.
func (d *Demand) grow(members int) {
	for _, s := range d.columns() {
		*s = append((*s)[:0], make([]int64, members)...)
	}
}

// Add sums another demand into d. One without members is nothing.
func (d *Demand) Add(other *Demand) {
	mine, theirs := d.columns(), other.columns()
	if len(*theirs[0]) == 0 {
		return
	}
	if len(*mine[0]) == 0 {
		d.grow(len(*theirs[0]))
	}
	for i := range mine {
		for m, v := range *theirs[i] {
			(*mine[i])[m] += v
		}
	}
}
