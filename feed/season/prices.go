package season

import (
	"errors"
	"math"

	"bloomgap/forage/read"
)

// Prices are what things cost, in the user's own money; what is 0 is not counted.
type Prices struct {
	Currency   string  // the user's word; may be ""
	SugarPerKg float64 // a kg of sugar
	Trip       float64 // a trip to the yard
	TripHives  int     // hives that a trip serves, 1 or more
	Colony     float64 // a colony alive at nectar
	Day        float64 // a day of work
	Scale      float64 // a scale
}

// FeedingDays is the work of mixing for one hive and feeding it, d, 0.01-0.06, own
// judgement: a quarter of an hour of a day of eight hours.
const FeedingDays = 0.03

// Bounds of prices, own choice: a slip of the keys lies beyond.
const (
	mostPrice     = 1e7
	mostTripHives = 10000
	mostCurrency  = 20 // bytes
)

// DefaultPrices are none.
func DefaultPrices() Prices { return Prices{TripHives: 1} }

// Given tells that prices enough are known to weigh feeding: a colony, and sugar or a trip.
func (p *Prices) Given() bool { return p.Colony > 0 && (p.SugarPerKg > 0 || p.Trip > 0) }

// Validate tells what is out of range.
func (p *Prices) Validate() error {
	for _, v := range []float64{p.SugarPerKg, p.Trip, p.Colony, p.Day, p.Scale} {
		if !(v >= 0 && v <= mostPrice) {
			return errors.New("a price must lie from 0 to 10 million")
		}
	}
	if p.TripHives < 1 {
		return errors.New("a trip serves one hive or more")
	}
	return nil
}

// TripPrices are what a trip costs to the yards that have a price of their own, by name.
func TripPrices(yards []Yard) map[string]float64 {
	out := map[string]float64{}
	for i := range yards {
		if p := yards[i].TripPrice; p != nil {
			out[yards[i].Name] = *p
		}
	}
	return out
}

// tripPrice reads what a trip to a yard costs, in place of that of the settings.
func (l *loader) tripPrice(r read.Row, y *Yard) {
	if !r.Has("trip_price") {
		return
	}
	if p := r.FloatIn("trip_price", 0, mostPrice); !math.IsNaN(p) {
		y.TripPrice = &p
	}
	if !l.s.Settings.Prices.Given() {
		r.Warn("trip_price", "nothing is weighed by the price of a trip alone", "give colony, and sugar or trip, under [prices] of the settings")
	}
}

// prices reads the table of prices, whose keys are the words of the flags.
func (r *settingsReader) prices(p *Prices) {
	priced, sound := false, true
	for _, k := range []struct {
		key string
		to  *float64
	}{{"prices.colony", &p.Colony}, {"prices.sugar", &p.SugarPerKg}, {"prices.trip", &p.Trip}, {"prices.day", &p.Day}, {"prices.scale", &p.Scale}} {
		if _, ok := r.vals[k.key]; ok {
			v, ok := r.number(k.key, 0, mostPrice)
			priced, sound, *k.to = true, sound && ok, v
		}
	}
	if n, ok := r.whole("prices.trip_hives", 1, mostTripHives); ok {
		p.TripHives = n
	}
	if word, ok := r.text("prices.currency"); ok {
		if p.Currency = oneLine(word); len(p.Currency) > mostCurrency {
			r.add("prices.currency", "prices.currency is too long for a word for money", "write a short word, such as francs")
			p.Currency = ""
		}
	}
	if priced && sound && !p.Given() {
		line, col := r.place("prices")
		r.ps.Warn(r.file, line, col, "nothing is weighed by these prices", "give colony, and sugar or trip, each above 0")
	}
}
