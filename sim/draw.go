package sim

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// Key names a stream of random numbers by what it is for, so that two treatments
// of a colony share their draws and a new yard changes no other yard.
type Key uint64

// KeyOf hashes words into a Key.
func KeyOf(words ...string) Key {
	h := fnv.New64a()
	for _, w := range words {
		h.Write([]byte(w))
		h.Write([]byte{0})
	}
	return Key(h.Sum64())
}

// with mixes a number into a key (the finaliser of splitmix64).
func (k Key) with(n uint64) Key {
	x := uint64(k) + (n+1)*0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return Key(x ^ x>>31)
}

// unit turns a key into a number in [0, 1).
func (k Key) unit() float64 { return float64(k>>11) / (1 << 53) }

// stream gives standard normals; it is reseeded, not made anew.
type stream struct {
	pcg *rand.PCG
	rnd *rand.Rand
}

func newStream() stream {
	pcg := rand.NewPCG(0, 0)
	return stream{pcg: pcg, rnd: rand.New(pcg)}
}

func (s stream) reseed(k Key) { s.pcg.Seed(uint64(k), uint64(k)^0xd1342543de82ef95) }

func (s stream) normal() float64 { return s.rnd.NormFloat64() }

// prior is a parameter to draw, with its typical value taken from the base set.
type prior struct {
	field           func(*Params) *float64
	typical, sd     float64
	lowest, highest float64
	spread          Spread
}

func priors(base *Params, over Varies) []prior {
	var out []prior
	for i := range catalogue {
		c := &catalogue[i]
		if c.Spread == Fixed || c.Varies != over {
			continue
		}
		out = append(out, prior{field: c.field, typical: *c.field(base), sd: c.SD, lowest: c.Low, highest: c.High, spread: c.Spread})
	}
	return out
}

// set draws the parameter at z standard deviations.
func (q *prior) set(p *Params, z float64) {
	v := q.typical + q.sd*z
	if q.spread == Lognormal {
		v = q.typical * math.Exp(q.sd*z)
	}
	*q.field(p) = math.Max(q.lowest, math.Min(q.highest, v))
}
