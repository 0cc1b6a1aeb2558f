package survey

import (
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/num"
)

// closing is the misclosure of a traverse at some values: how far each condition
// is from met, its derivative by every value, and the variance of what was
// measured at the collector.
type closing struct {
	end    geom.Frame
	off    []float64
	by     [][]float64 // one row a condition
	noise  []float64
	weight num.Square // (J C Jᵀ + S)⁻¹
	change []float64  // of the values as measured
	chi2   float64
}

// lever is how the end of a path moves with one value: a shift in mm and a turn
// in rad, both per unit.
type lever struct{ shift, turn geom.Vec }

// levers walks the values and returns the end and the lever of every value: a
// straight shifts the end along its travel, a rotation turns it about the travel,
// a turn about the bend's centre, a CLR shifts it along the chord of the bend.
func (t Traverse) levers(x []float64) (geom.Frame, []lever) {
	type hinge struct{ at, axis geom.Vec }
	f := t.Start
	shifts := make([]geom.Vec, len(x))
	hinges := make([]hinge, len(x))
	for i := range t.Rows {
		v := x[4*i:]
		shifts[4*i] = f.T
		f = f.Straight(v[0])
		hinges[4*i+1] = hinge{f.O, f.T}
		f = f.Turn(v[1])
		hinges[4*i+2] = hinge{f.Centre(v[3]), f.T.Cross(f.N)}
		shifts[4*i+3] = geom.Frame{T: f.T, N: f.N}.Arc(v[2], 1).O
		f = f.Arc(v[2], v[3])
	}
	shifts[len(x)-1] = f.T
	f = f.Straight(x[len(x)-1])
	levers := make([]lever, len(x))
	for i := range levers {
		h := hinges[i]
		levers[i] = lever{shifts[i].Add(h.axis.Cross(f.O.Sub(h.at))), h.axis}
	}
	return f, levers
}

// closing returns the conditions at the values x: the end is in its place, T has no
// part square to the collector's direction, and N none along the direction square
// to both the collector's direction and its reference.
func (t Traverse) closing(x []float64) closing {
	end, levers := t.levers(x)
	c := closing{end: end}
	row := func(off, sigma float64, by func(lever) float64) {
		j := make([]float64, len(levers))
		for i, l := range levers {
			j[i] = by(l)
		}
		c.off, c.by, c.noise = append(c.off, off), append(c.by, j), append(c.noise, sigma*sigma)
	}
	gap := t.End.At.Sub(end.O)
	for _, e := range [3]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		row(e.Dot(gap), t.End.Sigma.MM(), func(l lever) float64 { return e.Dot(l.shift) })
	}
	if !t.End.isAimed() {
		return c
	}
	for _, e := range across(t.End.aim()) {
		row(-e.Dot(end.T), float64(t.End.DirSigma), func(l lever) float64 { return e.Dot(l.turn.Cross(end.T)) })
	}
	if t.End.isRolled() {
		e, _ := t.End.aim().Cross(t.End.Ref).Unit()
		row(-e.Dot(end.N), float64(t.End.RefSigma), func(l lever) float64 { return e.Dot(l.turn.Cross(end.N)) })
	}
	return c
}

// solve finds the change of the values as measured that meets the conditions best.
func (c *closing) solve(variance, x, prior []float64) bool {
	n := len(c.off)
	m := num.NewSquare(n)
	gap := make([]float64, n)
	for i, a := range c.by {
		gap[i] = c.off[i]
		m.Add(i, i, c.noise[i])
		for k, v := range a {
			gap[i] += v * (x[k] - prior[k])
		}
		for j, b := range c.by[:i+1] {
			for k, v := range a {
				m.Add(i, j, v*variance[k]*b[k])
			}
		}
	}
	f, ok := m.Cholesky()
	if !ok {
		return false
	}
	c.weight = f.Inverse()
	pull := c.weight.Times(gap)
	c.chi2 = 0
	for i, p := range pull {
		c.chi2 += p * gap[i]
	}
	c.change = make([]float64, len(x))
	for k := range c.change {
		for i, p := range pull {
			c.change[k] += variance[k] * c.by[i][k] * p
		}
	}
	return !math.IsNaN(c.chi2)
}

// remaining returns the variance after adjusting of a figure with the derivative g.
func (c closing) remaining(variance []float64, g func(int) float64) float64 {
	before := 0.0
	told := make([]float64, len(c.off))
	for k, v := range variance {
		gk := g(k)
		before += gk * gk * v
		for i := range told {
			told[i] += c.by[i][k] * v * gk
		}
	}
	for i, w := range c.weight.Times(told) {
		before -= w * told[i]
	}
	return max(before, 0)
}

// place returns the covariance of the end after adjusting.
func (c closing) place(variance []float64) num.Square {
	cov := num.NewSquare(3)
	single := [3]float64{}
	for i := range 3 {
		single[i] = c.remaining(variance, func(k int) float64 { return c.by[i][k] })
		cov.Add(i, i, single[i])
	}
	for i := range 3 {
		for j := range i {
			both := c.remaining(variance, func(k int) float64 { return c.by[i][k] + c.by[j][k] })
			half := (both - single[i] - single[j]) / 2
			cov.Add(i, j, half)
			cov.Add(j, i, half)
		}
	}
	return cov
}
