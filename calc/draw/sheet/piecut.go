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

// easiest is by how much a cut leans at most where nothing else was asked for: three
// welds a quarter turn (common practice, no source).
const easiest = 15 * units.Degree

var pieCutAsks = []Ask{
	{Name: "cut", Label: "Cut angle", Unit: "°", Low: 1, High: 45},
	{Name: "welds", Label: "Welds", Low: 1, High: 24},
}

// pieCuts are the bends of a tube as pie cuts, with the gores as wraps. A cut angle or a
// count of welds may stand behind the key.
func (m maker) pieCuts(t job.Tube, tp job.TubePlan, f Figures) draft {
	d := m.onTube("piecut", "Pie cuts for the bends", t, tp, PDF, SVG, DXF)
	d.Asks = pieCutAsks
	d.figured = func(f Figures) draft { return m.pieCuts(t, tp, f) }
	var cuts []pieCut
	for _, p := range tp.Pieces {
		if isBend(p) {
			cuts = append(cuts, m.pieCut(t, p, f))
		}
	}
	switch {
	case d.Why != "":
	case len(cuts) == 0:
		d.Why = "A tube without a bend has no pie cuts."
	case f["cut"] != 0 && f["welds"] != 0:
		d.Why = "Say the cut angle or the count of welds, not both: one gives the other."
	}
	for _, c := range cuts {
		if c.err != nil {
			d.Warnings = append(d.Warnings, "Do not cut "+c.piece.ID+" so: "+sentence(c.err))
		}
	}
	if first := firstFault(cuts); d.Why == "" && first != nil {
		d.Why = "None of its bends can be pie cut so. " + sentence(first)
	}
	d.make = func(made *Made) error {
		made.Revision = m.bank(t).Making.Revision
		var cells []draw.Drawing
		for _, c := range cuts {
			if c.err != nil {
				continue
			}
			cells = append(cells, m.pieView(c), m.gore(c, 0))
			if c.Welds > 1 {
				cells = append(cells, m.gore(c, 1))
			}
		}
		made.Sheets = m.tubeSheets(d, t, d.Title, "each wrap about the middle of its gore, views about the bend's centre", cells, cautions())
		made.Lists = []draw.Table{m.pieTable(cuts), pieRules()}
		return nil
	}
	return d
}

// pieCut is a bend as it is pie cut; err says why it cannot be.
type pieCut struct {
	wrap.PieCut
	piece job.PiecePlan
	err   error
}

// firstFault is the fault of the first where all are faulty.
func firstFault(cuts []pieCut) error {
	for _, c := range cuts {
		if c.err == nil {
			return nil
		}
	}
	if len(cuts) == 0 {
		return nil
	}
	return cuts[0].err
}

func (m maker) pieCut(t job.Tube, p job.PiecePlan, f Figures) pieCut {
	c := pieCut{wrap.PieCut{OD: t.OD.V, CLR: units.Length(*p.CLR), Turn: units.Angle(*p.Angle) * units.Degree}, p, nil}
	switch {
	case f["welds"] != 0:
		c.Welds = int(math.Round(f["welds"]))
	case f["cut"] != 0:
		if c.Welds, c.err = wrap.InSteps(c.Turn, f.angle("cut")); c.err != nil {
			return c
		}
	default:
		c.Welds = wrap.FewestWelds(c.Turn, easiest)
	}
	c.err = c.Check()
	return c
}

// pieView is the bend as it is put together, from the side, at true size.
func (m maker) pieView(c pieCut) draw.Drawing {
	var d draw.Drawing
	clr, r, cut := c.CLR.MM(), c.OD.MM()/2, float64(c.Cut())
	// Corner i lies on the weld i, which goes through the bend's centre; ends on the tangent lines.
	at := func(radius, angle float64) draw.Pos {
		sin, cos := math.Sincos(angle)
		return draw.Pos{radius * cos, radius * sin}
	}
	for _, off := range []float64{-r, r, 0} {
		layer := draw.Mark
		if off == 0 {
			layer = draw.Centre
		}
		from := at(clr+off, 0)
		for i := range c.Welds {
			to := at((clr+off)/math.Cos(cut), float64(2*i+1)*cut)
			d.Add(draw.Line{Layer: layer, From: from, To: to})
			from = to
		}
		d.Add(draw.Line{Layer: layer, From: from, To: at(clr+off, float64(c.Turn))})
	}
	for i := range c.Welds {
		k := 1 / math.Cos(cut)
		d.Add(draw.Line{Layer: draw.Mark, From: at((clr-r)*k, float64(2*i+1)*cut), To: at((clr+r)*k, float64(2*i+1)*cut)})
	}
	for _, a := range []float64{0, float64(c.Turn)} {
		d.Add(draw.Line{Layer: draw.Mark, From: at(clr-r, a), To: at(clr+r, a)})
	}
	d.Add(draw.Circle{Layer: draw.Centre, Radius: 0.8})
	b := d.Bounds()
	d.Add(lines(draw.Pos{(b.Min[0] + b.Max[0]) / 2, b.Min[1] - 3}, c.piece.ID+" as a pie cut, from the side", fmt.Sprintf("%s, CLR %s, %d welds, cut %s", decimals(c.Turn.Deg(), 1)+"°", m.with(clr), c.Welds, decimals(c.Cut().Deg(), 2)+"°"), "both ends are half gores: square where the straight is")...)
	return d
}

