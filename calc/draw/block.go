package draw

import (
	"strings"

	"tubewright/calc/geom"
)

// Sizes of the title block, in mm.
const (
	labelHeight = 1.6
	rowHeight   = 2.2 // of a capital of a row's text
	cellPad     = 1.5
	cellHigh    = 2*cellPad + labelHeight + 1 + rowHeight
	shortest    = 16.0 // of a cell
)

// Block returns the title block of the sheet as entities on the layer Note, its top
// left corner at the given place, width mm wide, and how high it is in mm. Cells stand
// in rows, each as wide as its text; a text longer than a row is cut short with "…".
func (s Sheet) Block(at [2]float64, width float64) (list []Entity, high float64) {
	type cell struct {
		Row
		wide float64
	}
	var lines [][]cell
	var line []cell
	used := 0.0
	for i, r := range s.Rows() {
		bold := i < 2
		r.Text = Shortened(r.Text, rowHeight, bold, width-2*cellPad)
		need := max(shortest, 2*cellPad+max(TextWidth(r.Text, rowHeight, bold), TextWidth(r.Label, labelHeight, false)))
		if used+need > width && len(line) > 0 {
			lines, line, used = append(lines, line), nil, 0
		}
		line, used = append(line, cell{r, min(need, width)}), used+need
	}
	if len(line) > 0 {
		lines = append(lines, line)
	}
	frame := func(a, b [2]float64) { list = append(list, Line{Note, a, b}) }
	y, n := at[1], 0
	frame(at, shift(at, width, 0))
	for _, line := range lines {
		spare := width
		for _, c := range line {
			spare -= c.wide
		}
		x := at[0]
		for _, c := range line {
			frame([2]float64{x, y}, [2]float64{x, y - cellHigh})
			list = append(list,
				Text{Layer: Note, At: [2]float64{x + cellPad, y - cellPad}, Height: labelHeight, Anchor: TopLeft, Text: c.Label},
				Text{Layer: Note, At: [2]float64{x + cellPad, y - cellHigh + cellPad}, Height: rowHeight, Bold: n < 2, Text: c.Text})
			x += c.wide + spare/float64(len(line))
			n++
		}
		frame([2]float64{at[0] + width, y}, [2]float64{at[0] + width, y - cellHigh})
		y -= cellHigh
		frame([2]float64{at[0], y}, [2]float64{at[0] + width, y})
	}
	return list, at[1] - y
}

// Warned returns the warnings of the sheet, bold beside a thick bar, their top left
// corner at the given place, width mm wide, and how high they are in mm: 0 of none.
func (s Sheet) Warned(at [2]float64, width float64) (list []Entity, high float64) {
	const size, bar, pad = 2.4, 1.2, 2.2
	for _, w := range s.Warnings {
		top := high
		for _, line := range Lines(w, width-pad-1, size, true) {
			list = append(list, Text{Layer: Note, At: shift(at, pad+1, -high), Height: size, Anchor: TopLeft, Bold: true, Text: line})
			high += lineSpace * size
		}
		corner := func(x, y float64) geom.Vertex { return geom.Vertex{X: at[0] + x, Y: at[1] - y} }
		end := high - (lineSpace-1)*size
		list = append(list, Loop{Layer: Note, Filled: true, Vertices: []geom.Vertex{corner(0, top), corner(bar, top), corner(bar, end), corner(0, end)}})
		high += 0.5
	}
	return list, high
}

// lineSpace is from base line to base line, over the height of a capital.
const lineSpace = 1.9

// Paragraph returns the text broken into lines at most width mm wide, its top left
// corner at the given place, and how high it is in mm.
func Paragraph(text string, at [2]float64, width, height float64) (list []Entity, high float64) {
	for _, line := range Lines(text, width, height, false) {
		list = append(list, Text{Layer: Note, At: shift(at, 0, -high), Height: height, Anchor: TopLeft, Text: line})
		high += lineSpace * height
	}
	return list, high
}

// Lines breaks a text between words into lines at most width mm wide; a word longer than
// that is left whole.
func Lines(text string, width, height float64, bold bool) (lines []string) {
	line := ""
	for word := range strings.FieldsSeq(text) {
		if line != "" && TextWidth(line+" "+word, height, bold) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// Shortened returns the text, or as much of its beginning as is at most width mm wide
// with "…" after it.
func Shortened(text string, height float64, bold bool, width float64) string {
	if TextWidth(text, height, bold) <= width {
		return text
	}
	runes := []rune(text)
	for n := len(runes) - 1; n > 0; n-- {
		if cut := string(runes[:n]) + "…"; TextWidth(cut, height, bold) <= width {
			return cut
		}
	}
	return "…"
}
