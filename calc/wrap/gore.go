package wrap

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// mostWelds is how many welds a pie-cut bend may have (own choice: beyond, a gore of a
// header tube is thinner inside than a weld is wide).
const mostWelds = 24

// PieCut is a bend of mitred pieces, gores, as it is defined here:
//
//   - Turn is what the whole bend turns through, and Welds are the mitred joints that
//     turn it. Every joint turns by 2·cut, so cut = Turn/(2·Welds).
//   - CLR is the radius of the circle that the centreline of every gore touches in its
//     middle. Bend and pie cut of one CLR have the same tangent points.
//   - Between the welds lie Welds − 1 whole gores. Each end is a half gore: mitred on
//     one side, square on the other, where the straight is joined.
//
// So a mitred end only ever meets a mitred end with the same cut, its long side on the
// other's long side: a square end against a mitred one would be round against oval.
type PieCut struct {
	OD    units.Length
	CLR   units.Length
	Turn  units.Angle
	Welds int
}

// Check returns what is wrong, joined *fault.Field, or nil: OD/2 < CLR ≤ 10,000 mm, a
// turn of more than 0° and at most 180°, 1 to 24 welds, and a cut of at most 45°.
func (p PieCut) Check() error {
	errs := []error{checkOD("OD", p.OD)}
	if p.OD > 0 && p.OD <= widest && !(p.CLR > p.OD/2 && p.CLR <= 10000) {
		errs = append(errs, &fault.Field{Name: "CLR", Got: p.CLR.MM(), Unit: "mm", Low: p.OD.MM() / 2, High: 10000, Why: "at half the OD the gores have no inside left"})
	}
	if !(p.Turn > 0 && p.Turn.Deg() <= 180+1e-9) {
		errs = append(errs, &fault.Field{Name: "Bent through", Got: p.Turn.Deg(), Unit: "°", Low: 0, High: 180})
	}
	if err := fault.Within("Welds", float64(p.Welds), 1, mostWelds, ""); err != nil {
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		return err
	}
	if least := FewestWelds(p.Turn, 45*units.Degree); p.Welds < least {
		return &fault.Field{Name: "Welds", Got: float64(p.Welds), Low: float64(least), High: mostWelds, Why: "with fewer the cut leans by more than 45°"}
	}
	return nil
}

// Cut returns by how much each cut leans from square, turn/(2·welds).
func (p PieCut) Cut() units.Angle { return p.Turn / units.Angle(2*p.Welds) }

// Gore is one piece of a pie-cut bend, cut to net size.
type Gore struct {
	Half       bool         // square at one end
	Centreline units.Length // 2·CLR·tan(cut), half of that for a half gore
	Outside    units.Length // along its outside line, (CLR + OD/2) instead
	Inside     units.Length // along its inside line, (CLR − OD/2) instead
}

// Gores returns the pieces in order from the port. p has to pass Check.
func (p PieCut) Gores() []Gore {
	list := make([]Gore, 0, p.Welds+1)
	tan := units.Length(math.Tan(float64(p.Cut())))
	for i := range p.Welds + 1 {
		k := 2 * tan
		half := i == 0 || i == p.Welds
		if half {
			k = tan
		}
		list = append(list, Gore{half, k * p.CLR, k * (p.CLR + p.OD/2), k * (p.CLR - p.OD/2)})
	}
	return list
}

// Centreline returns the length of the bend along its centreline, a line with corners:
//
//	2·welds·CLR·tan(cut)
//
// It is longer than the arc of a drawn bend of the same CLR.
func (p PieCut) Centreline() units.Length {
	return units.Length(2*p.Welds) * p.CLR * units.Length(math.Tan(float64(p.Cut())))
}

// Corner returns how far the corners of the centreline lie from the bend's centre,
// CLR/cos(cut).
func (p PieCut) Corner() units.Length { return p.CLR / units.Length(math.Cos(float64(p.Cut()))) }

// Tube returns how much straight tube the gores take, turned by half a turn from each
// to the next so that one cut serves both, with as many cuts as there are welds:
//
//	centreline + welds·kerf/cos(cut)
//
// Every cut leans, and a saw blade that leans takes more along the tube.
func (p PieCut) Tube(kerf units.Length) units.Length {
	return p.Centreline() + units.Length(p.Welds)*kerf/units.Length(math.Cos(float64(p.Cut())))
}

// Ends returns the two cuts of gore i, 0 the first, from the middle of the gore, the
// lower towards the port:
//
//	y = ±(CLR + OD/2·cos φ)·tan(cut)
//
// A half gore has its square end at 0. p has to pass Check.
func (p PieCut) Ends(i int) (low, high Curve) {
	tan, clr, r := math.Tan(float64(p.Cut())), p.CLR.MM(), p.OD.MM()/2
	square := Curve{p.OD, func(float64) float64 { return 0 }}
	high = Curve{p.OD, func(phi float64) float64 { return (clr + r*math.Cos(phi)) * tan }}
	low = Curve{p.OD, func(phi float64) float64 { return -(clr + r*math.Cos(phi)) * tan }}
	switch i {
	case 0:
		low = square
	case p.Welds:
		high = square
	}
	return low, high
}

// RealCLR returns the CLR that whole gores of a cut and of measured lengths make:
//
//	(outside + inside) / (4·tan(cut))
//
// and the OD that the same lengths belong to, for comparing with the tube's.
func RealCLR(cut units.Angle, outside, inside units.Length) (clr, od units.Length, err error) {
	err = errors.Join(fault.Within("Cut angle", cut.Deg(), 0.1, 45+1e-9, "°"), above("Outside length", outside, 0, 10000), fault.Within("Inside length", inside.MM(), 0, 10000, "mm"))
	if err == nil && !(outside > inside) {
		err = &fault.Field{Name: "Outside length", Got: outside.MM(), Unit: "mm", Low: inside.MM(), High: 10000, Why: "a gore is longer outside than inside"}
	}
	if err != nil {
		return 0, 0, err
	}
	tan := units.Length(math.Tan(float64(cut)))
	return (outside + inside) / (4 * tan), (outside - inside) / (2 * tan), nil
}

// FewestWelds returns how many welds a turn needs for cuts that lean by no more than
// most.
func FewestWelds(turn, most units.Angle) int {
	return max(1, int(math.Ceil(float64(turn)/(2*float64(most))-1e-9)))
}

// InSteps returns how many welds turn a bend through turn when the saw is left at one
// cut angle: every weld then turns by 2·cut, and nothing between is possible. The error
// names the nearest turns that are.
func InSteps(turn, cut units.Angle) (welds int, err error) {
	if err := errors.Join(fault.Within("Cut angle", cut.Deg(), 0.1, 45+1e-9, "°"), fault.Within("Bent through", turn.Deg(), 0.1, 180+1e-9, "°")); err != nil {
		return 0, err
	}
	step := 2 * cut.Deg()
	n := math.Round(turn.Deg() / step)
	// Cut angles are set to a tenth of a degree at best; a turn that is as near is that turn.
	if n >= 1 && math.Abs(n*step-turn.Deg()) <= 0.05 {
		return int(n), nil
	}
	low := math.Max(1, math.Floor(turn.Deg()/step)) * step
	return 0, &fault.Field{Name: "Bent through", Got: turn.Deg(), Unit: "°", Low: low, High: math.Max(low, math.Ceil(turn.Deg()/step)*step),
		Why: fmt.Sprintf("cuts of %.4g° turn by %.4g° at each weld, and only by multiples of that", cut.Deg(), step)}
}
