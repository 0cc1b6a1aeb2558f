package dxf

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
)

// Info is what a file says besides the drawing.
type Info struct {
	Unit string // of the drawing; anything but "mm" is refused
	// Chord is how far the arcs of the drawing may be from the curves that they stand
	// for, in mm, 0 to 0.02; the file says it.
	Chord float64
	Lines []string // what it is, for a person who opens the file as text
}

const (
	mostChord = 0.02  // mm, HAZARDS PR4
	shortest  = 0.001 // mm; anything shorter is no piece, and ends nearer than that are one
	clearOf   = 20    // mm between the part and the reference square
)

// layerNames are the layers that are written, by what the drawing says. What is
// drawn only for a person stays out: many cutters cut every line of a file.
var layerNames = map[draw.Layer]string{draw.Cut: "CUT", draw.Mark: "MARK"}

// Write returns the drawing's cuts and marks as an ASCII DXF of version R12 in
// mm: only LINE, ARC, CIRCLE and closed POLYLINE, on the layers CUT and MARK, and
// the square of 100 mm on ReferenceLayer, 20 mm below the part. Text, dimensions,
// centre lines and marks beside the part are left out. What is there twice is
// written once; pieces shorter than 0.001 mm are left out.
//
// It is an error when the unit is not mm, the stated chord error is not 0 to
// 0.02 mm, a figure is not finite, or there is nothing to cut.
func Write(d draw.Drawing, info Info) ([]byte, error) {
	if info.Unit != "mm" {
		return nil, fmt.Errorf("write the DXF: the drawing's unit is %s: want mm", quoted(info.Unit))
	}
	if !(info.Chord >= 0 && info.Chord <= mostChord) {
		return nil, fmt.Errorf("write the DXF: chord error %v mm: want 0 to %v", info.Chord, mostChord)
	}
	if err := d.Check(); err != nil {
		return nil, fmt.Errorf("write the DXF: %w", err)
	}
	list := plain(d)
	part := draw.Drawing{Entities: list}.Only(draw.Cut).Bounds()
	if !slices.ContainsFunc(list, func(e draw.Entity) bool { return e.On() == draw.Cut }) {
		return nil, fmt.Errorf("write the DXF: there is nothing to cut in the drawing")
	}
	all := part
	for _, e := range list {
		all = all.And(e.Bounds())
	}
	square := reference(all)
	var w writer
	w.comments(d, info, part)
	w.header(all.And(square.Bounds()))
	w.tables()
	w.pair(0, "SECTION").pair(2, "BLOCKS").pair(0, "ENDSEC")
	w.pair(0, "SECTION").pair(2, "ENTITIES")
	for _, e := range list {
		w.entity(e, layerNames[e.On()])
	}
	w.entity(square, ReferenceLayer)
	w.pair(0, "ENDSEC").pair(0, "EOF")
	return []byte(w.text.String()), nil
}

// reference returns the square below a box.
func reference(b draw.Box) draw.Loop {
	x, y := b.Min[0], b.Min[1]-clearOf-ReferenceSize
	return draw.Loop{Layer: draw.Reference, Vertices: []geom.Vertex{
		{X: x, Y: y}, {X: x + ReferenceSize, Y: y}, {X: x + ReferenceSize, Y: y + ReferenceSize}, {X: x, Y: y + ReferenceSize}}}
}

// FileName returns a name that says what the file is and how large the part, so
// that one at the wrong scale is seen before it is cut:
//
//	flange-A-rev-B-318x92mm.dxf
//
// The size is that of what is cut, to the nearest mm.
func FileName(name, revision string, d draw.Drawing) string {
	b := d.Only(draw.Cut).Bounds()
	return fmt.Sprintf("%s-%.0fx%.0fmm.dxf", BaseName(name, revision), b.Width(), b.Height())
}

// BaseName is what the names of all files of a drawing begin with: flange-A-rev-B.
func BaseName(name, revision string) string {
	parts := []string{plainName(name, "drawing")}
	if revision = plainName(revision, ""); revision != "" {
		parts = append(parts, "rev", revision)
	}
	return strings.Join(parts, "-")
}

