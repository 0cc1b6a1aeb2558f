package sheet

import (
	"math"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/sorted"
)

// sight is one way to look at things in three dimensions, square on: what lies to the
// right and up on paper, and what points out of it, all of length 1. scale is mm of paper
// for a mm.
type sight struct {
	right, up, out geom.Vec
	scale          float64
}

// on is where a place stands on paper.
func (s sight) on(p geom.Vec) draw.Pos {
	return draw.Pos{s.scale * p.Dot(s.right), s.scale * p.Dot(s.up)}
}

// strand is a round bar or tube along points of its middle.
type strand struct {
	layer  draw.Layer
	radius float64
	points []geom.Vec
}

// strandStep is how far points of a strand lie apart at most, in mm.
const strandStep = 4.0

// stretched is a strand along a path of the plan.
func stretched(l draw.Layer, radius float64, path []job.Stretch) strand {
	s := strand{layer: l, radius: radius}
	for i, p := range path {
		from, to := geom.Vec(p.From), geom.Vec(p.To)
		if i == 0 {
			s.points = append(s.points, from)
		}
		if p.Centre == nil || p.Normal == nil || p.Angle == nil {
			s.straight(to)
			continue
		}
		centre, angle := geom.Vec(*p.Centre), float64(*p.Angle)*math.Pi/180
		x := from.Sub(centre)
		y := geom.Vec(*p.Normal).Cross(x)
		n := max(1, int(math.Ceil(x.Norm()*angle/strandStep)))
		for k := 1; k <= n; k++ {
			sin, cos := math.Sincos(angle * float64(k) / float64(n))
			s.points = append(s.points, centre.Add(x.Scale(cos)).Add(y.Scale(sin)))
		}
	}
	return s
}

// straight goes on to a place.
func (s *strand) straight(to geom.Vec) {
	by := to.Sub(s.points[len(s.points)-1])
	from := s.points[len(s.points)-1]
	n := max(1, int(math.Ceil(by.Norm()/strandStep)))
	for k := 1; k <= n; k++ {
		s.points = append(s.points, from.Add(by.Scale(float64(k)/float64(n))))
	}
}

// rodOf is a straight strand.
func rodOf(l draw.Layer, radius float64, from, to geom.Vec) strand {
	s := strand{layer: l, radius: radius, points: []geom.Vec{from}}
	s.straight(to)
	return s
}

// dir is the way at one of the points.
func (s strand) dir(i int) geom.Vec {
	a, b := s.points[max(0, i-1)], s.points[min(len(s.points)-1, i+1)]
	d, _ := b.Sub(a).Unit()
	return d
}

// outlines are the edges of strands as far as no other hides them. A strand is taken for
// the balls that roll along it: its edge is as far to the side of the middle line, as it is
// seen, as its radius.
func (s sight) outlines(all []strand) []draw.Entity {
	var list []draw.Entity
	for n, one := range all {
		for _, side := range []float64{1, -1} {
			var line []draw.Pos
			flush := func() {
				list = append(list, polyline(one.layer, line)...)
				line = nil
			}
			for i, p := range one.points {
				off, ok := s.aside(one.dir(i))
				edge := p.Add(off.Scale(side * one.radius))
				if !ok || s.hidden(all, n, i, edge) {
					flush()
					continue
				}
				line = append(line, s.on(edge))
			}
			flush()
		}
		for _, i := range []int{0, len(one.points) - 1} {
			off, ok := s.aside(one.dir(i))
			a, b := one.points[i].Add(off.Scale(one.radius)), one.points[i].Sub(off.Scale(one.radius))
			switch {
			case s.hidden(all, n, i, one.points[i]):
			case !ok: // seen end on
				list = append(list, draw.Circle{Layer: one.layer, Centre: s.on(one.points[i]), Radius: s.scale * one.radius})
			default:
				list = append(list, draw.Line{Layer: one.layer, From: s.on(a), To: s.on(b)})
			}
		}
	}
	return list
}

