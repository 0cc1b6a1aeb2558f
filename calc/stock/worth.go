package stock

// worth is what covering each part is worth, and what a bar of which there are so
// many is worth beyond its cost: a feasible point of the dual of the linear
// relaxation. No pattern costs less than its parts are worth, so that whatever is
// left to cover costs at least what it is worth. That is the bound of the search.
type worth struct {
	part []float64 // of an optional part 0 or less: its gain is shared
	bar  []float64 // 0 or less
	// slack is by how much a pattern may cost less than its parts are worth, since
	// the relaxation is solved in floating point.
	slack float64
}

// of returns what covering the rest is worth.
func (w worth) of(parts, bars []int) float64 {
	var sum float64
	pieces := 0
	for i, n := range parts {
		sum += w.part[i] * float64(n)
		pieces += n
	}
	for k, n := range bars {
		if n > 0 {
			sum += w.bar[k] * float64(n)
		}
	}
	return sum - w.slack*float64(pieces)
}