// plainName keeps letters and figures of ASCII, which every system takes in a name.
func plainName(name, empty string) string {
	words := strings.FieldsFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9')
	})
	const most = 60
	if text := strings.Join(words, "-"); text != "" {
		return text[:min(len(text), most)]
	}
	return empty
}

// plain returns what is written: cuts and marks, nothing twice, nothing without
// length, and no mark beside the part, which would be made on whatever lies there.
func plain(d draw.Drawing) []draw.Entity {
	var list []draw.Entity
	var drawn []run
	part := d.Only(draw.Cut).Bounds().Grown(shortest)
	for _, e := range slices.Concat(d.Only(draw.Cut).Entities, d.Only(draw.Mark).Entities) {
		if l, ok := e.(draw.Loop); ok {
			e = tidy(l)
		}
		r := runOf(e)
		if all := part.And(r.box); e.On() == draw.Mark && all != part {
			continue
		}
		if len(r.pieces) > 0 {
			list, drawn = append(list, e), append(drawn, r)
		}
	}
	// From the last on, so that of two alike the first stays: the cut, not the mark.
	var once []draw.Entity
	for i := len(list) - 1; i >= 0; i-- {
		if slices.ContainsFunc(drawn, drawn[i].isIn) {
			drawn[i].pieces = nil
		} else {
			once = append(once, list[i])
		}
	}
	slices.Reverse(once)
	return once
}

// tidy takes pieces out of a loop that are too short, and cuts arcs of more than a
// half circle in two, which some readers cannot show.
func tidy(l draw.Loop) draw.Loop {
	var v []geom.Vertex
	for _, p := range l.Vertices {
		if n := len(v); n > 0 && apart(at(v[n-1]), at(p)) < shortest {
			v[n-1].Bulge = p.Bulge
			continue
		}
		v = append(v, p)
	}
	for len(v) > 0 && apart(at(v[len(v)-1]), at(v[0])) < shortest {
		v = v[:len(v)-1]
	}
	l.Vertices = v
	var cut []geom.Vertex
	for _, p := range l.Pieces() {
		switch p := p.(type) {
		case draw.Line:
			cut = append(cut, geom.Vertex{X: p.From[0], Y: p.From[1]})
		case draw.Arc:
			n := 1 + int(math.Abs(p.Sweep)/(math.Pi+1e-9))
			for i := range n {
				q := p.At(float64(i) / float64(n))
				cut = append(cut, geom.Vertex{X: q[0], Y: q[1], Bulge: math.Tan(p.Sweep / float64(4*n))})
			}
		}
	}
	l.Vertices = cut
	return l
}

// writer collects groups.
type writer struct{ text strings.Builder }

// pair writes one group.
func (w *writer) pair(code int, value string) *writer {
	fmt.Fprintf(&w.text, "%3d\r\n%s\r\n", code, value)
	return w
}

func (w *writer) num(code int, v float64) *writer { return w.pair(code, figure(v, 6)) }

// figure writes a number with at most so many decimals, and always with a point,
// by which readers know it from a whole one.
func figure(v float64, decimals int) string {
	text := strings.TrimRight(strconv.FormatFloat(v, 'f', decimals, 64), "0")
	if text == "-0." {
		text = "0."
	}
	if strings.HasSuffix(text, ".") {
		text += "0"
	}
	return text
}

func (w *writer) point(code int, p xy) *writer { return w.num(code, p[0]).num(code+10, p[1]) }

func (w *writer) comments(d draw.Drawing, info Info, part draw.Box) {
	lines := slices.Concat([]string{d.Name, d.Origin}, info.Lines, []string{
		"unit: millimetre, 1 to 1",
		fmt.Sprintf("size of the part: %.3f x %.3f mm", part.Width(), part.Height()),
		fmt.Sprintf("the square on layer %s is %d x %d mm: measure it first, do not cut it", ReferenceLayer, ReferenceSize, ReferenceSize),
		"chord error: curves are drawn as arcs that leave them by at most " + strconv.FormatFloat(info.Chord, 'f', -1, 64) + " mm",
		"ends meet within " + strconv.FormatFloat(shortest, 'f', -1, 64) + " mm",
	})
	for _, text := range lines {
		if text = ascii(text); text != "" {
			w.pair(comment, text)
		}
	}
}

