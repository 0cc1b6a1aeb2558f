package sheet

import (
	"slices"

	"tubewright/calc/draw"
	"tubewright/calc/flange"
	"tubewright/calc/job"
)

// dies are the bars by which the ends of the tubes of a bank are formed.
func (m maker) dies(k job.Bank, f job.FlangePlan) draft {
	d := draft{Entry: Entry{Key: "dies-" + k.ID, Title: "Dies of bank " + k.ID, Forms: []string{PDF, SVG, DXF}, Warnings: []string{}}}
	var disputed, ids []string
	for _, e := range f.Ends {
		if e.Die != nil {
			disputed, ids = append(disputed, e.Disputed...), append(ids, e.Tube)
		}
	}
	if len(ids) == 0 {
		d.Why = "To enter first: a port's outline, and the OD and wall of the tube that starts there."
		return d
	}
	d.Warnings = m.warnings(ids, []string{"end"}, disputed)
	d.make = func(made *Made) error {
		made.Revision = k.Making.Revision
		var cells []draw.Drawing
		u := ", " + string(m.o.Unit)
		t := draw.Table{Name: d.Title, Left: 2, Heads: []string{"port", "tube", "perimeter of the die" + u, "clearance to the opening" + u, "middle of the wall, round" + u, "formed" + u, "stretch, %"}}
		for _, e := range f.Ends {
			p, tube, ok := m.end(k, e)
			if !ok || e.Die == nil {
				continue
			}
			cell, _ := m.template(loop(e.Die.Loop))
			clearance := "the flange's opening is its outline"
			if c := float64(e.Die.Clearance); c > 0 {
				clearance = "clearance " + m.with(c) + " all round to the opening"
				if opening, err := flange.Offset(*p.Outline, c); err == nil {
					cell.Add(draw.Loop{Layer: draw.Reference, Vertices: opening.Loop(chord)})
				}
			}
			stretch := decimals(float64(e.Stretch), 1)
			cell.Add(lines(draw.Pos{0, cell.Bounds().Min[1] - 3}, "Die for "+within(p.Title), "end of "+within(tube.Title), "perimeter "+m.with(float64(e.Die.Perimeter)), clearance, "stretch "+stretch+" %")...)
			cells = append(cells, cell)
			t.Rows = append(t.Rows, []string{p.Title, tube.Title, m.length(float64(e.Die.Perimeter)), m.length(float64(e.Die.Clearance)), m.length(float64(e.PerimeterTube)), m.length(float64(e.PerimeterPort)), stretch})
		}
		title := m.title(d.Entry, k)
		title.Side = draw.SeenFromTubes
		made.Sheets = paged(title, d.Title, "each die about the centre of its port, x to the right", d.Warnings, cautions(), cells)
		made.Lists = []draw.Table{t}
		return nil
	}
	return d
}

// end are the port and the tube of a formed end.
func (m maker) end(k job.Bank, e job.FormedEnd) (job.Port, job.Tube, bool) {
	i := slices.IndexFunc(k.Ports, func(p job.Port) bool { return p.ID == e.Port && p.Outline != nil })
	n := slices.IndexFunc(m.w.Job.Tubes, func(t job.Tube) bool { return t.ID == e.Tube })
	if i < 0 || n < 0 {
		return job.Port{}, job.Tube{}, false
	}
	return k.Ports[i], m.w.Job.Tubes[n], true
}
