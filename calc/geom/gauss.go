package geom

// Gauss-Legendre nodes and weights for 8 points on −1 to 1, the positive half.
// Exact for polynomials to degree 15. Abramowitz and Stegun, Handbook of
// Mathematical Functions, table 25.4, n = 8; the test recomputes them.
var gauss = [4]struct{ node, weight float64 }{
	{0.1834346424956498, 0.3626837833783620},
	{0.5255324099163290, 0.3137066458778873},
	{0.7966664774136267, 0.2223810344533745},
	{0.9602898564975363, 0.1012285362903763},
}

// panelCount is into how many panels of 8 points a segment is cut.
const panelCount = 4

// panels returns the integral of f from 0 to 1.
func panels(f func(float64) float64) float64 {
	const n = panelCount
	sum := 0.0
	for i := range n {
		mid := (float64(i) + 0.5) / n
		for _, g := range gauss {
			h := g.node / (2 * n)
			sum += g.weight * (f(mid-h) + f(mid+h))
		}
	}
	return sum / (2 * n)
}
