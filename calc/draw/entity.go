package draw

import (
	"fmt"
	"math"

	"tubewright/calc/geom"
)

// widest is the largest coordinate that is drawn, in mm, as in geom.
const widest = 1e6

// mostBulge, as in geom.FromLoop: beyond it an arc is nearly the full circle, which
// two arcs make better.
const mostBulge = 1000

func finite(what string, list ...float64) error {
	for _, v := range list {
		if !(math.Abs(v) <= widest) {
			return fmt.Errorf("%s %v: want a figure within ±%.0f", what, v, widest)
		}
	}
	return nil
}

func positive(what string, v float64) error {
	if !(v > 0 && v <= widest) {
		return fmt.Errorf("%s %v mm: want more than 0 and at most %.0f", what, v, widest)
	}
	return nil
}

func shift(p [2]float64, dx, dy float64) [2]float64 { return [2]float64{p[0] + dx, p[1] + dy} }

// flip turns x. Adding 0 keeps a 0 from becoming −0, which would be written so.
func flip(p [2]float64) [2]float64 { return [2]float64{0 - p[0], p[1]} }

// On returns the layer.
func (l Line) On() Layer { return l.Layer }

// Bounds returns the box about the line.
func (l Line) Bounds() Box { return Empty().With(l.From).With(l.To) }

func (l Line) check() error { return finite("place", l.From[0], l.From[1], l.To[0], l.To[1]) }

func (l Line) moved(dx, dy float64) Entity {
	l.From, l.To = shift(l.From, dx, dy), shift(l.To, dx, dy)
	return l
}

func (l Line) mirrored() Entity {
	l.From, l.To = flip(l.From), flip(l.To)
	return l
}

// On returns the layer.
func (a Arc) On() Layer { return a.Layer }

// At returns the point of the arc at t, 0 to 1.
func (a Arc) At(t float64) [2]float64 {
	sin, cos := math.Sincos(a.Start + a.Sweep*t)
	return [2]float64{a.Centre[0] + a.Radius*cos, a.Centre[1] + a.Radius*sin}
}

// Bounds returns the box about the arc.
func (a Arc) Bounds() Box {
	b := Empty().With(a.At(0)).With(a.At(1))
	low, high := min(a.Start, a.Start+a.Sweep), max(a.Start, a.Start+a.Sweep)
	const quarter = math.Pi / 2
	for i := math.Ceil(low / quarter); i*quarter <= high; i++ {
		dir := [4][2]float64{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}[(int(i)%4+4)%4]
		b = b.With([2]float64{a.Centre[0] + a.Radius*dir[0], a.Centre[1] + a.Radius*dir[1]})
	}
	return b
}

func (a Arc) check() error {
	if err := finite("place", a.Centre[0], a.Centre[1]); err != nil {
		return err
	}
	// Start is bounded so that counting quarters stays exact and short.
	if !(math.Abs(a.Start) <= 4*math.Pi && math.Abs(a.Sweep) < 2*math.Pi) {
		return fmt.Errorf("start %v and sweep %v rad: want within ±4π and ±2π", a.Start, a.Sweep)
	}
	return positive("radius", a.Radius)
}

func (a Arc) moved(dx, dy float64) Entity {
	a.Centre = shift(a.Centre, dx, dy)
	return a
}

func (a Arc) mirrored() Entity {
	a.Centre, a.Sweep = flip(a.Centre), 0-a.Sweep
	if a.Start = math.Pi - a.Start; a.Start < -math.Pi {
		a.Start += 2 * math.Pi
	}
	return a
}

// On returns the layer.
func (c Circle) On() Layer { return c.Layer }

// Bounds returns the box about the circle.
func (c Circle) Bounds() Box {
	return Box{shift(c.Centre, -c.Radius, -c.Radius), shift(c.Centre, c.Radius, c.Radius)}
}

func (c Circle) check() error {
	if err := finite("place", c.Centre[0], c.Centre[1]); err != nil {
		return err
	}
	return positive("radius", c.Radius)
}

func (c Circle) moved(dx, dy float64) Entity {
	c.Centre = shift(c.Centre, dx, dy)
	return c
}

func (c Circle) mirrored() Entity {
	c.Centre = flip(c.Centre)
	return c
}

// On returns the layer.
func (l Loop) On() Layer { return l.Layer }

// Pieces returns the loop's lines and arcs, in order, pieces without length left out.
func (l Loop) Pieces() []Entity {
	var list []Entity
	for i, v := range l.Vertices {
		w := l.Vertices[(i+1)%len(l.Vertices)]
		switch s := geom.Bulged([2]float64{v.X, v.Y}, [2]float64{w.X, w.Y}, v.Bulge); {
		case s.From == s.To:
		case s.Kind == geom.Line:
			list = append(list, Line{l.Layer, s.From, s.To})
		default:
			list = append(list, Arc{l.Layer, s.Centre, s.Radius, s.Start, s.Sweep})
		}
	}
	return list
}

// Bounds returns the box about the loop.
func (l Loop) Bounds() Box {
	b := Empty()
	for _, v := range l.Vertices {
		b = b.With([2]float64{v.X, v.Y})
	}
	for _, p := range l.Pieces() {
		b = b.And(p.Bounds())
	}
	return b
}

func (l Loop) check() error {
	if len(l.Vertices) < 2 {
		return fmt.Errorf("%d vertices: want 2 at least", len(l.Vertices))
	}
	if l.Filled && l.Layer == Cut {
		return fmt.Errorf("filled: what is cut is a line")
	}
	for _, v := range l.Vertices {
		if err := finite("vertex", v.X, v.Y); err != nil {
			return err
		}
		if !(math.Abs(v.Bulge) <= mostBulge) {
			return fmt.Errorf("bulge %v: want within ±%d", v.Bulge, mostBulge)
		}
	}
	return nil
}

func (l Loop) moved(dx, dy float64) Entity {
	list := make([]geom.Vertex, len(l.Vertices))
	for i, v := range l.Vertices {
		list[i] = geom.Vertex{X: v.X + dx, Y: v.Y + dy, Bulge: v.Bulge}
	}
	l.Vertices = list
	return l
}

// mirrored keeps the order of the vertices, so that a loop runs the other way round
// afterwards.
func (l Loop) mirrored() Entity {
	list := make([]geom.Vertex, len(l.Vertices))
	for i, v := range l.Vertices {
		list[i] = geom.Vertex{X: 0 - v.X, Y: v.Y, Bulge: 0 - v.Bulge}
	}
	l.Vertices = list
	return l
}
