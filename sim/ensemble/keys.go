package ensemble

import (
	"bloomgap/sim/colony"
	"hash/fnv"
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

// Unit is a number in [0, 1) for a purpose of a key and a number of it.
func (k Key) Unit(purpose string, n uint64) float64 {
	return k.with(uint64(KeyOf(purpose))).with(n).unit()
}

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

// varying lists the parameters of the colony model that differ among springs or
// among colonies.
func varying(catalogue []colony.Parameter, over colony.Varies) []*colony.Parameter {
	var out []*colony.Parameter
	for i := range catalogue {
		if c := &catalogue[i]; c.Spread != colony.Fixed && c.Varies == over {
			out = append(out, c)
		}
	}
	return out
}
