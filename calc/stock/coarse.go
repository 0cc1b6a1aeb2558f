package stock

import "math"

// coarse is what parts of a class that fit in a length are worth at most, with a loss
// behind each, for every length: that of needs that are rounded down.
type coarse struct {
	class      int
	loss, cell float64
	worth      []float64
	most       float64 // of the whole length
	steps      int
}

// coarseCells is how many lengths the longest bar is divided in.
const coarseCells = 2048

func newCoarse(c *cover, k int, y []float64, wanted []int) *coarse {
	o := &coarse{class: c.bars[k].class, loss: c.bars[k].loss, worth: make([]float64, coarseCells+1)}
	long := 0.0
	for _, b := range c.bars {
		if b.class == o.class && b.loss == o.loss {
			long = math.Max(long, b.room()+tight)
		}
	}
	o.cell = long / coarseCells
	for i, p := range c.parts {
		if p.class != o.class || y[i] <= 0 {
			continue
		}
		need, value := int((p.size+o.loss)/o.cell), y[i]
		for range min(wanted[i], int(long/(p.size+o.loss))) {
			for at := coarseCells; at >= need; at-- {
				if v := o.worth[at-need] + value; v > o.worth[at] {
					o.worth[at] = v
				}
			}
			o.steps += coarseCells / 16
		}
	}
	o.most = o.worth[coarseCells]
	return o
}

// of returns what fits in a room is worth at most.
func (o *coarse) of(room float64) float64 {
	if !(room > 0) {
		return 0
	}
	return o.worth[min(int(room/o.cell), coarseCells)]
}

// A coarses has one for every class and loss.
type coarses []*coarse

func (o *coarses) of(c *cover, k int, y []float64, wanted []int) *coarse {
	for _, one := range *o {
		if one.class == c.bars[k].class && one.loss == c.bars[k].loss {
			return one
		}
	}
	*o = append(*o, newCoarse(c, k, y, wanted))
	return (*o)[len(*o)-1]
}
