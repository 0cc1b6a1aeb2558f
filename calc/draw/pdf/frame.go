package pdf

import (
	"fmt"

	"tubewright/calc/draw"
)

// frame is what stands about the drawing on a page, width by height mm, in mm from
// its lower left corner.
type frame struct {
	sheet         draw.Sheet
	width, height float64
}

func (f frame) inner() float64 { return f.width - 2*Margin }

// cautions returns the caution lines, their foot at the margin, and how high they are.
func (f frame) cautions() (list []draw.Entity, high float64) {
	for _, c := range f.sheet.Cautions {
		_, h := draw.Paragraph(c, [2]float64{}, f.inner(), tileNote)
		high += h
	}
	if high > 0 {
		high += cautionGap
	}
	y := Margin + high - cautionGap
	for _, c := range f.sheet.Cautions {
		text, h := draw.Paragraph(c, [2]float64{Margin, y}, f.inner(), tileNote)
		list, y = append(list, text...), y-h
	}
	return list, high
}

// block returns the title block above the space for the cautions, the warnings above
// it, and the height at which they end.
func (f frame) block() (list []draw.Entity, top float64) {
	_, foot := f.cautions()
	_, high := f.sheet.Block([2]float64{}, f.inner())
	top = Margin + foot + high
	list, _ = f.sheet.Block([2]float64{Margin, top}, f.inner())
	if _, high := f.sheet.Warned([2]float64{}, f.inner()); high > 0 {
		top += high
		warned, _ := f.sheet.Warned([2]float64{Margin, top}, f.inner())
		top += cautionGap
		list = append(list, warned...)
	}
	return list, top
}

// window returns the space that is left for the drawing. It is the same on all pages
// of a sheet, with cautions or without, so that pages can be laid together.
func (f frame) window() draw.Box {
	_, top := f.block()
	b := draw.Box{Min: [2]float64{Margin, top + listStrip}, Max: [2]float64{f.width - Margin, f.height - Margin}}
	if !f.sheet.NotToScale {
		b.Min = [2]float64{Margin + rulerStrip, top + footStrip}
	}
	return b
}

// page returns everything about the drawing on page i of the sheet, from 0; said is
// the line that tells which page of the file it is.
func (f frame) page(t Tiling, i int, said string) draw.Drawing {
	d := draw.Drawing{Name: "page"}
	if i == 0 {
		list, _ := f.cautions()
		d.Add(list...)
	}
	block, top := f.block()
	d.Add(block...)
	right := f.width - Margin
	line := func(x, y float64, a draw.Anchor, high float64, bold bool, text string) {
		d.Add(draw.Text{Layer: draw.Note, At: [2]float64{x, y}, Anchor: a, Height: high, Bold: bold, Text: text})
	}
	if f.sheet.NotToScale {
		line(Margin, top+2, draw.BaseLeft, 2.2, true, "Not to scale: work by the figures.")
		line(right, top+2, draw.BaseRight, 2, false, said)
		return d
	}
	corner := t.Window.Min
	d.Add(ruler(corner, false)...)
	d.Add(ruler(corner, true)...)
	x := corner[0] + rulerLong + 7
	if t.Pages() > 1 {
		x += f.picture(&d, t, i, [2]float64{x, corner[1] - 1.5}) + 2.5
		line(x, corner[1]-7.8, draw.TopLeft, 1.6, false, fmt.Sprintf("Tile %d of %d. Lay cross on cross, letter on letter;", i+1, t.Pages()))
		said = fmt.Sprintf("neighbours share %d mm. %s", Overlap, said)
	}
	line(x, corner[1]-1.3, draw.TopLeft, 2, true, "Measure me before cutting:")
	line(x, corner[1]-4.4, draw.TopLeft, 2, true, "both rulers are 100 mm (3.937 in).")
	line(x, corner[1]-10.3, draw.TopLeft, 1.6, false, said)
	return d
}

// picture draws how the pages lie, this one ringed, below and right of a place, and
// returns how wide it is.
func (f frame) picture(d *draw.Drawing, t Tiling, i int, at [2]float64) float64 {
	const most = footStrip - 3
	wide, high := 5.0, 3.6
	if k := min(1, most/(high*float64(t.Rows)), 24/(wide*float64(t.Columns))); k < 1 {
		wide, high = wide*k, high*k
	}
	for n := range t.Pages() {
		x, y := at[0]+wide*float64(n%t.Columns), at[1]-high*float64(n/t.Columns)
		layer, in := draw.Note, 0.0
		if n == i {
			layer, in = draw.Mark, 0.3
		}
		a, b, c, e := [2]float64{x + in, y - in}, [2]float64{x + wide - in, y - in}, [2]float64{x + wide - in, y - high + in}, [2]float64{x + in, y - high + in}
		d.Add(draw.Line{Layer: layer, From: a, To: b}, draw.Line{Layer: layer, From: b, To: c}, draw.Line{Layer: layer, From: c, To: e}, draw.Line{Layer: layer, From: e, To: a})
		d.Add(draw.Text{Layer: draw.Note, At: [2]float64{x + wide/2, y - high/2}, Anchor: draw.MidMiddle, Height: min(1.7, 0.5*high), Bold: n == i, Text: fmt.Sprint(n + 1)})
	}
	return wide * float64(t.Columns)
}

// ruler returns a ruler of 100 mm from a corner, to the right with its ticks below, or
// up with its ticks to the left. It is 100 mm from the middle of the first tick to the
// middle of the last.
func ruler(corner [2]float64, up bool) (list []draw.Entity) {
	place := func(along, out float64) [2]float64 {
		if up {
			return [2]float64{corner[0] - out, corner[1] + along}
		}
		return [2]float64{corner[0] + along, corner[1] - out}
	}
	stroke := func(a, b [2]float64) {
		list = append(list, draw.Line{Layer: draw.Dimension, From: a, To: b})
	}
	stroke(place(0, 0), place(rulerLong, 0))
	for mm := 0; mm <= rulerLong; mm++ {
		switch {
		case mm%50 == 0:
			stroke(place(float64(mm), 0), place(float64(mm), 4.5))
		case mm%10 == 0:
			stroke(place(float64(mm), 0), place(float64(mm), 3))
		case mm < 10:
			stroke(place(float64(mm), 0), place(float64(mm), 1.5))
		}
		if mm%50 == 0 {
			text := draw.Text{Layer: draw.Dimension, Height: 1.8, Anchor: draw.TopMiddle, Text: fmt.Sprint(mm)}
			text.At = place(float64(mm), 5.2)
			if up {
				text.Anchor, text.Turn = draw.BaseMiddle, halfPi
			}
			// The figures of the two rulers stay clear of the corner and the end.
			switch mm {
			case 0:
				text.At = place(2, 5.2)
			case rulerLong:
				text.Text = "100 mm"
			}
			list = append(list, text)
		}
	}
	return list
}
