package sheet

import (
	"math"

	"tubewright/calc/draw"
)

const (
	// rowWide and pageHigh are how much room a sheet of several templates takes at most,
	// in mm: what fits on one page of every paper, upright.
	rowWide  = 168.0
	pageHigh = 175.0
	between  = 10.0 // templates
)

// paged lays cells out in rows from the left, and the rows on sheets from the top. A
// cell is a drawing about a place of its own.
func paged(title draw.Title, name, origin string, warnings, cautions []string, cells []draw.Drawing) []draw.Sheet {
	return pagedIn(pageHigh, title, name, origin, warnings, cautions, cells)
}

// pagedIn is the same for pages that have room for so many mm.
func pagedIn(high float64, title draw.Title, name, origin string, warnings, cautions []string, cells []draw.Drawing) []draw.Sheet {
	var sheets []draw.Sheet
	page := func() *draw.Drawing {
		sheets = append(sheets, draw.Sheet{Title: title, Warnings: warnings, Cautions: cautions, Drawing: draw.Drawing{Name: name, Origin: origin}})
		return &sheets[len(sheets)-1].Drawing
	}
	on := page()
	x, y, row := 0.0, 0.0, 0.0
	for _, c := range cells {
		b := c.Bounds()
		if x > 0 && x+b.Width() > rowWide {
			x, y, row = 0, y-row-between, 0
		}
		if y < 0 && -y+math.Max(row, b.Height()) > high {
			on = page()
			x, y, row = 0, 0, 0
		}
		on.Add(c.Moved(x-b.Min[0], y-b.Max[1]).Entities...)
		x, row = x+b.Width()+between, math.Max(row, b.Height())
	}
	return sheets
}

// lines are lines of text below each other, the first bold, in the middle below a place.
func lines(at draw.Pos, texts ...string) []draw.Entity {
	var list []draw.Entity
	for i, text := range texts {
		if text == "" {
			continue
		}
		high := 2.4
		if i == 0 {
			high = 3
		}
		at[1] -= high
		list = append(list, note(at, draw.BaseMiddle, high, i == 0, text))
		at[1] -= 1.6
	}
	return list
}

// crossed are centre lines through a box's 0, 0, over its edges, the way up named.
func crossed(b draw.Box) []draw.Entity {
	const over = 4.0
	up := draw.Pos{0, b.Max[1] + over}
	return []draw.Entity{
		draw.Line{Layer: draw.Centre, To: draw.Pos{b.Max[0] + over, 0}}, draw.Line{Layer: draw.Centre, To: draw.Pos{b.Min[0] - over, 0}},
		draw.Line{Layer: draw.Centre, To: up}, draw.Line{Layer: draw.Centre, To: draw.Pos{0, b.Min[1] - over}},
		draw.Text{Layer: draw.Note, At: draw.Pos{up[0], up[1] + 1}, Height: 2, Anchor: draw.BaseMiddle, Text: "up"},
	}
}
