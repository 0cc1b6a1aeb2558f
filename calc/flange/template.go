package flange

import (
	"fmt"
	"math"

	"tubewright/calc/geom"
)

// Template is a transition laid flat, to be cut out of sheet and rolled up again.
// Port and Bore are the two edges in mm, place by place: Port[i] and Bore[i] are
// the ends of one straight line of the wall, the first and the last of them are
// the seam. Where one of the two stays while the other goes on, the wall is a flat
// triangle or part of a cone. The outside faces up; Port[0] is the origin and the
// seam goes up along +y.
type Template struct {
	Port, Bore [][2]float64
	Seam       Ruling // where the seam is on the transition
	// Exact is true where the wall's lines join places that one plane touches, so that
	// it can be laid flat. Otherwise they join what is equally far round, and the sheet
	// would have to shrink.
	Exact bool
	// Error is in mm how much longer the flat is than the wall across its lines,
	// summed once round, at a quarter, the half or three quarters of the height,
	// whichever is most. It puckers by that.
	Error float64
}

// DevelopableEnough is the greatest Error, in mm, at which a template is worth
// cutting: the difference vanishes in one usual gap of a welded joint. Our own
// choice, no source.
const DevelopableEnough = 0.5

// apartAngle is how far two lines of a template are apart on arcs, in rad. Edges
// are chords, shorter than the arcs by φ²/24 of their length: 2 µm on 140 mm.
const apartAngle = math.Pi / 180

// NewTemplate lays the transition flat, cut open along its shortest line; of
// several the first round the port, on straight sides the one square to the side.
//
// Where the port is nowhere hollow and the bore lies wholly out of the face, every
// line goes to the place of the bore at which one plane touches both: with a tube
// square to the face, where the bore has the port's direction. Straight sides become
// triangles, corners parts of cones, as round to square is laid out by hand
// ("triangulation"), and the sheet lies flat. That wall is not the one of Loft,
// whose lines are equally far round; the two have the ends in common. Otherwise the
// wall is that of the loft, and Error says what is lost.
func NewTemplate(l Loft) (Template, error) {
	t := Template{Exact: true}
	lines := l.unbent()
	if lines == nil {
		t.Exact = false
		lines = l.Lines(360)
	}
	seam := 0
	for i, r := range lines {
		if r.length() < lines[seam].length()-1e-9 {
			seam = i
		}
	}
	lines = append(append(append([]Ruling(nil), lines[seam:]...), lines[:seam]...), lines[seam])
	t.Seam = lines[0]
	t.Port = [][2]float64{{}}
	t.Bore = [][2]float64{{0, lines[0].length()}}
	for i := 1; i < len(lines); i++ {
		a, b, c, d := lines[i-1].From, lines[i-1].To, lines[i].To, lines[i].From
		p, q := t.Port[i-1], t.Bore[i-1]
		// The quadrilateral is laid down as two triangles on its shorter diagonal,
		// each new place to the right of the line before it.
		if a.Sub(c).Norm() <= b.Sub(d).Norm() {
			r := apex(p, q, a.Sub(c).Norm(), b.Sub(c).Norm())
			t.Bore = append(t.Bore, r)
			t.Port = append(t.Port, apex(p, r, a.Sub(d).Norm(), c.Sub(d).Norm()))
		} else {
			r := apex(p, q, a.Sub(d).Norm(), b.Sub(d).Norm())
			t.Port = append(t.Port, r)
			t.Bore = append(t.Bore, apex(r, q, d.Sub(c).Norm(), b.Sub(c).Norm()))
		}
	}
	for _, k := range [3]float64{0.25, 0.5, 0.75} {
		flat, wall := 0.0, 0.0
		for i := 1; i < len(lines); i++ {
			p, q := partway(t.Port[i-1], t.Bore[i-1], k), partway(t.Port[i], t.Bore[i], k)
			flat += math.Hypot(q[0]-p[0], q[1]-p[1])
			wall += lines[i].at(k).Sub(lines[i-1].at(k)).Norm()
		}
		t.Error = max(t.Error, flat-wall)
	}
	for _, p := range [2][2]float64{t.Port[len(lines)-1], t.Bore[len(lines)-1]} {
		if !(math.Abs(p[0]) <= 1e6 && math.Abs(p[1]) <= 1e6) {
			return Template{}, fmt.Errorf("template: it would reach to %v mm", p)
		}
	}
	return t, nil
}

// Outline returns the edge of the template. It is an error when the flat covers
// itself, which a wide and nearly flat transition does.
func (t Template) Outline() (geom.Outline, error) {
	var loop []geom.Vertex
	for _, p := range t.Bore {
		loop = append(loop, geom.Vertex{X: p[0], Y: p[1]})
	}
	for i := len(t.Port) - 1; i >= 0; i-- {
		loop = append(loop, geom.Vertex{X: t.Port[i][0], Y: t.Port[i][1]})
	}
	o, err := geom.FromLoop(loop)
	if err != nil {
		return geom.Outline{}, fmt.Errorf("template: %w", err)
	}
	return o, nil
}

