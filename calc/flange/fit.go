package flange

import "math"

// pairs are places of one face and where on the other each should lie, in mm.
type pairs struct{ from, to [][2]float64 }

func (p *pairs) add(from, to [2]float64) {
	p.from, p.to = append(p.from, from), append(p.to, to)
}

// leastSquares returns the placement with the least sum of squared misses, and
// that sum in mm², over all pairs but those that skip names. Closed form: the
// turn of two sets of points about their means (Procrustes; Umeyama 1991, from
// memory).
func (p pairs) leastSquares(flip float64, skip ...int) (lay, float64) {
	var from, to [2]float64
	n := 0.0
	skipped := func(i int) bool {
		for _, s := range skip {
			if s == i {
				return true
			}
		}
		return false
	}
	for i := range p.from {
		if skipped(i) {
			continue
		}
		n++
		for k := range 2 {
			from[k] += p.from[i][k]
			to[k] += p.to[i][k]
		}
	}
	if n == 0 {
		return lay{flip: flip, cos: 1}, 0
	}
	for k := range 2 {
		from[k] /= n
		to[k] /= n
	}
	l := lay{flip: flip}
	for i := range p.from {
		if skipped(i) {
			continue
		}
		ux, uy := flip*(p.from[i][0]-from[0]), p.from[i][1]-from[1]
		vx, vy := p.to[i][0]-to[0], p.to[i][1]-to[1]
		l.cos += ux*vx + uy*vy
		l.sin += ux*vy - uy*vx
	}
	l = l.centred(from, to)
	sum := 0.0
	for i := range p.from {
		if !skipped(i) {
			sum += square(l.at(p.from[i]), p.to[i])
		}
	}
	return l, sum
}

// precision is how close leastSum and leastMost come to the best, in mm: far
// below what is measured, and reached in about 30 steps.
const precision = 1e-5

// stride is how much the barrier is lowered from stage to stage, and settled the
// Newton decrement below which the next stage begins. Both only cost or save
// steps.
const stride, settled = 0.05, 0.5

// a step beyond this count is never needed; it ends the loop on numbers that
// nothing fits.
const mostSteps = 400

// leastSum returns the placement with the least sum of misses, near start, to
// precision mm of that sum: the fit that lets one hole be off without the others
// following it.
//
// A miss v is the least s with |v| ≤ s, a second-order cone. With the barrier
// −log(s² − |v|²) each s is closed form, s = m + √(m² + |v|²) for a weight m of
// the barrier, and what is left is a Newton descent in the turn and the shift.
// The barrier is self-concordant, so steps of 1/(1 + decrement) need no line
// search, and n pairs end within 2nm of the best (Boyd and Vandenberghe, Convex
// Optimization, 2004, sections 9.6 and 11.3; from memory, tested against dense
// search). The turn is applied exactly after each step; its curvature is below
// miss/size of the face and only slows the last steps. Where several placements
// are equally good the barrier takes the middle of them.
func (p pairs) leastSum(start lay) lay {
	l := start
	n := float64(len(p.from))
	mean := 0.0
	for i := range p.from {
		mean += distance(l.at(p.from[i]), p.to[i])
	}
	weight := max(mean/n, precision)
	last := precision / (2 * n)
	arm := p.arm(l)
	if arm == 0 {
		return l
	}
	for range mostSteps {
		pivot := p.middle(l)
		var g [3]float64
		var h [3][3]float64
		for i := range p.from {
			v, turn := p.miss(l, i, pivot, arm)
			vv := v[0]*v[0] + v[1]*v[1]
			root := math.Sqrt(weight*weight + vv)
			s := weight + root
			along := [3]float64{v[0]*turn[0] + v[1]*turn[1], v[0], v[1]}
			flat := 1 / s
			dent := 1 / (s * s * root)
			for j := range 3 {
				g[j] += along[j] * flat
				for k := range j + 1 {
					h[j][k] -= along[j] * along[k] * dent
				}
			}
			h[0][0] += (turn[0]*turn[0] + turn[1]*turn[1]) * flat
			h[1][0] += turn[0] * flat
			h[2][0] += turn[1] * flat
			h[1][1] += flat
			h[2][2] += flat
		}
		step, decrement, ok := newton3(h, g)
		if !ok {
			return l
		}
		decrement = math.Sqrt(decrement / weight)
		l = p.stepped(l, step, decrement, pivot, arm)
		if decrement < settled {
			if weight <= last {
				return l
			}
			weight = max(weight*stride, last)
		}
	}
	return l
}

