package stock

import "math"

// solution is a plan of a bundle with what is proven of it.
type solution struct {
	plan   []pattern
	money  int64
	least  int64 // no plan costs less money
	served int   // straights that legs serve
}

// budget is the steps that are left, and whom to ask whether to go on.
type budget struct {
	left  int
	whole int
	asked int // what was left when somebody was asked last
	ask   func(Progress) bool
	told  Progress
}

func (g *budget) step(spent int) bool {
	if g.ask == nil {
		return true
	}
	g.told.Done = math.Min(1, 1-float64(g.left-spent)/float64(g.whole))
	if !g.ask(g.told) {
		g.left = 0
		return false
	}
	return true
}

// isOver reports whether the steps are used up, or whoever is asked now and then wants
// no more.
func (g *budget) isOver() bool {
	if g.left <= 0 {
		return true
	}
	if g.asked-g.left < askEvery {
		return false
	}
	g.asked = g.left
	return !g.step(0)
}

// askEvery is after how many steps somebody is asked whether to go on.
const askEvery = 4096

// search runs within a share of what is left; true when it came to its end.
func (g *budget) search(s *search, share int) bool {
	if g.left <= 0 {
		return false
	}
	s.step = func(s *search) bool { return g.step(s.steps) }
	done := s.run(min(share, g.left))
	g.left -= min(s.steps, g.left)
	return done
}

// of returns the cover of one class alone: its bends, and the straights that legs
// may still serve; or, of the straights, those that no leg serves.
func (b *bundle) of(class int, served []int) cover {
	c := b.cover
	c.parts = append([]part(nil), b.cover.parts...)
	for i := range c.parts {
		p := &c.parts[i]
		switch {
		case p.class == b.straights():
			p.n -= served[i]
			p.must = class == p.class
		case p.class != class:
			p.n = 0
		}
	}
	return c
}

// merged returns a class with parts of the same size as one, the first of them,
// money for cost and no legs: what the least money is worked out on.
func (c *cover) merged() cover {
	m := *c
	m.parts = append([]part(nil), c.parts...)
	m.bars = append([]bar(nil), c.bars...)
	first := 0
	for i := range m.parts {
		p := &m.parts[i]
		p.gain, p.before, p.after = 0, -1, -1
		if !p.must {
			p.n = 0
			continue
		}
		if i > 0 && (p.class != m.parts[first].class || p.size != m.parts[first].size) {
			first = i
		}
		if first != i {
			m.parts[first].n += p.n
			p.n = 0
		}
	}
	for k := range m.bars {
		m.bars[k].cost = m.bars[k].money
		m.bars[k].legA, m.bars[k].legB = 0, 0
	}
	m.leave = m.leaveMoney
	return m
}

// spread gives every part the value of the first of its size.
func (c *cover) spread(values []float64) {
	first := 0
	for i, p := range c.parts {
		if f := c.parts[first]; !p.must || p.class != f.class || p.size != f.size {
			first = i
		}
		values[i] = values[first]
	}
}

// split gives the patterns of merged parts back to the parts of a class.
func (c *cover) split(plan []pattern) []pattern {
	left, _ := c.all()
	out := make([]pattern, len(plan))
	for j, p := range plan {
		p.take = append([]int(nil), p.take...)
		for q, i := range p.take {
			for left[i] == 0 || !c.parts[i].must {
				i++ // parts of one size stand in a row
			}
			left[i]--
			p.take[q] = i
		}
		if p.bar >= 0 {
			p.cost = c.bars[p.bar].cost
		} else {
			p.cost = c.leave
		}
		out[j] = p
	}
	return out
}

// greedy uses the legs of a plan, pattern by pattern, each for what gains most.
func (c *cover) greedy(plan []pattern) []pattern {
	left, _ := c.all()
	for j, p := range plan {
		if p.bar < 0 {
			continue
		}
		ways := c.legs(nil, p.bar, p.take, c.rest(p.bar, p.take), left)
		best := 0
		for w := range ways {
			if ways[w].gain > ways[best].gain {
				best = w
			}
		}
		for _, l := range [2]leg{ways[best].a, ways[best].b} {
			if l.serves >= 0 {
				left[l.serves]--
			}
		}
		plan[j].legA, plan[j].legB = ways[best].a, ways[best].b
		plan[j].cost = c.bars[p.bar].cost - ways[best].gain
	}
	return plan
}

