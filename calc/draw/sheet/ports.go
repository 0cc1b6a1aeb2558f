package sheet

import (
	"fmt"
	"math"
	"slices"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// ports are the ports of a bank as templates, each about its centre, with its aim.
func (m maker) ports(k job.Bank, f job.FlangePlan) draft {
	d := draft{Entry: Entry{Key: "ports-" + k.ID, Title: "Ports of bank " + k.ID, Forms: []string{PDF, SVG, DXF}, Warnings: []string{}}}
	if len(f.Ports) == 0 {
		d.Why = "To enter first: the outline of a port."
		return d
	}
	var disputed, ids []string
	for _, p := range f.Ports {
		disputed, ids = append(disputed, p.Disputed...), append(ids, p.ID)
	}
	d.Warnings = m.warnings(ids, []string{"port"}, disputed)
	d.make = func(made *Made) error {
		made.Revision = k.Making.Revision
		var cells []draw.Drawing
		u := string(m.o.Unit)
		t := draw.Table{Name: d.Title, Left: 2, Heads: []string{"port", "outline", "perimeter, " + u, "area, " + m.squared(), "hydraulic Ø, " + u, "Ø of equal area, " + u, "Ø of equal perimeter, " + u}}
		for _, p := range k.Ports {
			i := slices.IndexFunc(f.Ports, func(q job.PortPlan) bool { return q.ID == p.ID })
			if i < 0 || p.Outline == nil {
				continue
			}
			plan := f.Ports[i]
			cells = append(cells, m.portCell(p, plan))
			t.Rows = append(t.Rows, []string{p.Title, outlineWord(p), m.length(float64(plan.Perimeter)), m.square(float64(plan.Area)),
				m.length(float64(plan.HydraulicDiameter)), m.length(float64(plan.EqualArea)), m.length(float64(plan.EqualPerimeter))})
		}
		title := m.title(d.Entry, k)
		title.Side = draw.SeenFromTubes
		made.Sheets = paged(title, d.Title, "each port about its own centre, x to the right", d.Warnings, []string{startCaution, edgeCaution}, cells)
		made.Lists = []draw.Table{t}
		return nil
	}
	return d
}

func outlineWord(p job.Port) string {
	if n := len(p.Rim); n > 0 {
		return fmt.Sprintf("%d points", n)
	}
	if p.Shape == "d" {
		return "D"
	}
	return p.Shape
}

func (m maker) portCell(p job.Port, plan job.PortPlan) draw.Drawing {
	cell, b := m.template(p.Outline.Loop(chord))
	sin, cos := math.Sincos(float64(p.Turn))
	for _, q := range p.Rim {
		cell.Add(draw.Circle{Layer: draw.Note, Centre: draw.Pos{cos*q[0] - sin*q[1], sin*q[0] + cos*q[1]}, Radius: 0.6})
	}
	cell.Add(aimArrow(p.Aim, b)...)
	name := p.Title
	if p.Cylinder.Known {
		name += fmt.Sprintf(", cylinder %g", p.Cylinder.V)
	}
	cell.Add(lines(draw.Pos{0, cell.Bounds().Min[1] - 3}, name, outlineWord(p), aimWord(p.Aim), "perimeter "+m.with(float64(plan.Perimeter)), "area "+m.area(float64(plan.Area)))...)
	return cell
}

// template is a drawing of an outline to cut round, with centre lines and its size.
func (m maker) template(outline []geom.Vertex) (draw.Drawing, draw.Box) {
	var cell draw.Drawing
	cut := draw.Loop{Layer: draw.Cut, Vertices: outline}
	b := cut.Bounds()
	cell.Add(cut)
	cell.Add(crossed(b)...)
	cell.Add(draw.Along(b.Min, draw.Pos{b.Max[0], b.Min[1]}, 0, -9, m.length(b.Width()))...)
	cell.Add(draw.Along(draw.Pos{b.Max[0], b.Min[1]}, b.Max, math.Pi/2, -9, m.length(b.Height()))...)
	return cell, b
}

// straightOut is the lean in rad below which an aim is called straight: 0.05°.
const straightOut = 0.05 * math.Pi / 180

// aimWord says where the gas goes.
func aimWord(aim geom.Vec) string {
	x, y := math.Atan2(aim.X, aim.Z), math.Atan2(aim.Y, aim.Z)
	text := ""
	add := func(angle float64, plus, minus string) {
		switch {
		case angle > straightOut:
			text += ", " + degrees(angle) + " " + plus
		case angle < -straightOut:
			text += ", " + degrees(-angle) + " " + minus
		}
	}
	add(x, "to the right", "to the left")
	add(y, "up", "down")
	if text == "" {
		return "aims straight out"
	}
	return "aims" + text[1:]
}

// aimArrow points from the centre to where the port's aim leans, its length with the
// lean: that of a pin 40 mm long as seen from above, within the outline.
func aimArrow(aim geom.Vec, b draw.Box) []draw.Entity {
	const pin = 40.0
	lean := math.Hypot(aim.X, aim.Y)
	if !(lean > straightOut) {
		return nil
	}
	long := math.Min(math.Max(6, pin*lean), math.Min(b.Width(), b.Height())/2-2)
	return draw.Arrow(draw.Dimension, draw.Pos{}, draw.Pos{long * aim.X / lean, long * aim.Y / lean})
}
