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
}
