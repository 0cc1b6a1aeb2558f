package sheet

import (
	"fmt"
	"math"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// labels are the labels of the pieces of a tube, to be cut out and stuck on.
func (m maker) labels(t job.Tube, tp job.TubePlan) draft {
	d := m.onTube("labels", "Labels", t, tp, PDF, SVG)
	d.make = func(made *Made) error {
		made.Revision = m.bank(t).Making.Revision
		made.uncut = "Nothing of labels is cut but paper."
		var cells []draw.Drawing
		for i := range tp.Pieces {
			cell, err := m.label(t, tp, i)
			if err != nil {
				return err
			}
			cells = append(cells, cell)
		}
		made.Sheets = m.tubeSheets(d, t, d.Title, "the lower left corner of each label", cells, []string{startCaution, edgeCaution})
		return nil
	}
	return d
}

const (
	labelWide = 79.0
	labelHigh = 36.0
	// moduleWide is how wide a square of a code is, in mm: a tablet's camera reads half of
	// that (common practice, no source).
	moduleWide = 0.6
	// quiet is how many squares of white a code has about it (from memory of ISO/IEC 18004).
	quiet = 4
)

// label is the label of piece i.
func (m maker) label(t job.Tube, tp job.TubePlan, i int) (draw.Drawing, error) {
	var d draw.Drawing
	p := tp.Pieces[i]
	d.Add(box(draw.Note, 0, 0, labelWide, labelHigh))
	right := labelWide - 2.0
	if m.o.Link != nil && m.o.Code != nil {
		if link := m.o.Link(p.ID); link != "" {
			code, err := m.o.Code(link)
			if err != nil {
				return d, fmt.Errorf("label of %s: %w", p.ID, err)
			}
			module := math.Min(moduleWide, labelHigh/float64(len(code)+2*quiet)) // a long address has more squares
			side := module * float64(len(code)+2*quiet)
			right -= side
			d.Add(squares(code, draw.Pos{right + module*quiet, labelHigh/2 + side/2 - module*quiet}, module)...)
		}
	}
	wide := right - 3
	line := func(y, high float64, bold bool, text string) {
		d.Add(note(draw.Pos{3, y}, draw.BaseLeft, high, bold, draw.Shortened(text, high, bold, wide)))
	}
	line(labelHigh-9, 6, true, p.ID)
	title := t.Title
	if c := m.cylinder(t); c != "" {
		title += ", " + c
	}
	line(labelHigh-14, 2.2, false, title)
	behind := "collector"
	if t.Collector == "" {
		behind = "end"
	}
	if i+1 < len(tp.Pieces) {
		behind = tp.Pieces[i+1].ID
	}
	before := "flange"
	if i > 0 {
		before = tp.Pieces[i-1].ID
	}
	// The arrow with a joint at each end.
	y := labelHigh - 18.5
	d.Add(draw.Arrow(draw.Mark, draw.Pos{3, y}, draw.Pos{3 + wide, y})...)
	d.Add(note(draw.Pos{3 + wide/2, y + 0.8}, draw.BaseMiddle, 1.8, false, "flow"))
	d.Add(note(draw.Pos{3, y - 3.2}, draw.BaseLeft, 2, false, fmt.Sprintf("joint %d: %s", i, before)), note(draw.Pos{3 + wide, y - 3.2}, draw.BaseRight, 2, false, fmt.Sprintf("joint %d: %s", i+1, behind)))
	if isBend(p) {
		line(8.6, 2.6, true, fmt.Sprintf("bend %s, CLR %s", decimals(float64(*p.Angle), 1)+"°", m.with(float64(*p.CLR))))
		line(5, 2.2, false, "outside "+m.taped(float64(*p.Outside)))
		line(1.6, 2.2, false, "inside "+m.taped(float64(*p.Inside)))
	} else {
		line(8.6, 2.6, true, "straight "+m.with(float64(p.Length)))
		line(5, 2.2, false, "square to square, "+m.taped(float64(p.Length)))
		line(1.6, 2.2, false, "OD "+m.with(t.OD.V.MM())+", wall "+m.with(t.Wall.V.MM()))
	}
	return d, nil
}

// box is an upright rectangle.
func box(l draw.Layer, x0, y0, x1, y1 float64) draw.Entity {
	return draw.Loop{Layer: l, Vertices: []geom.Vertex{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
}

// squares draws a code from its top left corner, each square so many mm wide: squares in
// a row as one bar.
func squares(code Code, at draw.Pos, module float64) []draw.Entity {
	var list []draw.Entity
	for row, line := range code {
		for x := 0; x < len(line); {
			run := 0
			for x+run < len(line) && line[x+run] {
				run++
			}
			if run > 0 {
				x0, y0 := at[0]+module*float64(x), at[1]-module*float64(row+1)
				bar := box(draw.Note, x0, y0, x0+module*float64(run), y0+module).(draw.Loop)
				bar.Filled = true
				list = append(list, bar)
			}
			x += max(run, 1)
		}
	}
	return list
}
