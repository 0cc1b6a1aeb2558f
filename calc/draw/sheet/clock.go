package sheet

import (
	"fmt"
	"math"

	"tubewright/calc/draw"
	"tubewright/calc/job"
)

// clock is how each bend of a tube is turned to the one before, as dials seen from the
// port and as arcs on the OD.
func (m maker) clock(t job.Tube, tp job.TubePlan) draft {
	d := m.onTube("clock", "Clock marks", t, tp, PDF, SVG)
	var turned []joint
	for _, j := range joints(tp) {
		if j.bend != nil {
			turned = append(turned, j)
		}
	}
	if d.Why == "" && len(turned) == 0 {
		d.Why = "A tube without a bend has no clock marks."
	}
	d.make = func(made *Made) error {
		made.Revision = m.bank(t).Making.Revision
		made.uncut = "Nothing of clock marks is cut."
		cells := []draw.Drawing{m.signs(t.OD.V.MM())}
		for _, j := range turned {
			cells = append(cells, m.dial(j, t.OD.V.MM()))
		}
		made.Sheets = m.tubeSheets(d, t, d.Title, "each dial about the middle of the tube, seen from the port along the tube", cells, []string{startCaution, edgeCaution})
		made.Lists = []draw.Table{m.clockTable(d.Title, turned)}
		return nil
	}
	return d
}

// dialOff is a place on a dial, clockwise from its top.
func dialOff(radius, clockwise float64) draw.Pos {
	sin, cos := math.Sincos(clockwise)
	return draw.Pos{radius * sin, radius * cos}
}

// swept is an arrow round a dial from its top, clockwise positive.
func swept(radius, turn float64) []draw.Entity {
	list := []draw.Entity{draw.Arc{Layer: draw.Dimension, Radius: radius, Start: math.Pi / 2, Sweep: -turn}}
	// The head ends at the arrow's place and comes from a little before it.
	back := math.Min(3, radius*math.Abs(turn)/2) / radius
	from := dialOff(radius, turn-math.Copysign(back, turn))
	head := draw.Arrow(draw.Dimension, from, dialOff(radius, turn))
	return append(list, head[len(head)-1])
}

// signs shows once what the signs mean: an eye at the port, and both ways round.
func (m maker) signs(od float64) draw.Drawing {
	var d draw.Drawing
	r := od / 2
	d.Add(draw.Circle{Layer: draw.Mark, Radius: r}, draw.Circle{Layer: draw.Mark, Centre: draw.Pos{}, Radius: 0.8})
	d.Add(swept(r+5, 70*math.Pi/180)...)
	d.Add(swept(r+5, -70*math.Pi/180)...)
	d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{0, r - 3}, To: draw.Pos{0, r + 9}})
	d.Add(note(draw.Pos{r + 4, r + 3}, draw.BaseLeft, 5, true, "+"), note(draw.Pos{-r - 4, r + 3}, draw.BaseRight, 5, true, "−"))
	d.Add(note(draw.Pos{r + 7, r * 0.45}, draw.BaseLeft, 2, false, "clockwise"), note(draw.Pos{-r - 7, r * 0.45}, draw.BaseRight, 2, false, "counter-"), note(draw.Pos{-r - 7, r*0.45 - 3.2}, draw.BaseRight, 2, false, "clockwise"))
	d.Add(note(draw.Pos{0, -2.8 - 3}, draw.BaseMiddle, 2, false, "flow away from you"))
	d.Add(note(draw.Pos{0, r + 11}, draw.BaseMiddle, 2.2, false, "outside line of the bend before"))
	// From the side: the eye, the port, the tube and the flow.
	y := -r - 16
	long := 34.0
	for _, at := range []float64{-6, 6} {
		d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{-long / 2, y + at}, To: draw.Pos{long, y + at}})
	}
	d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{-long / 2, y - 9}, To: draw.Pos{-long / 2, y + 9}})
	d.Add(draw.Arrow(draw.Mark, draw.Pos{-6, y}, draw.Pos{24, y})...)
	d.Add(note(draw.Pos{9, y + 1.5}, draw.BaseMiddle, 2.2, false, "flow"))
	d.Add(eye(draw.Pos{-long/2 - 18, y})...)
	d.Add(draw.Line{Layer: draw.Reference, From: draw.Pos{-long/2 - 13, y}, To: draw.Pos{-8, y}})
	d.Add(note(draw.Pos{-long / 2, y - 13}, draw.BaseMiddle, 2, false, "port"))
	d.Add(lines(draw.Pos{0, y - 15}, "Look from the port along the tube.", "Plus is clockwise, minus is counter-clockwise.", "The arc is laid off on the OD from the outside line of", "the bend before; there the outside of the next bend goes.")...)
	return d
}

