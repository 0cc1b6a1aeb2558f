package tube

import (
	"errors"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// longest is the longest straight and the largest CLR that is taken for one of a
// header, in mm; random lengths of tube end at about 7 m. Common practice, no
// source.
const longest = 10_000.0

// roundTurn is by how many degrees a turn may pass 180 before it counts as more:
// two halves of 90° from rounded points add up to a hair above. A thousandth of
// the last digit that can be typed.
const roundTurn = 1e-9

// Check returns everything that is wrong with a section and the elements of a
// tube made of it, as joined *fault.Field whose Where names the element, or nil.
// Accepted are
//
//	straight  0 to 10,000 mm
//	turn      more than 0°, to 180°
//	CLR       more than OD/2, to 10,000 mm: below that the inside of the bend folds
//	rotation  −360° to 360°
//
// and nothing that is not a finite number. With an unusable OD, CLR is only held
// against 0.
func Check(s Section, elems []Element) error {
	faults := []error{s.Check()}
	od := s.OD
	if !(od > 0 && od <= widest) {
		od = 0
	}
	for _, e := range elems {
		faults = append(faults, e.check(od))
	}
	return errors.Join(faults...)
}

func (e Element) check(od units.Length) error {
	var err error
	if e.Bend != nil {
		err = e.Bend.check(od)
	} else {
		err = fault.Within("Straight", e.Straight.MM(), 0, longest, "mm")
	}
	if err == nil {
		return nil // nothing is named that need not be
	}
	return fault.At(err, fault.Field{Where: "element " + e.ID})
}

func (b Bend) check(od units.Length) error {
	turn := b.Turn.Deg()
	if turn > 180 && turn <= 180+roundTurn {
		turn = 180
	}
	return errors.Join(
		above("Bent through", turn, 0, 180, "°", "a bend of 0° is a straight"),
		above("CLR", b.Radius.MM(), od.MM()/2, longest, "mm", "the inside of the bend would have no radius left"),
		fault.Within("Rotation", b.Rotation.Deg(), -360, 360, "°"),
	)
}
