package stock

import (
	"math"

	"tubewright/calc/sorted"
)

// A sack is the knapsack problem of one bar: which parts that fit in it are worth
// most, two of the pieces with a leg that serves a straight. Which legs serve what is
// chosen first, since that says most about what a bar is worth, and the bar is filled
// up then.
type sack struct {
	c      *cover
	k      int
	y      []float64 // what covering a part is worth
	wanted []int     // how many of each part at most
	room   float64
	bounds *coarses
	over   *coarse // nil where it is not needed yet
	items  []item
	ends   []end

	most  float64 // what the best choice is worth
	upper float64 // no choice is worth more
	kept  []int   // the parts of the best choice, one entry for each piece
	legs  [2]int  // the straights that its legs serve, −1 for none
	take  []int   // the parts of the present one
	use   [2]int  // the straights that its legs serve
	first int     // how many pieces are taken for those legs
	used  []int   // of each part how many those are
	rules *rules
	exact bool // whether pieces may fill it to the last
	steps int
}

// item is a part that may be taken.
type item struct {
	part        int
	need, value float64
	density     float64
	n           int
	least       float64 // the smallest need of the items from here on
}

// end is a part with a straight that a leg on it may serve.
type end struct {
	part, serves int
	need, value  float64 // of both together
	onA, onB     bool    // whether that leg is long enough
}

// fillSteps is how far one filling of a bar is searched. Where all is worth the same
// for its size, as straights are, the last millimetre takes for ever and gains nothing.
const fillSteps = 5000

// newSack prepares a bar with what covering parts is worth, how many of each are
// wanted at most, and the bounds that were made for them.
func newSack(c *cover, k int, y []float64, wanted []int, bounds *coarses) *sack {
	b := c.bars[k]
	s := &sack{c: c, k: k, y: y, wanted: wanted, room: b.room() + tight, bounds: bounds, legs: [2]int{-1, -1}, use: [2]int{-1, -1}}
	for i, p := range c.parts {
		if wanted[i] == 0 || !c.fits(i, k) {
			continue
		}
		need := c.need(i, k)
		if y[i] > 0 {
			s.items = append(s.items, item{part: i, need: need, value: y[i], density: y[i] / need, n: wanted[i]})
		}
		for _, t := range [2]int{p.before, p.after} {
			if t < 0 || wanted[t] == 0 {
				continue
			}
			e := end{part: i, serves: t, need: need, value: float64(c.parts[t].gain) + y[t], onA: reaches(b.legA, c.parts[t]), onB: reaches(b.legB, c.parts[t])}
			if e.value > 0 && (e.onA && b.legA > 0 || e.onB && b.legB > 0) {
				e.value += y[i]
				s.ends = append(s.ends, e)
			}
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
	least := math.Inf(1)
	for j := len(s.items) - 1; j >= 0; j-- {
		least = math.Min(least, s.items[j].need)
		s.items[j].least = least
	}
	s.used = make([]int, len(c.parts))
	return s
}

// search finds the best choice that is worth more than enough, or one that is at most
// upper away from it. Where any will do, the first that is found has no bound.
func (s *sack) search(enough float64, anyDoes bool) {
	s.most, s.upper = enough, enough
	if len(s.ends) > 0 {
		s.coarse()
	}
	s.filled(nil)
	s.whole()
	if anyDoes && s.kept != nil {
		s.upper = math.Inf(1)
		return
	}
	// The best of two legs, or of one, by its bound; and what else may be better.
	for again := range 2 {
		best, at := s.most, [2]int{-1, -1}
		for n := range s.ends {
			e := &s.ends[n]
			room := s.room - e.need
			both := room
			if !s.exact {
				both -= s.c.bars[s.k].loss
			}
			if v := e.value + s.over.of(room); v > best {
				if again == 0 {
					best, at = v, [2]int{n, -1}
				} else {
					s.filled([]int{n})
					best = s.most
				}
			}
			for m := n; m < len(s.ends); m++ { // two of one kind too
				f := &s.ends[m]
				v := e.value + f.value
				if v+s.over.most <= best || f.need > both || v+s.over.of(both-f.need) <= best || !s.both(e, f) {
					continue
				}
				if again == 0 {
					best, at = v+s.over.of(both-f.need), [2]int{n, m}
				} else {
					s.filled([]int{n, m})
					best = s.most
				}
			}
			s.steps += 1 + len(s.ends)/16
		}
		switch {
		case again > 0:
		case at[0] < 0:
			return
		case at[1] < 0:
			s.filled(at[:1])
		default:
			s.filled(at[:])
		}
		if anyDoes && s.kept != nil {
			s.upper = math.Inf(1)
			return
		}
	}
}

func (s *sack) coarse() *coarse {
	if s.over == nil {
		s.over = s.bounds.of(s.c, s.k, s.y, s.wanted)
	}
	return s.over
}

// both reports whether both legs may be used so, on two pieces.
func (s *sack) both(e, f *end) bool {
	return (e.part != f.part || s.wanted[e.part] > 1) && (e.serves != f.serves || s.wanted[e.serves] > 1) &&
		(e.onA && f.onB || e.onB && f.onA)
}

// filled looks for the best choice with these ends.
func (s *sack) filled(ends []int) {
	s.take, s.use = s.take[:0], [2]int{-1, -1}
	room, value := s.room, 0.0
	for n, at := range ends {
		e := s.ends[at]
		s.take = append(s.take, e.part)
		s.used[e.part]++
		s.use[n] = e.serves
		room -= e.need
		value += e.value
	}
	s.first = len(ends)
	if s.first == 2 && !s.exact {
		room -= s.c.bars[s.k].loss
		s.first = 0
	}
	from := s.steps
	s.fill(0, 0, room, value, from+fillSteps)
	if s.steps >= from+fillSteps {
		s.upper = math.Max(s.upper, value+s.coarse().of(room))
	}
	s.upper = math.Max(s.upper, s.most)
	for _, at := range ends {
		s.used[s.ends[at].part]--
	}
}

// fill tries every choice of items from j on that may be better than the best, where
// n of item j are taken already.
func (s *sack) fill(j, n int, room, value float64, end int) {
	s.steps++
	if value > s.most && (s.first < 2 || s.c.bars[s.k].bothLegs(len(s.take), room-tight)) && (s.rules == nil || s.rules.allow(s.take)) {
		s.most, s.legs = value, s.use
		s.kept = append(s.kept[:0], s.take...)
	}
	for ; j < len(s.items) && s.steps < end; j, n = j+1, 0 {
		it := &s.items[j]
		if it.least > room || value+float64(it.density*room) <= s.most {
			return
		}
		if n+s.used[it.part] == it.n || it.need > room || s.over != nil && value+s.over.of(room) <= s.most {
			continue
		}
		s.take = append(s.take, it.part)
		s.fill(j, n+1, room-it.need, value+it.value, end)
		s.take = s.take[:len(s.take)-1]
	}
}

// whole tries the pieces that are a whole bar, on which both legs may stay.
func (s *sack) whole() {
	for n := range s.ends {
		e := &s.ends[n]
		if math.Abs(s.c.parts[e.part].size-s.c.bars[s.k].size) > tight {
			continue
		}
		for m := n + 1; m < len(s.ends); m++ {
			f := &s.ends[m]
			v := e.value + f.value - s.y[e.part]
			if f.part != e.part || v <= s.most || !(e.onA && f.onB || e.onB && f.onA) {
				continue
			}
			s.most, s.legs = v, [2]int{e.serves, f.serves}
			s.kept = append(s.kept[:0], e.part)
		}
	}
	s.upper = math.Max(s.upper, s.most)
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
