package sheet

import (
	"fmt"
	"math"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/units"
	"tubewright/calc/wrap"
)

const (
	// seamFlap is how far a wrap goes on over its seam, in mm, so that its edges can be
	// taped together.
	seamFlap = 10.0
	// stripHigh is how far a wrap of a square cut goes to both sides of it, in mm.
	stripHigh = 13.0
	// wrapSteps is how many pieces a curve once round is drawn in.
	wrapSteps = 360
)

// wraps are the wraps of the joints of a tube: the square cut, the outside line that
// comes along and the one that goes on.
func (m maker) wraps(t job.Tube, tp job.TubePlan) draft {
	d := m.onTube("wrap", "Wraps", t, tp, PDF, SVG)
	d.make = func(made *Made) error {
		made.Revision = m.bank(t).Making.Revision
		made.uncut = "Nothing of these wraps is cut but paper."
		var how draw.Drawing
		how.Add(lines(draw.Pos{}, "Wrap it with the print outwards and the arrow with the flow.", "The middle line lies on the outside line of the bend before; cut along the line across.", "To the right is plus: clockwise, seen from the port along the tube.")...)
		cells := []draw.Drawing{how}
		for _, j := range joints(tp) {
			cells = append(cells, m.strip(j, t.OD.V.MM()))
		}
		made.Sheets = m.tubeSheets(d, t, d.Title, "each wrap about the middle of its own cut", cells, cautions())
		made.Lists = []draw.Table{m.wrapFacts(d.Title, t)}
		return nil
	}
	return d
}

// wrapWidth is how wide a wrap is once round, on paper.
func wrapWidth(od float64) float64 { return math.Pi * (od + paperThick) }

// onPaper is where on a wrap an arc on the OD lies.
func onPaper(arc, od float64) float64 { return arc * (od + paperThick) / od }

// strip is the wrap of one joint: the cut across its middle, towards the port below.
func (m maker) strip(j joint, od float64) draw.Drawing {
	var d draw.Drawing
	half := wrapWidth(od) / 2
	line := func(l draw.Layer, x0, y0, x1, y1 float64) {
		d.Add(draw.Line{Layer: l, From: draw.Pos{x0, y0}, To: draw.Pos{x1, y1}})
	}
	line(draw.Mark, -half, 0, half, 0)
	d.Add(wrapEdges(od, -stripHigh, stripHigh)...)
	// The line that comes along, from below; that of the bend behind the joint, upwards.
	line(draw.Mark, 0, -stripHigh, 0, 0)
	says := func(x, y float64, a draw.Anchor, text string) {
		d.Add(note(draw.Pos{x, y}, a, 2.2, false, text))
	}
	const beside = 1.2 // a line
	says(beside, -stripHigh/2, draw.MidLeft, j.from())
	inner := "inside of " + j.bent
	if j.bent == "" {
		inner = "up of the bank"
	}
	for _, x := range []float64{-half, half} {
		line(draw.Reference, x, -stripHigh, x, 0)
	}
	says(-half+beside, -stripHigh/2, draw.MidLeft, inner)
	below := j.after + " has no bend: the line goes straight on"
	if j.bend != nil {
		at := onPaper(j.arc, od)
		line(draw.Mark, at, 0, at, stripHigh)
		if math.Abs(at) > half-0.5 { // on the seam: either edge may be used
			line(draw.Mark, -at, 0, -at, stripHigh)
		}
		next := draw.Text{Layer: draw.Note, At: draw.Pos{at + beside, stripHigh / 2}, Height: 2.2, Anchor: draw.MidLeft, Bold: true, Text: "outside of " + j.after}
		if next.Bounds().Max[0] > half {
			next.At[0], next.Anchor = at-beside, draw.MidRight
		}
		d.Add(next)
		off := half - 3
		if math.Abs(at) > half-7 {
			off -= 9
		}
		d.Add(note(draw.Pos{-off, stripHigh - 2.6}, draw.MidMiddle, 3.2, true, "−"), note(draw.Pos{off, stripHigh - 2.6}, draw.MidMiddle, 3.2, true, "+"))
		if math.Abs(at) > 1 {
			d.Add(draw.Arrow(draw.Dimension, draw.Pos{0, 2.5}, draw.Pos{at, 2.5})...)
		}
		below = fmt.Sprintf("outside of %s: %s from %s (%s)", j.after, m.wayRound(j.arc), j.line(), degrees(j.rotation))
	} else {
		line(draw.Reference, 0, 0, 0, stripHigh)
	}
	d.Add(flow(draw.Pos{half + seamFlap + 4, -stripHigh + 2}, 2*stripHigh-6)...)
	d.Add(lines(draw.Pos{0, -stripHigh - 2}, upper(j.name()), below)...)
	return d
}

