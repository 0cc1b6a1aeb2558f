package pdf

import (
	"testing"

	"tubewright/calc/draw"
)

// A text that one page would cut off and another shows whole stands on that one only: half
// of 359.35 is read as 35.
func TestNoFigureIsCutWhereAnotherPageHasItWhole(t *testing.T) {
	s := draw.Sheet{Title: draw.Title{Job: "Long", Unit: "mm"}}
	s.Drawing = draw.Drawing{Name: "long"}
	s.Drawing.Add(draw.Line{Layer: draw.Cut, To: [2]float64{400, 0}})
	ti, err := Tile(s, A4)
	if err != nil {
		t.Fatal(err)
	}
	if ti.Pages() < 2 {
		t.Fatal("the drawing lies on one page")
	}
	edge := ti.Shown(0).Max[0]
	across := draw.Text{Layer: draw.Note, At: [2]float64{edge - Overlap, 5}, Height: 2.5, Anchor: draw.BaseMiddle, Text: "359.35"}
	wide := draw.Text{Layer: draw.Note, At: [2]float64{edge, -5}, Height: 5, Anchor: draw.BaseMiddle, Text: "on no page whole"}
	s.Drawing.Add(across, wide)
	for i, want := range []int{2, 1} { // the figure and the wide one, then the wide one only
		n := 0
		for _, e := range ti.legible(s.Drawing, i).Entities {
			if _, ok := e.(draw.Text); ok {
				n++
			}
		}
		if n != want {
			t.Errorf("page %d bears %d texts, want %d", i+1, n, want)
		}
	}
	// Moved to the page that it needs the least way to, the wide one is whole on that alone.
	settled := ti.settled(s.Drawing)
	on := map[int]int{}
	for i := range ti.Pages() {
		for _, e := range ti.legible(settled, i).Entities {
			if text, ok := e.(draw.Text); ok && text.Text == wide.Text {
				on[i]++
				if text.At[1] != wide.At[1] || !ti.holds(i, text.Bounds()) {
					t.Errorf("page %d has it at %v", i+1, text.At)
				}
			}
		}
	}
	if len(on) != 1 {
		t.Errorf("the wide text stands on pages %v, want one", on)
	}
	// Where that way leads over a line it stays: it would mark something else.
	for _, side := range []float64{-1, 1} {
		x := edge + side*(wide.Width()/2+1)
		s.Drawing.Add(draw.Line{Layer: draw.Cut, From: [2]float64{x, -10}, To: [2]float64{x, 3}})
	}
	for _, e := range ti.settled(s.Drawing).Entities {
		if text, ok := e.(draw.Text); ok && text.Text == wide.Text && text.At != wide.At {
			t.Errorf("it was moved over a line, to %v", text.At)
		}
	}
}
