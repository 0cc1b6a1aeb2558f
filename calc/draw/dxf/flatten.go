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
	straight := off(pts[:], p, q, 0, q, 0)
	if straight <= 1e-6 || depth >= deepest {
		c.worst = max(c.worst, straight)
		c.to(q, 0)
		return
	}
	if m, in, out, ok := biarc(p, d, q, e); ok {
		if far := off(pts[:], p, m, in, q, out); far <= sampled*c.tol {
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

// biarc returns two arcs from p in the direction of d to q in the direction of e,
// as the point m where they touch and the bulges before and after it. The arcs
// touch with equal tangent lengths g on both sides:
//
//	|q − p − g(d + e)| = 2g     d and e of length 1
//
// It is not ok where a direction is missing or an arc turns by more than a right
// angle.
func biarc(p, d, q, e xy) (m xy, in, out float64, ok bool) {
	ld, le := size(d), size(e)
	if !(ld > 0 && le > 0) {
		return m, 0, 0, false
	}
	d, e = times(d, 1/ld), times(e, 1/le)
	v, t := sub(q, p), add(d, e)
	var g float64
	// 2(1 − d·e) g² + 2 v·t g − v·v = 0, solved without taking equals from each other.
	a, half := 2*(1-dot(d, e)), dot(v, t)
	if !(half > 0) {
		return m, 0, 0, false
	}
	g = dot(v, v) / (half + math.Sqrt(half*half+a*dot(v, v)))
	m = between(add(p, times(d, g)), sub(q, times(e, g)), 0.5)
	first, second := sub(m, p), sub(q, m)
	// Half the sweep is the angle between chord and tangent.
	alpha := math.Atan2(cross(d, first), dot(d, first))
	beta := math.Atan2(cross(second, e), dot(second, e))
	if !(math.Abs(alpha) <= math.Pi/4 && math.Abs(beta) <= math.Pi/4) {
		return m, 0, 0, false
	}
	return m, math.Tan(alpha / 2), math.Tan(beta / 2), true
}

// off returns how far the farthest of the points is from the two pieces.
func off(pts []xy, p, m xy, in float64, q xy, out float64) float64 {
	worst := 0.0
	for _, s := range pts {
		d := min(toPiece(s, p, m, in), toPiece(s, m, q, out))
		if !(d <= worst) { // a NaN is the worst
			worst = d
		}
	}
	return worst
}

// toPiece returns the distance from s to the line or arc from a to b.
func toPiece(s, a, b xy, bulge float64) float64 {
	chord := sub(b, a)
	l := size(chord)
	if l == 0 {
		return apart(s, a)
	}
	ends := min(apart(s, a), apart(s, b))
	if bulge == 0 {
		if t := dot(sub(s, a), chord) / (l * l); t > 0 && t < 1 {
			return math.Abs(cross(chord, sub(s, a))) / l
		}
		return ends
	}
	k := bulged(a, b, bulge)
	r := sub(s, k.centre)
	// Within the sweep as seen from the middle of the arc.
	middle, _ := k.at(k.sweep / 2)
	u := sub(middle, k.centre)
	if math.Abs(math.Atan2(cross(u, r), dot(u, r))) <= math.Abs(k.sweep)/2 {
		return math.Abs(size(r) - size(k.u))
	}
	return ends
}
