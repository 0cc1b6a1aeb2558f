package stock

import (
	"sort"

	"tubewright/calc/sorted"
)

// exactSteps is how far choices are looked for that fill a bar to the last.
const exactSteps = 200_000

// isExact reports whether two or more parts may fill a bar to the last, so that both
// its legs can be used without a cut between; true where that would take long to find
// out.
func (c *cover) isExact(k int) bool {
	if c.bars[k].legA <= 0 || c.bars[k].legB <= 0 {
		return false
	}
	var needs []float64
	for i, p := range c.parts {
		if p.must && c.fits(i, k) {
			for range min(p.n, int((c.bars[k].room()+tight)/c.need(i, k))) {
				needs = append(needs, c.need(i, k))
			}
		}
	}
	sorted.By(needs, func(a, b float64) int {
		switch {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	steps := 0
	var fill func(from int, room float64) bool
	fill = func(from int, room float64) bool {
		if steps++; steps > exactSteps {
			return true
		}
		// The last one by halving: from here on they fall.
		at := from + sort.Search(len(needs)-from, func(n int) bool { return needs[from+n] <= room+tight })
		if at < len(needs) && needs[at] >= room-tight {
			return true
		}
		for ; at < len(needs); at++ {
			if fill(at+1, room-needs[at]) {
				return true
			}
		}
		return false
	}
	return fill(0, c.bars[k].room())
}
