package sheet

import (
	"fmt"
	"math"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// pattern is a bought or drawn flange or a gasket as it lies on the head.
func (m maker) pattern(k job.Bank, f job.FlangePlan, p job.Pattern, plan job.PatternPlan) draft {
	d := draft{Entry: Entry{Key: "pattern-" + p.ID, Title: p.Title + " on the head of bank " + k.ID, Forms: []string{PDF, SVG}, Warnings: []string{}}}
	if plan.Laid == nil {
		d.Why = "It cannot be laid on the head yet: " + strings.TrimSuffix(plan.Why, ".") + "."
		return d
	}
	d.Warnings = m.warnings([]string{p.ID}, []string{"pattern"}, plan.Disputed)
	d.make = func(made *Made) error {
		made.Revision, made.uncut = k.Making.Revision, "Nothing of it is cut, so it has no DXF."
		title := m.title(d.Entry, k)
		title.Part, title.Side = p.Title, draw.SeenFromTubes
		made.Sheets = []draw.Sheet{{Title: title, Warnings: d.Warnings, Cautions: []string{startCaution}, Drawing: m.overlay(d.Title, k, f, p, plan)}}
		made.Lists = m.seats(k, p, plan)
		return nil
	}
	return d
}

// hatched is how far lines of a shadow stand apart, mm.
const hatched = 1.2

// overlay shows the head in full lines, the pattern in dashes, and what is off.
func (m maker) overlay(name string, k job.Bank, f job.FlangePlan, p job.Pattern, plan job.PatternPlan) draw.Drawing {
	d := draw.Drawing{Name: name, Origin: "0, 0 of the bank, x to the right"}
	ports := map[string]job.PortPlan{}
	for _, q := range f.Ports {
		if len(q.Loop) > 0 {
			ports[q.ID] = q
			d.Add(draw.Loop{Layer: draw.Mark, Vertices: loop(q.Loop)})
		}
	}
	for _, o := range plan.Openings {
		path := loop(o.Loop)
		d.Add(draw.Loop{Layer: draw.Reference, Vertices: path})
		if q, ok := ports[o.Port]; ok {
			d.Add(shaded(loop(q.Loop), path, hatched)...)
		}
	}
	if len(plan.Loop) > 1 {
		d.Add(draw.Loop{Layer: draw.Reference, Vertices: loop(plan.Loop)})
	}
	names := namesOf(k)
	holes := map[string]float64{}
	for _, b := range k.Bolts {
		if b.X.Known && b.Y.Known {
			at := draw.Pos{b.X.V.MM(), b.Y.V.MM()}
			holes[b.ID] = b.Hole.V.MM()
			d.Add(draw.CentreMark(at, math.Max(3, holes[b.ID]/2+2))...)
			if b.Hole.Known {
				d.Add(draw.Circle{Layer: draw.Mark, Centre: at, Radius: b.Hole.V.MM() / 2})
			}
			d.Add(note(draw.Pos{at[0] + math.Max(3, holes[b.ID]/2+1.5), at[1] + 2}, draw.BaseLeft, 2.5, true, names[b.ID]))
		}
	}
	most, titles := 0.0, titlesOf(p)
	for _, h := range plan.Holes {
		if r := float64(h.Diameter) / 2; r > 0 {
			d.Add(draw.Circle{Layer: draw.Reference, Centre: draw.Pos(h.At), Radius: r})
		}
		if h.Miss != nil {
			most = math.Max(most, float64(*h.Miss))
		}
	}
	for _, q := range k.Ports {
		if at, ok := ports[q.ID]; ok {
			d.Add(note(draw.Pos(*at.At), draw.MidMiddle, 3.5, true, names[q.ID]))
		}
	}
	times := enlarged(most)
	for _, h := range plan.Holes {
		// What is too short for an arrow is a figure in the list.
		if h.Off == nil || !(float64(*h.Miss)*times >= 1.5) {
			continue
		}
		from := draw.Pos{h.At[0] - h.Off[0], h.At[1] - h.Off[1]}
		to := draw.Pos{from[0] + times*h.Off[0], from[1] + times*h.Off[1]}
		d.Add(draw.Arrow(draw.Mark, from, to)...)
		side := math.Copysign(1, h.Off[0])
		anchor := draw.MidLeft
		if side < 0 {
			anchor = draw.MidRight
		}
		d.Add(note(draw.Pos{to[0] + 1.2*side, to[1]}, anchor, 2.5, true, titles[h.ID]+": "+m.length(float64(*h.Miss))))
	}
	m.legend(&d, plan, most, times)
	return d
}

// enlarged is by how much arrows of at most so many mm are drawn longer: so that the
// longest is 5 to 12 mm, in steps of 1, 2 and 5.
func enlarged(most float64) float64 {
	times := 1.0
	for _, step := range []float64{2, 5, 10, 20, 50, 100, 200} {
		if most*step <= 12 {
			times = step
		}
	}
	return times
}

// legend says below the drawing what its lines are.
func (m maker) legend(d *draw.Drawing, plan job.PatternPlan, most, times float64) {
	b := d.Bounds()
	x, y := b.Min[0], b.Min[1]-8
	say := func(text string, sample ...draw.Entity) {
		for _, e := range sample {
			d.Add(e)
		}
		d.Add(note(draw.Pos{x + 14, y}, draw.MidLeft, 2.5, false, text))
		y -= 5
	}
	line := func(l draw.Layer) draw.Entity {
		return draw.Line{Layer: l, From: draw.Pos{x, y}, To: draw.Pos{x + 11, y}}
	}
	say("the head: ports and bolt holes", line(draw.Mark))
	say(what(plan)+", "+plan.How+", as it fits best", line(draw.Reference))
	square := func(y float64) []geom.Vertex {
		return []geom.Vertex{{X: x + 2, Y: y - 1.7}, {X: x + 9, Y: y - 1.7}, {X: x + 9, Y: y + 1.7}, {X: x + 2, Y: y + 1.7}}
	}
	say("where it stands into a port", shaded(square(y), nil, hatched)...)
	if most > 0 {
		say(fmt.Sprintf("how far a hole is off, %.0f times as long as it is; the figures are true, in %s", times, m.o.Unit), draw.Arrow(draw.Mark, draw.Pos{x, y}, draw.Pos{x + 11, y})...)
	}
}

func what(p job.PatternPlan) string {
	switch p.What {
	case "gasket", "flange":
		return "the " + p.What
	}
	return "what was drawn"
}

// titlesOf names the holes and openings of a pattern on a sheet of nothing else: "hole 5".
func titlesOf(p job.Pattern) map[string]string {
	titles := map[string]string{}
	for _, h := range p.Holes {
		titles[h.ID] = strings.TrimPrefix(h.Title, p.Title+", ")
	}
	for _, o := range p.Openings {
		titles[o.ID] = strings.TrimPrefix(o.Title, p.Title+", ")
	}
	return titles
}

// seats list the holes and the openings of a pattern.
func (m maker) seats(k job.Bank, p job.Pattern, plan job.PatternPlan) []draw.Table {
	u, names, titles := ", "+string(m.o.Unit), namesOf(k), titlesOf(p)
	optional := func(known bool, v func() float64) string {
		if !known {
			return ""
		}
		return m.length(v())
	}
	holes := draw.Table{Name: p.Title + ": " + plan.How, Left: 2, Heads: []string{"hole", "bolt", "Ø" + u, "off" + u, "to the right" + u, "up" + u, "room left" + u}}
	for _, h := range plan.Holes {
		row := []string{titles[h.ID], names[h.Bolt], optional(h.Diameter > 0, func() float64 { return float64(h.Diameter) }),
			optional(h.Miss != nil, func() float64 { return float64(*h.Miss) }), "", "", optional(h.Room != nil, func() float64 { return float64(*h.Room) })}
		if h.Off != nil {
			row[4], row[5] = m.length(h.Off[0]), m.length(h.Off[1])
		}
		holes.Rows = append(holes.Rows, row)
	}
	list := []draw.Table{holes}
	if len(plan.Openings) > 0 {
		t := draw.Table{Name: "Openings", Left: 2, Heads: []string{"opening", "port", "stands into the port" + u, "over, " + m.squared(), "clear of it all round" + u, "edges apart at most" + u}}
		for _, o := range plan.Openings {
			row := []string{titles[o.ID], names[o.Port], "", "", "", optional(o.Off != nil, func() float64 { return float64(*o.Off) })}
			if s := o.ShadePlan; s != nil {
				row[2], row[3], row[4] = m.length(float64(s.Shadow)), m.square(float64(s.Area)), m.length(float64(s.Clear))
			}
			t.Rows = append(t.Rows, row)
		}
		list = append(list, t)
	}
	return list
}
