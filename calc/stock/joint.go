package stock

// solve plans a bundle. Class by class it is quick, and what each costs at least,
// with tubing for those straights alone that no leg can serve, is a bound for all
// together. Where legs may serve straights all classes are searched as one then, by a
// tree of relaxations, and what that leaves open pattern by pattern.
func (b *bundle) solve(g *budget) (sol solution, fewest bool) {
	sol = b.apart(g)
	if sol.money == sol.least && !b.hasLegs() {
		return sol, true
	}
	var w *worth
	if sol.money < b.cover.leaveMoney {
		t := newTree(g, &b.cover, b.straights(), sol.plan)
		least := t.run(g.left * 3 / 4)
		w = t.root
		sol.plan = t.plan
		sol.money, sol.served = moneyOf(sol.plan), count(sol.plan)
		sol.least = max(sol.least, up(float64(least)/float64(b.cover.scale), t.unit))
		fewest = least == t.best
	}
	search := b.joint(g, w, &sol)
	if !fewest {
		s := search()
		s.start(sol.plan)
		fewest = g.search(s, g.left)
		sol.plan = s.plan
	}
	sol.plan = g.tidied(search(), sol.plan)
	sol.money, sol.served = moneyOf(sol.plan), count(sol.plan)
	if fewest {
		sol.least = sol.money
	}
	return sol, fewest
}

func (b *bundle) hasLegs() bool {
	for class := range b.clrs {
		if c := b.of(class, make([]int, len(b.cover.parts))); c.hasLegs() {
			return true
		}
	}
	return false
}

// apart solves class by class, each with the straights that the ones before left.
func (b *bundle) apart(g *budget) (sol solution) {
	served := make([]int, len(b.cover.parts))
	share := g.whole
	if b.hasLegs() {
		share = g.quick()
	}
	for class := range b.clrs {
		c := b.of(class, served)
		one := g.class(&c, share)
		for _, p := range one.plan {
			for _, l := range [2]leg{p.legA, p.legB} {
				if l.serves >= 0 {
					served[l.serves]++
				}
			}
		}
		sol.add(one)
	}
	c := b.of(b.straights(), served)
	straights := g.class(&c, share)
	can := b.servable()
	for i, isServable := range can {
		served[i] = 0
		if isServable {
			served[i] = b.cover.parts[i].n
		}
	}
	c = b.of(b.straights(), served)
	_, m := g.cheapest(&c, share)
	straights.least = m.least
	sol.add(straights)
	return sol
}

func (sol *solution) add(one solution) {
	sol.plan = append(sol.plan, one.plan...)
	sol.money += one.money
	sol.least += one.least
	sol.served += one.served
}

// servable says of each part whether a leg may serve it.
func (b *bundle) servable() []bool {
	can := make([]bool, len(b.cover.parts))
	for _, p := range b.cover.parts {
		if p.before >= 0 {
			can[p.before] = true
		}
		if p.after >= 0 {
			can[p.after] = true
		}
	}
	return can
}

// joint returns what starts searches of all classes as one, with what parts are worth
// if that is known, and improves the bound of a solution.
func (b *bundle) joint(g *budget, w *worth, sol *solution) func() *search {
	c := &b.cover
	if w == nil {
		own := c.relaxed()
		w = &own
	}
	first := newSearch(c, *w, c.unit())
	// cost = money·scale − served, and served is never less than 0.
	sol.least = max(sol.least, up(first.bounds[0].least()/float64(c.scale), 1))
	whole, limit := b.wholeBars(c, sol.money), sol.money
	first.limitMoney(whole, limit)
	sol.least = max(sol.least, int64(first.bounds[1].least()))
	return func() *search {
		s := newSearch(c, *w, c.unit())
		s.limitMoney(whole, limit)
		return s
	}
}

// wholeBars is the bound of money of all classes by whole bars alone.
func (b *bundle) wholeBars(c *cover, limit int64) money {
	m := money{unit: 1, worth: worth{part: make([]float64, len(c.parts)), bar: make([]float64, len(c.bars))}}
	var unit int64
	for _, k := range c.bars {
		unit = gcd(unit, k.money)
	}
	m.areas = c.areas(max(gcd(unit, c.leaveMoney), 1), limit)
	if limit < c.leaveMoney {
		m.areas = c.areas(max(unit, 1), limit)
	}
	return m
}