// leastMost returns the placement in which the greatest excess of a miss over its
// allowance is least, near start, and that excess in mm, to precision:
//
//	min over placements of max |miss i| − allow i
//
// Negative means that every miss is allowed, with that much left. allow has one
// entry a pair. Method and bound as leastSum, with one more unknown, the excess.
func (p pairs) leastMost(start lay, allow []float64) (lay, float64) {
	l := start
	n := float64(len(p.from))
	arm := p.arm(l)
	excess := func(l lay) float64 {
		most := math.Inf(-1)
		for i := range p.from {
			most = max(most, distance(l.at(p.from[i]), p.to[i])-allow[i])
		}
		return most
	}
	most := excess(l)
	if arm == 0 {
		return l, most
	}
	// The start of the excess: clear of every cone, by as much as the misses are.
	top := 0.0
	for i := range p.from {
		top = max(top, most+allow[i])
	}
	e := most + max(top/2, precision)
	weight := 0.0 // of the barrier: makes the start central in e
	for i := range p.from {
		v, _ := p.miss(l, i, [2]float64{}, arm)
		room := e + allow[i]
		weight += 2 * room / (room*room - v[0]*v[0] - v[1]*v[1])
	}
	weight = 1 / weight
	last := precision / (2 * n)
	for range mostSteps {
		pivot := p.middle(l)
		var g [4]float64
		var h [4][4]float64
		g[3] = 1 / weight
		for i := range p.from {
			v, turn := p.miss(l, i, pivot, arm)
			room := e + allow[i]
			slack := room*room - v[0]*v[0] - v[1]*v[1]
			if !(room > 0 && slack > 0) {
				return l, excess(l)
			}
			// The gradient of −log slack, whose square is most of the second derivative.
			d := [4]float64{2 * (v[0]*turn[0] + v[1]*turn[1]) / slack, 2 * v[0] / slack, 2 * v[1] / slack, -2 * room / slack}
			for j := range 4 {
				g[j] += d[j]
				for k := range j + 1 {
					h[j][k] += d[j] * d[k]
				}
			}
			flat := 2 / slack
			h[0][0] += (turn[0]*turn[0] + turn[1]*turn[1]) * flat
			h[1][0] += turn[0] * flat
			h[2][0] += turn[1] * flat
			h[1][1] += flat
			h[2][2] += flat
			h[3][3] -= flat
		}
		step, decrement, ok := newton4(h, g)
		if !ok {
			break
		}
		decrement = math.Sqrt(decrement)
		damp := 1.0
		if decrement > settled/2 {
			damp = 1 / (1 + decrement)
		}
		// The exact turn may leave a cone that the straight step would not.
		moved := l
		tries := 0
		for ; tries < 40; tries++ {
			moved = l.nudged(damp*step[0]/arm, pivot, damp*step[1], damp*step[2])
			if excess(moved) < e+damp*step[3] {
				break
			}
			damp /= 2
		}
		if tries == 40 {
			break
		}
		l, e = moved, e+damp*step[3]
		if decrement < settled {
			if weight <= last {
				break
			}
			weight = max(weight*stride, last)
		}
	}
	return l, excess(l)
}

func (p pairs) stepped(l lay, step [3]float64, decrement float64, pivot [2]float64, arm float64) lay {
	damp := 1.0
	if decrement > settled/2 {
		damp = 1 / (1 + decrement)
	}
	return l.nudged(damp*step[0]/arm, pivot, damp*step[1], damp*step[2])
}

// miss returns by how much the pair i misses, and how that changes with a turn
// about pivot, per mm at the end of arm.
func (p pairs) miss(l lay, i int, pivot [2]float64, arm float64) (v, turn [2]float64) {
	q := l.at(p.from[i])
	return [2]float64{q[0] - p.to[i][0], q[1] - p.to[i][1]}, [2]float64{-(q[1] - pivot[1]) / arm, (q[0] - pivot[0]) / arm}
}

// middle returns where the mean of the places goes.
func (p pairs) middle(l lay) [2]float64 {
	var m [2]float64
	for _, q := range p.from {
		m[0] += q[0] / float64(len(p.from))
		m[1] += q[1] / float64(len(p.from))
	}
	return l.at(m)
}

// arm returns how far the places lie from their mean, root mean square, in mm: the
// lever that makes a turn comparable with a shift.
func (p pairs) arm(l lay) float64 {
	m := p.middle(l)
	sum := 0.0
	for _, q := range p.from {
		sum += square(l.at(q), m)
	}
	return math.Sqrt(sum / float64(len(p.from)))
}

// newton3 returns the step −h⁻¹g and g·h⁻¹g, from the lower half of h. It is false
// when h is not positive definite.
func newton3(h [3][3]float64, g [3]float64) (step [3]float64, decrement float64, ok bool) {
	var f [4][4]float64
	var b [4]float64
	for i := range 3 {
		copy(f[i][:], h[i][:])
		b[i] = g[i]
	}
	f[3][3] = 1
	s, decrement, ok := newton4(f, b)
	return [3]float64(s[:3]), decrement, ok
}

func newton4(h [4][4]float64, g [4]float64) (step [4]float64, decrement float64, ok bool) {
	// Cholesky, h = L·Lᵀ, then L·u = g; u·u is the decrement.
	for i := range 4 {
		for j := range i + 1 {
			sum := h[i][j]
			for k := range j {
				sum -= h[i][k] * h[j][k]
			}
			if i != j {
				h[i][j] = sum / h[j][j]
				continue
			}
			if !(sum > 0) || math.IsInf(sum, 0) {
				return step, 0, false
			}
			h[i][i] = math.Sqrt(sum)
		}
	}
	u := g
	for i := range 4 {
		for k := range i {
			u[i] -= h[i][k] * u[k]
		}
		u[i] /= h[i][i]
		decrement += u[i] * u[i]
	}
	for i := 3; i >= 0; i-- {
		for k := i + 1; k < 4; k++ {
			u[i] -= h[k][i] * u[k]
		}
		u[i] /= h[i][i]
	}
	for i := range 4 {
		step[i] = -u[i]
	}
	return step, decrement, true
}
