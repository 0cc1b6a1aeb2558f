package sheet

import (
	"fmt"
	"math"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/units"
	"tubewright/calc/wrap"
)

var saddleAsks = []Ask{
	{Name: "od", Label: "Branch OD", Unit: "mm", Low: 3, High: 250},
	{Name: "wall", Label: "Branch wall", Unit: "mm", Low: 0, High: 60, Default: "0"},
	{Name: "angle", Label: "Angle", Unit: "°", Low: 15, High: 90, Default: "90"},
	{Name: "offset", Label: "Offset", Unit: "mm", Low: -100, High: 100, Default: "0"},
}

// saddle is a branch on a straight of a tube, a bung or a crossover, with the hole for
// it. The branch stands behind the key.
func (m maker) saddle(t job.Tube, f Figures) draft {
	d := draft{Entry: Entry{Key: "saddle-" + t.ID, Title: "Branch or bung on " + within(t.Title), Forms: []string{PDF, SVG, DXF}, Warnings: []string{}, Asks: saddleAsks}}
	d.figured = func(f Figures) draft { return m.saddle(t, f) }
	s := wrap.Saddle{Branch: f.length("od"), Wall: f.length("wall"), Tube: t.OD.V, Angle: f.angle("angle"), Offset: f.length("offset")}
	if _, said := f["angle"]; !said {
		s.Angle = 90 * units.Degree
	}
	switch {
	case !t.OD.Known:
		d.Why = "To enter first: the OD of " + within(t.Title) + "."
	case s.Branch == 0:
		d.Why = "To say first: the OD of the branch."
	default:
		if err := s.Check(); err != nil {
			d.Why = sentence(err)
		}
	}
	d.make = func(made *Made) error {
		made.Revision = m.bank(t).Making.Revision
		end, err := m.branch(s)
		if err != nil {
			return err
		}
		hole, err := m.hole(s, t)
		if err != nil {
			return err
		}
		made.Sheets = m.tubeSheets(d, t, d.Title, "the wrap from the crossing of the axes, the hole about it", []draw.Drawing{end, hole}, cautions())
		made.Lists = []draw.Table{m.saddleFacts(s, t)}
		return nil
	}
	return d
}

// branchLong is how much of the branch is left on its wrap beyond the deepest place, mm.
const branchLong = 15.0

// branch is the wrap of the branch's end: the sharp side in the middle, the tube below.
func (m maker) branch(s wrap.Saddle) (draw.Drawing, error) {
	var d draw.Drawing
	c, err := s.End(wrap.Whole)
	if err != nil {
		return d, err
	}
	points := c.Points(wrapSteps, paperThick)
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = math.Min(low, p[1]), math.Max(high, p[1])
	}
	top := high + branchLong
	var edge []geom.Vertex
	for _, p := range points {
		edge = append(edge, geom.Vertex{X: p[0], Y: p[1]})
	}
	half := points[len(points)-1][0]
	edge = append(edge, geom.Vertex{X: half, Y: top}, geom.Vertex{X: -half, Y: top})
	d.Add(draw.Loop{Layer: draw.Cut, Vertices: edge})
	d.Add(flap(half, points[0][1], top)...)
	d.Add(draw.Line{Layer: draw.Note, From: draw.Pos{0, c.At(0).MM()}, To: draw.Pos{0, top}})
	d.Add(sides(half, top, s.Angle > 89.95*units.Degree)...)
	if s.Wall > 0 {
		// The trade's curve beside it, for who cuts by the bore.
		bore, err := s.End(wrap.Bore)
		if err != nil {
			return d, err
		}
		list := bore.Points(72, paperThick)
		for i := 1; i < len(list); i++ {
			d.Add(draw.Line{Layer: draw.Note, From: list[i-1], To: list[i]})
		}
	}
	d.Add(lines(draw.Pos{0, low - 2}, "Branch "+m.with(s.Branch.MM())+" OD on "+m.with(s.Tube.MM())+", "+degrees(float64(s.Angle)), "top edge square, "+m.with(top)+" from where the axes cross", "cut goes "+m.with(high-low)+" deep", "wide from seam to seam "+m.with(wrapWidth(s.Branch.MM()))+", on paper "+m.with(paperThick)+" thick")...)
	return d, nil
}

