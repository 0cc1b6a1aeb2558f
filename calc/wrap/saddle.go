package wrap

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// flattest is the least angle between the axes of a branch and its tube: below, the
// joint is several times as long as the branch is wide, and its sharp side cannot be
// welded (own choice).
const flattest = 15 * units.Degree

// Saddle is a branch on a straight tube, a bung or the end of a crossover.
type Saddle struct {
	Branch units.Length // OD of the branch
	Wall   units.Length // of the branch, 0 for a solid rod
	Tube   units.Length // OD of the tube that it stands on
	Angle  units.Angle  // between the axes, 15 to 90°; the branch leans towards the flow's end of the tube
	Offset units.Length // of the branch's axis from the tube's; positive to the right as one looks along the flow with the branch up
}

// Contact is which edge of the branch's end the curve is for. The cut is made square to
// the wall, as a saw or a torch that follows the curve makes it, so only one edge of it
// can touch the tube.
type Contact int

const (
	Bore    Contact = iota // the inner edge touches: the formulas of the trade, with the branch's ID
	Outer                  // the outer edge touches
	Whole                  // the nearer of both at each place: it sits without filing, open elsewhere for the weld
	contact                // how many there are
)

// Check returns what is wrong with the saddle, joined *fault.Field, or nil. The branch
// has to land on the tube with its whole width: |offset| + branch/2 ≤ tube/2.
func (s Saddle) Check() error {
	errs := []error{checkOD("Branch OD", s.Branch), checkOD("Tube OD", s.Tube),
		fault.Within("Angle", s.Angle.Deg(), flattest.Deg()-1e-9, 90+1e-9, "°")}
	if !(s.Wall >= 0 && s.Wall < s.Branch/2) {
		errs = append(errs, &fault.Field{Name: "Branch wall", Got: s.Wall.MM(), Unit: "mm", Low: 0, High: s.Branch.MM() / 2, Why: "two walls fill the branch"})
	}
	if err := errors.Join(errs...); err != nil {
		return err
	}
	if s.Branch > s.Tube {
		return &fault.Field{Name: "Branch OD", Got: s.Branch.MM(), Unit: "mm", Low: 0, High: s.Tube.MM(), Why: "a branch is no wider than the tube it stands on; cut the wider one as the tube"}
	}
	room := (s.Tube - s.Branch).MM() / 2
	if !(math.Abs(s.Offset.MM()) <= room) {
		return &fault.Field{Name: "Offset", Got: s.Offset.MM(), Unit: "mm", Low: -room, High: room, Why: "farther out the branch does not land on the tube with its whole width"}
	}
	return nil
}

// End returns the curve of the branch's end, measured along the branch from where its
// axis passes the tube's, away from the tube:
//
//	t(φ) = [√((D/2)² − (ρ·sin φ − e)²) + ρ·cos φ·cos θ] / sin θ
//
// with the tube's OD D, the offset e, the angle θ and ρ half the branch's ID or OD, as
// the contact asks. φ = 0 is the side of the branch that leans over the tube, the sharp
// side, and φ goes right-hand about the branch away from the tube. Closed form: the nearer root of a line and a cylinder.
func (s Saddle) End(c Contact) (Curve, error) {
	if err := s.Check(); err != nil {
		return Curve{}, err
	}
	outer := s.Branch.MM() / 2
	inner := outer - s.Wall.MM()
	switch c {
	case Bore:
		return Curve{s.Branch, s.meet(inner)}, nil
	case Outer:
		return Curve{s.Branch, s.meet(outer)}, nil
	case Whole:
		in, out := s.meet(inner), s.meet(outer)
		return Curve{s.Branch, func(phi float64) float64 { return math.Max(in(phi), out(phi)) }}, nil
	}
	return Curve{}, fmt.Errorf("contact %d: want 0 to %d", c, contact-1)
}

// meet returns where the line of the branch at radius rho meets the tube.
func (s Saddle) meet(rho float64) func(phi float64) float64 {
	r, e := s.Tube.MM()/2, s.Offset.MM()
	sin, cos := math.Sincos(float64(s.Angle))
	return func(phi float64) float64 {
		sp, cp := math.Sincos(phi)
		side := rho*sp - e
		// As a product it loses nothing where a branch as wide as the tube runs out.
		return (math.Sqrt(math.Max(0, (r-side)*(r+side))) + rho*cp*cos) / sin
	}
}

// Hole returns the hole in the tube laid flat, for a branch that is set on (through is
// false: the hole is as wide as its bore) or that goes through (as wide as its OD): a
// closed line of n points, n at least 8, on paper of a thickness in mm. x is round the
// tube, to the right along the flow, from the line on which the branch's axis would stand without offset, y along the
// flow from where the axes pass each other. A rod has no bore, so set on it has no hole
// and the error says so.
func (s Saddle) Hole(through bool, n int, paper units.Length) ([][2]float64, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	rho := s.Branch.MM() / 2
	if !through {
		rho -= s.Wall.MM()
		if s.Wall == 0 {
			return nil, &fault.Field{Name: "Branch wall", Unit: "mm", Low: 0, High: rho, Why: "a branch that is set on has a hole only as wide as its bore, and a solid one has none"}
		}
	}
	n = max(n, 8)
	meet := s.meet(rho)
	r := s.Tube.MM() / 2
	sin, cos := math.Sincos(float64(s.Angle))
	list := make([][2]float64, n)
	for i := range list {
		phi := 2 * math.Pi * float64(i) / float64(n)
		sp, cp := math.Sincos(phi)
		t := meet(phi)
		right, up := s.Offset.MM()-rho*sp, t*sin-rho*cp*cos
		list[i] = [2]float64{math.Atan2(right, up) * (r + paper.MM()/2), t*cos + rho*cp*sin}
	}
	return list, nil
}
