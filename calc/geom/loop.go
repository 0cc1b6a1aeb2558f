package geom

import (
	"fmt"
	"math"
	"slices"
)

// Vertex is a corner of a closed path in mm and the bulge of the side that
// leaves it, as drawing files have it: 0 for a line, tan(sweep/4) for an arc,
// counter-clockwise positive; 1 is a half circle.
type Vertex struct{ X, Y, Bulge float64 }

const (
	mostVertices = 10_000
	// mostBulge stands for 359.8°. A side of a full circle would begin where it
	// ends and have no centre; close to it, the last digit of a vertex moves the
	// whole circle.
	mostBulge = 1000
	// merged: two vertices in a row nearer than that, in mm, are one. Files have
	// six decimals, and many repeat the first vertex at the end.
	merged = 1e-6
	// flattest is the radius in mm beyond which an arc is a line: over 100 mm they
	// are a micrometre's thousandth apart, and its centre has no digits to spare.
	flattest = 1e9
)

// FromLoop returns the outline along a closed path of lines and arcs, 2 to
// 10,000 vertices in mm, the first not needed again at the end. A clockwise path
// is turned round. Vertices in a row within 1e-6 mm are taken as one.
//
// It is an error when a value is not finite or beyond 1e6 mm, when a bulge is
// beyond ±1000, all but a full circle, when the path encloses no area, or when
// it crosses or touches itself.
func FromLoop(loop []Vertex) (Outline, error) {
	if n := len(loop); n < 2 || n > mostVertices {
		return Outline{}, fmt.Errorf("outline: %d vertices, want 2 to %d", n, mostVertices)
	}
	for i, v := range loop {
		if !(math.Abs(v.X) <= widest && math.Abs(v.Y) <= widest) {
			return Outline{}, fmt.Errorf("outline: vertex %d is at %v, %v, want −%g to %g mm", i+1, v.X, v.Y, widest, widest)
		}
		if !(math.Abs(v.Bulge) <= mostBulge) {
			return Outline{}, fmt.Errorf("outline: bulge %v after vertex %d, want −%d to %d; a full circle is two arcs of bulge 1", v.Bulge, i+1, mostBulge, mostBulge)
		}
	}
	o := Outline{sides(loop)}
	if len(o.segments) < 2 {
		return Outline{}, fmt.Errorf("outline: the %d vertices are one place", len(loop))
	}
	low, high := o.Bounds()
	if far := max(-low[0], -low[1], high[0], high[1]); !(far <= widest) {
		return Outline{}, fmt.Errorf("outline: an arc reaches to %.6g mm, want at most %g", far, widest)
	}
	area := o.Area()
	if !(math.Abs(area) > coincident*max(high[0]-low[0], high[1]-low[1])/2) {
		return Outline{}, fmt.Errorf("outline: the path encloses no area")
	}
	if i, j, crosses := crossingSides(o.segments); crosses {
		return Outline{}, fmt.Errorf("outline: the path crosses or touches itself, the side from %.6g, %.6g and the side from %.6g, %.6g",
			o.segments[i].From[0], o.segments[i].From[1], o.segments[j].From[0], o.segments[j].From[1])
	}
	if area < 0 {
		slices.Reverse(o.segments)
		for i := range o.segments {
			o.segments[i] = o.segments[i].Reversed()
		}
	}
	return o, nil
}

// sides returns the lines and arcs between the vertices.
func sides(loop []Vertex) []Segment {
	var kept []Vertex
	for _, v := range loop {
		if n := len(kept); n > 0 && math.Hypot(v.X-kept[n-1].X, v.Y-kept[n-1].Y) <= merged {
			kept[n-1].Bulge = v.Bulge // the side between the two is nothing
			continue
		}
		kept = append(kept, v)
	}
	for n := len(kept); n > 1 && math.Hypot(kept[0].X-kept[n-1].X, kept[0].Y-kept[n-1].Y) <= merged; n = len(kept) {
		kept = kept[:n-1]
	}
	segs := make([]Segment, len(kept))
	for i, v := range kept {
		w := kept[(i+1)%len(kept)]
		segs[i] = Bulged([2]float64{v.X, v.Y}, [2]float64{w.X, w.Y}, v.Bulge)
	}
	return segs
}

// Bulged returns the line or arc from p to q, in mm, with the bulge b = tan(sweep/4),
// counter-clockwise positive. With c the chord, by the half-angle formulas,
//
//	r = c (1 + b²)/(4|b|),  centre = (p + q)/2 + (1 − b²)/(4b) · (c turned left)
//
// An arc whose radius is not a number up to 1e9 mm is a line.
func Bulged(p, q [2]float64, b float64) Segment {
	c := [2]float64{q[0] - p[0], q[1] - p[1]}
	chord := math.Hypot(c[0], c[1])
	if !(chord*(1+b*b) < 4*math.Abs(b)*flattest) {
		return Segment{Kind: Line, From: p, To: q}
	}
	k := (1 - b*b) / (4 * b)
	s := Segment{Kind: Arc, From: p, To: q, Radius: chord * (1 + b*b) / (4 * math.Abs(b)), Sweep: 4 * math.Atan(b),
		Centre: [2]float64{(p[0]+q[0])/2 - k*c[1], (p[1]+q[1])/2 + k*c[0]}}
	s.Start = math.Atan2(p[1]-s.Centre[1], p[0]-s.Centre[0])
	return s
}

// Reversed returns the segment from To to From.
func (s Segment) Reversed() Segment {
	s.From, s.To = s.To, s.From
	s.Control[0], s.Control[1] = s.Control[1], s.Control[0]
	s.Start, s.Sweep = s.Start+s.Sweep, -s.Sweep
	return s
}

// Loop returns the outline as a closed path of lines and arcs. Lines and arcs
// come back as they are, an arc beyond 270° in two; cubics as pairs of arcs that
// touch and keep the tangents, no point of which is further than chordError mm
// from the curve, nor any of the curve from them. A chordError below 1e-4 mm, or
// not a number, is taken as 1e-4 mm.
func (o Outline) Loop(chordError float64) []Vertex {
	if !(chordError >= finest) {
		chordError = finest
	}
	var loop []Vertex
	for i := 0; i < len(o.segments); {
		switch s := o.segments[i]; s.Kind {
		case Cubic:
			n := i + 1
			for n < len(o.segments) && o.segments[n].Kind == Cubic && smooth(o.segments[n-1], o.segments[n]) {
				n++
			}
			loop = append(loop, biarcs(o.segments[i:n], chordError)...)
			i = n
			continue
		case Arc:
			parts := 1
			if math.Abs(s.Sweep) > 1.5*math.Pi {
				parts = 2
			}
			bulge := math.Tan(s.Sweep / 4 / float64(parts))
			loop = append(loop, Vertex{s.From[0], s.From[1], bulge})
			if parts == 2 {
				p, _ := s.At(0.5)
				loop = append(loop, Vertex{p[0], p[1], bulge})
			}
		default:
			loop = append(loop, Vertex{s.From[0], s.From[1], 0})
		}
		i++
	}
	return loop
}
