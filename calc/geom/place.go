package geom

import "math"

// Turned returns the outline turned about the origin by angle rad,
// counter-clockwise positive.
func (o Outline) Turned(angle float64) Outline {
	sin, cos := math.Sincos(angle)
	return o.each(func(s Segment) Segment {
		for _, p := range s.places() {
			p[0], p[1] = cos*p[0]-sin*p[1], sin*p[0]+cos*p[1]
		}
		s.Start += angle
		return s
	})
}

// Moved returns the outline shifted by dx, dy mm.
func (o Outline) Moved(dx, dy float64) Outline {
	return o.each(func(s Segment) Segment { return s.shifted(dx, dy) })
}

// Mirrored returns the outline with x and −x exchanged, as it looks from the
// other side of the flange, counter-clockwise again.
func (o Outline) Mirrored() Outline {
	m := o.each(func(s Segment) Segment {
		for _, p := range s.places() {
			p[0] = -p[0]
		}
		s.From, s.To = s.To, s.From
		s.Control[0], s.Control[1] = s.Control[1], s.Control[0]
		s.Start = math.Pi - (s.Start + s.Sweep)
		return s
	}).segments
	for i, j := 0, len(m)-1; i < j; i, j = i+1, j-1 {
		m[i], m[j] = m[j], m[i]
	}
	return Outline{m}
}

func (o Outline) each(f func(Segment) Segment) Outline {
	segs := make([]Segment, len(o.segments))
	for i, s := range o.segments {
		segs[i] = f(s)
	}
	return Outline{segs}
}

// places returns the points that a segment is given by.
func (s *Segment) places() [5]*[2]float64 {
	return [5]*[2]float64{&s.From, &s.To, &s.Centre, &s.Control[0], &s.Control[1]}
}
