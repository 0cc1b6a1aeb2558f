package clear

import (
	"math"

	"tubewright/calc/geom"
)

// piece is one straight or one bend of a centreline, seen from its middle: what a
// distance needs is worked out once.
type piece struct {
	from  float64  // arc length of its start
	half  float64  // half its length
	kappa float64  // 1/radius; 0 for a straight
	at    geom.Vec // middle of a straight, centre of a bend
	w     geom.Vec // travel in the middle
	m, b  geom.Vec // bend: from the centre to its middle; m × w
	// bend: the radius, the cosine of half the turn, and where its ends lie along m
	// and across.
	radius, cos, endM, endW float64

	ball  geom.Vec // middle of a sphere about the piece
	reach float64  // its radius
	// A rod about the piece: half as thick as the bend is high over its chord. A
	// straight is its own.
	axis        geom.Vec // its middle; it lies along w
	span, thick float64  // half its length, its radius
}

func straight(from float64, a, dir geom.Vec, length float64) piece {
	half := length / 2
	mid := a.Add(dir.Scale(half))
	return piece{from: from, half: half, at: mid, w: dir, ball: mid, reach: half, axis: mid, span: half}
}

// bend returns the bend about centre through turn, at most half a turn, whose
// middle lies along m from the centre and heads along w.
func bend(from float64, centre, m, w geom.Vec, radius, turn float64) piece {
	sin, cos := math.Sincos(turn / 2)
	p := piece{from: from, half: radius * turn / 2, kappa: 1 / radius, at: centre, w: w, m: m, b: m.Cross(w),
		radius: radius, cos: cos, endM: radius * cos, endW: radius * sin}
	p.ball, p.reach = centre.Add(m.Scale(p.endM)), p.endW
	p.axis, p.span, p.thick = centre.Add(m.Scale((p.endM+radius)/2)), p.endW, (radius-p.endM)/2
	return p
}

// point returns the place u mm after the middle, −half ≤ u ≤ half.
func (p *piece) point(u float64) geom.Vec {
	if p.kappa == 0 {
		return p.at.Add(p.w.Scale(u))
	}
	sin, cos := math.Sincos(u * p.kappa)
	return p.at.Add(p.m.Scale(p.radius * cos)).Add(p.w.Scale(p.radius * sin))
}

// distance returns how far v is from the piece. A bend sees v along m, w and b:
// within its sector, which is where the angle from the middle is at most half the
// turn, the circle is nearest, beyond it the end on the same side.
func (p *piece) distance(v geom.Vec) float64 {
	v = v.Sub(p.at)
	if p.kappa == 0 {
		return norm(v.Sub(p.w.Scale(within(v.Dot(p.w), p.half))))
	}
	x, y, z := v.Dot(p.m), v.Dot(p.w), v.Dot(p.b)
	rho := math.Sqrt(x*x + y*y)
	if x >= p.cos*rho {
		return math.Sqrt((rho-p.radius)*(rho-p.radius) + z*z)
	}
	x -= p.endM
	y = math.Abs(y) - p.endW
	return math.Sqrt(x*x + y*y + z*z)
}

// nearest returns where on the piece, from its middle, v is nearest.
func (p *piece) nearest(v geom.Vec) (u float64) {
	v = v.Sub(p.at)
	if p.kappa == 0 {
		return within(v.Dot(p.w), p.half)
	}
	return within(math.Atan2(v.Dot(p.w), v.Dot(p.m))*p.radius, p.half)
}

// part returns the piece from u0 to u1, measured from its middle.
func (p *piece) part(u0, u1 float64) piece {
	from, mid, length := p.from+p.half+u0, (u0+u1)/2, u1-u0
	if p.kappa == 0 {
		return straight(from, p.point(u0), p.w, length)
	}
	sin, cos := math.Sincos(mid * p.kappa)
	m := p.m.Scale(cos).Add(p.w.Scale(sin))
	w := p.w.Scale(cos).Sub(p.m.Scale(sin))
	return bend(from, p.at, m, w, p.radius, length*p.kappa)
}

// moved returns the piece where the move puts it.
func (p *piece) moved(m *geom.Move) piece {
	q := *p
	q.at, q.ball, q.axis, q.w = m.Point(p.at), m.Point(p.ball), m.Point(p.axis), m.Dir(p.w)
	if p.kappa != 0 {
		q.m, q.b = m.Dir(p.m), m.Dir(p.b)
	}
	return q
}

func within(u, half float64) float64 { return max(-half, min(half, u)) }

// norm is Vec.Norm without its care for overflow, which no part of a car needs: it
// is what most of the time goes into.
func norm(v geom.Vec) float64 { return math.Sqrt(v.Dot(v)) }
