package survey

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/num"
	"tubewright/calc/units"
)

// Pair is one point measured in both frames.
type Pair struct{ From, To geom.Vec }

// Tie is one frame laid onto another.
type Tie struct {
	Move      geom.Move  // carries a point of the first frame to the second
	Residuals []geom.Vec // To less the moved From, a pair each
	RMS       units.Length
	// Scatter is the sigma of a coordinate as the residuals show it:
	// √(Σr²/(3n − 6)). It is half as much as a guess with three points, and good to a
	// sixth with ten.
	Scatter units.Length
	Chi2    float64 // with the stated sigma
	DOF     int     // 3n − 6
	TooFar  bool    // Chi2 above dof + 3√(2·dof)

	sigma  float64
	points []geom.Vec // as moved
}

const mostPairs = 1000

// Register returns the rigid move that carries the first points onto the second
// with the least sum of squares, from the unit quaternion that is the eigenvector
// of Horn's symmetric 4 × 4 matrix with the largest value. Points in mm; sigma is
// that of a coordinate of To less From, so √2 of a point's where both were measured
// alike. Three to 1,000 pairs, not on one line.
//
// Exact to rounding: within 1e-12 of the size of the figure of an independent
// solution by singular values. Horn, Closed-form solution of absolute orientation
// using unit quaternions, J. Opt. Soc. Am. A 4 (1987) 629; from memory. It never
// mirrors. The error is a *fault.Field.
func Register(pairs []Pair, sigma units.Length) (Tie, error) {
	faults := []error{fault.Within("Sigma", sigma.MM(), finest, coarsest, "mm")}
	if n := len(pairs); n < 3 || n > mostPairs {
		return Tie{}, errors.Join(append(faults, fault.Within("Points measured in both frames", float64(n), 3, mostPairs, ""))...)
	}
	from, to := make([]geom.Vec, len(pairs)), make([]geom.Vec, len(pairs))
	for i, p := range pairs {
		from[i], to[i] = p.From, p.To
		faults = append(faults, placed(fmt.Sprintf("Point %d in the first frame", i+1), p.From)...)
		faults = append(faults, placed(fmt.Sprintf("Point %d in the second frame", i+1), p.To)...)
	}
	if err := errors.Join(faults...); err != nil {
		return Tie{}, err
	}
	a, b := mean(from), mean(to)
	for k, set := range [][]geom.Vec{from, to} {
		if err := offLine(set, [2]geom.Vec{a, b}[k], sigma.MM()); err != nil {
			return Tie{}, fault.At(err, fault.Field{Where: [2]string{"first frame", "second frame"}[k]})
		}
	}
	move, err := horn(from, to, a, b)
	if err != nil {
		return Tie{}, err
	}
	t := Tie{Move: move, DOF: 3*len(pairs) - 6, sigma: sigma.MM()}
	sum := 0.0
	for i := range from {
		p := move.Point(from[i])
		r := to[i].Sub(p)
		t.points = append(t.points, p)
		t.Residuals = append(t.Residuals, r)
		sum += r.Dot(r)
	}
	t.RMS = units.Length(math.Sqrt(sum / float64(len(pairs))))
	t.Scatter = units.Length(math.Sqrt(sum / float64(t.DOF)))
	t.Chi2 = sum / (t.sigma * t.sigma)
	t.TooFar = t.Chi2 > chiLimit(t.DOF)
	return t, nil
}

func mean(pts []geom.Vec) (m geom.Vec) {
	for _, p := range pts {
		m = m.Add(p.Scale(1 / float64(len(pts))))
	}
	return m
}

// offLine refuses points that lie on one line as nearly as they are known: the
// turn about it would be open.
func offLine(pts []geom.Vec, at geom.Vec, sigma float64) error {
	m, _ := moments(pts, at)
	if wide := math.Sqrt(m[1]); !(wide >= shortest*sigma && m[1] > 1e-18*m[0]) {
		return fault.Refuse("Points measured in both frames", fmt.Sprintf("they lie on one line to %.2g mm, so the turn about that line stays open; add a point well off it", math.Sqrt(m[1]/float64(len(pts)))))
	}
	return nil
}

// horn returns the move that carries from, with mean a, onto to, with mean b.
func horn(from, to []geom.Vec, a, b geom.Vec) (geom.Move, error) {
	var s [3][3]float64
	for i := range from {
		p, q := from[i].Sub(a), to[i].Sub(b)
		for j, x := range [3]float64{p.X, p.Y, p.Z} {
			for k, y := range [3]float64{q.X, q.Y, q.Z} {
				s[j][k] += x * y
			}
		}
	}
	n := num.Square{N: 4, V: []float64{
		s[0][0] + s[1][1] + s[2][2], s[1][2] - s[2][1], s[2][0] - s[0][2], s[0][1] - s[1][0],
		s[1][2] - s[2][1], s[0][0] - s[1][1] - s[2][2], s[0][1] + s[1][0], s[2][0] + s[0][2],
		s[2][0] - s[0][2], s[0][1] + s[1][0], s[1][1] - s[0][0] - s[2][2], s[1][2] + s[2][1],
		s[0][1] - s[1][0], s[2][0] + s[0][2], s[1][2] + s[2][1], s[2][2] - s[0][0] - s[1][1],
	}}
	values, v, ok := n.Eigen()
	if !ok || !(values[0]-values[1] > 1e-12*values[0]) {
		return geom.Move{}, fault.Refuse("Points measured in both frames", "two ways of turning fit them equally well; check which point is which")
	}
	axis := geom.Vec{X: v.At(0, 1), Y: v.At(0, 2), Z: v.At(0, 3)}
	angle := 2 * math.Atan2(axis.Norm(), v.At(0, 0))
	if axis == (geom.Vec{}) {
		angle = 0
	}
	turn, err := geom.NewMove(axis, angle, geom.Vec{})
	if err != nil {
		return geom.Move{}, fmt.Errorf("turn of the frame: %w", err)
	}
	return geom.NewMove(axis, angle, b.Sub(turn.Point(a)))
}
