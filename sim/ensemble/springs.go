package ensemble

import (
	"math"
	"sync"
	"sync/atomic"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

// SpringEnsemble is the ensemble of a place: its possible springs as forcing tables, and
// the members that pair a spring with what is not known of bees and bloom. All
// colonies of the place run on the same members.
type SpringEnsemble struct {
	Outlook *forage.Outlook
	Forcing [][]colony.ForceDay // one table per spring of the outlook
	Members []Member            // of draws made as needed, those that no colony has taken yet are empty

	base    *colony.Params
	varying []*colony.Parameter // differ from colony to colony; none when every parameter is fixed
	leads   []int               // where each of them stands among the Leads; -1 nowhere
	early   colony.EarlyForage
	seed    Key
	readDay int

	draws   *SharedDraws
	today   int
	yard    string
	made    asNeeded   // of Members, the first so many
	learned []YardPart // what Learn was told, for those made later
}

// Member is one possible spring with one draw of what all its colonies share.
// Days are those of the outlook.
type Member struct {
	Spring    int
	Params    *colony.Params // shared by the member's twins at all places
	PollenDay int
	BloomDay  int
	NectarDay int
	EarlyZ    float64 // standard normal of the yard's early forage, where its class is unknown
	SiteZ     float64 // standard normal of what the yard makes of the need of its colonies

	leads Leads // of what all colonies of the yard share
}

// SharedDraws are what the members of every place share: one set of parameters each.
type SharedDraws struct {
	Base   colony.Params
	Seed   uint64
	Fixed  bool // every parameter at its base value: for checks of the model alone
	priors []colony.Parameter
	params []colony.Params
	bloom  []float64 // standard normal error of the bloom day
	pollen []float64
	leads  []Leads

	shared   []*colony.Parameter
	sharedAt []int // where each of them stands among the Leads; -1 nowhere
	first    int   // members that are drawn at once
	drawn    asNeeded
}

// NewSharedDraws draws the parameters of a number of members. Member i is the same
// whatever their number.
func NewSharedDraws(base colony.Params, members int, seed uint64, fixed bool) *SharedDraws {
	return NewSharedDrawsOf(colony.Catalogue(), base, members, seed, fixed)
}

// NewSharedDrawsAsNeeded is NewSharedDraws of which members beyond the first, and those of its
// ensembles, are worked out when a colony takes them.
func NewSharedDrawsAsNeeded(base colony.Params, first, members int, seed uint64) *SharedDraws {
	d := sharedDraws(colony.Catalogue(), base, members, seed, false)
	d.first = min(first, members)
	d.upTo(d.first)
	return d
}

// NewSharedDrawsOf is NewSharedDraws with other spreads than the catalogue's:
// priors are its entries with another SD, for studies of what a fit is worth.
func NewSharedDrawsOf(priors []colony.Parameter, base colony.Params, members int, seed uint64, fixed bool) *SharedDraws {
	d := sharedDraws(priors, base, members, seed, fixed)
	d.upTo(members)
	return d
}

func sharedDraws(priors []colony.Parameter, base colony.Params, members int, seed uint64, fixed bool) *SharedDraws {
	d := &SharedDraws{Base: base, Seed: seed, Fixed: fixed, priors: priors, first: members,
		params: make([]colony.Params, members), bloom: make([]float64, members), pollen: make([]float64, members), leads: make([]Leads, members),
		shared: varying(priors, colony.AmongSprings)}
	d.sharedAt = leadsOf(d.shared, sharedLeads[:], leadShared)
	return d
}

// upTo draws the members of numbers under n that are not there yet.
func (d *SharedDraws) upTo(n int) { d.drawn.upTo(n, len(d.params), d.draw) }

// draw draws members [from, to).
func (d *SharedDraws) draw(from, to int) {
	member, pollen := KeyOf("member").with(d.Seed), KeyOf("pollen").with(d.Seed)
	byItself := make([]Key, len(d.shared))
	for k, parameter := range d.shared {
		byItself[k] = KeyOf("member", parameter.Name).with(d.Seed)
	}
	for i := from; i < to; i++ {
		d.params[i] = d.Base
		if d.Fixed {
			continue
		}
		number := member.number(uint64(i))
		d.bloom[i] = normalAt(member.coordinate(number, netBloom))
		d.pollen[i] = normalAt(pollen.even(uint64(i)))
		d.leads[i][leadBloom], d.leads[i][leadPollen] = d.bloom[i], d.pollen[i]
		for k, parameter := range d.shared {
			var z float64
			if at := d.sharedAt[k]; at >= 0 {
				z = normalAt(member.coordinate(number, netShared+at-leadShared))
				d.leads[i][at] = z
			} else {
				z = normalAt(byItself[k].even(uint64(i)))
			}
			parameter.SetAt(&d.params[i], &d.Base, z)
		}
	}
}

// asNeeded tells how many of the first of some things are worked out. Several may ask
// for more at once.
type asNeeded struct {
	lock  sync.Mutex
	there atomic.Int64
}

// neededAtOnce are the members worked out at a time, 64-1000, own choice.
const neededAtOnce = 256

// upTo has work make those from the first that is missing to number n, or some more, of most.
func (a *asNeeded) upTo(n, most int, work func(from, to int)) {
	if int(a.there.Load()) >= n {
		return
	}
	a.lock.Lock()
	defer a.lock.Unlock()
	if from := int(a.there.Load()); from < n {
		to := min(most, max(n, from+neededAtOnce))
		work(from, to)
		a.there.Store(int64(to))
	}
}

// Members is the number of members drawn.
func (d *SharedDraws) Members() int { return len(d.params) }

// Dimensions of the sequences: of what the members of every place share, of what those of
// a yard do, and of a colony's own. What is in none of them is spread evenly by itself where
// all colonies share it, and drawn independently where it is a colony's own.
const (
	netSpring = 0
	netBloom  = 1
	netShared = 2 // and after it the shared parameters among the Leads

	netEarly = 0
	netSite  = 1

	netStores = 0
	netBees   = 1
	netOwn    = 2 // and after it a colony's own parameters among the Leads
)

// SpringEnsembleOptions say how an ensemble is made.
type SpringEnsembleOptions struct {
	Today   int    // day of the outlook on which the question is asked
	ReadDay int    // day of the outlook on which bees are wanted; -1 none
	Yard    string // whose early forage is drawn
	Early   colony.EarlyForage
}

// normalAt is the standard normal with this share of the distribution below it.
func normalAt(u float64) float64 { return math.Sqrt2 * math.Erfinv(2*u-1) }

// NewSpringEnsemble makes the forcing tables and the members. Member i is the same
// whatever their number, and its draws are the same at every place.
func NewSpringEnsemble(o *forage.Outlook, d *SharedDraws, opt SpringEnsembleOptions) *SpringEnsemble {
	pl := &SpringEnsemble{Outlook: o, base: &d.Base, seed: Key(d.Seed), readDay: opt.ReadDay, early: opt.Early, draws: d, today: opt.Today, yard: opt.Yard}
	for i := range o.Springs {
		pl.Forcing = append(pl.Forcing, colony.Forcing(o.Springs[i].Days, &d.Base))
	}
	if !d.Fixed {
		pl.varying = varying(d.priors, colony.AmongColonies)
		pl.leads = leadsOf(pl.varying, ownLeads[:], leadOwn)
	}
	pl.Members = make([]Member, d.Members())
	pl.upTo(d.first)
	return pl
}

// upTo works out the members of numbers under n that are not there yet.
func (pl *SpringEnsemble) upTo(n int) {
	if pl.draws != nil {
		pl.made.upTo(n, len(pl.Members), pl.make)
	}
}

// make works out members [from, to).
func (pl *SpringEnsemble) make(from, to int) {
	d, o := pl.draws, pl.Outlook
	d.upTo(to)
	yard, member := KeyOf("yard", pl.yard).with(d.Seed), KeyOf("member").with(d.Seed)
	for i := from; i < to; i++ {
		m := &pl.Members[i]
		m.Params = &d.params[i]
		m.Spring = pickSpring(o.Springs, member.coordinate(member.number(uint64(i)), netSpring))
		sp := &o.Springs[m.Spring]
		n := len(sp.Days)
		m.BloomDay = later(sp.BloomDay, d.bloom[i]*o.BloomSpreadDays, pl.today, n)
		m.PollenDay = min(n, sp.PollenDay+int(math.Round(d.pollen[i]*o.PollenSpread)))
		if o.BloomGiven && o.BloomSpreadDays == 0 {
			m.BloomDay = sp.BloomDay
		}
		if !d.Fixed {
			number := yard.number(uint64(i))
			m.EarlyZ, m.SiteZ = normalAt(yard.coordinate(number, netEarly)), normalAt(yard.coordinate(number, netSite))
		}
		m.leads = d.leads[i]
		m.leads[leadEarly], m.leads[leadSite] = m.EarlyZ, m.SiteZ
		m.NectarDay = colony.FlowDay(pl.Forcing[m.Spring], m.BloomDay, m.Params)
		for _, y := range pl.learned {
			m.learn(y)
		}
	}
}

// siteFrac is how much of the variance of siteParameter among colonies is that among
// yards, 1, 0-0.25, own judgement: what wind, shade, damp, the distance of the weather
// record and the model's own error make of the need is alike for the hives of a
// yard; hive, breed and the like are each colony's own. More than 0.25 would leave the
// hives of a yard less unlike than the 32 of Norrstroem et al. 2021 were (sim/check).
const (
	siteParameter = "need_share"
	siteFrac      = 0.2
)

// YardPart is what is known of the parts that all colonies of a yard have in common,
// against what was before: the mean of early forage and site, and the lower triangle
// that turns standard normals into how they scatter about it.
type YardPart struct {
	Mean  [2]float64
	Lower [2][2]float64
}

// Learn sets the draws of a yard's early forage and site to what is known of them.
func (pl *SpringEnsemble) Learn(y YardPart) {
	pl.made.lock.Lock()
	defer pl.made.lock.Unlock()
	there := pl.Members
	if pl.draws != nil {
		there = there[:pl.made.there.Load()]
	}
	for i := range there {
		there[i].learn(y)
	}
	pl.learned = append(pl.learned, y)
}

func (m *Member) learn(y YardPart) {
	early, site := m.EarlyZ, m.SiteZ
	m.EarlyZ = y.Mean[0] + y.Lower[0][0]*early
	m.SiteZ = y.Mean[1] + y.Lower[1][0]*early + y.Lower[1][1]*site
}

// later shifts a bloom day by its error; a bloom that nobody has seen yet comes
// after today.
func later(day int, byDays float64, today, n int) int {
	return min(n, max(day+int(math.Round(byDays)), today+1))
}

func pickSpring(springs []forage.Spring, u float64) int {
	for i := range springs {
		if u < springs[i].Weight {
			return i
		}
		u -= springs[i].Weight
	}
	return len(springs) - 1
}

// InitialSpread is what is known of a colony on the evening of a day, as spreads.
type InitialSpread struct {
	Day        int     // day of the outlook
	BeesLogMu  float64 // bees are lognormal
	BeesLogSD  float64
	BroodCells float64 // NaN: not looked at; then estimated from the date
	BroodLogSD float64 // of the cells, counted or estimated
	StoresKg   float64 // mean of a normal cut to [StoresMinKg, StoresMaxKg]
	StoresSDKg float64
	StoresMin  float64 // kg
	StoresMax  float64 // kg
	// How much of that error all colonies share in a member, as a correlation, 0 to 1: hives
	// that nobody looked at are light together or heavy together.
	StoresCommon float64
	Wrapped      bool
	Draw         []uint32 // the draw that each member takes of the colony; nil: its own number

	Fed   []colony.Feeding // food given since, in order of days of the run: 0 is the day after Day
	Gifts [][]colony.Gift  // the same by member: food that must have been given, though nobody wrote it down; nil: none
}

// Realization is one colony in one member, ready to run: one draw shared by all
// treatments.
type Realization struct {
	Params  colony.Params
	Forcing []colony.ForceDay
	Start   colony.InitialState
	Span    colony.Span // days of Forcing
	Member  int
	Leads   Leads
}

// Spring is what it lives through.
func (c *Realization) Spring() colony.Spring {
	return colony.Spring{Params: &c.Params, Forcing: c.Forcing, Span: c.Span}
}

// Sampler makes the realizations of colonies one after another. It is not safe for use
// by several goroutines at once.
type Sampler struct {
	springs *SpringEnsemble
	rnd     stream
}

// NewSampler makes a Sampler for a spring ensemble.
func NewSampler(pl *SpringEnsemble) *Sampler { return &Sampler{springs: pl, rnd: newStream()} }

// Realize draws colony key in member m into c. The draw depends on the seed, the
// key and m only.
func (d *Sampler) Realize(key Key, seen *InitialSpread, m int, c *Realization) {
	pl := d.springs
	pl.upTo(m + 1)
	mem := &pl.Members[m]
	draw := uint64(m)
	if seen.Draw != nil {
		draw = uint64(seen.Draw[m])
	}
	own := key.with(uint64(pl.seed))
	d.rnd.reseed(own.with(draw))
	c.Member = m
	c.Params = *mem.Params
	zBrood := d.rnd.normal()
	number := own.number(draw)
	zStores, zBees := normalAt(own.coordinate(number, netStores)), normalAt(own.coordinate(number, netBees))
	c.Leads = mem.leads
	for k, parameter := range pl.varying {
		var z float64
		if at := pl.leads[k]; at >= 0 {
			z = normalAt(own.coordinate(number, netOwn+at-leadOwn))
			c.Leads[at] = z
		} else {
			z = d.rnd.normal()
		}
		if parameter.Name == siteParameter {
			z = math.Sqrt(siteFrac)*mem.SiteZ + math.Sqrt(1-siteFrac)*z
		}
		parameter.SetAt(&c.Params, pl.base, z)
	}
	if c := seen.StoresCommon; c > 0 {
		shared := normalAt(KeyOf("stores that nobody saw").with(uint64(pl.seed)).even(draw))
		zStores = math.Sqrt(c)*shared + math.Sqrt(1-c)*zStores
	}
	if len(pl.varying) == 0 { // fixed: the middle of what was seen
		zBees, zBrood, zStores = 0, 0, 0
	}
	c.Leads[leadBees], c.Leads[leadBrood] = zBees, zBrood
	c.Params.InLandscape(pl.early, mem.EarlyZ)
	c.begin(pl.Forcing[mem.Spring], seen, zBees, zBrood, zStores)
	c.cover(seen, mem.PollenDay, mem.BloomDay, mem.NectarDay, pl.readDay)
}

// Held is the spread of what a colony holds on the first day, made ready to be asked often.
type Held struct {
	seen      *InitialSpread
	upper     bool    // its middle lies under its limits: shares are taken from the upper end, where small ones keep their digits
	from, all float64 // of the whole normal: under the limits (over them), and between them
}

// Held readies it.
func (s *InitialSpread) Held() Held {
	h := Held{seen: s}
	if s.StoresSDKg > 0 {
		low, high := h.z(s.StoresMin), h.z(s.StoresMax)
		if h.upper = low > 0; h.upper {
			low, high = -high, -low
		}
		h.from = ShareUnder(low)
		h.all = ShareUnder(high) - h.from
	}
	return h
}

func (h *Held) z(kg float64) float64 { return (kg - h.seen.StoresKg) / h.seen.StoresSDKg }

// Under is the chance that a colony holds less than so much, 0..1: the share of the
// draws of its stores that lie under it.
func (h *Held) Under(kg float64) float64 {
	s := h.seen
	switch {
	case kg <= s.StoresMin:
		return 0
	case kg > s.StoresMax:
		return 1
	case !(s.StoresSDKg > 0):
		if math.Min(s.StoresMax, s.StoresKg) < kg {
			return 1
		}
		return 0
	}
	share := 0.0 // when both limits lie so far out that no digits are left, where storesAt takes the higher
	x := h.z(kg)
	if h.upper {
		x = -x
	}
	if h.all > 0 {
		share = (ShareUnder(x) - h.from) / h.all
	}
	if h.upper {
		return 1 - share
	}
	return share
}

// ShareUnder is the share of a standard normal under x, 0..1.
func ShareUnder(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// storesAt is the stores of a draw with the standard normal z, kg: the normal of
// what was seen cut to its limits, at the share of it that z stands for. A share of
// the draws on a limit itself, as when each is put back to it, there is not.
func (s *InitialSpread) storesAt(z float64) float64 {
	if !(s.StoresSDKg > 0) {
		return math.Max(s.StoresMin, math.Min(s.StoresMax, s.StoresKg))
	}
	low, high := (s.StoresMin-s.StoresKg)/s.StoresSDKg, (s.StoresMax-s.StoresKg)/s.StoresSDKg
	sign := 1.0
	if low > 0 { // work in the lower tail, where small shares keep their digits
		low, high, sign = -high, -low, -1
		z = -z
	}
	from, to := ShareUnder(low), ShareUnder(high)
	x := high // when both limits lie so far out that no digits are left
	if to > from {
		x = math.Max(low, math.Min(high, -math.Sqrt2*math.Erfcinv(2*(from+ShareUnder(z)*(to-from)))))
	}
	return math.Max(s.StoresMin, math.Min(s.StoresMax, s.StoresKg+sign*s.StoresSDKg*x))
}

// begin sets the start of a realization, whose parameters are drawn, from what was seen
// and how far from its middle this draw lies.
func (c *Realization) begin(table []colony.ForceDay, seen *InitialSpread, zBees, zBrood, zStores float64) {
	c.Forcing = table[seen.Day+1:]
	bees := math.Exp(seen.BeesLogMu + seen.BeesLogSD*zBees)
	c.Start = colony.InitialState{
		Bees:      bees,
		StoresKg:  seen.storesAt(zStores),
		PollenG:   colony.StartPollenG(&c.Params, &c.Forcing[0], bees),
		HeatShare: 1,
	}
	if seen.Wrapped {
		c.Start.HeatShare = c.Params.WrapHeatShare
	}
	cells := seen.BroodCells
	if math.IsNaN(cells) {
		cells = colony.ExpectedBrood(&c.Params, &c.Forcing[0], bees)
	}
	c.Start.BroodCells = cells * math.Exp(seen.BroodLogSD*zBrood)
}

// cover sets the span of a realization from days of the outlook; a readDay below 0 is
// none.
func (c *Realization) cover(seen *InitialSpread, pollenDay, bloomDay, nectarDay, readDay int) {
	first := seen.Day + 1
	c.Span = colony.Span{PollenDay: pollenDay - first, BloomDay: bloomDay - first, NectarDay: nectarDay - first, ReadDay: -1, Fed: seen.Fed}
	if seen.Gifts != nil && c.Member >= 0 {
		c.Span.Gifts = seen.Gifts[c.Member]
	}
	if readDay >= 0 {
		c.Span.ReadDay = readDay - first
	}
	c.Span.Days = min(len(c.Forcing), max(c.Span.NectarDay, c.Span.BloomDay, c.Span.ReadDay)+1)
}
