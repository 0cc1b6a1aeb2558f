package sheet

import (
	"fmt"
	"math"

	"tubewright/calc/draw"
	"tubewright/calc/flange"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// transition is the transition from a port to a tube laid flat, for tubes that start at
// a port.
func (m maker) transition(t job.Tube) (draft, bool) {
	d := draft{Entry: Entry{Key: "transition-" + t.ID, Title: "Transition of " + within(t.Title) + ", laid flat", Forms: []string{PDF, SVG, DXF}, Warnings: []string{}}}
	for i, k := range m.w.Job.Banks {
		for _, p := range k.Ports {
			if p.ID == t.Port {
				m.unrolled(&d, k, p, t, m.w.Plan.Flanges[i].Ends)
				return d, true
			}
		}
	}
	return d, false
}

func (m maker) unrolled(d *draft, k job.Bank, p job.Port, t job.Tube, ends []job.FormedEnd) {
	var end job.FormedEnd
	for _, e := range ends {
		if e.Tube == t.ID && e.Port == p.ID {
			end = e
		}
	}
	switch flat := end.Template; {
	case p.Outline == nil:
		d.Why = "To enter first: the outline of " + within(p.Title) + "."
	case !t.OD.Known || !t.Wall.Known:
		d.Why = "To enter first: OD and wall of " + within(t.Title) + "."
	case !t.Transition.Known:
		d.Why = "To enter first: over which length the end of " + within(t.Title) + " goes from port to round."
	case end.Why != "":
		d.Why = fmt.Sprintf("The end cannot be formed: %s.", end.Why)
	case flat == nil:
		d.Why = "The transition cannot be laid flat: look at the port's outline, its aim and the length."
	case !flat.Good:
		d.Why = fmt.Sprintf("Laid flat the sheet would pucker: it would have to shrink by %s once round, and no more than %s goes away in a welded joint. Form the tube's end instead, or make the transition longer.", m.with(float64(flat.Error)), m.with(flange.DevelopableEnough))
	}
	if d.Why != "" {
		return
	}
	d.Warnings = m.warnings([]string{t.ID}, []string{"end"}, end.Disputed)
	d.make = func(made *Made) error {
		flat, err := t.Flat(p)
		if err != nil {
			return err
		}
		made.Revision = k.Making.Revision
		drawing := draw.Drawing{Name: d.Title, Origin: "the seam at the port's end"}
		m.flat(&drawing, flat, p, t)
		made.Sheets = []draw.Sheet{{Title: m.title(d.Entry, k), Warnings: d.Warnings, Cautions: cautions(), Drawing: drawing}}
		made.Lists = []draw.Table{m.flatFacts(flat, end, p, t)}
		return nil
	}
}

// flat draws the outline, the lines along which it bends, and what its edges are.
func (m maker) flat(d *draw.Drawing, flat flange.Template, p job.Port, t job.Tube) {
	var edge []geom.Vertex
	for _, q := range flat.Bore {
		edge = append(edge, geom.Vertex{X: q[0], Y: q[1]})
	}
	n := len(flat.Port)
	for i := n - 1; i >= 0; i-- {
		edge = append(edge, geom.Vertex{X: flat.Port[i][0], Y: flat.Port[i][1]})
	}
	d.Add(draw.Loop{Layer: draw.Cut, Vertices: edge})
	// A line every so often round the bore: where none stands between two places of the
	// port, the sheet is flat there.
	step, gone := 8*math.Pi/180*(t.OD.V-t.Wall.V).MM()/2, 0.0
	for i := 1; i < n-1; i++ {
		gone += math.Hypot(flat.Bore[i][0]-flat.Bore[i-1][0], flat.Bore[i][1]-flat.Bore[i-1][1])
		if gone >= step {
			d.Add(draw.Line{Layer: draw.Note, From: flat.Port[i], To: flat.Bore[i]})
			gone = 0
		}
	}
	d.Add(edgeText(flat.Bore, "to the tube: round", 1)...)
	d.Add(edgeText(flat.Port, "to "+within(p.Title), -1)...)
	d.Add(seam(flat.Port[0], flat.Bore[0], 1), seam(flat.Port[n-1], flat.Bore[n-1], -1))
	b := d.Bounds()
	texts := []string{t.Title + " to " + within(p.Title) + ": outside up", "on the middle of the wall of " + m.with(t.Wall.V.MM()), "length along the tube " + m.with(t.Transition.V.MM())}
	if flat.Exact {
		texts = append(texts, "lies flat exactly")
	} else {
		texts = append(texts, "error: it has to shrink by "+m.with(flat.Error)+" once round")
	}
	d.Add(lines(draw.Pos{(b.Min[0] + b.Max[0]) / 2, b.Min[1] - 3}, texts...)...)
}

// edgeText writes along the middle of an edge, on its outer side.
func edgeText(edge [][2]float64, text string, side float64) []draw.Entity {
	i := len(edge) / 2
	a, b := edge[max(0, i-3)], edge[min(len(edge)-1, i+3)]
	turn := math.Atan2(b[1]-a[1], b[0]-a[0])
	sin, cos := math.Sincos(turn)
	off := 2.0 * side
	if side < 0 {
		off -= 2.5
	}
	return []draw.Entity{draw.Text{Layer: draw.Note, At: draw.Pos{edge[i][0] - off*sin, edge[i][1] + off*cos}, Height: 2.5, Anchor: draw.BaseMiddle, Turn: turn, Text: text}}
}

// seam names an edge that is welded to its other half, outside of it.
func seam(a, b [2]float64, side float64) draw.Entity {
	turn := math.Atan2(b[1]-a[1], b[0]-a[0])
	sin, cos := math.Sincos(turn)
	off := 2.5 * side
	mid := draw.Pos{(a[0]+b[0])/2 - off*sin, (a[1]+b[1])/2 + off*cos}
	if turn > math.Pi/2 {
		turn -= math.Pi
	} else if turn <= -math.Pi/2 {
		turn += math.Pi
	}
	return draw.Text{Layer: draw.Note, At: mid, Height: 2, Anchor: draw.MidMiddle, Turn: turn, Text: "seam"}
}

func (m maker) flatFacts(flat flange.Template, end job.FormedEnd, p job.Port, t job.Tube) draw.Table {
	list := draw.Table{Name: "Transition of " + within(t.Title), Heads: []string{"what", "value"}, Left: 2}
	add := func(what, value string) { list.Rows = append(list.Rows, []string{what, value}) }
	add("from", p.Title+", "+outlineWord(p))
	add("to", "a tube of "+m.with(t.OD.V.MM())+" OD, wall "+m.with(t.Wall.V.MM()))
	add("length along the tube", m.with(t.Transition.V.MM()))
	add("seam", m.with(flat.Bore[0][1])+" long, at x "+m.with(flat.Seam.From.X)+", y "+m.with(flat.Seam.From.Y)+" from the port's centre")
	add("error of the flat", m.with(flat.Error))
	if l := end.Loft; l != nil {
		add("least and greatest area", m.area(float64(l.Least))+", "+m.area(float64(l.Greatest)))
		add("greatest lean of the wall", decimals(float64(l.Wall), 1)+"°")
	}
	return list
}
