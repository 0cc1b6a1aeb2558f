package draw

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"tubewright/calc/geom"
)

// Plate is a flange, a gasket or the face of a head as plain geometry in mm, in the
// bank frame: x right and y up as one faces the port face, 0, 0 the datum bolt.
type Plate struct {
	Name   string
	Datum  string   // what 0, 0 is: "centre of bolt b1"
	Pieces []Shape  // outer outlines, to be cut
	Holes  []Hole   // to be cut
	Cut    []Shape  // openings, to be cut
	Behind []Shape  // what is there but not made: ports behind the flange, gasket
	Saws   [][2]Pos // where it is sawn apart after cutting: scribed, not cut
}

// Pos is a place in mm.
type Pos = [2]float64

// Shape is a closed outline with the place that it goes by: the centre of a port.
type Shape struct {
	ID   string // written beside the centre; empty for none
	At   Pos
	Loop []geom.Vertex
}

// Hole is a round hole, or a slot when Slot, the length between its two centres, is
// more than 0.
type Hole struct {
	ID       string
	At       Pos // the middle
	Diameter float64
	Slot     float64 // mm
	Turn     float64 // of the slot, rad from +x
}

// View is how a plate is looked at and written about.
type View struct {
	FromHead bool // as seen from the head: the mirror image
	// Face is the large mark on the face that one looks at: FaceTubes, FaceHead.
	Face string
	// Words say how one looks at a plate that is no flange; empty for a flange.
	Words string
	// Figure writes a length in mm in the unit of the sheet, without the unit; nil is mm
	// to two decimals.
	Figure func(mm float64) string
}

// Large marks of the face that one looks at on the drawing, and so on the part under
// a template that lies on it print up.
const (
	FaceTubes = "This face to the tubes"
	FaceHead  = "This face to the head"
)

// Side returns the line that goes with the view: SeenFromTubes or SeenFromHead, or the
// words of its own.
func (v View) Side() string {
	switch {
	case v.Words != "":
		return v.Words
	case v.FromHead:
		return SeenFromHead
	}
	return SeenFromTubes
}

// origin says where 0, 0 is on the drawing and which way x counts there.
func (v View) origin(p Plate) string {
	if v.FromHead {
		return p.Datum + ", x to the left"
	}
	return p.Datum + ", x to the right"
}

func (v View) figure(mm float64) string {
	if v.Figure != nil {
		return v.Figure(mm)
	}
	return hundredths(mm)
}

