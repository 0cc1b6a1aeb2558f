package stock

import "tubewright/calc/units"

// Totals is what the pieces of one tube, or of several, come to, net of kerf and
// facing.
type Totals struct {
	Bends      int
	Straights  int          // straight pieces
	Bent       units.Length // centreline in bends
	Straight   units.Length // centreline in straights
	Centreline units.Length // Bent + Straight
	Turned     units.Angle  // all bends together, the least stock-bend angle to buy
}

// Total adds up pieces.
func Total(pieces []Piece) Totals {
	var t Totals
	for _, p := range pieces {
		if p.Kind == Bend {
			t.Bends++
			t.Bent += p.Length
			t.Turned += p.Turn
		} else {
			t.Straights++
			t.Straight += p.Length
		}
	}
	t.Centreline = t.Bent + t.Straight
	return t
}
