package geom

import (
	"cmp"
	"math"

	"tubewright/calc/sorted"
)

// touching is how near two segments come, in mm, when they count as meeting.
const touching = 1e-9

// Meet returns the places where two lines or arcs meet, in mm, and whether they
// run along each other for a stretch, in which case the places are the ends that
// they share. Within 1e-9 mm is met. Cubics are not asked: Loop turns them into
// arcs.
func (s Segment) Meet(t Segment) (at [][2]float64, along bool) {
	switch {
	case s.Kind == Line && t.Kind == Line:
		return meetLines(s, t)
	case s.Kind == Line:
		return meetArc(s, t), false
	case t.Kind == Line:
		return meetArc(t, s), false
	}
	return meetArcs(s, t)
}

func meetLines(s, t Segment) (at [][2]float64, along bool) {
	u, v := [2]float64{s.To[0] - s.From[0], s.To[1] - s.From[1]}, [2]float64{t.To[0] - t.From[0], t.To[1] - t.From[1]}
	w := [2]float64{t.From[0] - s.From[0], t.From[1] - s.From[1]}
	lu, lv, den := math.Hypot(u[0], u[1]), math.Hypot(v[0], v[1]), cross(u, v)
	if math.Abs(den) > 1e-14*lu*lv {
		a, b := cross(w, v)/den, cross(w, u)/den
		if a >= -touching/lu && a <= 1+touching/lu && b >= -touching/lv && b <= 1+touching/lv {
			at = append(at, [2]float64{s.From[0] + a*u[0], s.From[1] + a*u[1]})
		}
		return at, false
	}
	if math.Abs(cross(u, w)) > touching*lu {
		return nil, false
	}
	// On one line: how far along s do the ends of t lie?
	a := dot(u, w) / lu
	b := a + dot(u, v)/lu
	shared := min(lu, max(a, b)) - max(0, min(a, b))
	if shared < -touching {
		return nil, false
	}
	for _, p := range [4][2]float64{s.From, s.To, t.From, t.To} {
		ds, _ := s.Nearest(p)
		dt, _ := t.Nearest(p)
		if max(ds, dt) <= touching {
			at = append(at, p)
		}
	}
	return at, shared > touching
}

// meetArc returns where a line and an arc meet: the foot of the centre on the
// line, and half a chord to both sides.
func meetArc(line, arc Segment) (at [][2]float64) {
	d := [2]float64{line.To[0] - line.From[0], line.To[1] - line.From[1]}
	length := math.Hypot(d[0], d[1])
	d[0], d[1] = d[0]/length, d[1]/length
	w := [2]float64{arc.Centre[0] - line.From[0], arc.Centre[1] - line.From[1]}
	off, foot := math.Abs(cross(d, w)), dot(d, w)
	if off > arc.Radius+touching {
		return nil
	}
	half := math.Sqrt(max(0, arc.Radius-off) * (arc.Radius + off))
	for _, a := range [2]float64{foot - half, foot + half} {
		p := [2]float64{line.From[0] + a*d[0], line.From[1] + a*d[1]}
		if a >= -touching && a <= length+touching && arc.holds(p) {
			at = append(at, p)
		}
		if half == 0 {
			break
		}
	}
	return at
}

// holds reports whether a point of an arc's circle is on the arc.
func (s Segment) holds(p [2]float64) bool {
	return s.spans(math.Atan2(p[1]-s.Centre[1], p[0]-s.Centre[0]), touching/s.Radius)
}

func meetArcs(s, t Segment) (at [][2]float64, along bool) {
	d := [2]float64{t.Centre[0] - s.Centre[0], t.Centre[1] - s.Centre[1]}
	gap := math.Hypot(d[0], d[1])
	if gap <= touching && math.Abs(s.Radius-t.Radius) <= touching {
		for _, p := range [4][2]float64{s.From, s.To, t.From, t.To} {
			if s.holds(p) && t.holds(p) {
				at = append(at, p)
			}
		}
		// The middle of a shared stretch lies between two ends that are neighbours.
		return at, s.sharesSweep(t)
	}
	if gap > s.Radius+t.Radius+touching || gap < math.Abs(s.Radius-t.Radius)-touching || gap == 0 {
		return nil, false
	}
	foot := (gap + (s.Radius-t.Radius)*(s.Radius+t.Radius)/gap) / 2
	half := math.Sqrt(max(0, s.Radius-foot) * max(0, s.Radius+foot))
	d[0], d[1] = d[0]/gap, d[1]/gap
	for _, h := range [2]float64{half, -half} {
		p := [2]float64{s.Centre[0] + foot*d[0] - h*d[1], s.Centre[1] + foot*d[1] + h*d[0]}
		if s.holds(p) && t.holds(p) {
			at = append(at, p)
		}
		if half == 0 {
			break
		}
	}
	return at, false
}

// sharesSweep reports whether two arcs of one circle have more than ends in
// common.
func (s Segment) sharesSweep(t Segment) bool {
	slack := 2 * touching / s.Radius
	inner := func(a, b Segment) bool {
		if math.Abs(b.Sweep) <= 2*slack {
			return false
		}
		b.Start += math.Copysign(slack, b.Sweep)
		b.Sweep -= 2 * math.Copysign(slack, b.Sweep)
		return b.spans(a.Start, 0) || b.spans(a.Start+a.Sweep, 0) || b.spans(a.Start+a.Sweep/2, 0)
	}
	return inner(s, t) || inner(t, s)
}

// crossingSides reports whether a closed path of lines and arcs meets itself
// anywhere but where one side ends and the next begins, and which two sides do.
func crossingSides(segs []Segment) (i, j int, crosses bool) {
	n := len(segs)
	type box struct {
		low, high [2]float64
		of        int
	}
	boxes := make([]box, n)
	for i, s := range segs {
		low, high := s.Bounds()
		boxes[i] = box{low, high, i}
	}
	sorted.By(boxes, func(a, b box) int {
		return cmp.Or(cmp.Compare(a.low[0], b.low[0]), cmp.Compare(a.of, b.of))
	})
	for k, a := range boxes {
		for _, b := range boxes[k+1:] {
			if b.low[0] > a.high[0]+touching {
				break
			}
			if b.low[1] > a.high[1]+touching || a.low[1] > b.high[1]+touching {
				continue
			}
			i, j := min(a.of, b.of), max(a.of, b.of)
			at, along := segs[i].Meet(segs[j])
			if along {
				return i, j, true
			}
			for _, p := range at {
				shared := i+1 == j && oneSpot(p, segs[i].To) || (j+1)%n == i && oneSpot(p, segs[j].To)
				if !shared {
					return i, j, true
				}
			}
		}
	}
	return 0, 0, false
}

// oneSpot allows for what rounding does to where nearly equal circles meet.
func oneSpot(p, q [2]float64) bool { return math.Hypot(p[0]-q[0], p[1]-q[1]) <= merged }
