package dxf

import (
	"math"

	"tubewright/calc/geom"
)

type xy = [2]float64

func add(a, b xy) xy                { return xy{a[0] + b[0], a[1] + b[1]} }
func sub(a, b xy) xy                { return xy{a[0] - b[0], a[1] - b[1]} }
func times(a xy, k float64) xy      { return xy{k * a[0], k * a[1]} }
func dot(a, b xy) float64           { return float64(a[0]*b[0]) + float64(a[1]*b[1]) }
func cross(a, b xy) float64         { return float64(a[0]*b[1]) - float64(a[1]*b[0]) }
func size(a xy) float64             { return math.Hypot(a[0], a[1]) }
func apart(a, b xy) float64         { return size(sub(a, b)) }
func between(a, b xy, t float64) xy { return add(a, times(sub(b, a), t)) }

// affine takes x, y to X·x + Y·y + O.
type affine struct{ X, Y, O xy }

var identity = affine{X: xy{1, 0}, Y: xy{0, 1}}

func (m affine) along(d xy) xy { return add(times(m.X, d[0]), times(m.Y, d[1])) }
func (m affine) at(p xy) xy    { return add(m.along(p), m.O) }

// after returns the map that does n first and m then.
func (m affine) after(n affine) affine { return affine{m.along(n.X), m.along(n.Y), m.at(n.O)} }

// curve is what an entity is made of: a straight line, a part of an ellipse or a
// spline. It stays one of these under every affine map, as an arc does not.
type curve struct {
	from, to xy
	// Of an ellipse: centre + u·cos t + v·sin t, t from start on by sweep.
	isEllipse    bool
	centre, u, v xy
	start, sweep float64
	spline       *spline
}

func line(from, to xy) curve { return curve{from: from, to: to} }

func ellipse(centre, u, v xy, start, sweep float64) curve {
	c := curve{isEllipse: true, centre: centre, u: u, v: v, start: start, sweep: sweep}
	c.from, _ = c.at(start)
	c.to, _ = c.at(start + sweep)
	return c
}

// sideOf returns a line or an arc of an outline as a curve.
func sideOf(s geom.Segment) curve {
	if s.Kind == geom.Line {
		return line(s.From, s.To)
	}
	c := ellipse(s.Centre, xy{s.Radius, 0}, xy{0, s.Radius}, s.Start, s.Sweep)
	c.from, c.to = s.From, s.To
	return c
}

func (c curve) mapped(m affine) curve {
	c.from, c.to = m.at(c.from), m.at(c.to)
	if c.isEllipse {
		c.centre, c.u, c.v = m.at(c.centre), m.along(c.u), m.along(c.v)
	}
	if c.spline != nil {
		c.spline = c.spline.mapped(m)
	}
	return c
}

// at returns the point of an ellipse at t and the derivative by t.
func (c curve) at(t float64) (p, d xy) {
	sin, cos := math.Sincos(t)
	p = add(c.centre, add(times(c.u, cos), times(c.v, sin)))
	d = sub(times(c.v, cos), times(c.u, sin))
	return p, d
}

// isArc reports whether the ellipse is a circle to within a nanometre.
func (c curve) isArc() bool {
	const tol = 1e-6 // mm
	r := max(size(c.u), size(c.v))
	return math.Abs(size(c.u)-size(c.v)) <= tol && math.Abs(dot(c.u, c.v)) <= tol*r
}
