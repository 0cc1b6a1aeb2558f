package route

import (
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// StockBend is a bend that pieces can be cut from.
type StockBend struct {
	ID     string
	Radius units.Length // CLR
	Turn   units.Angle  // the most it gives
	// Legs of the stock, 0 for none. A piece with less than all of Turn keeps one.
	LegA, LegB units.Length
}

// Gap is a question to ClosingPiece: what has to be put between a free end and a
// target. A zero tolerance of the length leaves it free.
type Gap struct {
	Start  geom.Frame
	Before units.Length
	OD     units.Length
	Target Target
	Stock  []StockBend
	// Least straights at the start and at the end (grip, bolt heads, slip), and
	// between two bends.
	LeastFirst, LeastBetween, LeastLast units.Length
	Most                                int // how many plans are wanted; 0 for 6
	Reject                              func(elems []tube.Element) (cost float64, reason string)
	Step                                func(done float64) bool
}

// Plan is one way to fill a gap.
type Plan struct {
	Elems  []tube.Element
	Stock  []int  // index in Gap.Stock for every element; −1 for a straight
	OnLeg  []bool // a straight that a leg of the bend beside it gives
	Pieces int    // to be cut: elements but for straights on legs
	Welds  int    // Pieces + 1

	Closes bool
	End    geom.Frame
	Miss   units.Length
	Slip   units.Length
	Aim    units.Angle
	Length units.Length // centreline with Before
	Cost   float64
}

// Filled is what ClosingPiece found.
type Filled struct {
	Plans  []Plan // that close: fewest welds, then shortest
	Vetoed int    // that Reject turned down
	// When none closes with this stock: Best comes nearest, and Radius is the CLR
	// with which two bends would do, 0 where none up to 10 OD does.
	Best   *Plan
	Radius units.Length
}
