package calibrate

// Use is what an observation is for. One observation fits or checks, never both.
type Use string

// The uses.
const (
	Fit   Use = "fit"   // may choose a parameter: no evidence
	Check Use = "check" // feeds no parameter: evidence
)

// Source is one source of observations and what it is used for.
type Source struct {
	Name string
	What string // the observations taken from it
	Use  Use
	Why  string
}

// Sources lists every source and its use. The list was written before anything
// was fitted with it. The values of the sources marked Check had been seen by
// then, so they are evidence against a poor fit, but not fresh evidence. A source
// that stands twice is used in two parts, no observation in both.
func Sources() []Source { return sources }

var sources = []Source{
	{"Norrstroem, Niklasson & Leidenberger 2021", "winter use at 3.5 C and its SD over 32 hives", Fit, "the best weighed winter: heat loss and the spread between colonies"},
	{"Harbo 1983", "use without brood by 34,000, 8,900 and 4,400 bees", Fit, "the only figure for bees without brood"},
	{"Harris 2010", "spring minimum and recovery of colonies in Manitoba", Fit, "the only full record of births and deaths in spring"},
	{"Seeley & Visscher 1985; Seeley 2019", "food used after 1 February against before; day of the lowest weight; cells two weeks after the solstice; weight lost October to April", Fit,
		"start of the brood nest and of the first income; the weight was first kept for checking and moved after a first fit, for nothing else tells how much a cluster saves by drawing together in hard winters"},
	{"Liebig, cold week", "use of a strong colony in a cold week", Fit, "heat over a large nest"},
	{"Mattila & Otis 2006", "brood with and without protein supplement", Fit, "pollen in store"},
	{"Jeffree 1956", "colonies with brood in October and November", Fit, "end of brood in autumn"},
	{"HOBOS 2017", "weights of two hives, 1 January to 30 April 2017", Fit, "only leaving one hive out says anything"},

	{"Liebig, 3,258 colonies", "bees alive in March", Check, ""},
	{"Avitabile 1978", "bees alive in March", Check, ""},
	{"Austrian and German institute pages", "use in March and April, and against midwinter", Check, ""},
	{"de Gelieu 1814", "winter loss of two colonies united against one", Check, "the loss of one hive chose the bees of a skep and is no evidence"},
	{"Harbo 1993", "use of brooding colonies in warmth", Check, ""},
	{"Ohio 2015", "bees and sealed brood of 19 small colonies, late April to late May", Check, "too many bees and too little brood before; its deaths may be those of colonies beside maize being sown (memory)"},
	{"McLellan 1978", "bees and brood in late May, Scotland", Check, ""},
	{"Jeffree 1956", "colonies with brood from December to March", Check, ""},
}
