package flange

import (
	"cmp"
	"math"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/num"
	"tubewright/calc/sorted"
)

// Fit is a shape laid through measured points so that the squares of their
// distances from it are least. Which sizes it has goes by the shape, as geom's
// constructors name them; the others are 0.
type Fit struct {
	Shape                                         string // round, stadium, oval, rectangle or d
	Diameter, Width, Height, Corner, Radius, Flat float64
	X, Y                                          float64 // its centre; of a d, that of its arc
	Turn                                          float64 // rad, counter-clockwise; a wide shape is turned by less than 45°
	Parameters                                    int
	// Worst is the greatest distance of a point from the shape, WorstAt which point,
	// from 0. Sigma is the scatter of the points about it, the root of the sum of
	// squares by points less parameters.
	Worst   float64
	WorstAt int
	Sigma   float64
	Outline geom.Outline
}

const (
	fitSteps = 60
	// settledFit is the step in mm, or in rad times the size, at which a fit has
	// arrived: what is left to gain is its square.
	settledFit = 1e-9
	// tried is how many of the starts are followed to the end.
	tried, firstSteps = 4, 8
	// sameEnd: starts that are no farther apart than this after their first steps, in mm,
	// are on the way to one end, and only the first is followed.
	sameEnd = 1e-3
	// enoughToStart is how many of many points the starts are tried on.
	enoughToStart = 48
)

// Fits returns the best fit of every shape, the fewest parameters first, of equal
// ones the nearer first. Distances are square to the outline; Gauss-Newton with
// Levenberg's damping (Nocedal and Wright, Numerical Optimization, chapter 10;
// from memory) from several turns and sizes, since a shape fitted lying down when
// it stands finds a poor minimum. Shapes of as many parameters as there are
// points, or less than two fewer, are left out. pts are those of a geom.Points.
func Fits(pts [][2]float64) []Fit { return fits(pts, func(Fit) bool { return false }) }

// fits leaves out shapes of more parameters than one that is enough.
func fits(pts [][2]float64, isEnough func(Fit) bool) []Fit {
	var list []Fit
	enough := maxParameters
	for _, p := range shapeKinds { // the fewest parameters first
		if len(pts) < p.parameters()+2 || p.parameters() > enough {
			continue
		}
		if f, ok := p.fit(pts); ok {
			list = append(list, f)
			if isEnough(f) {
				enough = f.Parameters
			}
		}
	}
	sorted.By(list, func(a, b Fit) int {
		if a.Parameters != b.Parameters {
			return a.Parameters - b.Parameters
		}
		return cmp.Compare(a.Sigma, b.Sigma)
	})
	return list
}

// pose is a shape placed: its sizes, centre and turn.
type pose struct {
	size [3]float64
	x, y float64
	turn float64
	sum  float64 // of the squares
}

func (p shape) fit(pts [][2]float64) (Fit, bool) {
	few := pts // enough to find where to look
	if len(pts) > 2*enoughToStart {
		few = nil
		for i := range enoughToStart {
			few = append(few, pts[i*len(pts)/enoughToStart])
		}
	}
	starts := p.starts(few)
	for i := range starts {
		starts[i] = p.improve(few, starts[i], firstSteps)
	}
	sorted.By(starts, func(a, b pose) int { return cmp.Compare(a.sum, b.sum) })
	best := pose{sum: math.Inf(1)}
	starts = starts[:min(tried, len(starts))]
	for i, s := range starts {
		if slices.ContainsFunc(starts[:i], func(t pose) bool { return s.apart(t) <= sameEnd }) {
			continue
		}
		if s = p.improve(few, s, fitSteps); s.sum < best.sum {
			best = s
		}
	}
	best.sum = p.squares(pts, best)
	return p.told(pts, p.improve(pts, best, fitSteps))
}

// starts lays the shape into the box around the points, for turns 15° apart.
func (p shape) starts(pts [][2]float64) []pose {
	turns, whole := 1, 2*math.Pi
	switch {
	case p.sizes == 3 && p.name == "d":
		turns = 24
	case p.turns:
		turns, whole = 6, math.Pi/2 // width and height change places beyond
	}
	var list []pose
	for k := range turns {
		turn := whole * float64(k) / float64(turns)
		sin, cos := math.Sincos(turn)
		low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		for _, q := range pts {
			u := [2]float64{cos*q[0] + sin*q[1], -sin*q[0] + cos*q[1]}
			for i := range 2 {
				low[i], high[i] = min(low[i], u[i]), max(high[i], u[i])
			}
		}
		w, h := max(leastSize, high[0]-low[0]), max(leastSize, high[1]-low[1])
		u, v := (low[0]+high[0])/2, (low[1]+high[1])/2
		sizes := [][3]float64{{w, h, min(w, h) / 4}}
		switch p.name {
		case "round":
			sizes = [][3]float64{{(w + h) / 2}}
		case "d":
			// From the flat on the left to the arc on the right it is radius + flat deep.
			r := max(h/2, w/2/0.98)
			flat := min(max(w-r, -0.9*r), 0.9*r)
			sizes = [][3]float64{{r, flat, min(w, h) / 8}}
			u = high[0] - r
		}
		for _, s := range sizes {
			start := pose{size: s, x: cos*u - sin*v, y: sin*u + cos*v, turn: turn}
			start.sum = p.squares(pts, start)
			list = append(list, start)
		}
	}
	return list
}

