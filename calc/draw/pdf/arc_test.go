package pdf

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tubewright/calc/draw"
)

// Curves lie on their arc to 7e-8 of the radius and end where it ends.
func TestCurvesLieOnTheirArc(t *testing.T) {
	for _, a := range []draw.Arc{
		{Radius: 1e5, Sweep: 2 * math.Pi}, {Radius: 1e5, Start: 1, Sweep: -4}, {Radius: 1e5, Start: -2, Sweep: 0.3}, {Radius: 1e5, Sweep: -math.Pi / 8},
	} {
		at, worst := a.At(0), 0.0
		curves := strings.Split(strings.TrimSpace(canvas{scale: 1}.arc(a)), " c")
		for _, c := range curves[:len(curves)-1] {
			var p [4][2]float64
			p[0] = at
			if _, err := fmt.Sscan(c, &p[1][0], &p[1][1], &p[2][0], &p[2][1], &p[3][0], &p[3][1]); err != nil {
				t.Fatal(err)
			}
			for i := 1; i < 4; i++ {
				p[i][0], p[i][1] = p[i][0]/pointPerMM, p[i][1]/pointPerMM
			}
			at = p[3]
			for i := range 101 {
				s := float64(i) / 100
				r := 1 - s
				var q [2]float64
				for k := range 2 {
					q[k] = r*r*r*p[0][k] + 3*r*r*s*p[1][k] + 3*r*s*s*p[2][k] + s*s*s*p[3][k]
				}
				worst = max(worst, math.Abs(math.Hypot(q[0], q[1])/a.Radius-1))
			}
		}
		if want := a.At(1); math.Hypot(at[0]-want[0], at[1]-want[1]) > 1e-4 {
			t.Errorf("start %v, sweep %v: ends at %v, want %v", a.Start, a.Sweep, at, want)
		}
		if worst > 7e-8 {
			t.Errorf("start %v, sweep %v: %.2g of the radius off, want 7e-8 at most", a.Start, a.Sweep, worst)
		}
	}
}
