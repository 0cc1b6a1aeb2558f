package job

import (
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/stock"
	"tubewright/calc/units"
)

// Stock is an item that pieces are cut from.
type Stock struct {
	ID, Title          string
	InShop             bool   // it stands in the shop's own job, not in this one
	Type, Form         string // words of the table
	Name, Supplier     string
	OD, Wall           Opt[units.Length]
	Material           string
	CLR                Opt[units.Length]    // as sold
	Across             [2]Opt[units.Length] // outside of one leg to inside of the other, both ways
	Angle              Opt[units.Angle]
	LegA, LegB, Length Opt[units.Length]
	Price              Opt[float64]
	OnHand             Opt[float64] // as counted
	Taken              int          // since
	Offcut             bool
	Open               []string // slots without which nothing is cut from it
}

// TrueCLR is the CLR as it was measured on the item, not known where it was not.
func (s Stock) TrueCLR() Opt[units.Length] {
	var sum units.Length
	n := 0
	for _, a := range s.Across {
		if a.Known {
			sum, n = sum+a.V, n+1
		}
	}
	if n == 0 {
		return Opt[units.Length]{}
	}
	return Opt[units.Length]{stock.MeasuredCLR(sum / units.Length(n)), true}
}

// Left is how many there are of it: as counted, less what was taken since.
func (s Stock) Left() int { return max(0, int(s.OnHand.V)-s.Taken) }

// Made is what came out of a piece at the bench.
type Made struct {
	Turn        Opt[units.Angle]
	CLR, Length Opt[units.Length]
	Clocked     Opt[units.Angle]
	Stage       string // of PieceStages, "" while it is a drawing
	By, At      string // who said so and when, RFC 3339; empty where a job file says it
}

// isSaid tells whether anything is known of it.
func (m Made) isSaid() bool {
	return m.Turn.Known || m.CLR.Known || m.Length.Known || m.Clocked.Known || m.Stage != ""
}

// isCut tells whether the metal is cut.
func (m Made) isCut() bool { return m.isSaid() }

// isTacked tells whether the joint at its start holds: said by its stage, or since its
// clock was measured where it sits.
func (m Made) isTacked() bool {
	return m.Clocked.Known || slices.Index(PieceStages, m.Stage) >= slices.Index(PieceStages, "tacked")
}

// Tack is a free end of a tube as it was measured, in the frame of the tube's bank.
type Tack struct {
	ID      string
	Element string // behind which it was measured
	At      geom.Vec
	Aim     Opt[geom.Vec] // unit length
}
