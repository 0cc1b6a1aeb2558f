package stock

import (
	"errors"

	"tubewright/calc/fault"
	"tubewright/calc/tube"
)

// The most that is taken, so that every number that is worked with stays exact.
const (
	mostCopies = 1000
	mostPrice  = 100_000_00 // cents
	mostOnHand = 100_000
	longest    = 20_000.0 // mm
)

// check returns everything that is wrong with what Pack is given, as joined
// *fault.Field, or nil.
func check(needs []Need, items []Item, set Settings) error {
	var faults []error
	faults = append(faults,
		fault.Within("Kerf", set.Saw.Kerf.MM(), 0, 20, "mm"),
		fault.Within("Facing", set.Saw.Facing.MM(), 0, 20, "mm"),
		fault.Within("Smallest piece", set.Smallest.Deg(), 0, 180, "°"),
		fault.Within("Smallest off-cut", set.Keep.Deg(), 0, 180, "°"),
		fault.Within("Smallest off-cut of a length", set.KeepLength.MM(), 0, longest, "mm"),
	)
	at := map[string]*Need{}
	for i := range needs {
		n := &needs[i]
		where := fault.Field{Where: "piece " + n.ID}
		if at[n.ID] != nil || n.ID == "" {
			faults = append(faults, fault.At(fault.Refuse("Piece", "every piece needs an id of its own"), where))
		}
		at[n.ID] = n
		faults = append(faults, fault.At(n.check(), where))
	}
	faults = append(faults, checkSides(needs, at))
	seen := map[string]bool{}
	for _, it := range items {
		where := fault.Field{Where: "stock " + it.ID}
		if seen[it.ID] || it.ID == "" {
			faults = append(faults, fault.At(fault.Refuse("Stock", "every item needs an id of its own"), where))
		}
		seen[it.ID] = true
		faults = append(faults, fault.At(it.check(set.Saw), where))
	}
	return errors.Join(faults...)
}

func (n Need) check() error {
	copies := fault.Within("Copies", float64(n.Copies), 0, mostCopies, "")
	switch n.Kind {
	case Bend:
		return errors.Join(copies, ofTube(n.Section, tube.Element{Bend: &tube.Bend{Turn: n.Turn, Radius: n.Radius}}))
	case Straight:
		if n.Length == 0 {
			return fault.Refuse("Straight", "a straight of 0 is no piece")
		}
		return errors.Join(copies, ofTube(n.Section, tube.Element{Straight: n.Length}))
	}
	return fault.Refuse("Piece", "a piece is a straight or a bend")
}

// ofTube is tube.Check of one element, without its name: that of the piece or the
// item stands for it.
func ofTube(s tube.Section, e tube.Element) error {
	var faults []error
	for _, f := range fault.All(tube.Check(s, []tube.Element{e})) {
		own := *f
		own.Where = ""
		faults = append(faults, &own)
	}
	return errors.Join(faults...)
}

// checkSides refuses straights that do not exist, and those that lie before or after
// more than one bend.
func checkSides(needs []Need, at map[string]*Need) error {
	var faults []error
	before, after := map[string]bool{}, map[string]bool{}
	side := func(n Need, name, id string, taken map[string]bool) {
		if id == "" {
			return
		}
		why := ""
		switch s := at[id]; {
		case s == nil || s.Kind != Straight:
			why = "there is no straight " + id
		case taken[id]:
			why = "another bend has straight " + id + " on this side"
		case s.sets() != n.sets():
			why = "straight " + id + " is not made as often as the bend"
		}
		taken[id] = true
		if why != "" {
			faults = append(faults, fault.At(fault.Refuse(name, why), fault.Field{Where: "piece " + n.ID}))
		}
	}
	for _, n := range needs {
		if n.Kind != Bend {
			continue
		}
		if n.Before != "" && n.Before == n.After {
			faults = append(faults, fault.At(fault.Refuse("Straight after", "it is the one before as well"), fault.Field{Where: "piece " + n.ID}))
			continue
		}
		side(n, "Straight before", n.Before, before)
		side(n, "Straight after", n.After, after)
	}
	return errors.Join(faults...)
}

func (it Item) check(saw Saw) error {
	faults := []error{
		fault.Within("Price", float64(it.Price), 0, mostPrice, "cents"),
		fault.Within("Price on hand", float64(it.HandPrice), 0, mostPrice, "cents"),
		fault.Within("On hand", float64(it.OnHand), 0, mostOnHand, ""),
	}
	switch it.Kind {
	case Tubing:
		faults = append(faults, it.Section.Check())
		if !(it.Length > 0) {
			faults = append(faults, &fault.Field{Name: "Length", Got: it.Length.MM(), Unit: "mm", Low: 0, High: longest, Why: "tubing has to be longer than nothing"})
		} else {
			faults = append(faults, fault.Within("Length", it.Length.MM(), 0, longest, "mm"))
		}
	case BentTube, Elbow:
		for _, clr := range []tube.Bend{{Turn: it.Angle, Radius: it.CLR}, {Turn: it.Angle, Radius: it.clr()}} {
			if err := ofTube(it.Section, tube.Element{Bend: &clr}); err != nil {
				return errors.Join(append(faults, err)...)
			}
		}
		// A cut that goes through at the inside needs an inside wider than itself.
		if inside := it.clr() - it.Section.OD/2; !(saw.Kerf <= inside) {
			faults = append(faults, &fault.Field{Name: "Kerf", Got: saw.Kerf.MM(), Unit: "mm", Low: 0, High: inside.MM(), Why: "the inside of this bend is narrower than the cut"})
		}
		faults = append(faults,
			fault.Within("Leg A", it.LegA.MM(), 0, longest, "mm"),
			fault.Within("Leg B", it.LegB.MM(), 0, longest, "mm"))
	default:
		faults = append(faults, fault.Refuse("Stock", "an item is a bend, an elbow or a length"))
	}
	return errors.Join(faults...)
}
