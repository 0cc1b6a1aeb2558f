package route

import (
	"errors"
	"math"

	"tubewright/calc/fault"
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
// target.
type Gap struct {
	Start  geom.Frame
	Before units.Length // centreline up to Start, counted into every length
	OD     units.Length
	Target Target
	Stock  []StockBend
	// Least straights at the start and at the end (grip, bolt heads, slip), and
	// between two bends. One that may be left out has 6 mm or is left out.
	LeastFirst, LeastBetween, LeastLast units.Length
	Most                                int // how many plans are wanted; 0 for 6
	// Reject and Step as in Request; a cost counts like welds.
	Reject func(elems []tube.Element) (cost float64, reason string)
	Step   func(done float64) bool
}

// Plan is one way to fill a gap.
type Plan struct {
	Elems  []tube.Element
	Stock  []int  // of every element the index in Gap.Stock; −1 for a straight
	OnLeg  []bool // of every element: a straight that a leg of a bend beside it gives
	Pieces int    // to be cut: elements but for straights on legs
	Welds  int    // joints, that at the start and that at the socket too: Pieces + 1

	Closes bool // walked, in figures that can be marked, as in Answer
	Short  bool // it would close but for a straight that is too short to be held
	End    geom.Frame
	Miss   units.Length
	Slip   units.Length
	Aim    units.Angle
	Length units.Length // centreline with Before
	Cost   float64      // what Reject gave
}

// Filled is what ClosingPiece found.
type Filled struct {
	Plans  []Plan   // that close: fewest welds and cost, then shortest
	Vetoed int      // that Reject turned down
	Why    []string // for each of its reasons once, as they came
	// When none closes with this stock: Best comes nearest, and Radius is the largest
	// CLR below those on hand, in steps of 5 %, with which one or two bends of the most
	// angle on hand would do; 0 where none does.
	Best   *Plan
	Radius units.Length
}

const (
	mostStock   = 50
	mostOfOne   = 2                // plans with the same bends and straights
	turnedAlike = 1 * units.Degree // plans that differ by less are one
	longAlike   = 2.0              // mm, likewise
)

// ClosingPiece plans up to two bends and up to three straights (first, between, last)
// from a free end to a target: every combination of CLRs on hand, with as few
// straights as will do. The error is joined *fault.Field or ErrStopped. That nothing
// fits is not an error.
//
// Both bends' angles and rotations and the straights are solved together as Close
// solves its changes, from 32 starts each. What is found holds; that no start led to
// a plan is no proof that there is none.
func ClosingPiece(g Gap) (Filled, error) {
	t, err := g.Target.ready()
	if err := errors.Join(err, g.check()); err != nil {
		return Filled{}, err
	}
	g.Target = t
	if g.Most == 0 {
		g.Most = usualAnswers
	}
	f := filler{gap: g, nearest: math.Inf(1)}
	radii := g.radii()
	if err := f.all(radii); err != nil {
		f.finish()
		return f.out, err
	}
	f.finish()
	if len(f.out.Plans) == 0 && f.out.Vetoed == 0 {
		err = f.tighter(radii)
	} else {
		f.out.Best = nil
	}
	return f.out, err
}

func (g Gap) check() error {
	faults := []error{
		fault.Within("Answers wanted", float64(g.Most), 0, 100, ""),
		fault.Within("Centreline before", g.Before.MM(), 0, 10*longest, "mm"),
		fault.Within("Least straight at the start", g.LeastFirst.MM(), 0, longest, "mm"),
		fault.Within("Least straight between bends", g.LeastBetween.MM(), 0, longest, "mm"),
		fault.Within("Least straight at the end", g.LeastLast.MM(), 0, longest, "mm"),
		fault.Within("Stock bends", float64(len(g.Stock)), 0, mostStock, ""),
	}
	if _, err := tube.Walk(g.Start, nil); err != nil {
		faults = append(faults, err)
	}
	elems := []tube.Element{}
	for _, s := range g.Stock {
		elems = append(elems, tube.Element{ID: s.ID, Bend: &tube.Bend{Turn: s.Turn, Radius: s.Radius}})
		faults = append(faults, fault.At(errors.Join(
			fault.Within("Stock angle", s.Turn.Deg(), LeastTurn.Deg(), 180+1e-9, "°"),
			fault.Within("Leg", min(s.LegA, s.LegB).MM(), 0, longest, "mm"),
			fault.Within("Leg", max(s.LegA, s.LegB).MM(), 0, longest, "mm"),
		), fault.Field{Where: "stock " + s.ID}))
	}
	return errors.Join(append(faults, tube.Check(tube.Section{OD: g.OD, Wall: g.OD / 10}, elems))...)
}
