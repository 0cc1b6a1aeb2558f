package stock

import (
	"math"
	"sort"
)

// An area is a bound that sees that stock comes in whole bars: what any choice of
// bars costs at least that has room for so much. Prices jump, and the relaxation,
// which buys parts of bars, falls into the gaps.
type area struct {
	loss float64   // the least of all bars of the class
	room []float64 // of each whole number of units: the most room that money buys
	unit int64
}

// mostUnits is how long a table of prices may be.
const mostUnits = 300_000

// areas returns the bound of each class of a cover, for money up to a limit; nil for
// classes that nothing is wanted of and where the table would be too long.
func (c *cover) areas(unit, upTo int64) []*area {
	var list []*area
	for i, p := range c.parts {
		if p.n == 0 || !p.must {
			continue
		}
		for len(list) <= p.class {
			list = append(list, nil)
		}
		if list[p.class] == nil {
			list[p.class] = c.area(c.parts[i].class, unit, upTo)
		}
	}
	return list
}

func (c *cover) area(class int, unit, upTo int64) *area {
	steps := upTo/unit + 1
	if steps > mostUnits {
		return nil
	}
	a := &area{loss: math.Inf(1), room: make([]float64, steps), unit: unit}
	for _, b := range c.bars {
		if b.class == class {
			a.loss = math.Min(a.loss, b.loss)
		}
	}
	a.endless(int(c.leaveMoney/unit), c.largest(class)+a.loss) // what is left out needs no room
	for k, b := range c.bars {
		if b.class != class {
			continue
		}
		room, cost := c.filled(k, a.loss), int(b.money/unit)
		switch {
		case b.n == unlimited:
			a.endless(cost, room)
		case cost == 0:
			for at := range a.room {
				a.room[at] += room * float64(b.n)
			}
		default:
			for range min(b.n, len(a.room)/cost) {
				for at := len(a.room) - 1; at >= cost; at-- {
					a.room[at] = math.Max(a.room[at], a.room[at-cost]+room)
				}
			}
		}
	}
	for at := 1; at < len(a.room); at++ {
		a.room[at] = math.Max(a.room[at], a.room[at-1])
	}
	return a
}

// endless adds a bar without end, or a part that is left out.
func (a *area) endless(cost int, room float64) {
	for at := max(cost, 1); at < len(a.room); at++ {
		a.room[at] = math.Max(a.room[at], a.room[at-cost]+room)
	}
}

// largest returns the size of the largest part of a class.
func (c *cover) largest(class int) (size float64) {
	for _, p := range c.parts {
		if p.class == class && p.n > 0 {
			size = math.Max(size, p.size)
		}
	}
	return size
}

// filled returns how much of bar k parts can fill, with a loss behind each; all of
// it where that would take long to find out.
func (c *cover) filled(k int, loss float64) float64 {
	room := c.bars[k].size + loss
	var needs []float64
	for i, p := range c.parts {
		if p.must && c.fits(i, k) {
			for range min(p.n, int((room+tight)/(p.size+loss))) {
				needs = append(needs, p.size+loss)
			}
		}
	}
	steps := 0
	best := 0.0
	var fill func(i int, used float64)
	fill = func(i int, used float64) {
		steps++
		best = math.Max(best, used)
		for ; i < len(needs) && steps < 3000; i++ {
			if used+needs[i] <= room+tight {
				fill(i+1, used+needs[i])
			}
		}
	}
	fill(0, 0)
	if steps >= 3000 {
		return room
	}
	return math.Min(best, room)
}

// of returns what covering so much costs at least; the end of the table where that
// is not reached.
func (a *area) of(need float64) int64 {
	need -= 1e-6 // rounding, of sums of some hundred sizes
	return int64(sort.Search(len(a.room), func(at int) bool { return a.room[at] >= need })) * a.unit
}
