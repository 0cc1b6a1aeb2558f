package wrap

import (
	"errors"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// Missed is the face of a bend that was cut off centre.
type Missed struct {
	Lean    units.Angle  // of the face from square to the centreline
	Wide    units.Length // of the face in the plane of the bend
	High    units.Length // of the face square to it: the OD
	Ovality float64      // (Wide − High)/OD
	// Step is the greatest step against a round end of the same OD, laid on the face
	// where its step is least.
	Step units.Length
	// Centre is the middle of that round end, from the centreline outwards along the face.
	Centre units.Length
}

// Miss returns what is left where the saw's plane, square to the plane of the bend, does
// not go through the bend's centre but misses it by off, either way:
//
//	the face: (√(x² + off²) − CLR)² + z² = (OD/2)²
//	lean    = asin(off/CLR)
//	wide    = √((CLR + OD/2)² − off²) − √((CLR − OD/2)² − off²)
//
// with x along the cut line and z square to the bend's plane, the torus' section by a
// plane that is parallel to its axis (a spiric section; closed form). It is no ellipse:
// the inside is drawn out more than the outside. The step is found on 720 points of it
// to 1e-6 mm. Accepted are OD/2 < CLR ≤ 10,000 mm and |off| < CLR − OD/2: at that the
// cut runs out along the inside.
func Miss(od, clr, off units.Length) (Missed, error) {
	if err := errors.Join(checkOD("OD", od), above("CLR", clr, od/2, 10000)); err != nil {
		return Missed{}, err
	}
	r, c, e := od.MM()/2, clr.MM(), math.Abs(off.MM())
	if !(e < c-r) {
		return Missed{}, &fault.Field{Name: "Miss of the centre", Got: off.MM(), Unit: "mm", Low: r - c, High: c - r, Why: "that far off the cut runs out along the inside of the bend"}
	}
	x := func(rho float64) float64 { return math.Sqrt((rho - e) * (rho + e)) }
	m := Missed{Lean: units.Angle(math.Asin(e / c)), Wide: units.Length(x(c+r) - x(c-r)), High: od}
	m.Ovality = float64((m.Wide - m.High) / od)
	const points = 720
	var face [points + 1][2]float64 // half of it, from the inside to the outside
	for i := range face {
		sin, cos := math.Sincos(math.Pi * float64(i) / points)
		face[i] = [2]float64{x(c - r*cos), r * sin}
	}
	step := func(at float64) float64 {
		most := 0.0
		for _, p := range face {
			most = math.Max(most, math.Abs(math.Hypot(p[0]-at, p[1])-r))
		}
		return most
	}
	// The face is wider than the round end is and as high, so what counts is where it
	// stands out, which is convex in the round end's place: thirds find the least.
	low, high := face[0][0], face[points][0]
	for high-low > 1e-7 {
		a, b := low+(high-low)/3, high-(high-low)/3
		if step(a) < step(b) {
			high = b
		} else {
			low = a
		}
	}
	at := (low + high) / 2
	m.Step, m.Centre = units.Length(step(at)), units.Length(at-x(c))
	return m, nil
}
