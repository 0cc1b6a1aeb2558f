package draw

import (
	"fmt"
	"math"
)

// Table is a block of rows under a head, drawn on the layer Note.
type Table struct {
	Name  string   // above the table; may be empty
	Heads []string // with the unit: "x, mm"
	Rows  [][]string
	Left  int // so many columns, from the left, are words; the others are figures and stand to the right
}

const (
	lineHigh  = 2.6 * FigureHeight // of a row
	columnPad = 2.0
	nameHigh  = 7.0
)

// Entities returns the table with its top left corner at the given place, and its
// width and height in mm. Columns are as wide as the widest text in them. The error is
// for a row that has not a text for every column.
func (t Table) Entities(at [2]float64) (list []Entity, width, height float64, err error) {
	wide := make([]float64, len(t.Heads))
	for i, h := range t.Heads {
		wide[i] = TextWidth(h, FigureHeight, true)
	}
	for n, r := range t.Rows {
		if len(r) != len(t.Heads) {
			return nil, 0, 0, fmt.Errorf("table %q: row %d has %d texts for %d columns", t.Name, n+1, len(r), len(t.Heads))
		}
		for i, text := range r {
			wide[i] = max(wide[i], TextWidth(text, FigureHeight, false))
		}
	}
	for i := range wide {
		wide[i] += 2 * columnPad
		width += wide[i]
	}
	y := at[1]
	if t.Name != "" {
		list = append(list, Text{Layer: Note, At: at, Height: 3, Anchor: TopLeft, Bold: true, Text: t.Name})
		width = max(width, TextWidth(t.Name, 3, true))
		y -= nameHigh
	}
	rule := func(l Layer) {
		list = append(list, Line{l, [2]float64{at[0], y}, [2]float64{at[0] + width, y}})
	}
	row := func(texts []string, bold bool) {
		x := at[0]
		for i, text := range texts {
			cell := Text{Layer: Note, At: [2]float64{x + columnPad, y - lineHigh/2}, Height: FigureHeight, Anchor: MidLeft, Bold: bold, Text: text}
			if i >= t.Left {
				cell.At[0], cell.Anchor = x+wide[i]-columnPad, MidRight
			}
			list = append(list, cell)
			x += wide[i]
		}
		y -= lineHigh
	}
	rule(Mark)
	row(t.Heads, true)
	rule(Mark)
	for _, r := range t.Rows {
		row(r, false)
		rule(Note)
	}
	return list, width, at[1] - y, nil
}

// Sheet returns a sheet that is not to scale with only the table on it.
func (t Table) Sheet(title Title, cautions ...string) (Sheet, error) {
	list, _, _, err := t.Entities([2]float64{})
	if err != nil {
		return Sheet{}, err
	}
	return Sheet{Title: title, Cautions: cautions, NotToScale: true,
		Drawing: Drawing{Name: t.Name, Entities: list}}, nil
}

// Pages cuts the table into tables at most height mm high, each under the same head.
func (t Table) Pages(height float64) []Table {
	room := height - lineHigh
	if t.Name != "" {
		room -= nameHigh
	}
	most := max(1, int(math.Floor(room/lineHigh)))
	if len(t.Rows) <= most {
		return []Table{t}
	}
	var list []Table
	for from := 0; from < len(t.Rows); from += most {
		part := t
		part.Rows = t.Rows[from:min(from+most, len(t.Rows))]
		if t.Name != "" && from > 0 {
			part.Name += ", continued"
		}
		list = append(list, part)
	}
	return list
}
