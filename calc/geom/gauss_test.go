package geom

import (
	"math"
	"testing"
)

// The nodes are the roots of the Legendre polynomial P₈ and the weights are
// 2 / ((1 − x²) P₈'(x)²), recomputed here by Newton's method.
func TestGaussNodes(t *testing.T) {
	legendre := func(x float64) (p, slope float64) {
		a, b := 1.0, x
		for n := 2.0; n <= 8; n++ {
			a, b = b, ((2*n-1)*x*b-(n-1)*a)/n
		}
		return b, 8 * (x*b - a) / (x*x - 1)
	}
	for i, g := range gauss {
		x := g.node
		for range 3 {
			p, slope := legendre(x)
			x -= p / slope
		}
		_, slope := legendre(x)
		if w := 2 / ((1 - x*x) * slope * slope); math.Abs(x-g.node) > 1e-15 || math.Abs(w-g.weight) > 1e-15 {
			t.Errorf("node %d: %v weight %v, want %v and %v", i, g.node, g.weight, x, w)
		}
	}
}

func TestPanelsAreExactToDegree15(t *testing.T) {
	for n := range 16 {
		got := panels(func(x float64) float64 {
			p := 1.0
			for range n {
				p *= x
			}
			return p
		})
		if want := 1 / float64(n+1); math.Abs(got-want) > 2e-15 {
			t.Errorf("x^%d: %v, want %v", n, got, want)
		}
	}
}
