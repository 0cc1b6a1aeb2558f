package stock

import (
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Need is a piece that has to be cut.
type Need struct {
	ID       string // of the piece: "t1-2"; no two needs have the same
	Tube     string // the tube it belongs to
	Kind     string // Straight or Bend
	Section  tube.Section
	Material string
	Copies   int // how many sets are made; 0 counts as 1

	Length units.Length // of a straight

	// Of a bend.
	Turn   units.Angle
	Radius units.Length // CLR as drawn; stock is looked for by it
	// Before and After are the ids of the straights next to it towards the port and
	// the collector that may be one with it, where a leg of the stock bend is long
	// enough. Empty where there is none, or where it has to stay a piece of its own.
	// A straight between two bends stands at both; one of them gets it.
	Before, After string
}

// Needs returns what has to be cut for a tube, from its pieces in order from the
// port: every straight may be one with the bend next to it.
func Needs(id string, s tube.Section, material string, pieces []Piece, copies int) []Need {
	needs := make([]Need, len(pieces))
	for i, p := range pieces {
		n := Need{ID: p.ID, Tube: id, Kind: p.Kind, Section: s, Material: material, Copies: copies}
		if p.Kind == Straight {
			n.Length = p.Length
		} else {
			n.Turn, n.Radius = p.Turn, p.Radius
			if i > 0 && pieces[i-1].Kind == Straight {
				n.Before = pieces[i-1].ID
			}
			if i+1 < len(pieces) && pieces[i+1].Kind == Straight {
				n.After = pieces[i+1].ID
			}
		}
		needs[i] = n
	}
	return needs
}

func (n Need) sets() int { return max(n.Copies, 1) }
