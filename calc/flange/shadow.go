package flange

import (
	"fmt"
	"math"

	"tubewright/calc/geom"
)

// Shade is how an opening, of a flange or a gasket, lies on a port. A negative
// depth does not occur: where the opening stays clear all round, Depth is 0.
type Shade struct {
	// Depth is how far the edge of the opening stands into the port at most, in mm,
	// and DepthAt the place on that edge. Of an opening beside the port, no edge of
	// which stands in it, Depth is how far the port's own edge lies from it.
	Depth   float64
	DepthAt [2]float64
	Area    float64 // of the port that the opening covers, mm²
	// Clear is how far the opening keeps outside the port all round, at least, and
	// Beyond at most; 0 where it never is outside.
	Clear, Beyond     float64
	ClearAt, BeyondAt [2]float64
}

const (
	// shadeError bounds the error of the lengths in mm: no place of the outlines is
	// further than that from one that was asked, or is known to be no worse.
	shadeError = 0.02
	// shadeArc is how far arcs stand from cubics for the area, in mm.
	shadeArc = 1e-4
	// same is how near two edges are taken as one, in mm.
	same = 1e-6
)

// Shadow returns how the outline of an opening lies on that of a port. Lengths are
// within 0.02 mm and nearly always far better; the area is closed form for lines
// and arcs, and within 1e-4 mm times both perimeters where there are cubics. It is
// an error when an outline is empty.
func Shadow(opening, port geom.Outline) (Shade, error) {
	if !(opening.Area() > 0 && port.Area() > 0) {
		return Shade{}, fmt.Errorf("shadow: an outline of no area")
	}
	covered, err := covers(opening, port)
	if err != nil {
		return Shade{}, err
	}
	var s Shade
	s.Area = covered
	deepest, farthest := depths(opening, port)
	switch {
	case deepest.v > 0:
		s.Depth, s.DepthAt = deepest.v, deepest.p
	case opening.Contains(port.Segments()[0].From):
		s.Clear, s.ClearAt = -deepest.v, deepest.p
	default:
		_, beside := depths(port, opening)
		s.Depth, s.DepthAt = -beside.v, beside.p
	}
	if farthest.v < 0 {
		s.Beyond, s.BeyondAt = -farthest.v, farthest.p
	}
	return s, nil
}

// asked is a place on the edge of one outline and how deep it lies in the other,
// negative outside.
type asked struct {
	s geom.Segment
	t float64
	p [2]float64
	v float64
}

// span is a stretch of an edge about a place that was asked, by its segment's
// parameter, and how far it reaches to either side in mm, at most.
type span struct {
	asked
	width, reach float64
}

// depths returns the deepest and the least deep place on the edge of o, as seen
// from the other outline. Depth changes by no more than one goes along, so a
// stretch that reaches h to both sides of a depth v holds none beyond v ± h: what
// cannot beat the best by shadeError is dropped, the rest halved.
func depths(o, of geom.Outline) (deepest, farthest asked) {
	deepest.v, farthest.v = math.Inf(-1), math.Inf(1)
	// The side is the same as that of a place nearer than the edge.
	ask := func(s geom.Segment, t float64, beside asked) asked {
		p, _ := s.At(t)
		v, _ := of.Nearest(p)
		if distance(p, beside.p) < math.Abs(beside.v) {
			v = math.Copysign(v, beside.v)
		} else if !of.Contains(p) {
			v = -v
		}
		a := asked{s, t, p, v}
		if v > deepest.v {
			deepest = a
		}
		if v < farthest.v {
			farthest = a
		}
		return a
	}
	var todo []span
	for _, s := range o.Segments() {
		l := longest(s)
		n := math.Ceil(max(1, l))
		ask(s, 0, asked{}) // corners often are the deepest
		for k := range int(n) {
			todo = append(todo, span{ask(s, (float64(k)+0.5)/n, asked{}), 1 / n, l / (2 * n)})
		}
	}
	for len(todo) > 0 {
		w := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if w.v+w.reach <= deepest.v+shadeError && w.v-w.reach >= farthest.v-shadeError {
			continue
		}
		for _, t := range [2]float64{w.t - w.width/4, w.t + w.width/4} {
			todo = append(todo, span{ask(w.s, t, w.asked), w.width / 2, w.reach / 2})
		}
	}
	closer := func(best asked, sign float64) {
		a, b := max(0, best.t-0.01), min(1, best.t+0.01)
		for range 40 {
			x, y := b-section*(b-a), a+section*(b-a)
			v, w := ask(best.s, x, best), ask(best.s, y, best)
			if sign*v.v > sign*w.v {
				b = y
			} else {
				a = x
			}
		}
	}
	closer(deepest, 1)
	closer(farthest, -1)
	return deepest, farthest
}

const section = 0.6180339887498949 // golden section, (√5 − 1)/2

// longest is a bound on the speed along a segment by its parameter, and so on its
// length: of a cubic three times the longest leg between its control points.
func longest(s geom.Segment) float64 {
	switch s.Kind {
	case geom.Arc:
		return s.Radius * math.Abs(s.Sweep)
	case geom.Cubic:
		return 3 * max(distance(s.From, s.Control[0]), distance(s.Control[0], s.Control[1]), distance(s.Control[1], s.To))
	}
	return distance(s.From, s.To)
}

// covers returns the area of the port less that of what both have in common,
// which is bounded by the stretches of either edge inside the other.
func covers(opening, port geom.Outline) (float64, error) {
	var o [2]geom.Outline
	var edges []geom.Segment
	var first int // of the second outline's edges
	for i, whole := range [2]geom.Outline{port, opening} {
		var err error
		if o[i], err = geom.FromLoop(whole.Loop(shadeArc)); err != nil {
			return 0, fmt.Errorf("shadow: %w", err)
		}
		if i == 1 {
			first = len(edges)
		}
		edges = append(edges, o[i].Segments()...)
	}
	common := 0.0
	origin := edges[0].From // keeps the digits of what lies far out
	for _, c := range split(edges) {
		mine := 0
		if c.of >= first {
			mine = 1
		}
		p, _ := c.At(0.5)
		inside := false
		if d, _ := o[1-mine].Nearest(p); d > same {
			inside = o[1-mine].Contains(p)
		} else if mine == 0 {
			// On both edges, counted once, and only where both lie on the same side.
			n := right(c.Segment, 0.5)
			inside = o[1].Contains(outFrom(p, n, -100*same))
		}
		if inside {
			common += swept(c.Segment, origin)
		}
	}
	return max(0, o[0].Area()-common), nil
}

// swept is what the line from the origin to a place on the segment sweeps over.
func swept(s geom.Segment, origin [2]float64) float64 {
	a, b := [2]float64{s.From[0] - origin[0], s.From[1] - origin[1]}, [2]float64{s.To[0] - origin[0], s.To[1] - origin[1]}
	area := cross(a, b) / 2
	if s.Kind == geom.Arc {
		area += s.Radius * s.Radius * (s.Sweep - math.Sin(s.Sweep)) / 2
	}
	return area
}
