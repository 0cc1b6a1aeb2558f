package draw_test

import (
	"math"
	"testing"

	"tubewright/calc/draw"
)

// A dimension that runs to the left is read from below all the same, its figure above
// its line; one that runs down is read from the right.
func TestFiguresAreReadFromBelowOrTheRight(t *testing.T) {
	for _, tt := range []struct {
		to   [2]float64
		at   [2]float64 // the dimension line stands 10 mm to the left of the way, the figure 0.8 mm above it
		turn float64
	}{
		{[2]float64{40, 0}, [2]float64{20, 10.8}, 0},
		{[2]float64{-40, 0}, [2]float64{-20, -9.2}, 0},
		{[2]float64{0, 40}, [2]float64{-10.8, 20}, math.Pi / 2},
		{[2]float64{0, -40}, [2]float64{9.2, -20}, math.Pi / 2},
		{[2]float64{-20 * math.Sqrt2, 20 * math.Sqrt2}, [2]float64{-29.2 / math.Sqrt2, 10.8 / math.Sqrt2}, -math.Pi / 4},
	} {
		list := draw.Linear([2]float64{}, tt.to, 10, "40")
		text := list[len(list)-1].(draw.Text)
		if math.Hypot(text.At[0]-tt.at[0], text.At[1]-tt.at[1]) > 1e-9 || math.Abs(text.Turn-tt.turn) > 1e-9 {
			t.Errorf("to %v: at %v turned by %v, want %v and %v", tt.to, text.At, text.Turn, tt.at, tt.turn)
		}
	}
}
