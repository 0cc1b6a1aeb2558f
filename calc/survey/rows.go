package survey

import (
	"math"

	"tubewright/calc/geom"
)

// row is one residual, measured less fitted, in its sigma, with its derivative by
// the corners that it rests on.
type row struct {
	off   float64
	by    [4]geom.Vec
	from  int      // first of the corners
	n     int      // how many
	dir   geom.Vec // unit, of a point's residual
	label Label
}

// rows returns all residuals at the corners at. Those of a point are its offsets
// square to its leg, in two directions e; with λ the place along the leg, 0 to 1,
//
//	r = e·(p − a)/σ    ∂r/∂a = −(1 − λ) e/σ    ∂r/∂b = −λ e/σ
//
// and for a direction t measured on it, with d the leg's own and l its length,
//
//	r = e·t/σ_t        ∂r/∂b = −(d·t) e/(l σ_t) = −∂r/∂a
//
// That e turns with the leg changes the sum of squares in the second order only.
func (mod model) rows(at []geom.Vec, rows []row) []row {
	rows = rows[:0]
	for i, l := range mod.legs {
		if l.straight < 0 {
			rows = mod.tangentRows(i, at, rows)
			continue
		}
		a := at[i]
		along := at[i+1].Sub(a)
		length := along.Norm()
		d := along.Scale(1 / length)
		cross := across(d)
		for k, p := range l.of.Points {
			rel := p.Sub(a)
			lambda := rel.Dot(d) / length
			for _, e := range cross {
				s := e.Scale(1 / mod.sigma)
				rows = append(rows, row{off: s.Dot(rel), from: i, n: 2, dir: e, label: Label{Straight: l.straight + 1, Point: k + 1},
					by: [4]geom.Vec{s.Scale(lambda - 1), s.Scale(-lambda)}})
			}
		}
		if t, ok := l.of.Dir.Unit(); ok {
			for _, e := range cross {
				s := e.Scale(1 / float64(l.of.DirSigma))
				turn := s.Scale(d.Dot(t) / length)
				rows = append(rows, row{off: s.Dot(t), from: i, n: 2, dir: e, label: Label{Straight: l.straight + 1},
					by: [4]geom.Vec{turn, turn.Scale(-1)}})
			}
		}
	}
	for k, g := range mod.ends {
		i := k * len(mod.legs)
		s := g.normal.Scale(1 / g.sigma)
		rows = append(rows, row{off: s.Dot(g.at.Sub(at[i])), from: i, n: 1, by: [4]geom.Vec{s.Scale(-1)}})
	}
	return rows
}

// across returns two unit vectors square to d and to each other.
func across(d geom.Vec) [2]geom.Vec {
	axis := geom.Vec{X: 1}
	if math.Abs(d.X) > 0.6 {
		axis = geom.Vec{Y: 1}
	}
	e, _ := axis.Sub(d.Scale(axis.Dot(d))).Unit()
	return [2]geom.Vec{e, d.Cross(e)}
}

// halves is how the point in a bend and its two corners disagree, in sigmas: the
// two halves turn alike and leave no straight between them; then in and out of
// the plane for a point on the centreline, and along the tangent too for a centre.
func (mod model) halves(i int, radius float64, c [4]geom.Vec) (off [5]float64, inward, out geom.Vec, n int) {
	b := mod.legs[i].in
	first, _ := turnAt(c[0], c[1], c[2])
	second, _ := turnAt(c[1], c[2], c[3])
	along := c[2].Sub(c[1])
	length := along.Norm()
	off[0] = (first - second) * radius / (tight * mod.sigma)
	off[1] = (length - radius*(math.Tan(first/2)+math.Tan(second/2))) / (tight * mod.sigma)
	d, _ := along.Unit()
	before, _ := c[0].Sub(c[1]).Unit()
	after, _ := c[3].Sub(c[2]).Unit()
	inward = before.Add(after)
	inward, _ = inward.Sub(d.Scale(inward.Dot(d))).Unit()
	out = d.Cross(inward)
	p, deep := b.Middle, radius
	if b.Centre != nil {
		p = b.Centre
	}
	rel := p.Sub(c[1])
	s := rel.Dot(d) - length/2
	n = 4
	if b.Centre != nil {
		off[4], n = s/mod.sigma, 5
	} else {
		// The centreline curves away from its tangent. Past half the radius, which
		// inReach refuses, the root only has to stay real.
		deep -= math.Sqrt(max(radius*radius-s*s, radius*radius/2))
	}
	off[2] = (rel.Dot(inward) - deep) / mod.sigma
	off[3] = rel.Dot(out) / mod.sigma
	return off, inward, out, n
}

// difference is the step in mm by which corners and radii are moved for the
// derivatives of halves: central differences, good to 1e-8 relative at the radii of
// tube bends.
const difference = 1e-3

// tangentRows are the rows of the leg i in the middle of a bend.
func (mod model) tangentRows(i int, at []geom.Vec, rows []row) []row {
	c := [4]geom.Vec{at[i-1], at[i], at[i+1], at[i+2]}
	radius := mod.corners[i].radius
	off, inward, out, n := mod.halves(i, radius, c)
	first := len(rows)
	for k := range n {
		r := row{off: off[k], from: i - 1, n: 4}
		if k >= 2 {
			r.label = Label{Bend: mod.corners[i].bend + 1}
			r.dir = [3]geom.Vec{inward, out, out.Cross(inward)}[k-2]
		}
		rows = append(rows, r)
	}
	for q := range c {
		for axis, step := range [3]geom.Vec{{X: difference}, {Y: difference}, {Z: difference}} {
			plus, minus := c, c
			plus[q], minus[q] = c[q].Add(step), c[q].Sub(step)
			high, _, _, _ := mod.halves(i, radius, plus)
			low, _, _, _ := mod.halves(i, radius, minus)
			for k := range n {
				by := &rows[first+k].by[q]
				*[3]*float64{&by.X, &by.Y, &by.Z}[axis] = (high[k] - low[k]) / (2 * difference)
			}
		}
	}
	return rows
}
