package ensemble

import (
	"slices"

	"bloomgap/sim/colony"
)

// Leads are the draws that most of a colony's need for food hangs on, as standard normals
// that know nothing of each other: with the spring they explain some nine tenths of what its
// members differ by. The strongest are the bees, need_share and early nectar.
type Leads [leadOwn + len(ownLeads)]float64

// What stands where among the Leads.
const (
	leadBees = iota
	leadBrood
	leadBloom
	leadPollen
	leadEarly
	leadSite
	leadShared // and after it the parameters that a member's colonies share
	leadOwn    = leadShared + len(sharedLeads)
)

// The parameters among the Leads. One that has no spread is 0 there.
var (
	sharedLeads = [...]string{"early_nectar_share", "nectar_mg_per_h", "nursing_honey_mg", "cover_cells_per_bee"}
	ownLeads    = [...]string{siteParameter, "start_pollen_g", "heat_loss_w"}
)

// leadsOf says where each parameter stands among the Leads whose names begin at from; -1
// for nowhere.
func leadsOf(parameters []*colony.Parameter, names []string, from int) []int {
	at := make([]int, len(parameters))
	for i, p := range parameters {
		if at[i] = slices.Index(names, p.Name); at[i] >= 0 {
			at[i] += from
		}
	}
	return at
}