// eye is an eye that looks to the right.
func eye(at draw.Pos) []draw.Entity {
	const lid, tall = 0.5, 3.2
	return []draw.Entity{
		draw.Line{Layer: draw.Mark, From: draw.Pos{at[0], at[1] + tall}, To: draw.Pos{at[0] + 8, at[1]}},
		draw.Line{Layer: draw.Mark, From: draw.Pos{at[0], at[1] - tall}, To: draw.Pos{at[0] + 8, at[1]}},
		draw.Arc{Layer: draw.Mark, Centre: draw.Pos{at[0] + 8, at[1]}, Radius: 7, Start: math.Pi - lid, Sweep: 2 * lid},
		draw.Circle{Layer: draw.Mark, Centre: draw.Pos{at[0] + 2.4, at[1]}, Radius: 1},
	}
}

// dial is one bend as it is turned, with its arc as long as it is on the OD.
func (m maker) dial(j joint, od float64) draw.Drawing {
	var d draw.Drawing
	r := od / 2
	turn := j.arc / r
	d.Add(draw.Circle{Layer: draw.Mark, Radius: r}, draw.Circle{Layer: draw.Mark, Radius: 0.8})
	d.Add(draw.Line{Layer: draw.Reference, To: draw.Pos{0, r}}, draw.Line{Layer: draw.Mark, From: draw.Pos{0, r - 3}, To: draw.Pos{0, r + 3}})
	d.Add(note(draw.Pos{0, r + 10}, draw.BaseMiddle, 2.2, false, j.from()))
	d.Add(draw.Line{Layer: draw.Mark, To: dialOff(r+8, turn)})
	// Its name within the dial, as far from both lines as there is room.
	d.Add(draw.Text{Layer: draw.Note, At: dialOff(r*0.5, turn/2+math.Pi), Height: 2.2, Anchor: draw.MidMiddle, Bold: true, Text: j.after})
	if math.Abs(turn) > 0.02 {
		d.Add(swept(r+5, turn)...)
	}
	y := -r - 14
	long := math.Abs(j.arc)
	d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{-long / 2, y}, To: draw.Pos{long / 2, y}})
	for _, x := range []float64{-long / 2, long / 2} {
		d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{x, y - 2}, To: draw.Pos{x, y + 2}})
	}
	d.Add(lines(draw.Pos{0, y - 3}, fmt.Sprintf("Joint %d: %s to %s", j.n, j.before, j.after), m.wayRound(j.arc)+" on the OD", "rotation "+degrees(j.rotation)+" from "+j.line())...)
	return d
}

func (m maker) clockTable(name string, turned []joint) draw.Table {
	t := draw.Table{Name: name + ", seen from the port, plus is clockwise", Left: 4, Heads: []string{"joint", "between", "bend", "from the line", "rotation", "arc on the OD, " + string(m.o.Unit), "way"}}
	if m.o.Unit == "in" {
		t.Heads[5] += ", and nearest 1/64"
	}
	for _, j := range turned {
		way := "clockwise"
		switch {
		case math.Abs(j.arc) < 0.005:
			way = "in line"
		case j.arc < 0:
			way = "counter-clockwise"
		}
		arc := m.signed(j.arc)
		if f := m.fraction(math.Abs(j.arc)); f != "" {
			arc += " (" + f + ")"
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(j.n), j.before + " and " + j.after, j.after, j.from(), degrees(j.rotation), arc, way})
	}
	return t
}
