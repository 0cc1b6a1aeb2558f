package dxf

import (
	"fmt"
	"math"

	"tubewright/calc/geom"
)

// entity is one entity as it stands in the file: its groups until the next one.
type entity struct {
	name   string
	line   int
	groups []group
	err    error // the first number that could not be read
}

// num returns the first value with this code, or def where there is none.
func (e *entity) num(code int, def float64) float64 {
	for _, g := range e.groups {
		if g.code == code {
			return e.read(g)
		}
	}
	return def
}

func (e *entity) read(g group) float64 {
	v, err := g.number()
	if err != nil && e.err == nil {
		e.err = err
	}
	return v
}

// flag returns the first value with this code as a whole number, 0 where there is
// none.
func (e *entity) flag(code int) int {
	for _, g := range e.groups {
		if g.code == code {
			n, err := g.whole()
			if err != nil && e.err == nil {
				e.err = err
			}
			return n
		}
	}
	return 0
}

// text returns the first value with this code as a name.
func (e *entity) text(code int) string {
	for _, g := range e.groups {
		if g.code == code {
			return g.name()
		}
	}
	return ""
}

// point returns the first point whose x has this code.
func (e *entity) point(code int) xy { return xy{e.num(code, 0), e.num(code+10, 0)} }

// points returns every point whose x has this code, with their heights.
func (e *entity) points(code int) (list []xy, heights []float64) {
	for _, g := range e.groups {
		switch n := len(list); {
		case g.code == code:
			list, heights = append(list, xy{e.read(g), 0}), append(heights, 0)
		case g.code == code+10 && n > 0:
			list[n-1][1] = e.read(g)
		case g.code == code+20 && n > 0:
			heights[n-1] = e.read(g)
		}
	}
	return list, heights
}

func (e *entity) values(code int) (list []float64) {
	for _, g := range e.groups {
		if g.code == code {
			list = append(list, e.read(g))
		}
	}
	return list
}

// shape is what became of an entity.
type shape struct {
	name, layer string
	line        int
	taken       bool    // of a kind that outlines are made of
	curves      []curve // one after the other
	closed      bool
	low, high   float64 // heights, z
	insert      *insert
	fitted      bool   // a spline through points, whose course between them is a guess
	paper       bool   // on the sheet, not in the model
	unseen      bool   // switched off by itself
	why         string // it cannot be used; "" when it can
}

// insert is a block put into the drawing, columns times rows of it.
type insert struct {
	block      string
	to         affine // without the steps of rows and columns
	z, deep    float64
	cols, rows int
	col, row   xy // steps
}

// drawn are the entities of which outlines are made, besides POLYLINE, which has
// its vertices in entities of their own.
var drawn = map[string]func(*entity, *shape){
	"LINE":       (*entity).asLine,
	"ARC":        (*entity).asArc,
	"CIRCLE":     (*entity).asCircle,
	"ELLIPSE":    (*entity).asEllipse,
	"SPLINE":     (*entity).asSpline,
	"LWPOLYLINE": (*entity).asPolyline,
	"INSERT":     (*entity).asInsert,
}

// head reads what all entities have.
func (e *entity) head() shape {
	s := shape{name: e.name, line: e.line, layer: e.text(8), paper: e.flag(67) == 1, unseen: e.flag(60) == 1}
	if s.layer == "" {
		s.layer = "0"
	}
	return s
}

// shape reads an entity of a single part.
func (e *entity) shape() (shape, error) {
	s := e.head()
	if as, ok := drawn[e.name]; ok {
		as(e, &s)
		s.taken = true
	}
	return s, e.err
}

