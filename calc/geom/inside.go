package geom

import "math"

// Contains reports whether the outline goes round p. On the outline itself
// rounding decides.
func (o Outline) Contains(p [2]float64) bool {
	winding := 0
	for i := range o.segments {
		// Where pieces join, both must have the same y to the last digit.
		s, before := &o.segments[i], &o.segments[(i+len(o.segments)-1)%len(o.segments)]
		if s.Kind == Cubic && s.passedBy(p, before.To) {
			continue
		}
		winding += s.winds(before.To, p)
	}
	return winding != 0
}

// passedBy reports whether a cubic's control points all lie above, below or left
// of p, so that it cannot be met on the right; from is where it really begins.
func (s Segment) passedBy(p, from [2]float64) bool {
	a, b, c, e := from, s.Control[0], s.Control[1], s.To
	return p[1] > max(a[1], b[1], c[1], e[1]) || p[1] < min(a[1], b[1], c[1], e[1]) || p[0] > max(a[0], b[0], c[0], e[0])
}

// Bounds returns the lower left and the upper right corner of the upright box
// around the outline, in mm; of an empty outline both are the origin.
func (o Outline) Bounds() (low, high [2]float64) {
	for i, s := range o.segments {
		l, h := s.Bounds()
		if i == 0 {
			low, high = l, h
		}
		for k := range 2 {
			low[k], high[k] = min(low[k], l[k]), max(high[k], h[k])
		}
	}
	return low, high
}

// Bounds returns the lower left and the upper right corner of the upright box
// around the segment, in mm.
func (s Segment) Bounds() (low, high [2]float64) {
	for k := range 2 {
		low[k], high[k] = min(s.From[k], s.To[k]), max(s.From[k], s.To[k])
		for _, t := range s.turns(k) {
			p, _ := s.At(t)
			low[k], high[k] = min(low[k], p[k]), max(high[k], p[k])
		}
	}
	return low, high
}

// turns returns where, between 0 and 1 in order, the coordinate k is greatest or
// least.
func (s Segment) turns(k int) []float64 {
	var ts []float64
	switch s.Kind {
	case Arc:
		// Directions in which the coordinate is extreme: for x 0 and π, for y ±π/2.
		first, last := s.Start, s.Start+s.Sweep
		if first > last {
			first, last = last, first
		}
		off := float64(k) * math.Pi / 2
		for i := math.Ceil((first - off) / math.Pi); i*math.Pi+off <= last; i++ {
			if t := (i*math.Pi + off - s.Start) / s.Sweep; t > 0 && t < 1 {
				ts = append(ts, t)
			}
		}
	case Cubic:
		a, b, c := s.Control[0][k]-s.From[k], s.Control[1][k]-s.Control[0][k], s.To[k]-s.Control[1][k]
		ts = roots([]float64{a, b, c}, 0, 1, 0, nil)
	}
	if len(ts) == 2 && ts[0] > ts[1] {
		ts[0], ts[1] = ts[1], ts[0]
	}
	return ts
}

// rise is a piece of a segment on which y only rises or only falls.
type rise struct {
	of         *Segment
	a, b       float64 // of the segment's parameter
	start, end [2]float64
}

// winds adds up how often the segment, which really begins at from, passes p on the
// right going up.
func (s *Segment) winds(from, p [2]float64) int {
	n := 0
	at := rise{of: s, start: from}
	for _, t := range s.turns(1) {
		at.b = t
		at.end, _ = s.At(t)
		n += at.passes(p)
		at.a, at.start = t, at.end
	}
	at.b, at.end = 1, s.To
	return n + at.passes(p)
}

// passes returns 1 when the piece passes p on the right going up, −1 going down,
// and 0 otherwise. Of its ends only the lower one counts, so that at a corner one
// of two pieces does.
func (m rise) passes(p [2]float64) int {
	up := 1
	low, high := m.start, m.end
	if low[1] > high[1] {
		low, high, up = high, low, -1
	}
	if !(p[1] >= low[1] && p[1] < high[1]) || p[0] >= max(low[0], high[0]) && m.of.Kind == Line {
		return 0
	}
	a, b := m.a, m.b
	var x float64
	switch m.of.Kind {
	case Line:
		// The side of the line, unfused: a branch rests on it.
		if cross([2]float64{high[0] - low[0], high[1] - low[1]}, [2]float64{p[0] - low[0], p[1] - low[1]}) > 0 {
			return up
		}
		return 0
	case Arc:
		dy := p[1] - m.of.Centre[1]
		x = math.Sqrt(max(0, m.of.Radius*m.of.Radius-dy*dy))
		if mid, _ := m.of.At((a + b) / 2); mid[0] < m.of.Centre[0] {
			x = -x
		}
		x += m.of.Centre[0]
	default:
		rises := m.end[1] > m.start[1]
		for range 60 {
			mid := (a + b) / 2
			q, _ := m.of.At(mid)
			if q[1] > p[1] == rises {
				b = mid
			} else {
				a = mid
			}
		}
		q, _ := m.of.At((a + b) / 2)
		x = q[0]
	}
	if p[0] < x {
		return up
	}
	return 0
}
