package stock

import (
	"math"
	"strconv"

	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// What a piece is cut from.
const (
	Straight = "straight"
	Bend     = "bend"
)

// Piece is one piece of a tube, between two radial cuts. All lengths are net:
// kerf and facing are not in them.
type Piece struct {
	ID      string       // tube and number: "t1-2"
	Number  int          // that it bears, whatever is put before or behind it; from 1
	Kind    string       // Straight or Bend
	Element string       // the element it comes from; of straights that were added up, the first that is not 0
	Length  units.Length // along the centreline

	// Of a bend; 0 for a straight.
	Turn     units.Angle  // bent through
	Radius   units.Length // CLR
	Rotation units.Angle  // as entered, from the bend before; the first from the bank's up
	Outside  units.Length // mark length along the outside of the bend, (CLR + OD/2)·turn
	Inside   units.Length // mark length along the inside, (CLR − OD/2)·turn
	// Chords between the ends of those marks, for a rule across instead of a tape
	// around: 2r·sin(turn/2).
	OutsideChord, InsideChord units.Length

	// ClockArc is how far around the OD the outside line of this bend lies from the
	// outside line of the bend before:
	//
	//	arc = OD/2 · rotation
	//
	// Signed, right-hand about travel: positive is clockwise seen from the port
	// along the tube. For the first bend it is from the line opposite to the bank's
	// up, where the outside of a bend with rotation 0 lies.
	ClockArc units.Length
}

// Pieces returns the pieces of a tube in order from the port, named after it:
// t1-1, t1-2, … Straights in a row are one piece and a straight of 0 is none,
// since nothing is cut there. Every bend is a piece of its own, also next to a
// bend in the same plane. The lengths add up to the path's to rounding. The
// errors are those of tube.Check, and there are no pieces then.
//
// A piece bears the number of its element, so that what is chalked on metal stays
// true when the path is changed. Pieces whose element has none, or one that a piece
// before it bears, get the lowest numbers that no element has, in order from the port.
//
// Joint k lies between piece k and piece k+1 as they are counted here, from 1; joint 0
// between the flange and the first.
func Pieces(id string, s tube.Section, elems []tube.Element) ([]Piece, error) {
	if err := tube.Check(s, elems); err != nil {
		return nil, err
	}
	var pieces []Piece
	var run Piece // straights since the last bend
	flush := func() {
		if run.Length > 0 {
			pieces = append(pieces, run)
		}
		run = Piece{Kind: Straight}
	}
	flush()
	for _, e := range elems {
		if e.Bend != nil {
			flush()
			pieces = append(pieces, bend(s, e))
			continue
		}
		if run.Length == 0 {
			run.Element = e.ID
		}
		run.Length += e.Straight
	}
	flush()
	number(pieces, elems)
	for i, p := range pieces {
		pieces[i].ID = id + "-" + strconv.Itoa(p.Number)
	}
	return pieces, nil
}

// number gives every piece the number of its element, or one that is free.
func number(pieces []Piece, elems []tube.Element) {
	of := make(map[string]int, len(elems)) // by element
	taken := make(map[int]bool, len(elems))
	for _, e := range elems {
		of[e.ID] = e.Number
		taken[e.Number] = true
	}
	borne := make(map[int]bool, len(pieces))
	free := 1
	for i, p := range pieces {
		n := of[p.Element]
		if n == 0 || borne[n] {
			for taken[free] {
				free++
			}
			n = free
			free++
		}
		borne[n] = true
		pieces[i].Number = n
	}
}

func bend(s tube.Section, e tube.Element) Piece {
	b := *e.Bend
	return Piece{
		Kind: Bend, Element: e.ID, Length: e.Length(),
		Turn: b.Turn, Radius: b.Radius, Rotation: b.Rotation,
		Outside: b.Outside(s.OD), Inside: b.Inside(s.OD),
		OutsideChord: chord(b.Radius+s.OD/2, b.Turn), InsideChord: chord(b.Radius-s.OD/2, b.Turn),
		ClockArc: ClockArc(s.OD, b.Rotation),
	}
}

// ClockArc returns a rotation as an arc on the OD, by the short way round; see
// Piece.ClockArc.
func ClockArc(od units.Length, rotation units.Angle) units.Length {
	return od / 2 * units.Length(shortest(rotation))
}

// shortest returns the same turn by at most half a turn, −180° < turn ≤ 180°: a
// hand marks the short way round.
func shortest(turn units.Angle) units.Angle {
	const whole = 360 * units.Degree
	turn = units.Angle(math.Mod(float64(turn), float64(whole)))
	switch {
	case turn > whole/2:
		return turn - whole
	case turn <= -whole/2:
		return turn + whole
	}
	return turn
}

func chord(r units.Length, turn units.Angle) units.Length {
	return 2 * r * units.Length(math.Sin(float64(turn)/2))
}

// WallLeft returns the wall that is left at the outside of a bend, by the rule
// of thumb that the outside stretches as its arc and the wall thins by
// (Ro − R)/Ro:
//
//	wall · R/(R + OD/2)
//
// with the CLR R and Ro = R + OD/2. Published rule of thumb for mandrel bends; it
// says 25 % thinner at R = 1.5 OD. Real bends differ with tooling: measure one
// before relying on it. radius and OD as tube.Check accepts them.
func WallLeft(s tube.Section, radius units.Length) units.Length {
	return s.Wall * radius / (radius + s.OD/2)
}