// unbent returns lines whose places on port and bore one plane touches, or nil when
// there are no such lines: at a hollow port, and where the bore dips into the face.
func (l Loft) unbent() []Ruling {
	if !(l.Length*l.aim.Z > l.radius*math.Hypot(l.aim.X, l.aim.Y)) {
		return nil
	}
	var lines []Ruling
	segs := l.port.Segments()
	last := segs[len(segs)-1]
	angle := l.touched(last.To, heading(last, 1))
	to := func(from [2]float64, end float64) bool {
		if end-angle < -1e-7 {
			return false // hollow
		}
		angle = max(end, angle)
		lines = append(lines, Ruling{geom.Vec{X: from[0], Y: from[1]}, l.onBore(math.Sincos(angle))})
		return true
	}
	for _, s := range segs {
		// At a corner the port's place stays and the bore goes on.
		first := angle + math.Remainder(l.touched(s.From, heading(s, 0))-angle, 2*math.Pi)
		for n := steps(first - angle); n > 0; n-- {
			if !to(s.From, angle+(first-angle)/float64(n)) {
				return nil
			}
		}
		if first < angle-1e-7 {
			return nil
		}
		if s.Kind == geom.Line {
			if !l.square(s, angle, to) || !to(s.To, angle) {
				return nil
			}
			continue
		}
		n := max(1, steps(turning(s)))
		for i := range n {
			at := float64(i+1) / float64(n)
			p, _ := s.At(at)
			if !to(p, angle+math.Remainder(l.touched(p, heading(s, at))-angle, 2*math.Pi)) {
				return nil
			}
		}
	}
	return lines
}

// touched returns the angle round the bore of the place touched by the plane that
// touches the port at p, where it goes in the direction h. The plane has the normal
//
//	n = cos ψ · (h turned right) + sin ψ · z
//
// and with the bore on its inner side n·(C − p) + r·|n square to the aim| = 0, C the
// bore's middle: below 0 at ψ = −90°, above at 90°. Halving finds it to rounding.
func (l Loft) touched(p [2]float64, h float64) float64 {
	if l.aim.X == 0 && l.aim.Y == 0 {
		return h - math.Pi/2
	}
	sin, cos := math.Sincos(h)
	up := l.aim.Cross(l.across)
	off := l.aim.Scale(l.Length).Sub(geom.Vec{X: p[0], Y: p[1]})
	low, high := -math.Pi/2, math.Pi/2
	var x, y float64 // of n along the bore's axes
	for range 50 {
		z, flat := math.Sincos((low + high) / 2)
		n := geom.Vec{X: flat * sin, Y: -flat * cos, Z: z}
		x, y = n.Dot(l.across), n.Dot(up)
		if n.Dot(off)+l.radius*math.Hypot(x, y) < 0 {
			low = (low + high) / 2
		} else {
			high = (low + high) / 2
		}
	}
	return math.Atan2(y, x)
}

// square adds the line that is square to a straight side, where there is one.
func (l Loft) square(s geom.Segment, angle float64, to func([2]float64, float64) bool) bool {
	d := [2]float64{s.To[0] - s.From[0], s.To[1] - s.From[1]}
	b := l.onBore(math.Sincos(angle))
	k := (float64((b.X-s.From[0])*d[0]) + float64((b.Y-s.From[1])*d[1])) / (float64(d[0]*d[0]) + float64(d[1]*d[1]))
	if !(k > 0 && k < 1) {
		return true
	}
	return to([2]float64{s.From[0] + k*d[0], s.From[1] + k*d[1]}, angle)
}

// heading returns the direction in which a segment goes, in rad.
func heading(s geom.Segment, at float64) float64 {
	_, d := s.At(at)
	if d[0] == 0 && d[1] == 0 { // a cubic may stand still at its end
		_, d = s.At(math.Abs(at - 1e-6))
	}
	return math.Atan2(d[1], d[0])
}

// turning returns by how much a segment turns, in rad: of a cubic the sum between
// 16 of its places.
func turning(s geom.Segment) float64 {
	if s.Kind == geom.Arc {
		return s.Sweep
	}
	sum, last := 0.0, heading(s, 0)
	for i := range 16 {
		next := heading(s, float64(i+1)/16)
		sum += math.Abs(math.Remainder(next-last, 2*math.Pi))
		last = next
	}
	return sum
}

// steps returns in how many steps of at most apartAngle a turn is made.
func steps(turn float64) int { return int(math.Ceil(math.Abs(turn)/apartAngle - 1e-9)) }

func (r Ruling) length() float64 { return r.To.Sub(r.From).Norm() }

func (r Ruling) at(k float64) geom.Vec { return r.From.Scale(1 - k).Add(r.To.Scale(k)) }

func partway(p, q [2]float64, k float64) [2]float64 {
	return [2]float64{p[0] + k*(q[0]-p[0]), p[1] + k*(q[1]-p[1])}
}

// apex returns the corner of a triangle, from its side p-q and the lengths from
// p and from q, to the right of p-q.
func apex(p, q [2]float64, fromP, fromQ float64) [2]float64 {
	d := [2]float64{q[0] - p[0], q[1] - p[1]}
	c := math.Hypot(d[0], d[1])
	switch { // by the formula a root of rounding would be left
	case c == 0 || fromP == 0:
		return p
	case fromQ == 0:
		return q
	}
	along := (c*c + (fromP-fromQ)*(fromP+fromQ)) / (2 * c)
	off := math.Sqrt(max(0, (fromP-along)*(fromP+along)))
	return [2]float64{
		p[0] + (along*d[0]+off*d[1])/c,
		p[1] + (along*d[1]-off*d[0])/c,
	}
}
