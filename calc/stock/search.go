package stock

import (
	"math"

	"tubewright/calc/sorted"
)

// A search is branch and bound on what remains to be covered: the largest part that
// is not covered is covered by every pattern that may lead to a better plan, best
// first. What remains is remembered with what it cost to come there.
type search struct {
	c *cover
	// maximal leaves out patterns that have room for one more part. Where no leg
	// serves anything, the best plan has none.
	maximal bool
	// ties goes on among plans that cost the same for a more useful off-cut.
	ties bool

	bounds [2]measure // of cost, and of money alone where a limit of it is known
	parts  []int      // what remains
	bars   []int

	unit  int64 // every cost is a multiple of it
	money int64 // the limit of money, where there is one
	spent int64

	best    int64
	bestOff float64
	plan    []pattern // the best
	path    []pattern // the present one
	last    []int     // of each class the part behind its last
	beside  [][]int   // of each straight the bends beside it
	// The cheapest bars without end, which a pattern that fits in them is cut from.
	endless []int

	seen  map[state]reached
	at    state
	marks []state // of each part and each bar

	take  []int
	ways  []served
	steps int
	limit int
	step  func(*search) bool // asked now and then; false stops
	halt  bool
}

type state struct{ a, b uint64 }

type reached struct {
	cost int64
	off  float64
}

// remember is how many states are kept, so that a tablet can hold them.
const remember = 400_000

// newSearch searches for the least cost.
func newSearch(c *cover, w worth, unit int64) *search {
	s := &search{c: c, seen: map[state]reached{}, best: math.MaxInt64, unit: unit}
	s.parts, s.bars = c.all()
	s.beside = make([][]int, len(c.parts))
	for i, p := range c.parts {
		for _, t := range [2]int{p.before, p.after} {
			if t >= 0 {
				s.beside[t] = append(s.beside[t], i)
			}
		}
	}
	m := measure{on: true, worth: w, legs: 1, leave: float64(c.leave), unit: float64(unit), fuzz: fuzzCost, limit: math.Inf(1)}
	for _, b := range c.bars {
		m.bar = append(m.bar, float64(b.cost))
	}
	s.bounds[0] = s.prepared(m)
	s.marks = make([]state, len(c.parts)+len(c.bars))
	seed := uint64(1)
	next := func() uint64 { // splitmix64, from memory: any spread of bits will do
		seed += 0x9e3779b97f4a7c15
		z := seed
		z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		return z ^ z>>31
	}
	for i := range s.marks {
		s.marks[i] = state{next(), next()}
	}
	for i, p := range c.parts {
		for len(s.last) <= p.class {
			s.last = append(s.last, 0)
		}
		s.last[p.class] = i + 1
	}
	for k, b := range c.bars {
		if b.n == unlimited {
			s.endless = append(s.endless, k)
		}
	}
	sorted.By(s.endless, func(a, b int) int { return order(c.bars[a].cost, c.bars[b].cost) })
	return s
}