// sides names the four sides of a branch below the top edge of its wrap. Up its axis an
// angle counts from the side with the flow to that on the left of it, right-hand.
func sides(half, top float64, isSquare bool) []draw.Entity {
	with, against := "sharp side", "blunt side"
	if isSquare {
		with, against = "with the flow", "against"
	}
	const high = 2.0
	// Side by side they would run into each other on a thin branch.
	say := func(x, y float64, a draw.Anchor, text string) draw.Entity {
		return note(draw.Pos{x, top - y - high}, a, high, false, draw.Shortened(text, high, false, half-2))
	}
	tick := func(x float64) draw.Entity {
		return draw.Line{Layer: draw.Note, From: draw.Pos{x, top - 5}, To: draw.Pos{x, top - 7}}
	}
	return []draw.Entity{say(1, 2, draw.BaseLeft, with), say(1-half, 2, draw.BaseLeft, against),
		tick(half / 2), say(half/2, 7.8, draw.BaseMiddle, "left"), tick(-half / 2), say(-half/2, 7.8, draw.BaseMiddle, "right")}
}

// hole is the hole in the tube on its wrap, the flow upwards.
func (m maker) hole(s wrap.Saddle, t job.Tube) (draw.Drawing, error) {
	var d draw.Drawing
	through := s.Wall == 0 // a rod or a bung said without its wall goes in with all of it
	list, err := s.Hole(through, wrapSteps, paperThick)
	if err != nil {
		return d, err
	}
	var edge []geom.Vertex
	for _, p := range list {
		edge = append(edge, geom.Vertex{X: p[0], Y: p[1]})
	}
	loop := draw.Loop{Layer: draw.Cut, Vertices: edge}
	d.Add(loop)
	b := loop.Bounds()
	d.Add(crossedAt(b)...)
	d.Add(flow(draw.Pos{b.Max[0] + 8, b.Min[1]}, b.Height())...)
	what := "Hole, as wide as the branch's bore: it is set on"
	if through {
		what = "Hole, as wide as the branch: it goes through"
	}
	d.Add(lines(draw.Pos{(b.Min[0] + b.Max[0]) / 2, d.Bounds().Min[1] - 1}, what, m.with(b.Height())+" along the tube, "+m.with(b.Width())+" round it", "on a straight of "+within(t.Title)+", the branch leans with the flow", "crossed where the axes cross")...)
	return d, nil
}

// crossedAt are centre lines through 0, 0 over the edges of a box.
func crossedAt(b draw.Box) []draw.Entity {
	const over = 4.0
	return []draw.Entity{
		draw.Line{Layer: draw.Centre, From: draw.Pos{0, math.Min(0, b.Min[1]) - over}, To: draw.Pos{0, math.Max(0, b.Max[1]) + over}},
		draw.Line{Layer: draw.Centre, From: draw.Pos{math.Min(0, b.Min[0]) - over, 0}, To: draw.Pos{math.Max(0, b.Max[0]) + over, 0}},
	}
}

func (m maker) saddleFacts(s wrap.Saddle, t job.Tube) draw.Table {
	list := draw.Table{Name: "Branch on " + within(t.Title), Heads: []string{"what", "value"}, Left: 2}
	add := func(what, value string) { list.Rows = append(list.Rows, []string{what, value}) }
	add("branch", m.with(s.Branch.MM())+" OD, wall "+m.with(s.Wall.MM()))
	add("tube", m.with(s.Tube.MM())+" OD, on a straight")
	add("angle between the axes", degrees(float64(s.Angle)))
	add("offset of the axes", m.with(s.Offset.MM())+", plus to the right along the flow with the branch up")
	add("right, left", "as seen along the flow with the branch up; its print is outwards")
	if s.Wall > 0 {
		add("which edge touches", "inner or outer, whichever comes first at each place; the thin line is the inner one alone")
	}
	add("a crossover", "has such an end on both tubes: make this sheet for each")
	for _, deg := range []int{0, 45, 90, 135, 180, 225, 270, 315} {
		c, err := s.End(wrap.Whole)
		if err != nil {
			continue
		}
		side := map[int]string{0: ", with the flow", 90: ", left", 180: ", against the flow", 270: ", right"}[deg]
		add(fmt.Sprintf("from the axes' crossing, at %d°%s", deg, side), m.with(c.At(units.Angle(deg)*units.Degree).MM()))
	}
	return list
}