// upright sees to the direction that the entity was drawn from. One from below has
// its x turned round: the arbitrary axis rule of the format makes −x of x where the
// direction is 0, 0, −1, which turns arcs round that look counter-clockwise.
func (e *entity) upright(s *shape) (m affine, ok bool) {
	nx, ny, nz := e.num(210, 0), e.num(220, 0), e.num(230, 1)
	if !(math.Hypot(nx, ny) <= 1e-6*math.Abs(nz)) {
		s.why = "it does not lie flat in the drawing"
		return identity, false
	}
	if nz < 0 {
		return affine{X: xy{-1, 0}, Y: xy{0, 1}}, true
	}
	return identity, true
}

// level keeps the height of what is flat and refuses what stands up.
func (s *shape) level(heights ...float64) {
	if len(heights) == 0 {
		return
	}
	s.low, s.high = heights[0], heights[0]
	for _, z := range heights {
		s.low, s.high = min(s.low, z), max(s.high, z)
	}
	if s.high-s.low > 1e-6*(1+math.Abs(s.low)+math.Abs(s.high)) {
		s.why = "it does not lie flat in the drawing"
	}
}

func (s *shape) put(m affine, list ...curve) {
	for _, c := range list {
		s.curves = append(s.curves, c.mapped(m))
	}
}

// asLine is in the coordinates of the drawing whatever direction it was drawn from;
// that is only the direction of its thickness.
func (e *entity) asLine(s *shape) {
	s.level(e.num(30, 0), e.num(31, 0))
	s.put(identity, line(e.point(10), e.point(11)))
}

func (e *entity) asArc(s *shape) {
	m, ok := e.upright(s)
	if !ok {
		return
	}
	s.level(e.num(30, 0))
	from, to := e.num(50, 0), e.num(51, 0)
	sweep := to - from - 360*math.Floor((to-from)/360)
	if sweep == 0 && from != to {
		sweep = 360
	}
	s.round(m, e.point(10), e.num(40, 0), from*math.Pi/180, sweep*math.Pi/180)
	s.closed = sweep == 360
}

func (e *entity) asCircle(s *shape) {
	m, ok := e.upright(s)
	if !ok {
		return
	}
	s.level(e.num(30, 0))
	s.closed = true
	s.round(m, e.point(10), e.num(40, 0), 0, 2*math.Pi)
}

func (s *shape) round(m affine, centre xy, r, start, sweep float64) {
	if !(r >= 0) {
		s.why = fmt.Sprintf("its radius is %v", r)
		return
	}
	s.put(m, ellipse(centre, xy{r, 0}, xy{0, r}, start, sweep))
}

// asEllipse is in the coordinates of the drawing too, but the direction turns the
// way it runs: the short axis is the direction × the long one.
func (e *entity) asEllipse(s *shape) {
	m, ok := e.upright(s)
	if !ok {
		return
	}
	s.level(e.num(30, 0))
	if e.num(31, 0) != 0 {
		s.why = "it does not lie flat in the drawing"
		return
	}
	u, ratio := e.point(11), e.num(40, 1)
	if !(ratio > 0 && ratio <= 1+1e-6) {
		s.why = fmt.Sprintf("the ratio of its axes is %v", ratio)
		return
	}
	v := times(xy{-u[1], u[0]}, ratio*m.X[0])
	from, to := e.num(41, 0), e.num(42, 2*math.Pi)
	sweep := to - from - 2*math.Pi*math.Floor((to-from)/(2*math.Pi))
	// Files have 2π with as many digits as they like.
	if full := math.Abs(to-from) >= 2*math.Pi-1e-6; full && (sweep < 1e-6 || sweep > 2*math.Pi-1e-6) {
		sweep, s.closed = 2*math.Pi, true
	}
	s.put(identity, ellipse(e.point(10), u, v, from, sweep))
}

func (e *entity) asSpline(s *shape) {
	flags := e.flag(70)
	control, z := e.points(10)
	fit, fitZ := e.points(11)
	s.level(append(z, fitZ...)...)
	var sp *spline
	var err error
	if len(control) > 0 {
		sp, err = newSpline(e.flag(71), e.values(40), control, e.values(41))
	} else {
		const closed = 1
		sp, err = through(fit, flags&closed != 0, e.point(12), e.point(13))
		s.fitted = true
	}
	if err != nil {
		s.why = err.Error()
		return
	}
	from, to := sp.ends()
	s.closed = from == to
	s.put(identity, curve{from: from, to: to, spline: sp})
}

