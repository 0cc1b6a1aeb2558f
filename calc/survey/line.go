package survey

import (
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/num"
	"tubewright/calc/units"
)

// Straight is what was measured on one straight of a tube: points on its
// centreline, at least two, better three, in any order; or one point and the
// direction. With more points the direction counts as one more reading.
type Straight struct {
	Points   []geom.Vec
	Dir      geom.Vec    // along the straight either way; the zero vector when not measured
	DirSigma units.Angle // of Dir, each way square to it
}

// line is a fitted axis and how well it is known at x mm from its centre:
//
//	variance = σ² (1/n + x²/spread)
type line struct {
	at     geom.Vec // mean of the points
	dir    geom.Vec
	n      float64
	spread float64 // Σ(x − x̄)², mm², with what a measured direction adds
}

// variance returns the variance in σ² of the axis at p.
func (l line) variance(p geom.Vec) float64 {
	x := p.Sub(l.at).Dot(l.dir)
	return 1/l.n + x*x/l.spread
}

const (
	farthest = 1e6    // mm, of a coordinate; as in calc/tube
	longest  = 10_000 // mm, of a straight or a CLR; as in calc/tube
	coarsest = 100    // mm, of a sigma; an arm's reach is no measurement
	finest   = 0.001  // mm or °, of a sigma; nothing in a shop is known better

	// shortest is how far apart, in sigmas, the points of a straight have to be:
	// √Σ(x − x̄)². At five the direction is known to 0.2 rad, the most that linear
	// propagation is good for.
	shortest = 5
)

// check returns what is wrong with the numbers of a straight.
func (s Straight) check() (faults []error) {
	for i, p := range s.Points {
		faults = append(faults, placed(fmt.Sprintf("Point %d", i+1), p)...)
	}
	if !s.isAimed() {
		return faults
	}
	if _, ok := s.Dir.Unit(); !ok {
		faults = append(faults, fault.Refuse("Direction", "a direction needs a finite length above zero"))
	}
	return append(faults, fault.Within("Sigma of the direction", s.DirSigma.Deg(), finest, 15, "°"))
}

func (s Straight) isAimed() bool { return s.Dir != (geom.Vec{}) }

// line fits the axis to start from: the principal axis of the points (least squares
// of the distances from it), which for two is the line through them, or the
// direction where that was measured and is the surer of the two.
func (s Straight) line(sigma float64) (line, error) {
	l := line{n: float64(len(s.Points))}
	if len(s.Points) == 0 || len(s.Points) == 1 && !s.isAimed() {
		return line{}, fault.Refuse("Points", fmt.Sprintf("%d given; a straight needs two centre points, better three, or one and its direction", len(s.Points)))
	}
	for _, p := range s.Points {
		l.at = l.at.Add(p.Scale(1 / l.n))
	}
	_, axes := moments(s.Points, l.at)
	l.dir = axes[0]
	if len(s.Points) == 2 { // to the last digit
		l.dir, _ = s.Points[1].Sub(s.Points[0]).Unit()
	}
	spread := func() (sum float64) {
		for _, p := range s.Points {
			x := p.Sub(l.at).Dot(l.dir)
			sum += x * x
		}
		return sum
	}
	l.spread = spread()
	if s.isAimed() {
		lever := sigma / float64(s.DirSigma)
		if l.spread < lever*lever { // the direction says more than the points
			l.dir, _ = s.Dir.Unit()
			l.spread = spread()
		}
		l.spread += lever * lever
	}
	if !(math.Sqrt(l.spread) >= shortest*sigma) {
		return line{}, fault.Refuse("Points", fmt.Sprintf("they lie within %.3g mm of each other, too near for points known to ±%.3g mm to give a direction; measure further apart", 2*math.Sqrt(l.spread/l.n), sigma))
	}
	return l, nil
}

// moments returns the principal moments Σx² of the points about at, the largest
// first, and their axes.
func moments(pts []geom.Vec, at geom.Vec) (m [3]float64, axes [3]geom.Vec) {
	c := num.NewSquare(3)
	for _, p := range pts {
		r := p.Sub(at)
		for i, a := range [3]float64{r.X, r.Y, r.Z} {
			for j, b := range [3]float64{r.X, r.Y, r.Z} {
				c.Add(i, j, a*b)
			}
		}
	}
	return principal(c)
}

// principal returns eigenvalues and axes of a symmetric 3 × 3 matrix, zeros for
// one that is not finite.
func principal(c num.Square) (m [3]float64, axes [3]geom.Vec) {
	values, v, ok := c.Eigen()
	if !ok {
		return m, axes
	}
	for i := range 3 {
		m[i] = max(values[i], 0) // rounding may leave a hair below
		axes[i] = geom.Vec{X: v.At(i, 0), Y: v.At(i, 1), Z: v.At(i, 2)}
	}
	return m, axes
}

// feet returns the points in which the common perpendicular of two axes meets
// them. It is false for axes that are parallel to rounding.
func feet(a, b line) (onA, onB geom.Vec, ok bool) {
	n := a.dir.Cross(b.dir)
	nn := n.Dot(n)
	if !(nn > 1e-12) {
		return geom.Vec{}, geom.Vec{}, false
	}
	w := b.at.Sub(a.at)
	s := w.Cross(b.dir).Dot(n) / nn
	t := w.Cross(a.dir).Dot(n) / nn
	return a.at.Add(a.dir.Scale(s)), b.at.Add(b.dir.Scale(t)), true
}

// placed returns which coordinates of a point cannot be used.
func placed(name string, p geom.Vec) (faults []error) {
	for axis, at := range [3]float64{p.X, p.Y, p.Z} {
		if !(math.Abs(at) <= farthest) {
			faults = append(faults, fault.Within(fmt.Sprintf("%s %c", name, "xyz"[axis]), at, -farthest, farthest, "mm"))
		}
	}
	return faults
}

// within is fault.Within with low itself excluded.
func within(name string, got, low, high float64, unit string) error {
	if got > low && got <= high {
		return nil
	}
	return &fault.Field{Name: name, Got: got, Unit: unit, Low: low, High: high, Why: more(got, low)}
}

func more(got, low float64) string {
	if got == low {
		return fmt.Sprintf("it has to be more than %g", low)
	}
	return ""
}
