package ensemble

import "math/bits"

// Members are spread evenly over what matters most by a Sobol sequence (Joe & Kuo 2008, SIAM
// J. Sci. Comput. 30:2635-2654, direction numbers of new-joe-kuo-6.21201, from memory):
// any first part of it is spread evenly too, in each dimension and in pairs of them,
// and the error of a mean falls faster than with independent draws.
//
// Each coordinate is scrambled digit by digit (Owen 1995), so that a mean is right on
// average over keys. The numbers of the points are scrambled as well, so that points of one
// key and those of another, or of one purpose and another, know nothing of each other:
// without it two colonies would go together or against each other by a fixed amount. A
// first part of the members is still a first part of the sequence, or one like it. Both
// scramblings are the hash of Laine & Karras, after Burley 2020 (J. Comput. Graph. Tech.
// 9(4):1-20), its constants from memory.

// sobolPolynomials are the primitive polynomials and first direction numbers of the
// dimensions after the first.
var sobolPolynomials = [...]struct {
	a uint32
	m []uint32
}{{0, []uint32{1}}, {1, []uint32{1, 3}}, {1, []uint32{1, 3, 1}}, {2, []uint32{1, 1, 1}}, {1, []uint32{1, 1, 3, 3}}}

const sobolDims = 1 + len(sobolPolynomials)

// sobol are the direction numbers, by dimension and binary digit of a point's number.
var sobol = directions()

func directions() (v [sobolDims][32]uint32) {
	for j := range 32 {
		v[0][j] = 1 << (31 - j)
	}
	for d, p := range sobolPolynomials {
		to, s := &v[d+1], len(p.m)
		for j := range to {
			if j < s {
				to[j] = p.m[j] << (31 - j)
				continue
			}
			to[j] = to[j-s] ^ to[j-s]>>s
			for k := 1; k < s; k++ {
				if p.a>>(s-1-k)&1 != 0 {
					to[j] ^= to[j-k]
				}
			}
		}
	}
	return v
}

// scrambled turns over some binary digits of x, each by the seed and the digits below it.
func scrambled(x, seed uint32) uint32 {
	x ^= x * 0x3d20adea
	x += seed
	x *= seed>>16 | 1
	x ^= x * 0x05526c56
	x ^= x * 0x53a22864
	return x
}

// number is where the i-th point of a key stands in the sequence.
func (k Key) number(i uint64) uint32 {
	return bits.Reverse32(scrambled(bits.Reverse32(uint32(i)), uint32(k>>32)))
}

// coordinate is one of a point of a key by where it stands, 0 to 1 without the ends.
func (k Key) coordinate(number uint32, dim int) float64 {
	x := uint32(0)
	for v := &sobol[dim]; number != 0; number &= number - 1 {
		x ^= v[bits.TrailingZeros32(number)]
	}
	x = bits.Reverse32(scrambled(bits.Reverse32(x), uint32(k.with(uint64(dim)))))
	return (float64(x) + 0.5) / (1 << 32)
}

// even is the i-th number of a sequence of its own, 0 to 1 without the ends.
func (k Key) even(i uint64) float64 { return k.coordinate(k.number(i), 0) }