// ascii writes a text with what every reader takes in one line.
func ascii(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == 'Ø':
			b.WriteString("dia. ")
		case r == '×':
			b.WriteByte('x')
		case r == '–' || r == '−':
			b.WriteByte('-')
		case r == '°':
			b.WriteString(" deg")
		case r >= ' ' && r <= '~':
			b.WriteRune(r)
		default:
			b.WriteByte('?')
		}
	}
	const most = 250 // a line of the format has 255 at most
	return strings.TrimSpace(b.String()[:min(b.Len(), most)])
}

func (w *writer) header(all draw.Box) {
	w.pair(0, "SECTION").pair(2, "HEADER")
	w.pair(9, "$ACADVER").pair(1, "AC1009")
	w.pair(9, "$INSBASE").point(10, xy{}).num(30, 0)
	w.pair(9, "$EXTMIN").point(10, all.Min).num(30, 0)
	w.pair(9, "$EXTMAX").point(10, all.Max).num(30, 0)
	w.pair(9, "$LIMMIN").point(10, all.Min)
	w.pair(9, "$LIMMAX").point(10, all.Max)
	w.pair(9, "$LUNITS").pair(70, "     2") // decimal
	w.pair(9, "$LUPREC").pair(70, "     3")
	w.pair(9, "$MEASUREMENT").pair(70, "     1")
	w.pair(9, "$INSUNITS").pair(70, "     4")
	w.pair(0, "ENDSEC")
}

func (w *writer) tables() {
	w.pair(0, "SECTION").pair(2, "TABLES")
	w.pair(0, "TABLE").pair(2, "LTYPE").pair(70, "     1")
	w.pair(0, "LTYPE").pair(2, "CONTINUOUS").pair(70, "     0").pair(3, "Solid line").pair(72, "    65").pair(73, "     0").num(40, 0)
	w.pair(0, "ENDTAB")
	layers := []struct{ name, colour string }{{"0", "     7"}, {"CUT", "     7"}, {"MARK", "     5"}, {ReferenceLayer, "     8"}}
	w.pair(0, "TABLE").pair(2, "LAYER").pair(70, fmt.Sprintf("%6d", len(layers)))
	for _, l := range layers {
		w.pair(0, "LAYER").pair(2, l.name).pair(70, "     0").pair(62, l.colour).pair(6, "CONTINUOUS")
	}
	w.pair(0, "ENDTAB").pair(0, "ENDSEC")
}

func (w *writer) entity(e draw.Entity, layer string) {
	switch x := e.(type) {
	case draw.Line:
		w.pair(0, "LINE").pair(8, layer).point(10, x.From).num(30, 0).point(11, x.To).num(31, 0)
	case draw.Circle:
		w.pair(0, "CIRCLE").pair(8, layer).point(10, x.Centre).num(30, 0).num(40, x.Radius)
	case draw.Arc:
		// An ARC always runs counter-clockwise.
		from, to := min(x.Start, x.Start+x.Sweep), max(x.Start, x.Start+x.Sweep)
		w.pair(0, "ARC").pair(8, layer).point(10, x.Centre).num(30, 0).num(40, x.Radius).pair(50, degrees(from)).pair(51, degrees(to))
	case draw.Loop:
		w.pair(0, "POLYLINE").pair(8, layer).pair(66, "     1").point(10, xy{}).num(30, 0).pair(70, "     1")
		for _, v := range x.Vertices {
			w.pair(0, "VERTEX").pair(8, layer).point(10, at(v)).num(30, 0)
			if v.Bulge != 0 {
				w.pair(42, figure(v.Bulge, 12))
			}
		}
		w.pair(0, "SEQEND").pair(8, layer)
	}
}

// degrees writes an angle from 0 to 360.
func degrees(rad float64) string {
	d := rad * 180 / math.Pi
	return figure(d-360*math.Floor(d/360), 9)
}
