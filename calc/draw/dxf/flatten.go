package dxf

import (
	"math"

	"tubewright/calc/geom"
)

// chain is a row of lines and arcs: each vertex bears the bulge of the piece that
// follows.
type chain struct {
	v     []geom.Vertex
	tol   float64 // how far a curve may be left, in mm
	worst float64 // how far one was left
	full  bool    // more vertices than allowed
	most  int
}

func at(v geom.Vertex) xy { return xy{v.X, v.Y} }

// to adds a piece from the last vertex.
func (c *chain) to(p xy, bulge float64) {
	if len(c.v) >= c.most {
		c.full = true
		return
	}
	last := &c.v[len(c.v)-1]
	// An arc that rises less than a millionth of a millimetre is a line; its centre
	// would have no digits left.
	if math.Abs(bulge)*apart(at(*last), p) < 2e-6 {
		bulge = 0
	}
	last.Bulge = bulge
	c.v = append(c.v, geom.Vertex{X: p[0], Y: p[1]})
}

// add appends a curve; the first one starts the chain.
func (c *chain) add(k curve) {
	if len(c.v) == 0 {
		c.v = append(c.v, geom.Vertex{X: k.from[0], Y: k.from[1]})
	}
	switch {
	case k.spline != nil:
		for _, i := range k.spline.spans() {
			a, b := k.spline.knots[i], k.spline.knots[i+1]
			n := max(1, k.spline.degree-1) // more waves need more looks
			for j := range n {
				c.fit(func(t float64) (xy, xy) { return k.spline.at(i, t) },
					a+(b-a)*float64(j)/float64(n), a+(b-a)*float64(j+1)/float64(n), 0)
			}
		}
	case !k.isEllipse:
		c.to(k.to, 0)
	case k.isArc():
		turn := 1.0
		if cross(k.u, k.v) < 0 {
			turn = -1
		}
		n := max(1, int(math.Ceil(math.Abs(k.sweep)/math.Pi-1e-9)))
		bulge := turn * math.Tan(k.sweep/float64(4*n))
		for i := 1; i < n; i++ {
			p, _ := k.at(k.start + k.sweep*float64(i)/float64(n))
			c.to(p, bulge)
		}
		c.to(k.to, bulge)
	default:
		n := max(1, int(math.Ceil(math.Abs(k.sweep)/(math.Pi/2)-1e-9)))
		for i := range n {
			c.fit(k.at, k.start+k.sweep*float64(i)/float64(n), k.start+k.sweep*float64(i+1)/float64(n), 0)
		}
	}
}

const (
	samples = 16  // of a curve between two ends, to see how far a piece leaves it
	sampled = 0.9 // of what is allowed may be used at a sample: between two it is more
	deepest = 20  // halvings: a curve of 1 m is then cut to a micrometre
)

// fit adds the curve from t = a to b as two arcs that touch each other and the
// curve's directions at both ends, or as one line, where that leaves no sample too
// far off. Otherwise it halves the curve.
func (c *chain) fit(curve func(t float64) (p, d xy), a, b float64, depth int) {
	if c.full {
		return
	}
	_, d := curve(a)
	p := at(c.v[len(c.v)-1]) // where the curve is at a, but for rounding
	q, e := curve(b)
	var pts [samples]xy
	for i := range pts {
		pts[i], _ = curve(a + (b-a)*float64(i+1)/(samples+1))
	}
	straight := off(pts[:], geom.Bulged(p, q, 0))
	if straight <= 1e-6 || depth >= deepest {
		c.worst = max(c.worst, straight)
		c.to(q, 0)
		return
	}
	if m, in, out, ok := geom.Biarc(p, d, q, e); ok {
		if far := off(pts[:], geom.Bulged(p, m, in), geom.Bulged(m, q, out)); far <= sampled*c.tol {
			c.worst = max(c.worst, far)
			c.to(m, in)
			c.to(q, out)
			return
		}
	}
	if straight <= sampled*c.tol && apart(p, q) <= c.tol {
		c.worst = max(c.worst, straight)
		c.to(q, 0)
		return
	}
	c.fit(curve, a, (a+b)/2, depth+1)
	c.fit(curve, (a+b)/2, b, depth+1)
}

// off returns how far the farthest of the points is from the pieces.
func off(pts []xy, pieces ...geom.Segment) float64 {
	worst := 0.0
	for _, p := range pts {
		near := math.Inf(1)
		for _, s := range pieces {
			d, _ := s.Nearest(p)
			near = min(near, d)
		}
		if !(near <= worst) { // a NaN is the worst
			worst = near
		}
	}
	return worst
}
