package route

import (
	"math"

	"tubewright/calc/num"
)

const (
	usualPull  = 0.02 // of a change of one unit, beside a miss of one tolerance
	mostSteps  = 25   // of one solution; ten are seldom needed
	still      = 1e-4 // units, a step that ends a solution
	hopeless   = 9.0  // a sum of squares that is three tolerances away
	mostDamped = 1e6
)

// solver finds the least misses of a model over some of its knobs. It keeps what it
// works in, since a search solves thousands of times.
type solver struct {
	m     *model
	pull  float64 // of a change of one unit, beside a miss of one tolerance
	links []link
	pose  pose
	slope []row
	tries int

	held       []bool
	free       []int
	part, rest []float64
}

func newSolver(m *model) solver { return solver{m: m, pull: usualPull} }

// found is where a solution came to.
type found struct {
	x    []float64 // of each knob of the set
	cost float64   // sum of squares of misses and pull
	r    row       // misses over the scale asked for
}

// at puts changes of the knobs in set on the links and walks them.
func (s *solver) at(set []int, x []float64) {
	s.links = append(s.links[:0], s.m.links...)
	for i, k := range set {
		s.m.knobs[k].set(s.links, x[i])
	}
	s.m.walk(s.links, &s.pose)
}

// cost is what a solution makes least.
func (s *solver) cost(set []int, x []float64, sc scale) (row, float64) {
	s.at(set, x)
	r := s.m.misses(&s.pose, sc)
	sum := 0.0
	for _, v := range r {
		sum += v * v
	}
	return r, sum + s.pulled(set, x)
}

// pulled is what the changes themselves cost.
func (s *solver) pulled(set []int, x []float64) (sum float64) {
	for i, k := range set {
		v := x[i] / s.m.knobs[k].unit
		sum += s.pull * v * v
	}
	return sum
}

// solve finds the least cost over the knobs of set from the changes from, within
// bounds, nil for none: damped Gauss-Newton steps with those knobs held that a bound holds.
func (s *solver) solve(set []int, from []float64, sc scale) found {
	s.tries++
	n := len(set)
	x, next := make([]float64, n), make([]float64, n)
	for i, k := range set {
		if from != nil {
			x[i] = from[i]
		}
		x[i] = max(s.m.knobs[k].lo, min(s.m.knobs[k].hi, x[i]))
	}
	r, cost := s.cost(set, x, sc)
	damp := 0.0
	grad, step := make([]float64, n), make([]float64, n)
	h := num.NewSquare(n)
	for range mostSteps {
		s.slope = s.slope[:0]
		for _, k := range set {
			knob := &s.m.knobs[k]
			s.slope = append(s.slope, s.m.slopes(&s.pose, sc, knob, &s.links[knob.link]))
		}
		s.normal(set, x, r, h, grad)
		better, small := false, false
		for damp <= mostDamped {
			if s.step(set, x, h, grad, damp, step) {
				most := 0.0
				for i, k := range set {
					next[i] = max(s.m.knobs[k].lo, min(s.m.knobs[k].hi, x[i]+step[i]))
					most = max(most, math.Abs(next[i]-x[i])/s.m.knobs[k].unit)
				}
				small = most < still
				nr, nc := s.cost(set, next, sc)
				if nc < cost {
					gain := cost - nc
					x, next, r, cost = next, x, nr, nc
					better = true
					// What hardly falls any more is at its least, or will not get there.
					small = small || gain < 1e-3*cost || cost > hopeless && gain < 0.1*cost
					damp /= 8
					if damp < 1e-3 {
						damp = 0
					}
					break
				}
				if small {
					break
				}
			}
			damp = max(0.01, 8*damp)
		}
		if !better || small {
			break
		}
	}
	// A step that was not taken left its own links behind.
	s.at(set, x)
	return found{x, cost, r}
}

