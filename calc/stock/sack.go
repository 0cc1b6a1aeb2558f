package stock

import (
	"math"

	"tubewright/calc/sorted"
)

// A sack is the knapsack problem of one bar: which parts that fit in it are worth
// most. Two of the pieces may have a leg that serves a straight.
type sack struct {
	room  float64
	items []item
	// bonus is the most that two legs can be worth.
	bonus float64
	most  float64 // what the best choice is worth
	kept  []int   // how many of each item are in it
	take  []int   // how many of each item are in the present one
	whole int     // the item that, whole, is the best choice; −1 when it is not that
}

type item struct {
	part      int
	need      float64
	value     float64
	density   float64
	n         int
	leg       float64 // what its better leg is worth
	serves    int
	both      float64 // what both are worth, if it is the whole bar
	serveBoth [2]int
}

// newSack prepares a bar with what covering parts is worth and how many of each are
// wanted at most.
func newSack(c *cover, k int, y []float64, wanted func(i int) int) *sack {
	b := c.bars[k]
	s := &sack{room: b.room() + tight, whole: -1}
	for i, p := range c.parts {
		n := wanted(i)
		if n == 0 || !c.fits(i, k) {
			continue
		}
		it := item{part: i, need: c.need(i, k), value: y[i], n: n, serves: -1, serveBoth: [2]int{-1, -1}}
		it.legs(c, b, p, y)
		if it.value <= 0 && it.leg <= 0 {
			continue
		}
		it.density = it.value / it.need
		s.items = append(s.items, it)
		if math.Abs(p.size-b.size) <= tight && it.value+it.both > s.most {
			s.most, s.whole = it.value+it.both, i
		}
	}
	sorted.By(s.items, func(a, b item) int {
		switch {
		case a.density > b.density:
			return -1
		case a.density < b.density:
			return 1
		}
		return a.part - b.part
	})
	var first, second float64
	for _, it := range s.items {
		first, second = top(first, second, it.leg)
		if it.n > 1 {
			first, second = top(first, second, it.leg)
		}
	}
	s.bonus = first + second
	s.take = make([]int, len(s.items))
	s.kept = make([]int, len(s.items))
	return s
}

// legs works out what the legs of a bar are worth on a piece.
func (it *item) legs(c *cover, b bar, p part, y []float64) {
	worth := func(t int, leg float64) float64 {
		if t < 0 || !reaches(leg, c.parts[t]) {
			return 0
		}
		return math.Max(0, float64(c.parts[t].gain)+y[t])
	}
	long := math.Max(b.legA, b.legB)
	if long <= 0 {
		return
	}
	for _, t := range [2]int{p.before, p.after} {
		if v := worth(t, long); v > it.leg {
			it.leg, it.serves = v, t
		}
	}
	for _, ends := range [2][2]int{{p.before, p.after}, {p.after, p.before}} {
		va, vb := worth(ends[0], b.legA), worth(ends[1], b.legB)
		if va+vb > it.both {
			it.both = va + vb
			it.serveBoth = [2]int{-1, -1}
			if va > 0 {
				it.serveBoth[0] = ends[0]
			}
			if vb > 0 {
				it.serveBoth[1] = ends[1]
			}
		}
	}
}

// top returns the two largest of three, where first ≥ second.
func top(first, second, v float64) (float64, float64) {
	switch {
	case v > first:
		return v, first
	case v > second:
		return first, v
	}
	return first, second
}

// fill tries every choice of items from j on that may be better than the best.
func (s *sack) fill(j int, room, value, first, second float64) {
	if v := value + first + second; v > s.most {
		s.most, s.whole = v, -1
		copy(s.kept, s.take)
	}
	for ; j < len(s.items); j++ {
		it := &s.items[j]
		if value+float64(it.density*room)+s.bonus <= s.most {
			return
		}
		if s.take[j] == it.n || it.need > room {
			continue
		}
		s.take[j]++
		f, sec := top(first, second, it.leg)
		s.fill(j, room-it.need, value+it.value, f, sec)
		s.take[j]--
	}
}

// chosen returns the parts of the best choice, one entry for each piece, and the
// straights that its legs serve.
func (s *sack) chosen() (take, legs []int) {
	if s.whole >= 0 {
		for _, it := range s.items {
			if it.part == s.whole {
				for _, t := range it.serveBoth {
					if t >= 0 {
						legs = append(legs, t)
					}
				}
			}
		}
		return []int{s.whole}, legs
	}
	var first, second float64
	serves := [2]int{-1, -1}
	for j, n := range s.kept {
		it := s.items[j]
		for range n {
			take = append(take, it.part)
			switch {
			case it.leg > first:
				first, second = it.leg, first
				serves[0], serves[1] = it.serves, serves[0]
			case it.leg > second:
				second = it.leg
				serves[1] = it.serves
			}
		}
	}
	for _, t := range serves {
		if t >= 0 {
			legs = append(legs, t)
		}
	}
	return take, legs
}
