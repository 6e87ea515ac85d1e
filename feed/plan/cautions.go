package plan

// The usual cautions; they defer to label, prescription, inspector and local law.
type (
	// LookForDisease before feeding, uniting or clearing.
	LookForDisease struct{}
	// WhiteSugar only.
	WhiteSugar struct{}
	// HotSyrup burns.
	HotSyrup struct{}
	// HeavyBoxes are lifted with care.
	HeavyBoxes struct{ LeastKg, MostKg float64 }
	// FeedInside the hive, nothing spilt.
	FeedInside struct{}
	// NoSyrupWithSupers says so, and drugs only by prescription.
	NoSyrupWithSupers struct{}
	// StoresOfDead are not feed.
	StoresOfDead struct{}
	// DustingPowder is an antibiotic: prescription, law, no open brood, no signs of
	// foulbrood, a wait before supers. Only of a plan with rounds of dusting.
	DustingPowder struct{}
	// ModelChanged says that the settings put other figures into the colony model.
	ModelChanged struct{ Parameters []ChangedParameter }
)

// ChangedParameter is a figure of the model that is not the usual one.
type ChangedParameter struct {
	Name         string
	Value, Usual float64
	Unit         string
}

// What the model leaves out.
type (
	// LeavesHealth is queens that fail, disease, mites, poisoning.
	LeavesHealth struct{}
	// LeavesSite is robbing, drifting, wind, sunshine, snow, the site's own climate.
	LeavesSite struct{}
	// LeavesHunger is the brood a hungry colony gives up.
	LeavesHunger struct{}
	// LeavesTiny is colonies under so many bees.
	LeavesTiny struct{ Bees float64 }
)

func (LookForDisease) Code() Code    { return "caution.look_for_disease" }
func (WhiteSugar) Code() Code        { return "caution.white_sugar" }
func (HotSyrup) Code() Code          { return "caution.hot_syrup" }
func (HeavyBoxes) Code() Code        { return "caution.heavy_boxes" }
func (FeedInside) Code() Code        { return "caution.feed_inside" }
func (NoSyrupWithSupers) Code() Code { return "caution.no_syrup_with_supers" }
func (StoresOfDead) Code() Code      { return "caution.stores_of_dead" }
func (DustingPowder) Code() Code     { return "caution.dusting_powder" }
func (ModelChanged) Code() Code      { return "caution.model_changed" }
func (LeavesHealth) Code() Code      { return "limit.health" }
func (LeavesSite) Code() Code        { return "limit.site" }
func (LeavesHunger) Code() Code      { return "limit.hunger" }
func (LeavesTiny) Code() Code        { return "limit.tiny" }

// FullDeepKg is what a full deep box weighs, kg, from and to, common practice.
var FullDeepKg = [2]float64{36, 41}

// Cautions are those that every plan carries.
func Cautions() []Note {
	return []Note{LookForDisease{}, WhiteSugar{}, HotSyrup{}, HeavyBoxes{FullDeepKg[0], FullDeepKg[1]}, FeedInside{}, NoSyrupWithSupers{}, StoresOfDead{}}
}

// FewestBees are those under which the figures behind the model end and a cluster
// hardly keeps warm in early spring, bees, 1,000-3,500, own judgement: about one seam. The
// least that is advised to winter is 5,000 bees at the end of October (Liebig, from
// memory), of which 3,500 are alive in early March (0.70, Liebig).
const FewestBees = 2000

// Limits are what every plan's model leaves out.
func Limits() []Note {
	return []Note{LeavesHealth{}, LeavesSite{}, LeavesHunger{}, LeavesTiny{Bees: FewestBees}}
}