func (e *entity) asPolyline(s *shape) {
	m, ok := e.upright(s)
	if !ok {
		return
	}
	var pts []corner
	for _, g := range e.groups {
		switch n := len(pts); {
		case g.code == 10:
			pts = append(pts, corner{at: xy{e.read(g), 0}})
		case g.code == 20 && n > 0:
			pts[n-1].at[1] = e.read(g)
		case g.code == 42 && n > 0:
			pts[n-1].bulge = e.read(g)
		}
	}
	s.level(e.num(38, 0))
	s.corners(m, pts, e.flag(70)&1 != 0)
}

// corner is a vertex of a polyline.
type corner struct {
	at    xy
	bulge float64
}

// corners makes a polyline of its vertices.
func (s *shape) corners(m affine, pts []corner, closed bool) {
	n := len(pts)
	s.closed = closed && n > 1
	last := n - 1
	if s.closed {
		last = n
	}
	for i := range last {
		a, b := pts[i], pts[(i+1)%n]
		if a.at != b.at {
			s.put(m, sideOf(geom.Bulged(a.at, b.at, a.bulge)))
		}
	}
}

const (
	closedFlag   = 1
	splineFrame  = 16 // of a vertex: a control point, not on the line
	spatial      = 8  // of a polyline: in space
	meshes       = 16 | 64
	mostInserted = 1 << 20 // rows or columns; the count of entities ends it before
)

// polyline makes a shape of a POLYLINE and its VERTEX entities.
func polyline(e *entity, vertices []entity) (shape, error) {
	s := e.head()
	s.taken = true
	flags := e.flag(70)
	if flags&meshes != 0 {
		s.why = "it is a mesh"
		return s, e.err
	}
	m, ok := e.upright(&s)
	if flags&spatial != 0 {
		m, ok, s.why = identity, true, ""
	}
	if !ok {
		return s, e.err
	}
	var pts []corner
	heights := []float64{e.num(30, 0)}
	if flags&spatial != 0 {
		heights = nil
	}
	for i := range vertices {
		v := &vertices[i]
		if v.flag(70)&splineFrame == 0 {
			pts = append(pts, corner{v.point(10), v.num(42, 0)})
			if flags&spatial != 0 {
				heights = append(heights, v.num(30, 0))
			}
		}
		if v.err != nil {
			return s, v.err
		}
	}
	s.level(heights...)
	s.corners(m, pts, flags&closedFlag != 0)
	return s, e.err
}

func (e *entity) asInsert(s *shape) {
	m, ok := e.upright(s)
	if !ok {
		return
	}
	sx, sy, sz := e.num(41, 1), e.num(42, 1), e.num(43, 1)
	if sx == 0 || sy == 0 {
		s.why = "it is scaled to nothing"
		return
	}
	sin, cos := math.Sincos(e.num(50, 0) * math.Pi / 180)
	turn := affine{X: xy{cos, sin}, Y: xy{-sin, cos}, O: e.point(10)}
	in := insert{block: e.text(2), z: e.num(30, 0), deep: sz, cols: max(1, e.flag(70)), rows: max(1, e.flag(71))}
	if m.X[0] < 0 {
		in.z, in.deep = -in.z, -in.deep
	}
	in.to = m.after(turn).after(affine{X: xy{sx, 0}, Y: xy{0, sy}})
	in.col = m.after(turn).along(xy{e.num(44, 0), 0})
	in.row = m.after(turn).along(xy{0, e.num(45, 0)})
	if in.cols > mostInserted || in.rows > mostInserted {
		s.why = fmt.Sprintf("it stands for %d times %d", in.cols, in.rows)
	}
	s.insert = &in
}
