package stock

// solve plans a bundle. Class by class it is quick, and what each costs at least,
// with tubing for those straights alone that no leg can serve, is a bound for all
// together. Where the plan costs more than that, or a straight lies between bends of
// two classes, all are searched as one, straights too.
func (b *bundle) solve(g *budget) (sol solution, fewest bool) {
	sol, shares, bends := b.apart(g, nil)
	if sol.money > sol.least && b.hasLegs() {
		if other, _, _ := b.apart(g, b.weights()); other.money < sol.money || other.money == sol.money && other.served > sol.served {
			sol.plan, sol.money, sol.served = other.plan, other.money, other.served
		}
	}
	// At that least every class is at its own, and what legs serve there is the most of
	// all plans that cost as much.
	if sol.money == sol.least && sol.served == sol.most && !shares {
		return sol, true
	}
	if sol.money > sol.least && sol.money < b.cover.leaveMoney {
		sol.least = max(sol.least, b.byTubing(sol.money, bends))
	}
	return b.joint(g, sol)
}

func (b *bundle) hasLegs() bool {
	for class := range b.clrs {
		if c := b.of(class, make([]int, len(b.cover.parts))); c.hasLegs() {
			return true
		}
	}
	return false
}

// apart solves class by class, each with the straights that the ones before left,
// and says whether one lacked a straight for that, and what the bends cost at least;
// with weights, what a leg saves counts in money too.
func (b *bundle) apart(g *budget, weights []int64) (sol solution, shares bool, bends int64) {
	served := make([]int, len(b.cover.parts))
	for class := range b.clrs {
		c := b.of(class, served)
		shares = shares || b.sharesServed(class, served)
		for i, w := range weights {
			c.parts[i].gain += w
		}
		one := g.class(&c, weights != nil)
		for _, p := range one.plan {
			for _, l := range [2]leg{p.legA, p.legB} {
				if l.serves >= 0 {
					served[l.serves]++
				}
			}
		}
		sol.add(one)
	}
	bends = sol.least
	c := b.of(b.straights(), served)
	straights := g.class(&c, false)
	can := b.servable()
	for i, isServable := range can {
		served[i] = 0
		if isServable {
			served[i] = b.cover.parts[i].n
		}
	}
	c = b.of(b.straights(), served)
	_, m := g.cheapest(&c)
	straights.least = m.least
	sol.add(straights)
	for j := range sol.plan { // costs by weight were for the search alone
		p := &sol.plan[j]
		if p.bar >= 0 {
			p.cost = b.cover.bars[p.bar].cost - int64(count(sol.plan[j:j+1]))
		}
	}
	return sol, shares, bends
}

func (sol *solution) add(one solution) {
	sol.plan = append(sol.plan, one.plan...)
	sol.money += one.money
	sol.least += one.least
	sol.served += one.served
	sol.most += one.most
}

// sharesServed reports whether a leg of an earlier class serves a straight that one
// of this class might.
func (b *bundle) sharesServed(class int, served []int) bool {
	for _, p := range b.cover.parts {
		if p.class == class && (p.before >= 0 && served[p.before] > 0 || p.after >= 0 && served[p.after] > 0) {
			return true
		}
	}
	return false
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

// weights returns what each straight is worth as tubing, in units of cost: its share
// of the lengths that are needed for all.
func (b *bundle) weights() []int64 {
	c := b.of(b.straights(), make([]int, len(b.cover.parts)))
	m := c.merged()
	parts, bars := m.all()
	r := newRelaxed(&m, parts, bars, nil)
	r.solve(lpRounds)
	w := r.worth()
	c.spread(w.part)
	weights := make([]int64, len(c.parts))
	for i, p := range c.parts {
		if p.class == b.straights() {
			weights[i] = int64(w.part[i] * float64(b.scale))
		}
	}
	return weights
}

// joint searches all classes as one, from a plan on.
func (b *bundle) joint(g *budget, sol solution) (solution, bool) {
	c := b.cover
	s := g.byCost(&c)
	bound := int64(s.bounds[0].least())
	// cost = money·scale − served, and served is never less than 0.
	sol.least = max(sol.least, up(float64(bound)/float64(b.scale), 1))
	s.limitMoney(b.wholeBars(&c, sol.money), sol.money)
	sol.least = max(sol.least, int64(s.bounds[1].least()))
	s.start(sol.plan)
	done := s.best <= bound || g.search(s, g.left)
	sol.plan = s.plan
	sol.money, sol.served = moneyOf(sol.plan), count(sol.plan)
	if done {
		sol.least, sol.most = sol.money, sol.served
	}
	return sol, done
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