// distance returns how far q is from the shape as placed, and its derivatives by
// sizes, centre and turn.
func (p shape) distance(s pose, sin, cos float64, q [2]float64) (r float64, by [6]float64) {
	u, v := q[0]-s.x, q[1]-s.y
	l := [2]float64{cos*u + sin*v, -sin*u + cos*v}
	r, n, sizes := p.off(s.size, l)
	k := copy(by[:], sizes[:p.sizes])
	by[k], by[k+1] = -(cos*n[0] - sin*n[1]), -(sin*n[0] + cos*n[1])
	by[k+2] = n[0]*l[1] - n[1]*l[0]
	return r, by
}

func (p shape) squares(pts [][2]float64, s pose) (sum float64) {
	sin, cos := math.Sincos(s.turn)
	for _, q := range pts {
		r, _ := p.distance(s, sin, cos, q)
		sum += r * r
	}
	return sum
}

// equations is room for the normal equations of a fit, used again for every step.
type equations struct {
	normal, damped [maxParameters * maxParameters]float64
	slope, right   [maxParameters]float64
}

// improve takes up to so many steps. A size at its limit that wants beyond is held
// for the step.
func (p shape) improve(pts [][2]float64, s pose, steps int) pose {
	n := p.parameters()
	var d equations
	m, g := num.Square{N: n, V: d.normal[:n*n]}, d.slope[:n]
	damping := 1e-3
	for range steps {
		sin, cos := math.Sincos(s.turn)
		clear(m.V)
		clear(g)
		for _, q := range pts {
			r, by := p.distance(s, sin, cos, q)
			for i := range n {
				g[i] -= by[i] * r
				for j := range i + 1 {
					m.Add(i, j, by[i]*by[j])
				}
			}
		}
		gained, moved := false, 0.0
		for range 12 {
			step, ok := p.step(s, m, g, damping, &d)
			if ok {
				next := s.moved(p, step)
				next.sum = p.squares(pts, next)
				if next.sum <= s.sum {
					gained, moved = true, s.apart(next)
					s = next
					damping = max(damping/10, 1e-12)
					break
				}
			}
			damping *= 10
		}
		if !gained || moved < settledFit {
			break
		}
	}
	return s
}

// step solves the damped normal equations for the parameters that are free.
func (p shape) step(s pose, m num.Square, g []float64, damping float64, d *equations) ([]float64, bool) {
	n := m.N
	var held [maxParameters]bool
	for {
		a, b := num.Square{N: n, V: d.damped[:n*n]}, d.right[:n]
		clear(a.V)
		clear(b)
		for i := range n {
			if held[i] {
				a.Add(i, i, 1)
				continue
			}
			b[i] = g[i]
			for j := range i + 1 {
				if !held[j] {
					a.Add(i, j, m.At(i, j))
				}
			}
			// What no point answers to is left as it is, by a trace of damping.
			a.Add(i, i, damping*m.At(i, i)+1e-9)
		}
		f, ok := a.Cholesky()
		if !ok {
			return nil, false
		}
		step := f.Solve(b)
		again := false
		for i := range p.sizes {
			low, high := p.limits(s.size, i)
			if !held[i] && (s.size[i] <= low && step[i] < 0 || s.size[i] >= high && step[i] > 0) {
				held[i], again = true, true
			}
		}
		if !again {
			return step, true
		}
	}
}

// moved returns the pose after a step, its sizes within their limits.
func (s pose) moved(p shape, step []float64) pose {
	for i := range p.sizes {
		s.size[i] += step[i]
	}
	for range 2 { // the limits of one go by the others
		for i := range p.sizes {
			low, high := p.limits(s.size, i)
			s.size[i] = min(max(s.size[i], low), high)
		}
	}
	s.x, s.y = s.x+step[p.sizes], s.y+step[p.sizes+1]
	if p.turns {
		s.turn += step[p.sizes+2]
	}
	return s
}

// apart is the greatest change from one pose to the next, in mm.
func (s pose) apart(t pose) float64 {
	most := max(math.Abs(s.x-t.x), math.Abs(s.y-t.y), math.Abs(math.Remainder(s.turn-t.turn, 2*math.Pi))*s.size[0])
	for i := range s.size {
		most = max(most, math.Abs(s.size[i]-t.size[i]))
	}
	return most
}

// told turns a pose into a Fit.
func (p shape) told(pts [][2]float64, s pose) (Fit, bool) {
	if p.turns && p.name != "d" {
		// Width is what lies nearer to across.
		quarter := math.Round(s.turn / (math.Pi / 2))
		if math.Mod(quarter, 2) != 0 {
			s.size[0], s.size[1] = s.size[1], s.size[0]
		}
		s.turn -= quarter * math.Pi / 2
	}
	s.turn = math.Remainder(s.turn, 2*math.Pi)
	f := Fit{Shape: p.name, X: s.x, Y: s.y, Turn: s.turn, Parameters: p.parameters()}
	switch p.name {
	case "round":
		f.Diameter = s.size[0]
	case "d":
		f.Radius, f.Flat, f.Corner = s.size[0], s.size[1], s.size[2]
	default:
		f.Width, f.Height, f.Corner = s.size[0], s.size[1], s.size[2]
	}
	if p.sizes == 2 {
		f.Corner = 0
	}
	o, err := p.outline(s.size)
	if err != nil {
		return Fit{}, false
	}
	f.Outline = o.Turned(s.turn).Moved(s.x, s.y)
	sin, cos := math.Sincos(s.turn)
	sum := 0.0
	for i, q := range pts {
		r, _ := p.distance(s, sin, cos, q)
		sum += r * r
		if r = math.Abs(r); r > f.Worst {
			f.Worst, f.WorstAt = r, i
		}
	}
	f.Sigma = math.Sqrt(sum / float64(len(pts)-f.Parameters))
	return f, true
}
