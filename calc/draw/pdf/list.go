package pdf

import (
	"fmt"

	"tubewright/calc/draw"
)

// listApart is how far lists stand apart on a page, in mm.
const listApart = 8.0

// WithLists returns the sheets and, behind them, lists on as many pages of their own as
// they need: one below the other, cut where a page ends. Title and cautions of the lists
// are those of the first sheet, without its side.
func WithLists(sheets []draw.Sheet, lists []draw.Table, p Paper) ([]draw.Sheet, error) {
	if len(sheets) == 0 || len(lists) == 0 {
		return sheets, nil
	}
	all := append([]draw.Sheet(nil), sheets...)
	head := draw.Sheet{Title: sheets[0].Title, Warnings: sheets[0].Warnings, Cautions: sheets[0].Cautions, NotToScale: true}
	head.Title.Side = ""
	_, room := ListRoom(head, p)
	y := 0.0
	page := func() *draw.Drawing {
		s := head
		s.Drawing.Name = lists[0].Name
		all, y = append(all, s), 0
		return &all[len(all)-1].Drawing
	}
	on := page()
	for i := 0; i < len(lists); {
		_, _, high, err := lists[i].Entities([2]float64{})
		if err != nil {
			return nil, fmt.Errorf("list %d: %w", i+1, err)
		}
		t := lists[i]
		switch {
		case y+high <= room:
			i++
		case y > 0: // on a page of its own
			on = page()
			continue
		default:
			parts := t.Pages(room)
			t = parts[0]
			rest := append([]draw.Table(nil), lists[:i]...)
			lists = append(append(rest, parts...), lists[i+1:]...)
			i++
		}
		list, _, high, err := t.Entities([2]float64{0, -y})
		if err != nil {
			return nil, fmt.Errorf("list %d: %w", i, err)
		}
		on.Add(list...)
		y += high + listApart
	}
	return all, nil
}
