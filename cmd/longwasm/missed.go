package main

import (
	"math"

	"tubewright/calc/ledger"
	"tubewright/calc/units"
	"tubewright/calc/wrap"
)

// missed is what a cut leaves that misses the bend's centre, in mm, degrees and percent.
type missed struct {
	Off      float64 `json:"off"`
	Lean     float64 `json:"lean"` // of the face from square
	Wide     float64 `json:"wide"` // of the face in the plane of the bend
	Ovality  float64 `json:"ovality"`
	Step     float64 `json:"step"`     // the greatest against a round end that sits as well as it can
	IsSquare bool    `json:"isSquare"` // within what a square cut may lean
}

// offs are the misses that a person at the saw tells apart, those of the printed wheel.
var offs = [...]float64{0.5, 1, 2, 3, 5, 8}

// misses answers for one OD and CLR; where the cut would run out along the inside the
// list ends.
func misses(q question, _, _ []ledger.Record, _ func(done float64) bool) (any, error) {
	list := []missed{}
	for i, off := range offs {
		m, err := wrap.Miss(units.Length(q.OD), units.Length(q.CLR), units.Length(off))
		if err != nil && i == 0 {
			return nil, err
		}
		if err != nil {
			break
		}
		list = append(list, missed{off, to(m.Lean.Deg(), 1e-3), to(m.Wide.MM(), 1e-4), to(100*m.Ovality, 1e-3), to(m.Step.MM(), 1e-4), m.Lean <= wrap.Squareness})
	}
	return list, nil
}

// to rounds to a step, far below what is shown.
func to(v, step float64) float64 { return math.Round(v/step) * step }