func order(a, b int64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// start gives the search a plan to begin with.
func (s *search) start(plan []pattern) {
	cost, off := sum(plan)
	if cost < s.best || cost == s.best && off > s.bestOff {
		s.best, s.bestOff = cost, off
		s.plan = append([]pattern(nil), plan...)
	}
	better := s.best
	if !s.ties {
		better -= s.unit
	}
	s.bounds[0].limit = float64(better)
}

func sum(plan []pattern) (cost int64, off float64) {
	for _, p := range plan {
		cost += p.cost
		off = math.Max(off, p.off)
	}
	return cost, off
}

// run searches; true when it came to the end, and the best plan is the best there
// is.
func (s *search) run(limit int) bool {
	s.limit = limit
	s.steps = 0
	s.node(0)
	return !s.halt
}

// count goes a step on; false when the search has to end.
func (s *search) count() bool {
	s.steps++
	if s.steps >= s.limit || s.steps&0xfff == 0 && s.step != nil && !s.step(s) {
		s.halt = true
	}
	return !s.halt
}

func (s *search) node(off float64) {
	if !s.count() || s.isHopeless(off) {
		return
	}
	first := -1
	for i, n := range s.parts {
		if n > 0 && s.c.parts[i].must {
			first = i
			break
		}
	}
	cost := s.spent
	if first < 0 {
		if cost < s.best || cost == s.best && off > s.bestOff {
			s.start(s.path)
		}
		return
	}
	if was, ok := s.seen[s.at]; ok {
		if was.cost < cost || was.cost == cost && (!s.ties || was.off >= off) {
			return
		}
	}
	if len(s.seen) < remember {
		s.seen[s.at] = reached{cost, off}
	}
	for _, p := range s.patterns(first) {
		s.move(p, 1)
		s.path = append(s.path, *p)
		s.node(math.Max(off, p.off))
		s.path = s.path[:len(s.path)-1]
		s.move(p, -1)
		if s.halt {
			return
		}
	}
}

// isHopeless reports whether no plan through here can be better than the best.
func (s *search) isHopeless(off float64) bool {
	for b := range s.bounds {
		if m := &s.bounds[b]; m.on && m.least() > m.limit+m.fuzz {
			return true
		}
	}
	return s.ties && s.bounds[0].least() > s.bounds[0].limit-s.bounds[0].unit+s.bounds[0].fuzz && math.Max(off, s.mostOff()) <= s.bestOff
}

// mostOff is the largest off-cut that can still come.
func (s *search) mostOff() float64 {
	var most float64
	for i, n := range s.parts {
		if n == 0 || !s.c.parts[i].must {
			continue
		}
		for k, b := range s.c.bars {
			if s.bars[k] != 0 && s.c.fits(i, k) {
				most = math.Max(most, b.offcut(b.room()-s.c.need(i, k)))
			}
		}
	}
	return most
}

// move goes along a pattern, or back.
func (s *search) move(p *pattern, n int) {
	for _, i := range p.take {
		s.use(i, n)
	}
	if p.legA.serves >= 0 {
		s.use(p.legA.serves, n)
	}
	if p.legB.serves >= 0 {
		s.use(p.legB.serves, n)
	}
	if p.bar >= 0 && s.bars[p.bar] != unlimited {
		s.bars[p.bar] -= n
		s.mark(len(s.c.parts)+p.bar, n)
	}
	s.spent += p.cost * int64(n)
	legs := 0.0
	for _, l := range [2]leg{p.legA, p.legB} {
		if l.serves >= 0 {
			legs += float64(s.c.parts[l.serves].gain)
		}
	}
	for b := range s.bounds {
		if m := &s.bounds[b]; m.on {
			cost := m.leave
			if p.bar >= 0 {
				cost = m.bar[p.bar] - m.legs*legs
			}
			m.spent += cost * float64(n)
			s.owe(m)
		}
	}
}

func (s *search) use(i, n int) {
	s.parts[i] -= n
	s.mark(i, n)
}

func (s *search) mark(i, n int) {
	s.at.a -= s.marks[i].a * uint64(n)
	s.at.b -= s.marks[i].b * uint64(n)
}

// patterns returns the patterns that cover part first and may lead to a better
// plan, the one that costs least beyond what its parts are worth first.
func (s *search) patterns(first int) []*pattern {
	var list []pattern
	for k, b := range s.c.bars {
		if s.bars[k] == 0 || !s.c.fits(first, k) {
			continue
		}
		var value [2]float64
		s.take = append(s.take[:0], first)
		s.parts[first]--
		for m := range s.bounds {
			if s.bounds[m].on {
				value[m] = s.bounds[m].worth.part[first]
			}
		}
		s.grow(&list, k, first, b.room()-s.c.need(first, k), value)
		s.parts[first]++
		if s.halt {
			return nil
		}
	}
	if s.c.isLimited(first) {
		p := s.c.without(first)
		p.over = math.Inf(1)
		list = append(list, p)
	}
	ranks := make([]rank, len(list))
	for i := range list {
		ranks[i] = rank{i, list[i].over}
	}
	sorted.By(ranks, func(a, b rank) int {
		switch {
		case a.over < b.over:
			return -1
		case a.over > b.over:
			return 1
		}
		return 0
	})
	ordered := make([]*pattern, len(list))
	for i, r := range ranks {
		ordered[i] = &list[r.at]
	}
	return ordered
}

type rank struct {
	at   int
	over float64
}

// grow adds the patterns of bar k that have what is taken, and more from part i on.
func (s *search) grow(list *[]pattern, k, i int, room float64, value [2]float64) {
	if !s.count() {
		return
	}
	s.finish(list, k, room, value)
	end := s.last[s.c.bars[k].class]
	for ; i < end; i++ {
		if s.parts[i] <= 0 || !s.c.parts[i].must {
			continue
		}
		if !s.isWorth(k, i, room, value) {
			return
		}
		need := s.c.need(i, k)
		if need > room+tight {
			continue
		}
		grown := value
		for m := range s.bounds {
			if s.bounds[m].on {
				grown[m] += s.bounds[m].worth.part[i]
			}
		}
		s.parts[i]--
		s.take = append(s.take, i)
		s.grow(list, k, i, room-need, grown)
		s.take = s.take[:len(s.take)-1]
		s.parts[i]++
	}
}

// isWorth reports whether parts from i on can bring what is taken of bar k to a
// pattern that is worth enough.
func (s *search) isWorth(k, i int, room float64, value [2]float64) bool {
	for m := range s.bounds {
		b := &s.bounds[m]
		if b.on && value[m]+float64(b.dense[k][i]*(room+tight))+b.bonus[k] < s.least(b, k) {
			return false
		}
	}
	return true
}

// least returns what the parts of a pattern of bar k and its legs have to be worth
// for a better plan.
func (s *search) least(m *measure, k int) float64 {
	return m.bar[k] - m.worth.bar[k] - (m.limit - m.spent - m.owed) - m.fuzz
}

// finish adds what is taken as a pattern, once for each way to use the legs.
func (s *search) finish(list *[]pattern, k int, room float64, value [2]float64) {
	if s.maximal && (s.hasRoom(k, room) || s.isDear(k)) {
		return
	}
	if b := &s.bounds[1]; b.on && value[1] < s.least(b, k) {
		return
	}
	s.ways = s.c.legs(s.ways[:0], k, s.take, room, s.parts)
	for _, w := range s.ways {
		worth := value[0] + float64(w.gain)
		for _, l := range [2]leg{w.a, w.b} {
			if l.serves >= 0 {
				worth += s.bounds[0].worth.part[l.serves]
			}
		}
		if worth < s.least(&s.bounds[0], k) {
			continue
		}
		p := s.c.made(k, s.take, room, w)
		p.over = s.bounds[0].bar[k] - s.bounds[0].worth.bar[k] - worth
		*list = append(*list, p)
	}
}

// hasRoom reports whether one more part fits.
func (s *search) hasRoom(k int, room float64) bool {
	for i := s.last[s.c.bars[k].class] - 1; i >= s.take[0]; i-- {
		if s.parts[i] > 0 && s.c.parts[i].must {
			return s.c.need(i, k) <= room+tight && s.c.fits(i, k)
		}
	}
	return false
}

// isDear reports whether what is taken can be cut from cheaper stock without end.
func (s *search) isDear(k int) bool {
	if s.bars[k] != unlimited {
		return false
	}
	for _, other := range s.endless {
		if other == k || s.c.bars[other].cost > s.c.bars[k].cost {
			return false
		}
		if s.c.bars[other].class == s.c.bars[k].class && s.c.rest(other, s.take) >= -tight {
			return true
		}
	}
	return false
}
