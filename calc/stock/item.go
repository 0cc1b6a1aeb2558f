package stock

import (
	"math"

	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// What an item of stock is.
const (
	BentTube = "bend"   // a U, a J, a 90, a 45, or the off-cut of one
	Tubing   = "length" // straight tube
	Elbow    = "elbow"  // butt-weld elbow: a bend without legs
)

// Item is one kind of stock.
type Item struct {
	ID       string // no two items have the same
	Kind     string // BentTube, Tubing or Elbow
	Section  tube.Section
	Material string

	Length units.Length // of tubing

	// Of a bend or an elbow.
	Angle units.Angle
	CLR   units.Length // nominal; a piece is cut from it whose CLR is the same to 0.05 mm
	// TrueCLR is the CLR as measured on it, 0 where it was not: marks and the loss at
	// a cut go by it.
	TrueCLR    units.Length
	LegA, LegB units.Length // straights at its ends; none at an elbow

	Price     int64 // cents for one that is bought; 0 where it is not known
	Buy       bool  // as many as are needed can be bought
	OnHand    int
	HandPrice int64 // cents that one on hand counts for; 0 where it is paid for
	Offcut    bool
}

// MeasuredCLR returns the CLR of a U-bend from one reading across, from the outside
// of one leg to the inside of the other:
//
//	CLR = across/2
//
// Published shop rule, and closed form where the legs are parallel: it holds at
// exactly 180° only.
func MeasuredCLR(across units.Length) units.Length { return across / 2 }

// Loss returns the angle that one cut between two pieces of a bend takes. The saw
// cuts a parallel slab and the face behind it has to be radial again, so that the
// slab has to be through at the inside of the bend:
//
//	δ = asin(kerf/(CLR − OD/2)) + facing/CLR
//
// with kerf the width of the cut and facing what is dressed off along the
// centreline. Closed form. A kerf that is wider than the inside radius, and a CLR
// of OD/2 or less, give NaN.
func Loss(od, clr units.Length, saw Saw) units.Angle {
	inside := clr - od/2
	if !(inside > 0) {
		return units.Angle(math.NaN())
	}
	return units.Angle(math.Asin(float64(saw.Kerf/inside))) + units.Angle(saw.Facing/clr)
}

func (it Item) clr() units.Length {
	if it.TrueCLR > 0 {
		return it.TrueCLR
	}
	return it.CLR
}
