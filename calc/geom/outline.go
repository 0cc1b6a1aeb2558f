package geom

import "math"

// Kind says what a segment of an outline is.
type Kind int

const (
	Line  Kind = iota // from From to To
	Arc               // from From to To about Centre
	Cubic             // Bézier curve from From to To with two control points
)

// Segment is one piece of an outline, in mm, in the plane of the port face.
type Segment struct {
	Kind     Kind
	From, To [2]float64
	// Of an arc: its centre, radius, the angle of From in rad from +x, and how far
	// it sweeps, counter-clockwise positive.
	Centre               [2]float64
	Radius, Start, Sweep float64
	Control              [2][2]float64 // of a cubic
}

// Outline is a closed, counter-clockwise list of lines, arcs and cubics that
// does not cross itself, x right and y up as seen facing the port. The
// constructors see to that; the zero value is empty and has no area.
type Outline struct{ segments []Segment }

// Len returns how many pieces there are.
func (o Outline) Len() int { return len(o.segments) }

// Segments returns the pieces in order, for drawing. The caller owns the slice.
func (o Outline) Segments() []Segment { return append([]Segment(nil), o.segments...) }

// Perimeter returns the length of the outline in mm. Lines and arcs are closed
// form; a cubic is integrated by Gauss-Legendre, 8 points on each of 4 panels,
// good to 1e-9 relative for the pieces that Oval and Points make.
func (o Outline) Perimeter() float64 {
	sum := 0.0
	for _, s := range o.segments {
		sum += s.Length()
	}
	return sum
}

// Area returns the enclosed area in mm², by Green's theorem:
//
//	A = ½ ∮ (x dy − y dx)
//
// Every segment is closed form, so rounding is the only error.
func (o Outline) Area() float64 {
	if len(o.segments) == 0 {
		return 0
	}
	// About a point of the outline, so that an outline far from the origin keeps
	// its digits.
	at := o.segments[0].From
	sum := 0.0
	for _, s := range o.segments {
		sum += s.shifted(-at[0], -at[1]).green()
	}
	return sum
}

// Centroid returns the centre of the enclosed area in mm:
//
//	x̄ = ½ ∮ x² dy / A     ȳ = −½ ∮ y² dx / A
//
// integrated over each segment by Gauss-Legendre, 8 points on 4 panels: exact
// for lines and cubics, 1e-12 relative for arcs. An empty outline gives 0, 0.
func (o Outline) Centroid() (x, y float64) {
	area := o.Area()
	if area == 0 {
		return 0, 0
	}
	at := o.segments[0].From
	for _, s := range o.segments {
		s = s.shifted(-at[0], -at[1])
		x += panels(func(t float64) float64 { p, d := s.At(t); return p[0] * p[0] * d[1] })
		y -= panels(func(t float64) float64 { p, d := s.At(t); return p[1] * p[1] * d[0] })
	}
	return at[0] + x/(2*area), at[1] + y/(2*area)
}

// finest is the smallest chord error that Polyline works to, in mm: a tenth of
// a micrometre, well below what anybody cuts.
const finest = 1e-4

// Polyline returns points on the outline, counter-clockwise, the first not
// repeated at the end, such that no chord is further than chordError mm from
// its piece of the outline. A chordError below 1e-4 mm, or not a number, is
// taken as 1e-4 mm.
func (o Outline) Polyline(chordError float64) [][2]float64 {
	if !(chordError >= finest) {
		chordError = finest
	}
	var pts [][2]float64
	for _, s := range o.segments {
		n := s.chords(chordError)
		for i := range n {
			p, _ := s.At(float64(i) / float64(n))
			pts = append(pts, p)
		}
	}
	return pts
}

// At returns the point in mm at t, 0 at From to 1 at To, and its derivative by t.
func (s Segment) At(t float64) (p, d [2]float64) {
	switch s.Kind {
	case Arc:
		sin, cos := math.Sincos(s.Start + s.Sweep*t)
		p = [2]float64{s.Centre[0] + s.Radius*cos, s.Centre[1] + s.Radius*sin}
		d = [2]float64{-s.Radius * s.Sweep * sin, s.Radius * s.Sweep * cos}
	case Cubic:
		u := 1 - t
		for i := range 2 {
			a, b, c, e := s.From[i], s.Control[0][i], s.Control[1][i], s.To[i]
			p[i] = u*u*u*a + 3*u*u*t*b + 3*u*t*t*c + t*t*t*e
			d[i] = 3 * (u*u*(b-a) + 2*u*t*(c-b) + t*t*(e-c))
		}
	default:
		for i := range 2 {
			d[i] = s.To[i] - s.From[i]
			p[i] = s.From[i] + t*d[i]
		}
	}
	return p, d
}

// Length returns the length of the segment in mm, as Outline.Perimeter has it.
func (s Segment) Length() float64 {
	switch s.Kind {
	case Arc:
		return s.Radius * math.Abs(s.Sweep)
	case Cubic:
		return panels(func(t float64) float64 { _, d := s.At(t); return math.Hypot(d[0], d[1]) })
	}
	return math.Hypot(s.To[0]-s.From[0], s.To[1]-s.From[1])
}

// green returns the segment's share of the area.
//
//	line   ½ (a × b)
//	arc    ½ (r²·φ + c × (b − a))
//	cubic  [6 a×b' + 3 a×c' + a×e + 3 b'×c' + 3 b'×e + 6 c'×e] / 20, b' and c' the control points
func (s Segment) green() float64 {
	a, e := s.From, s.To
	switch s.Kind {
	case Arc:
		chord := [2]float64{e[0] - a[0], e[1] - a[1]}
		return (s.Radius*s.Radius*s.Sweep + cross(s.Centre, chord)) / 2
	case Cubic:
		b, c := s.Control[0], s.Control[1]
		return (6*cross(a, b) + 3*cross(a, c) + cross(a, e) + 3*cross(b, c) + 3*cross(b, e) + 6*cross(c, e)) / 20
	}
	return cross(a, e) / 2
}

// chords returns into how many equal steps of t the segment is cut so that no
// chord leaves it by more than tol. An arc's chord leaves by the sagitta
// 2r·sin²(φ/4); a curve's by at most h²/8 of its second derivative, which for a
// cubic is greatest at an end.
func (s Segment) chords(tol float64) int {
	switch s.Kind {
	case Arc:
		step := math.Pi // never fewer than two chords in a full circle
		if tol < s.Radius {
			step = 4 * math.Asin(math.Sqrt(tol/(2*s.Radius)))
		}
		return max(1, int(math.Ceil(math.Abs(s.Sweep)/step)))
	case Cubic:
		bend := 0.0
		for _, q := range [2][3][2]float64{{s.From, s.Control[0], s.Control[1]}, {s.Control[0], s.Control[1], s.To}} {
			bend = max(bend, 6*math.Hypot(q[0][0]-2*q[1][0]+q[2][0], q[0][1]-2*q[1][1]+q[2][1]))
		}
		return max(1, int(math.Ceil(math.Sqrt(bend/(8*tol)))))
	}
	return 1
}

func (s Segment) shifted(dx, dy float64) Segment {
	for _, p := range s.places() {
		p[0] += dx
		p[1] += dy
	}
	return s
}

func cross(a, b [2]float64) float64 { return float64(a[0]*b[1]) - float64(a[1]*b[0]) }