// aside is the direction square to a way and to the eye; false where one looks along it.
func (s sight) aside(dir geom.Vec) (geom.Vec, bool) {
	const least = 0.05 // the sine of the angle between way and eye
	c := s.out.Cross(dir)
	if c.Norm() < least {
		return geom.Vec{}, false
	}
	return c.Unit()
}

// hidden tells whether a strand lies before a place on the edge of point i of strand n.
func (s sight) hidden(all []strand, n, i int, edge geom.Vec) bool {
	const within = 0.96 // of the radius, so that an edge does not hide itself
	const nearer = 0.25 // of the radius: a tube in its socket lies neither before nor behind it
	own := all[n].points[i].Dot(s.out)
	x, y := edge.Dot(s.right), edge.Dot(s.up)
	for m, one := range all {
		reach := within * one.radius
		before := own + nearer*one.radius
		if m == n { // what runs beside itself
			before = own - one.radius
		}
		for k := 1; k < len(one.points); k++ {
			p, q := one.points[k-1], one.points[k]
			ax, ay := p.Dot(s.right)-x, p.Dot(s.up)-y
			bx, by := q.Dot(s.right)-p.Dot(s.right), q.Dot(s.up)-p.Dot(s.up)
			t := 0.0 // of the way from p to q, where it comes nearest
			if long := bx*bx + by*by; long > 0 {
				t = min(1, max(0, -(ax*bx+ay*by)/long))
			}
			dx, dy := ax+t*bx, ay+t*by
			if dx*dx+dy*dy < reach*reach && p.Dot(s.out)+t*q.Sub(p).Dot(s.out) > before {
				return true
			}
		}
	}
	return false
}

// polyline joins points by lines, leaving out those that lie on the way.
func polyline(l draw.Layer, points []draw.Pos) []draw.Entity {
	const off = 0.02 // mm of paper
	var list []draw.Entity
	for from := 0; from < len(points)-1; {
		to := from + 1
		for to+1 < len(points) && straightBetween(points[from:to+2], off) {
			to++
		}
		list = append(list, draw.Line{Layer: l, From: points[from], To: points[to]})
		from = to
	}
	return list
}

// straightBetween tells whether all points lie within off of the line from the first to
// the last.
func straightBetween(points []draw.Pos, off float64) bool {
	a, b := points[0], points[len(points)-1]
	dx, dy := b[0]-a[0], b[1]-a[1]
	long := math.Hypot(dx, dy)
	if long == 0 {
		return true
	}
	for _, p := range points[1 : len(points)-1] {
		if math.Abs((p[0]-a[0])*dy-(p[1]-a[1])*dx)/long > off {
			return false
		}
	}
	return true
}

// hull is the convex outline of places as they are seen.
func (s sight) hull(l draw.Layer, places []geom.Vec) []draw.Entity {
	var all []draw.Pos
	for _, p := range places {
		all = append(all, s.on(p))
	}
	sorted.By(all, func(a, b draw.Pos) int {
		switch {
		case a[0] < b[0] || a[0] == b[0] && a[1] < b[1]:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	half := func(from, step int) (list []draw.Pos) {
		for i := range all {
			p := all[from+step*i]
			for len(list) > 1 && turn(list[len(list)-2], list[len(list)-1], p) <= 0 {
				list = list[:len(list)-1]
			}
			list = append(list, p)
		}
		return list
	}
	if len(all) < 3 {
		return nil
	}
	below, above := half(0, 1), half(len(all)-1, -1)
	var corners []geom.Vertex
	for _, p := range append(below[:len(below)-1], above[:len(above)-1]...) {
		corners = append(corners, geom.Vertex{X: p[0], Y: p[1]})
	}
	if len(corners) < 2 {
		return nil
	}
	return []draw.Entity{draw.Loop{Layer: l, Vertices: corners}}
}

// turn is more than 0 where a, b, c go round to the left.
func turn(a, b, c draw.Pos) float64 {
	return float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
}
