package clear

import (
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// sheet is a parallelogram with a skin.
type sheet struct {
	at     geom.Vec // a corner
	x, y   geom.Vec // unit: along the longer side, and square to it in the plane
	long   float64  // the longer side
	dx, dy float64  // the other side along x and y; dy ≥ 0
	normal geom.Vec
	edges  [4]piece
	mid    geom.Vec
	reach  float64
	skin   float64
}

// Swept returns all that a rod passes through on a straight way: everything within radius
// of the parallelogram between the two points and along by. As with Rod its ends are
// half balls. Where the rod lies along its way, or there is none, it is a rod again.
// 0 ≤ radius ≤ 10,000 mm.
func Swept(from, to, by geom.Vec, radius units.Length) (Set, error) {
	if err := fault.Within("Radius", radius.MM(), 0, widest, "mm"); err != nil {
		return nil, err
	}
	if err := placed("End", from, to, from.Add(by), to.Add(by)); err != nil {
		return nil, err
	}
	u, v := to.Sub(from), by
	if norm(v) > norm(u) {
		u, v = v, u
	}
	s := &sheet{at: from, long: norm(u), skin: radius.MM(), mid: from.Add(u.Add(v).Scale(0.5)), reach: max(norm(u.Add(v)), norm(u.Sub(v))) / 2}
	s.x, _ = u.Unit()
	s.dx = v.Dot(s.x)
	rest := v.Sub(s.x.Scale(s.dx))
	if s.dy = norm(rest); s.dy > finest {
		s.y = rest.Scale(1 / s.dy)
		s.normal = s.x.Cross(s.y)
	}
	for i, e := range [4][2]geom.Vec{{from, u}, {from, v}, {from.Add(v), u}, {from.Add(u), v}} {
		dir, _ := e[1].Unit()
		s.edges[i] = straight(0, e[0], dir, norm(e[1]))
	}
	return s, nil
}

// over tells whether p lies over the parallelogram, and how high. One as thin as a line
// has only edges.
func (s *sheet) over(p geom.Vec) (height float64, is bool) {
	if !(s.dy > finest) {
		return 0, false
	}
	p = p.Sub(s.at)
	y := p.Dot(s.y)
	if y < 0 || y > s.dy {
		return 0, false
	}
	x := p.Dot(s.x) - y/s.dy*s.dx
	return p.Dot(s.normal), x >= 0 && x <= s.long
}

func (s *sheet) Distance(p geom.Vec) float64 {
	if h, is := s.over(p); is {
		return math.Abs(h)
	}
	d := math.Inf(1)
	for i := range s.edges {
		d = min(d, s.edges[i].distance(p))
	}
	return d
}

func (s *sheet) Nearest(p geom.Vec) geom.Vec {
	if h, is := s.over(p); is {
		return p.Sub(s.normal.Scale(h))
	}
	best, at := math.Inf(1), p
	for i := range s.edges {
		e := &s.edges[i]
		if q := e.point(e.nearest(p)); norm(p.Sub(q)) < best {
			best, at = norm(p.Sub(q)), q
		}
	}
	return at
}

func (s *sheet) Skin() float64              { return s.skin }
func (s *sheet) Bound() (geom.Vec, float64) { return s.mid, s.reach }

func (s *sheet) lowest(dir geom.Vec) geom.Vec {
	best := s.at
	for i := range s.edges {
		e := &s.edges[i]
		for _, q := range [2]geom.Vec{e.point(-e.half), e.point(e.half)} {
			if q.Dot(dir) < best.Dot(dir) {
				best = q
			}
		}
	}
	return best
}