// unit returns the largest number that every cost is a multiple of.
func (c *cover) unit() int64 {
	var u int64
	used := make([]bool, len(c.bars))
	for i, p := range c.parts {
		if p.n == 0 {
			continue
		}
		u = gcd(u, p.gain)
		if !p.must {
			continue
		}
		if c.isLimited(i) {
			u = gcd(u, c.leave)
		}
		for k := range c.bars {
			used[k] = used[k] || c.fits(i, k)
		}
	}
	for k, b := range c.bars {
		if used[k] {
			u = gcd(u, b.cost)
		}
	}
	return max(u, 1)
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// money is what is known of the least money of a class.
type money struct {
	worth worth // of all parts, also in the cover that is not merged
	unit  int64
	areas []*area // by class
	least int64   // no plan costs less
}

// quick is how many steps a class may take where legs may serve straights: its plan is
// a beginning then, and a bound.
func (g *budget) quick() int { return g.whole / 40 }

// cheapest returns a plan of the least money for a class, without regard to legs, or
// what is found within so many steps.
func (g *budget) cheapest(c *cover, share int) (plan []pattern, least money) {
	m := c.merged()
	parts, bars := m.all()
	r := newRelaxed(&m, parts, bars, nil)
	r.solve(lpRounds)
	w, unit := r.worth(), m.unit()
	c.spread(w.part)
	plan = m.dive(r.pool, g.isOver)
	cost, _ := sum(plan)
	s := newSearch(&m, w, unit)
	s.maximal = true
	areas := m.areas(unit, cost)
	s.byAreas(areas)
	least = money{worth: w, unit: unit, areas: areas, least: max(int64(s.bounds[0].least()), 0)}
	if cost > least.least {
		s.start(plan)
		if g.search(s, share) {
			least.least = s.best
		}
		plan = s.plan
	}
	return c.split(plan), least
}

// class solves a class: the least money, and, where legs have nothing to serve, the
// most useful off-cut. Otherwise legs serve what they can of that plan.
func (g *budget) class(c *cover, share int) (sol solution) {
	plan, m := g.cheapest(c, share)
	if c.hasLegs() {
		plan = c.greedy(plan)
	} else {
		plan = g.tidy(c.merged(), m, plan, c)
	}
	return solution{plan: plan, money: moneyOf(plan), least: m.least, served: count(plan)}
}

// relaxed returns what the parts of a cover are worth.
func (c *cover) relaxed() worth {
	parts, bars := c.all()
	r := newRelaxed(c, parts, bars, nil)
	r.solve(lpRounds)
	return r.worth()
}

// tidySteps is how far to look for a more useful off-cut, which is worth a moment
// and no more.
const tidySteps = 10_000

// tidied looks among plans that cost the same for a more useful off-cut.
func (g *budget) tidied(s *search, plan []pattern) []pattern {
	s.ties = true
	s.start(plan)
	g.search(s, tidySteps)
	return s.plan
}

// tidy is tidied for a class without legs, by its merged cover.
func (g *budget) tidy(merged cover, m money, plan []pattern, c *cover) []pattern {
	s := newSearch(&merged, m.worth, m.unit)
	s.byAreas(m.areas)
	return c.split(g.tidied(s, merged.join(plan)))
}

// join is the reverse of split.
func (m *cover) join(plan []pattern) []pattern {
	out := make([]pattern, len(plan))
	for j, p := range plan {
		p.take = append([]int(nil), p.take...)
		for q, i := range p.take {
			for m.parts[i].n == 0 {
				i-- // parts of one size stand in a row, the first has the count
			}
			p.take[q] = i
		}
		p.cost = m.leave
		if p.bar >= 0 {
			p.cost = m.bars[p.bar].cost
		}
		out[j] = p
	}
	return out
}

// hasLegs reports whether a leg may serve anything.
func (c *cover) hasLegs() bool {
	for _, p := range c.parts {
		if p.n > 0 && p.must && (p.before >= 0 && c.parts[p.before].n > 0 || p.after >= 0 && c.parts[p.after].n > 0) {
			return true
		}
	}
	return false
}

// moneyOf is what a plan costs, with the price of what is left out, in cents.
func moneyOf(plan []pattern) (money int64) {
	for _, p := range plan {
		money += p.money
	}
	return money
}

// count is how many straights the legs of a plan serve.
func count(plan []pattern) (n int) {
	for _, p := range plan {
		if p.legA.serves >= 0 {
			n++
		}
		if p.legB.serves >= 0 {
			n++
		}
	}
	return n
}