// normal fills in JᵀJ with the pull, and the gradient.
func (s *solver) normal(set []int, x []float64, r row, h num.Square, grad []float64) {
	n := len(set)
	for i, k := range set {
		unit := s.m.knobs[k].unit
		a := &s.slope[i]
		g := s.pull * x[i] / (unit * unit)
		for q := range rows {
			g += a[q] * r[q]
		}
		grad[i] = g
		for j := range i + 1 {
			b := &s.slope[j]
			sum := 0.0
			for q := range rows {
				sum += a[q] * b[q]
			}
			if i == j {
				sum += s.pull / (unit * unit)
			}
			h.V[i*n+j], h.V[j*n+i] = sum, sum
		}
	}
}

// step finds the step that makes the linear model least within the bounds: what
// would leave a bound is put on it, and the others are solved again.
func (s *solver) step(set []int, x []float64, h num.Square, grad []float64, damp float64, step []float64) bool {
	n := len(set)
	held := room(&s.held, n)
	for i, k := range set {
		knob := &s.m.knobs[k]
		step[i] = 0
		held[i] = x[i] <= knob.lo && grad[i] > 0 || x[i] >= knob.hi && grad[i] < 0
	}
	for range n + 1 {
		free := s.free[:0]
		for i := range n {
			if !held[i] {
				free = append(free, i)
			}
		}
		s.free = free
		if len(free) == 0 {
			return true
		}
		part, b := num.Square{N: len(free), V: room(&s.part, len(free)*len(free))}, room(&s.rest, len(free))
		for a, i := range free {
			b[a] = -grad[i]
			for j := range n {
				if held[j] {
					b[a] -= h.At(i, j) * step[j]
				}
			}
			for c, j := range free[:a+1] {
				part.V[a*part.N+c] = h.At(i, j)
			}
			unit := s.m.knobs[set[i]].unit
			part.Add(a, a, damp*(h.At(i, i)+1/(unit*unit)))
		}
		f, ok := part.Cholesky()
		if !ok {
			return false
		}
		whole := true
		for a, d := range f.Solve(b) {
			i := free[a]
			knob := &s.m.knobs[set[i]]
			step[i] = d
			if to := x[i] + d; to < knob.lo || to > knob.hi {
				step[i] = max(knob.lo, min(knob.hi, to)) - x[i]
				held[i], whole = true, false
			}
		}
		if whole {
			return true
		}
	}
	return true
}

// room returns n elements of a list that is kept, whatever is in them.
func room[T any](list *[]T, n int) []T {
	if cap(*list) < n {
		*list = make([]T, n)
	}
	return (*list)[:n]
}

// worst is the largest of the misses of place, aim and length over their
// tolerances: 1 or less closes.
func worst(r row) float64 {
	place, aim := parts(r)
	return max(place, aim, math.Abs(r[5]))
}

// parts returns the misses of place and aim over their tolerances.
func parts(r row) (place, aim float64) {
	return math.Sqrt(r[0]*r[0] + r[1]*r[1] + r[2]*r[2]), math.Hypot(r[3], r[4])
}

const mostWeighings = 8

// fit solves and, where place or aim alone is over its tolerance and the other has
// room, weighs them anew and solves again: least squares share out what a tolerance
// need not. Where their squares add up to more than two, no other share has both
// within.
func (s *solver) fit(set []int, from []float64) found {
	usual := s.m.target.usual()
	best := s.solve(set, from, usual)
	at, sc := best, usual
	// Between these weights of the place beside the aim lies the one that evens both.
	low, high := 0.0, math.Inf(1)
	weight := 1.0
	for range mostWeighings {
		place, aim := parts(at.r)
		if w := worst(best.r); w <= 1 || place*place+aim*aim > 2.1 && at.r == best.r {
			break
		}
		if place > aim {
			low = weight
		} else {
			high = weight
		}
		switch {
		case math.IsInf(high, 1):
			weight *= 4
		case low == 0:
			weight /= 4
		default:
			weight = math.Sqrt(low * high)
		}
		sc.place, sc.aim = usual.place/math.Sqrt(weight), usual.aim*math.Sqrt(weight)
		at = s.solve(set, best.x, sc)
		at.r = s.m.misses(&s.pose, usual)
		if worst(at.r) < worst(best.r) {
			best = at
		}
	}
	return best
}
