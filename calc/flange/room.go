package flange

import (
	"math"

	"tubewright/calc/geom"
)

// Least is the least of many distances: what it is, in mm, between which two, by
// their ids, and where. Below 0 they run into each other by that.
type Least struct {
	Value   float64
	Between [2]string
	At      [2]float64
}

// least keeps the smallest of what it is shown; nil before the first.
type least struct{ of *Least }

// limit is what the next has to be below to count.
func (l *least) limit() float64 {
	if l.of == nil {
		return math.Inf(1)
	}
	return l.of.Value
}

func (l *least) see(value float64, a, b string, at [2]float64) {
	if l.of == nil || value < l.of.Value {
		l.of = &Least{value, [2]string{a, b}, at}
	}
}

// slot is a hole or slot, or a washer: everything within r of the line a-b.
type slot struct {
	a, b [2]float64
	r    float64
}

func (s slot) at(k float64) [2]float64 { return partway(s.a, s.b, k) }

// from returns how far the slot is from the outline, and the place of the outline
// that is nearest. Outside, or inside where inside is asked for, it is positive;
// where the slot lies across the outline it is by how much. What is known to be
// limit or more is only said to be that.
func (s slot) from(o geom.Outline, inside bool, limit float64) (distance float64, place [2]float64) {
	signed := func(k float64) (float64, [2]float64) {
		p := s.at(k)
		d, q := o.Nearest(p)
		if o.Contains(p) != inside {
			d = -d
		}
		return d, q
	}
	half := math.Hypot(s.b[0]-s.a[0], s.b[1]-s.a[1]) / 2
	d, q := signed(0.5)
	if half == 0 || d-half-s.r >= limit { // no place of it is nearer by more than half
		return d - s.r, q
	}
	if math.Abs(d) > half { // all of it on one side
		side := math.Copysign(1, d)
		signed = func(k float64) (float64, [2]float64) {
			d, q := o.Nearest(s.at(k))
			return side * d, q
		}
	}
	// Along the middle line the distance has its least at an end or, beside a round
	// outline, once between: nine places show where, and thirds of thirds find it.
	const n = 8
	best, at := math.Inf(1), 0
	for i := range n + 1 {
		if d, _ := signed(float64(i) / n); d < best {
			best, at = d, i
		}
	}
	low, high := float64(max(0, at-1))/n, float64(min(n, at+1))/n
	for range 30 {
		a, b := low+(high-low)/3, high-(high-low)/3
		da, _ := signed(a)
		db, _ := signed(b)
		if da < db {
			high = b
		} else {
			low = a
		}
	}
	d, q = signed((low + high) / 2) // 1e-6 of the slot's length from an end, if there
	return d - s.r, q
}

// to returns the distance between two slots that do not cross, and a place of the
// first one's middle line.
func (s slot) to(t slot) (distance float64, place [2]float64) {
	distance, place = math.Inf(1), s.a
	try := func(d float64, p [2]float64) {
		if d < distance {
			distance, place = d, p
		}
	}
	for _, p := range [2][2]float64{s.a, s.b} {
		d, _ := toLine(p, t.a, t.b)
		try(d, p)
	}
	for _, p := range [2][2]float64{t.a, t.b} {
		d, q := toLine(p, s.a, s.b)
		try(d, q)
	}
	return distance - s.r - t.r, place
}

// toLine returns the distance of p from the line a-b and the place on it.
func toLine(p, a, b [2]float64) (float64, [2]float64) {
	d := [2]float64{b[0] - a[0], b[1] - a[1]}
	k := 0.0
	if l := d[0]*d[0] + d[1]*d[1]; l > 0 {
		k = min(1, max(0, ((p[0]-a[0])*d[0]+(p[1]-a[1])*d[1])/l))
	}
	q := partway(a, b, k)
	return math.Hypot(p[0]-q[0], p[1]-q[1]), q
}

// outlinesApart returns the distance between two outlines and the place on the
// first; below 0 by how far one stands into the other. From the nearest of their
// corners, chords 0.05 mm, each is asked in turn for what is nearest. What is known
// to be limit or more is only said to be that.
func outlinesApart(o, p geom.Outline, limit float64) (distance float64, place [2]float64) {
	lowO, highO := o.Bounds()
	lowP, highP := p.Bounds()
	boxes := math.Hypot(max(0, lowP[0]-highO[0], lowO[0]-highP[0]), max(0, lowP[1]-highO[1], lowO[1]-highP[1]))
	if boxes >= limit {
		return boxes, lowO
	}
	distance = math.Inf(1)
	pairs := [2][2]geom.Outline{{o, p}, {p, o}}
	corners := [2][][2]float64{o.Polyline(0.05), p.Polyline(0.05)}
	within := false
	for i, pair := range pairs {
		for _, q := range corners[i] {
			if d, r := pair[1].Nearest(q); d < distance {
				distance, place = d, [2][2]float64{q, r}[i]
			}
		}
		within = within || pair[1].Contains(corners[i][0])
	}
	for range 200 {
		_, q := p.Nearest(place)
		d, r := o.Nearest(q)
		if !(d < distance-1e-12) {
			break
		}
		distance, place = d, r
	}
	if !within && distance > 1e-6 {
		return distance, place
	}
	for i, pair := range pairs {
		for _, q := range corners[i] {
			if d, _ := pair[1].Nearest(q); pair[1].Contains(q) && -d < distance {
				distance, place = -d, q
			}
		}
	}
	return distance, place
}