// hundredths writes mm to two decimals at most.
func hundredths(mm float64) string {
	s := strconv.FormatFloat(math.Round(mm*100)/100, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}

// Drawing returns the plate with cross hairs and diameters at its holes, centre marks
// and names at its openings, datum and axes, its size over all, and the mark of the
// face above it and, where there is room, on each piece.
func (p Plate) Drawing(v View) (Drawing, error) {
	d := Drawing{Name: p.Name, Origin: v.origin(p)}
	part := p.lines()
	centre := part.Bounds()
	if v.FromHead {
		part = part.Mirrored()
	}
	d.Add(part.Entities...)
	if err := part.Check(); err != nil {
		return Drawing{}, err
	}
	if centre.IsEmpty() {
		return Drawing{}, fmt.Errorf("draw %s: the plate has no outlines and no holes", p.Name)
	}
	at := func(q Pos) Pos {
		if v.FromHead {
			return flip(q)
		}
		return q
	}
	var room Room
	room.Take(d.Entities...)
	add := func(list ...Entity) {
		d.Add(list...)
		room.Take(list...)
	}
	add(axes(v.FromHead, &room)...)
	for i, s := range append(p.Cut[:len(p.Cut):len(p.Cut)], p.Behind...) {
		if i >= len(p.Cut) && s.ID == "" {
			continue // behind an opening that has the mark
		}
		add(CentreMark(at(s.At), 5)...)
		if s.ID != "" {
			add(Text{Layer: Note, At: shift(at(s.At), 1.5, 1.5), Height: 3.5, Bold: true, Text: s.ID})
		}
	}
	mid := at(Pos{(centre.Min[0] + centre.Max[0]) / 2, (centre.Min[1] + centre.Max[1]) / 2})
	for _, s := range p.Saws {
		add(sawMark(at(s[0]), at(s[1])))
	}
	for _, h := range p.Holes {
		add(CentreMark(at(h.At), h.Diameter/2+3)...)
	}
	for _, h := range p.Holes {
		c := at(h.At)
		// Outwards, above or below, where there is more room than along the plate.
		wish := math.Atan2(math.Copysign(1, c[1]-mid[1]), math.Copysign(0.5, c[0]-mid[0]))
		d.Add(room.label(c, h.Diameter/2, wish, h.label(v))...)
	}
	for i := range p.Pieces {
		d.Add(p.faceWithin(i, v, &room)...)
	}
	b := part.Bounds()
	below, beside := b.Min[1]-12, b.Max[0]+12
	all := d.Bounds()
	below, beside = min(below, all.Min[1]-5), max(beside, all.Max[0]+5)
	d.Add(Along(b.Min, Pos{b.Max[0], b.Min[1]}, 0, below-b.Min[1], v.figure(b.Width()))...)
	d.Add(Along(Pos{b.Max[0], b.Min[1]}, b.Max, math.Pi/2, b.Max[0]-beside, v.figure(b.Height()))...)
	d.Add(FaceMark(Pos{b.Min[0], d.Bounds().Max[1] + 6}, v.Face, v.Side())...)
	return d, d.Check()
}

// lines returns what the plate is made of, in the bank frame.
func (p Plate) lines() Drawing {
	var d Drawing
	loops := func(l Layer, shapes []Shape) {
		for _, s := range shapes {
			d.Add(Loop{Layer: l, Vertices: s.Loop})
		}
	}
	loops(Reference, p.Behind)
	for _, s := range p.Saws {
		d.Add(Line{Mark, s[0], s[1]})
	}
	loops(Cut, p.Pieces)
	loops(Cut, p.Cut)
	for _, h := range p.Holes {
		d.Add(h.Outline())
	}
	d.Name = p.Name
	return d
}

// sawMark tells a line that is scribed and sawn from those that are cut, in words beside
// its end.
func sawMark(from, to Pos) Text {
	turn := readable(math.Atan2(to[1]-from[1], to[0]-from[0]))
	sin, cos := math.Sincos(turn)
	mid := Pos{0.75*to[0] + 0.25*from[0], 0.75*to[1] + 0.25*from[1]}
	return Text{Layer: Note, At: shift(mid, -gapToFigure*sin, gapToFigure*cos), Height: 2.2, Anchor: BaseMiddle, Turn: turn, Text: "saw cut"}
}

// Outline returns the hole on the layer Cut: a circle, or the loop of a slot.
func (h Hole) Outline() Entity {
	r := h.Diameter / 2
	if !(h.Slot > 0) {
		return Circle{Cut, h.At, r}
	}
	sin, cos := math.Sincos(h.Turn)
	at := func(along, left, bulge float64) geom.Vertex {
		return geom.Vertex{X: h.At[0] + along*cos - left*sin, Y: h.At[1] + along*sin + left*cos, Bulge: bulge}
	}
	s := h.Slot / 2
	return Loop{Layer: Cut, Vertices: []geom.Vertex{at(-s, -r, 0), at(s, -r, 1), at(s, r, 0), at(-s, r, 1)}}
}

func (h Hole) label(v View) string {
	text := "Ø" + v.figure(h.Diameter)
	if h.Slot > 0 {
		text = v.figure(h.Diameter) + " × " + v.figure(h.Diameter+h.Slot)
	}
	if h.ID != "" {
		text = h.ID + " " + text
	}
	return text
}

// faceWithin returns the mark of the face on the metal of a piece, where it stays when
// the template is cut out; nothing where it has no room.
func (p Plate) faceWithin(piece int, v View, room *Room) []Entity {
	if v.Face == "" {
		return nil
	}
	inside, err := geom.FromLoop(p.Pieces[piece].Loop)
	if err != nil {
		return nil // drawn as it is, but there is no telling in from out
	}
	var holes []geom.Outline
	for _, s := range p.Cut {
		if o, err := geom.FromLoop(s.Loop); err == nil {
			holes = append(holes, o)
		}
	}
	low, high := inside.Bounds()
	mid := Pos{(low[0] + high[0]) / 2, (low[1] + high[1]) / 2}
	const step = 4.0 // mm
	for _, size := range [3]float64{3.5, 2.8, 2.2} {
		var best []Entity
		least := math.Inf(1)
		for y := low[1] + step; y < high[1]; y += step {
			for x := low[0] + step; x < high[0]; x += step {
				q := Pos{x, y}
				far := math.Hypot(x-mid[0], y-mid[1])
				if far >= least || !inside.Contains(q) || slices.ContainsFunc(holes, func(o geom.Outline) bool { return o.Contains(q) }) {
					continue
				}
				if v.FromHead {
					q = flip(q)
				}
				// No line in the box: all of it is where its middle is.
				t := Text{Layer: Note, At: q, Height: size, Anchor: MidMiddle, Bold: true, Text: v.Face}
				if room.Cost(t.Bounds().Grown(2)) == 0 {
					best, least = []Entity{t}, far
				}
			}
		}
		if best != nil {
			room.Take(best...)
			return best
		}
	}
	return nil
}

// CentreMark returns cross hairs, arm mm to each side, drawn from the middle so that
// their dashes are alike on all sides.
func CentreMark(at Pos, arm float64) []Entity {
	return []Entity{
		Line{Centre, at, shift(at, arm, 0)}, Line{Centre, at, shift(at, 0, arm)},
		Line{Centre, at, shift(at, -arm, 0)}, Line{Centre, at, shift(at, 0, -arm)},
	}
}

// axes returns the datum at 0, 0, a ring with two dark quarters, and the two axes,
// x to the left when mirrored, each as long as leaves its letter clear of lines.
func axes(mirrored bool, room *Room) []Entity {
	const ring = 2.0
	x := 1.0
	if mirrored {
		x = -1
	}
	quarter := math.Tan(math.Pi / 8)
	list := []Entity{
		Circle{Dimension, Pos{}, ring},
		Loop{Dimension, []geom.Vertex{{}, {X: ring, Bulge: quarter}, {Y: ring}}, true},
		Loop{Dimension, []geom.Vertex{{}, {X: -ring, Bulge: quarter}, {Y: -ring}}, true},
	}
	for _, a := range []struct {
		name string
		dir  Pos
	}{{"x", Pos{x, 0}}, {"y", Pos{0, 1}}} {
		var letter Text
		var tip Pos
		least := math.Inf(1)
		for _, long := range [5]float64{22, 18, 26, 14, 30} {
			end := Pos{long * a.dir[0], long * a.dir[1]}
			t := Text{Layer: Dimension, At: shift(end, 1.8*a.dir[0], 2.2*a.dir[1]), Height: FigureHeight, Anchor: MidMiddle, Bold: true, Text: a.name}
			if cost := room.Cost(t.Bounds().Grown(0.8)); cost < least {
				letter, tip, least = t, end, cost
			}
		}
		list = append(list, Line{Dimension, Pos{}, tip}, arrow(tip, math.Atan2(a.dir[1], a.dir[0])), letter)
	}
	return list
}

// FaceMark returns the large mark of a face, framed, its lower left corner at the
// given place: the text, and below it how one looks at it.
func FaceMark(at Pos, text, side string) []Entity {
	const big, small, pad = 5.0, 2.5, 2.5
	w := max(TextWidth(text, big, true), TextWidth(side, small, false)) + 2*pad
	h := 3*pad + big + small
	corner := func(x, y float64) geom.Vertex { return geom.Vertex{X: at[0] + x, Y: at[1] + y} }
	return []Entity{
		Loop{Layer: Mark, Vertices: []geom.Vertex{corner(0, 0), corner(w, 0), corner(w, h), corner(0, h)}},
		Text{Layer: Note, At: shift(at, pad, 2*pad+small), Height: big, Bold: true, Text: text},
		Text{Layer: Note, At: shift(at, pad, pad), Height: small, Text: side},
	}
}

// Table returns the drill table of the plate: every hole and opening with its place.
// unit stands in the heads; x is that of the bank frame in both views, so that one
// table serves for both, and its name says which way x counts on the drawing.
func (p Plate) Table(v View, unit string) Table {
	t := Table{Name: p.Name + ", from " + v.origin(p), Left: 2, Heads: []string{"what", "name", "x, " + unit, "y, " + unit, "Ø, " + unit}}
	slots := slices.ContainsFunc(p.Holes, func(h Hole) bool { return h.Slot > 0 })
	if slots {
		t.Heads = append(t.Heads, "over all, "+unit, "turned, °")
	}
	add := func(row ...string) {
		t.Rows = append(t.Rows, append(row, make([]string, len(t.Heads)-len(row))...))
	}
	for _, h := range p.Holes {
		x, y, size := v.figure(h.At[0]), v.figure(h.At[1]), v.figure(h.Diameter)
		if h.Slot > 0 {
			add("slot", h.ID, x, y, size, v.figure(h.Diameter+h.Slot), strconv.FormatFloat(math.Round(h.Turn*1800/math.Pi)/10+0, 'f', 1, 64))
		} else {
			add("hole", h.ID, x, y, size)
		}
	}
	for _, s := range p.Cut {
		add("opening", s.ID, v.figure(s.At[0]), v.figure(s.At[1]))
	}
	return t
}