// gore is the wrap of a half gore (i is 0) or of a whole one: cut along both lines.
func (m maker) gore(c pieCut, i int) draw.Drawing {
	var d draw.Drawing
	low, high := c.Ends(i)
	od := c.OD.MM()
	below, above := low.Points(wrapSteps, paperThick), high.Points(wrapSteps, paperThick)
	var edge []geom.Vertex
	for _, p := range below {
		edge = append(edge, geom.Vertex{X: p[0], Y: p[1]})
	}
	for k := len(above) - 1; k >= 0; k-- {
		edge = append(edge, geom.Vertex{X: above[k][0], Y: above[k][1]})
	}
	d.Add(draw.Loop{Layer: draw.Cut, Vertices: edge})
	half := wrapWidth(od) / 2
	seamLow, seamHigh := below[0][1], above[0][1]
	d.Add(flap(half, seamLow, seamHigh)...)
	d.Add(draw.Line{Layer: draw.Note, From: draw.Pos{0, low.At(0).MM()}, To: draw.Pos{0, high.At(0).MM()}})
	g := c.Gores()[i]
	if says := sideways(-0.8, (low.At(0)+high.At(0)).MM()/2, "outside "+m.with(g.Outside.MM())); says.Bounds().Height() < g.Outside.MM() {
		d.Add(says)
	}
	if seamHigh-seamLow > 4 {
		d.Add(draw.Text{Layer: draw.Note, At: draw.Pos{-half + 1.5, (seamLow + seamHigh) / 2}, Height: 1.6, Anchor: draw.MidLeft, Text: "inside " + m.with(g.Inside.MM())})
	}
	what := fmt.Sprintf("%s: whole gore, make %d", c.piece.ID, c.Welds-1)
	more := "both ends mitred, long sides on one line"
	if g.Half {
		what, more = c.piece.ID+": half gore, make 2", "straight line: square end, to the straight; curve: mitred"
	}
	d.Add(lines(draw.Pos{0, d.Bounds().Min[1] - 2}, what, more, "outside "+m.with(g.Outside.MM())+", inside "+m.with(g.Inside.MM())+", centreline "+m.with(g.Centreline.MM()))...)
	return d
}

// flap goes on over the seam of a wrap that is cut out, between two heights.
func flap(half, low, high float64) []draw.Entity {
	end := half + seamFlap
	return []draw.Entity{
		draw.Line{Layer: draw.Reference, From: draw.Pos{half, low}, To: draw.Pos{end, low}},
		draw.Line{Layer: draw.Reference, From: draw.Pos{end, low}, To: draw.Pos{end, high}},
		draw.Line{Layer: draw.Reference, From: draw.Pos{end, high}, To: draw.Pos{half, high}},
	}
}

func (m maker) pieTable(cuts []pieCut) draw.Table {
	u := ", " + string(m.o.Unit)
	t := draw.Table{Name: "Pie cuts, net", Left: 1, Heads: []string{"bend", "bent through", "welds", "cut", "CLR" + u, "corners at" + u, "centreline" + u, "drawn bend" + u, "whole gore out" + u, "in" + u, "half gore out" + u, "in" + u, "tube needed" + u}}
	kerf := units.Length(0)
	if k := m.w.Job.Shop.Kerf; k.Known {
		kerf = k.V
	}
	for _, c := range cuts {
		if c.err != nil {
			continue
		}
		gores := c.Gores()
		row := []string{c.piece.ID, decimals(c.Turn.Deg(), 1) + "°", fmt.Sprint(c.Welds), decimals(c.Cut().Deg(), 2) + "°", m.length(c.CLR.MM()), m.length(c.Corner().MM()), m.length(c.Centreline().MM()), m.length(float64(c.piece.Length)), "", "", m.length(gores[0].Outside.MM()), m.length(gores[0].Inside.MM()), m.length(c.Tube(kerf).MM())}
		if c.Welds > 1 {
			row[8], row[9] = m.length(gores[1].Outside.MM()), m.length(gores[1].Inside.MM())
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// pieRules says what is meant by a pie cut here.
func pieRules() draw.Table {
	return draw.Table{Name: "What is meant", Left: 2, Heads: []string{"what", "how"}, Rows: [][]string{
		{"cut", "leans from square by: bent through / (2 · welds)"},
		{"CLR", "the middles of all gores touch this circle; a drawn bend of the same CLR has the same tangent points"},
		{"gores", "welds − 1 whole ones; a half one at each end, square where the straight is joined"},
		{"ends", "a mitred end only ever meets a mitred end of the same cut, long side on long side; never a square one"},
		{"steps", "a saw left at one cut angle turns by twice that at every weld, and by nothing between"},
		{"tube needed", "gores end to end, each turned half round, with a kerf along every cut"},
		{"length", "the centreline has corners and is longer than the drawn bend: count it in the tube's length"},
	}}
}
