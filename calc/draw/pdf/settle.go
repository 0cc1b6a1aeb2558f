package pdf

import (
	"math"

	"tubewright/calc/draw"
)

// settled is the drawing with texts that run over a join, so that no page shows them
// whole, moved to one that does: no farther than they need, and only where between their
// old place and the new nothing else is drawn, so that a mark stays on the metal that it
// stands on. A text for which there is no such place stays.
func (t Tiling) settled(d draw.Drawing) draw.Drawing {
	if t.Pages() == 1 {
		return d
	}
	list := append([]draw.Entity(nil), d.Entities...)
	for i, e := range list {
		text, ok := e.(draw.Text)
		if !ok || t.isWhole(text.Bounds()) {
			continue
		}
		var room draw.Room
		room.Take(list[:i]...)
		room.Take(list[i+1:]...)
		for _, j := range t.Joins {
			room.Take(j.mark()...)
		}
		b, least := text.Bounds(), math.Inf(1)
		for page := range t.Pages() {
			w := t.Shown(page).Grown(-around)
			if b.Width() > w.Width() || b.Height() > w.Height() {
				continue
			}
			by := [2]float64{max(0, w.Min[0]-b.Min[0]) + min(0, w.Max[0]-b.Max[0]), max(0, w.Min[1]-b.Min[1]) + min(0, w.Max[1]-b.Max[1])}
			moved := text
			moved.At = [2]float64{text.At[0] + by[0], text.At[1] + by[1]}
			if far := math.Hypot(by[0], by[1]); far < least && room.Cost(b.And(moved.Bounds())) == 0 {
				list[i], least = moved, far
			}
		}
	}
	d.Entities = list
	return d
}

// isWhole tells whether a page shows all of a box.
func (t Tiling) isWhole(b draw.Box) bool {
	for page := range t.Pages() {
		if t.holds(page, b) {
			return true
		}
	}
	return false
}

// holds tells whether a page shows all of a box.
func (t Tiling) holds(page int, b draw.Box) bool {
	w := t.Shown(page)
	return b.Min[0] >= w.Min[0] && b.Min[1] >= w.Min[1] && b.Max[0] <= w.Max[0] && b.Max[1] <= w.Max[1]
}
