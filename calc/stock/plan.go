package stock

import "tubewright/calc/units"

// Plan is what to cut from what.
type Plan struct {
	Uses []Use    // one for every bend, elbow and length that is cut, or used whole
	Buy  []Bought // in the order of the items
	Out  []Out    // pieces that are not in the plan, and why

	Splits []Split // pieces that are longer than any stock bend

	Cost  int64 // cents
	Bound int64 // cents; no plan for the same pieces costs less
	// Optimal says that no plan is cheaper: Cost is Bound.
	Optimal bool
	// Welds are the joints between the pieces of each tube, taken in a row as they
	// were given, and those of splits, all sets: what a leg saves is not among them.
	Welds int
	// FewestWelds says that no plan that is as cheap has fewer. Most useful off-cuts
	// come after that, as far as the search went.
	FewestWelds bool
	Stopped     bool // by step, or at the end of Settings.Nodes: the best found so far
	// Unpriced are items that can be bought and have no price. So that there is a
	// plan, they counted as one cent a degree and ten cents a metre, in Cost too.
	Unpriced []string
}

// Use is one piece of stock and what is cut from it. All angles and lengths on it
// are measured from where its bend begins at end A, where leg A ends; of tubing
// from its end.
type Use struct {
	Item   string
	Number int // counts the pieces of stock of this item, from 1: those on hand first
	OnHand bool
	Price  int64 // cents
	Cuts   []Cut // in order from end A
	Left   []Left
}

// Cut is a piece where it lies in its stock.
type Cut struct {
	Piece string
	Set   int // 1 to Need.Copies
	// Flipped says that the end towards the collector is the one nearer to end A. A
	// straight, and a bend that keeps no leg, may lie either way.
	Flipped bool

	From, To units.Angle // of a bend: both faces, from where the stock bend begins
	// Start and End are both faces of a straight.
	Start, End units.Length

	// LegA and LegB are the ids of the straights that the legs at end A and end B
	// stay on as, and what is left of the legs then, LengthA and LengthB.
	LegA, LegB       string
	LengthA, LengthB units.Length
}

// Left is what is left over in one place.
type Left struct {
	From, To   units.Angle  // of a bend
	Start, End units.Length // of tubing
	LegA, LegB units.Length // that are still on it, of a bend
	Kept       bool         // goes back to stock
}

// Angle returns the angle of what is left of a bend.
func (l Left) Angle() units.Angle { return l.To - l.From }

// Length returns the length of what is left of tubing.
func (l Left) Length() units.Length { return l.End - l.Start }

// Bought says how many of an item have to be bought.
type Bought struct {
	Item  string
	Count int
	Cost  int64 // cents, all of them
}

// Out is a piece that could not be planned.
type Out struct {
	Piece string
	Sets  int // how many of it
	Why   string
}

// Split is a piece that is made of two, with a weld between them: in the plan it
// stands as Parts, its id with a and b.
type Split struct {
	Piece string
	Parts [2]string
	Turns [2]units.Angle
}
