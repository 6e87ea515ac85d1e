package visits

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/read"
)

// TestPlantsOfAYard: the plants that a keeper names bring pollen and nectar, and
// what they leave open is that of the region.
func TestPlantsOfAYard(t *testing.T) {
	t.Parallel()
	pick := func(plants ...string) (pollen, nectar string, ps read.Problems) {
		var p forage.Prospect
		ok := nectarPlants(&p, &season.Yard{Name: "Mill", LatDeg: 45.3, LonDeg: -72.9, Plants: plants}, &ps, "s")
		require.Equal(t, ok, len(ps) == 0)
		return p.Pollen.Plant, p.Nectar.Plant, ps
	}
	pollen, nectar, _ := pick()
	require.NotEqual(t, "apple", nectar)
	for _, c := range []struct {
		plants         []string
		pollen, nectar string
	}{
		{[]string{"apple"}, pollen, "apple"},
		{[]string{"elm"}, "elm", nectar},
		{[]string{"boxelder", "apple", "dandelion"}, "boxelder", "apple"},
	} {
		gotPollen, gotNectar, _ := pick(c.plants...)
		require.Equal(t, c.pollen, gotPollen, c.plants)
		require.Equal(t, c.nectar, gotNectar, c.plants)
	}
	_, _, ps := pick("unicorn root")
	require.ErrorContains(t, ps.Err(), `names the plant "unicorn root", for which no bloom rule is built in`)
	apple, ok := bloom.Find("apple", "")
	require.True(t, ok)
	require.Equal(t, bloom.DependableNectar, apple.Role, "so that the case above says something")
}
