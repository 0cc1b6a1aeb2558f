package route

import (
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Kind is what has to be done for a change.
type Kind string

// The kinds, cheapest first. The effort of each is given in turns of an untacked
// joint, a part for beginning it and a part for its size: common practice for what
// is cheaper than what, no source for the figures.
const (
	Turn         Kind = "turn"          // turn an untacked joint: 1, and 1 more for each 20°
	Straight     Kind = "straight"      // cut an uncut straight longer or shorter: 1.5, and 1 for each 20 mm
	Bend         Kind = "bend"          // cut an uncut bend to more or less angle: 2, and 1 for each 10°
	Recut        Kind = "recut"         // take angle off a cut bend: 4, and 1 for each 5°
	Trim         Kind = "trim"          // take length off a cut straight: 5, and 1 for each 10 mm
	StraightAnew Kind = "straight anew" // cut another straight in the place of a cut one, longer: 7, and 1 for each 20 mm
	BendAnew     Kind = "bend anew"     // cut another bend in the place of a cut one, of more angle: 9, and 1 for each 10°
	NewStraight  Kind = "new straight"  // a sliver of straight at a joint: 10, and 1 for each 20 mm
	NewBend      Kind = "new bend"      // a sliver of bend at a joint: 12, and 1 for each 20°
)

// Change is one thing to do.
type Change struct {
	Kind Kind
	// Joint of a turn or a sliver: joint k is at the start of piece k of the chain,
	// counted from 0; the last, behind all pieces, is at the socket.
	Joint int
	Piece int // of the other kinds, index in the chain; −1 for a sliver
	// Turn is by how much a joint is turned beyond the clock that the piece behind
	// has, right-hand about travel, −180° < turn ≤ 180°; of a new bend its rotation.
	Turn units.Angle
	Arc  units.Length // the same as an arc on the OD, signed: OD/2·turn
	// Angle is what a bend gets more, negative for less; of a new bend all of it.
	Angle units.Angle
	// Length is what a straight gets longer, negative for shorter; of a new straight
	// all of it.
	Length units.Length
	Radius units.Length // CLR, of a new bend
	Effort float64
}

// Answer is a set of changes and what comes of it. Figures of changes are whole
// tenths of a mm and of a degree; where that does not close, whole hundredths.
// What would come out beyond a bound stands at the bound.
type Answer struct {
	Changes []Change       // in order from the start
	Elems   []tube.Element // the chain with its changes, slivers too, as walked
	Pieces  []int          // of every element of Elems its index in the chain; −1 for a sliver

	Closes bool         // Miss, Aim and Length lie within tolerance; walked, not estimated
	End    geom.Frame   // where the end comes
	Miss   units.Length // from the target, beyond its slip
	Slip   units.Length // of the slip used; positive is deeper
	Aim    units.Angle  // from the target's aim
	Length units.Length // centreline with Before
	Longer units.Length // than the chain as it is
	Welds  int          // joints to weld that the chain as it is does not have

	Effort float64 // of all changes, with Cost
	Cost   float64 // what Reject gave

	Spread Spread
}

// Vetoed is an answer that closes and that Reject turned down.
type Vetoed struct {
	Answer
	Reason string
}

// Socket says how the target would have to move so that a chain closes that does
// not: the end of Answer lies there.
type Socket struct {
	Move   geom.Vec    // of the target, mm
	Tilt   units.Angle // of the target's aim; 0 where it can stay
	Answer Answer      // what has to be done then; its Miss and Aim are from where the target is
}

// OtherRadius is a chain that closes with another CLR for one bend.
type OtherRadius struct {
	Piece  int
	Radius units.Length
	Answer Answer
}

// Closing is what Close found.
type Closing struct {
	AsIs    Answer   // the chain without a change
	Answers []Answer // that close, least effort first; the chain as it is alone when that closes and is not turned down
	Vetoed  []Vetoed // that Reject turned down, at most 12
	// Around says that all that asks for little was turned down, the chain as it is
	// where that closes, and that ways which lie farther from it were looked for.
	Around bool

	// When nothing closes, not even what was vetoed: Best comes nearest, by misses over
	// their tolerances. That no better was found is no proof that there is none.
	Best   *Answer
	Socket *Socket       // how far the socket would have to move
	Radii  []OtherRadius // which other CLR would do, best first

	Tried    int  // sets of changes that were solved
	Complete bool // all sets of up to six changes without a new piece were tried, could not be better than the answers, or have no hope
}

// Request is a question to Close.
type Request struct {
	Chain  Chain
	Target Target
	Radii  []units.Length // CLRs on hand, for slivers and for what would close
	Sigmas *Sigmas        // nil for UsualSigmas
	Most   int            // how many answers are wanted; 0 for 6
	// Reject is asked about every answer that could be shown: a reason turns it
	// down, a cost (≥ 0, in turns of a joint) moves it back. May be nil.
	Reject func(elems []tube.Element) (cost float64, reason string)
	// Step is told from time to time how much is done, 0 to 1; false stops, and what
	// is found so far comes back with ErrStopped. May be nil.
	Step func(done float64) bool
}
