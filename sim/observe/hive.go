package observe

import "math"

// BoxKind is the depth of a box.
type BoxKind int

// The depths of box that are known.
const (
	Deep    BoxKind = iota // comb about 43 x 20 cm
	Medium                 // comb about 43 x 14 cm
	Shallow                // comb about 43 x 11.5 cm
	Large                  // brood box with combs about 43 x 26 cm
)

// DeepCombs is the comb area of a frame of this kind in deep combs (worked from
// the usual comb dimensions; Medium and Shallow common practice).
func (k BoxKind) DeepCombs() float64 {
	switch k {
	case Medium:
		return 0.67
	case Shallow:
		return 0.55
	case Large:
		return 1.27
	}
	return 1
}

// String is the word used in tables.
func (k BoxKind) String() string {
	switch k {
	case Medium:
		return "medium"
	case Shallow:
		return "shallow"
	case Large:
		return "large"
	}
	return "deep"
}

// FullFrameKg is the food in a full comb, kg: published for deep and medium, by
// comb area for the others.
func (k BoxKind) FullFrameKg() float64 {
	if k == Medium {
		return fullMediumFrameKg
	}
	return fullDeepFrameKg * k.DeepCombs()
}

// LeastDeepFrameKg is the food in a deep comb that a keeper calls full, kg, at least: the
// low end of the range below.
const LeastDeepFrameKg = 2.7

const (
	fullDeepFrameKg   = 3.15 // kg food in a deep comb; range 2.7-3.6 (trade and advisers' tables)
	fullMediumFrameKg = 1.85 // kg food in a medium comb; range 1.6-2.1 (as above)
	cellsPerDeepSide  = 3400 // worker cells on one side of a deep comb; range 3,300-3,500 (trade tables)
)

// BroodCells is the number of worker cells on combs of brood full on both
// sides: 6,800 for a deep comb (trade tables, 3,300-3,500 a side), by comb area
// for the others.
func BroodCells(frames float64, k BoxKind) float64 {
	return frames * 2 * cellsPerDeepSide * k.DeepCombs()
}

// Boxes is a number of boxes of one kind.
type Boxes struct {
	Kind  BoxKind
	Count int // 1 or more
}

// StandardFrames is the number of frames that Tares are given for.
const StandardFrames = 10

// Tares are the weights of empty equipment in kg, with frames of drawn but
// empty comb in the boxes, for boxes of 10 frames.
type Tares struct {
	LidKg, InnerCoverKg, FloorKg         float64
	DeepKg, MediumKg, ShallowKg, LargeKg float64 // one box with its combs
	WrapKg                               float64 // insulation, when the hive has it
	Own                                  bool    // true when the yard gave the weight of its own boxes
}

// DefaultTares are the weights of empty 10-frame equipment. Boxes hold drawn
// combs. Lid, inner cover, screened floor, medium box: published weights of
// 10-frame equipment; the deep box is 6.2 kg with frames without wax (as
// published) and 0.12 kg of wax a comb (own judgement). Shallow and large box
// and the wrap: own judgement, by comb area. Let each yard weigh its own.
func DefaultTares() Tares {
	return Tares{LidKg: 3.9, InnerCoverKg: 0.8, FloorKg: 1.8, DeepKg: 7.4, MediumKg: 4.6, ShallowKg: 4.0, LargeKg: 9.2, WrapKg: 1.0}
}

// boxKg is the weight of one box of 10 frames.
func (t Tares) boxKg(k BoxKind) float64 {
	switch k {
	case Medium:
		return t.MediumKg
	case Shallow:
		return t.ShallowKg
	case Large:
		return t.LargeKg
	}
	return t.DeepKg
}

// How far off the weight of empty equipment is.
const (
	tareSDKg    = 1.0 // kg a box and root of boxes, default tares: published ones of a double differ by 5 kg
	ownTareSDKg = 0.5 // kg a box and root of boxes, tares weighed by the yard: cocoons, damp wood (own judgement)
)

// Hive is the equipment that a colony lives in.
type Hive struct {
	Boxes        []Boxes
	FramesPerBox int // frames in a full box, usually 10
	Wrapped      bool
	Tares        Tares
	Masses       Masses
	Hand         Hand // that of the keeper who judges it
}

// BoxCount is the number of boxes.
func (h *Hive) BoxCount() int {
	n := 0
	for _, b := range h.Boxes {
		n += b.Count
	}
	return n
}

// Frames is the number of frames in all boxes.
func (h *Hive) Frames() int { return h.BoxCount() * h.FramesPerBox }

// MainKind is the kind of box that there is most of, by comb area; Deep when
// no box is known. Seams and brood are counted in it.
func (h *Hive) MainKind() BoxKind {
	best, area := Deep, 0.0
	for _, b := range h.Boxes {
		if a := float64(b.Count) * b.Kind.DeepCombs(); a > area {
			best, area = b.Kind, a
		}
	}
	return best
}

// TareKg is the weight of the empty equipment in kg, combs included, and its
// SD. Boxes of other than 10 frames count in proportion when the tares are the
// default ones.
func (h *Hive) TareKg() (meanKg, sdKg float64) {
	t := &h.Tares
	kg := t.LidKg + t.InnerCoverKg + t.FloorKg
	for _, b := range h.Boxes {
		kg += float64(b.Count) * t.boxKg(b.Kind)
	}
	each := ownTareSDKg
	if !t.Own {
		each = tareSDKg
		kg *= float64(h.FramesPerBox) / StandardFrames
	}
	if h.Wrapped {
		kg += t.WrapKg
	}
	return kg, each * math.Sqrt(math.Max(1, float64(h.BoxCount())))
}

// FullKg is the food in kg that all combs hold when full.
func (h *Hive) FullKg() float64 {
	kg := 0.0
	for _, b := range h.Boxes {
		kg += float64(b.Count*h.FramesPerBox) * b.Kind.FullFrameKg()
	}
	return kg
}

func (h *Hive) has(k BoxKind) bool {
	for _, b := range h.Boxes {
		if b.Kind == k {
			return true
		}
	}
	return false
}

// deepBoxes is the comb area in deep boxes of 10 frames.
func (h *Hive) deepBoxes() float64 {
	n := 0.0
	for _, b := range h.Boxes {
		n += float64(b.Count*h.FramesPerBox) / StandardFrames * b.Kind.DeepCombs()
	}
	return n
}