// wayRound writes an arc with its sign and the way.
func (m maker) wayRound(arc float64) string {
	way := " clockwise"
	if arc < 0 {
		way = " counter-clockwise"
	}
	if math.Abs(arc) < 0.005 {
		return "0 " + string(m.o.Unit) + ", in line,"
	}
	text := m.signed(arc)
	if f := m.fraction(math.Abs(arc)); f != "" {
		text += " (" + f + ")"
	}
	return text + " " + string(m.o.Unit) + way
}

// wrapEdges are the edges of a wrap between two heights, with its seam and the flap that
// goes on behind it.
func wrapEdges(od, low, high float64) []draw.Entity {
	half := wrapWidth(od) / 2
	end := half + seamFlap
	edge := []geom.Vertex{{X: -half, Y: low}, {X: end, Y: low}, {X: end, Y: high}, {X: -half, Y: high}}
	mid := (low + high) / 2
	return []draw.Entity{
		draw.Loop{Layer: draw.Note, Vertices: edge},
		draw.Line{Layer: draw.Note, From: draw.Pos{half, low}, To: draw.Pos{half, high}},
		sideways(half+4.4, mid, "the other"), sideways(half+8.2, mid, "edge here"),
	}
}

// sideways is a line of text that is read from the right, in the middle of a height.
func sideways(x, y float64, text string) draw.Entity {
	return draw.Text{Layer: draw.Note, At: draw.Pos{x, y}, Height: 1.6, Anchor: draw.BaseMiddle, Turn: math.Pi / 2, Text: text}
}

// flow is an arrow upwards from a place: the way the gas goes.
func flow(at draw.Pos, long float64) []draw.Entity {
	return append(draw.Arrow(draw.Mark, at, draw.Pos{at[0], at[1] + long}), draw.Text{Layer: draw.Note, At: draw.Pos{at[0] + 3.4, at[1] + long/2}, Height: 2, Anchor: draw.BaseMiddle, Turn: math.Pi / 2, Text: "flow"})
}

func upper(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// wrapFacts says how a wrap is used and checked.
func (m maker) wrapFacts(name string, t job.Tube) draw.Table {
	list := draw.Table{Name: name, Heads: []string{"what", "value"}, Left: 2}
	add := func(what, value string) { list.Rows = append(list.Rows, []string{what, value}) }
	od := t.OD.V.MM()
	width, err := wrap.Width(t.OD.V, paperThick)
	if err != nil {
		width = units.Length(wrapWidth(od))
	}
	add("OD, wall", m.with(od)+", "+m.with(t.Wall.V.MM()))
	add("round the OD, by a tape that is as thin as nothing", m.with(math.Pi*od))
	add("wide from seam to seam, on paper "+m.with(paperThick)+" thick", m.with(width.MM()))
	add("check before use", "wrapped round, the edge meets the seam line within "+m.with(0.5)+"; if not, OD or print are off")
	add("how it lies", "print outwards, arrow with the flow, middle line on the outside line of the bend before")
	add("square within ½°", "a square held to the outside shows no more than "+m.with(wrap.OutOfSquare(t.OD.V, wrap.Squareness).MM())+" across the cut")
	add("on a bend", "a wrap does not lie on a bend: cut bends by the wheel")
	return list
}
