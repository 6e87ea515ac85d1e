package observe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestBroodTakesTheRoomOfFood: a frame of brood leaves a frame less for food, and
// some food always fits.
func TestBroodTakesTheRoomOfFood(t *testing.T) {
	h := Hive{Boxes: []Boxes{{Kind: Deep, Count: 1}}, FramesPerBox: StandardFrames, Tares: DefaultTares()}
	most := func(brood float64) float64 {
		return h.Stores(&Food{Kind: FoodHeft, Heft: HeftHeavy}, 9000, brood).MaxKg
	}
	require.InDelta(t, h.FullKg(), most(math.NaN()), 1e-9, "nobody looked")
	require.InDelta(t, h.FullKg(), most(0), 1e-9)
	require.InDelta(t, Deep.FullFrameKg(), most(2)-most(3), 1e-9)
	require.InDelta(t, h.FullKg()-3*Deep.FullFrameKg(), most(3), 1e-9)
	require.GreaterOrEqual(t, most(10), 1.0)
}
