package stock

import "math"

// nearlyWhole is how much of a pattern has to be used to take it among others.
const nearlyWhole = 0.8

// dive takes what the relaxation uses whole, or most of, and solves it again for what
// is left, until there is a plan or none that is better.
func (t *tree) dive(n *node, r *relaxed) {
	parts := make([]int, len(t.all))
	t.wanted(n, parts)
	least, most := append([]int(nil), n.least...), append([]int(nil), n.most...)
	var plan []pattern
	var cost int64
	for {
		took := len(plan)
		best := -1
		var nearly []int
		for i, col := range r.in {
			if col.bar < 0 || len(col.take) == 0 {
				continue
			}
			for v := r.value[i] + 1e-4; v >= 1; v-- {
				t.cut(&plan, col, r.y, parts, least, most)
			}
			if best < 0 || r.value[i] > r.value[best]+1e-9 {
				best = i
			}
			if r.value[i] > nearlyWhole {
				nearly = append(nearly, i)
			}
		}
		if len(plan) == took {
			for _, i := range nearly {
				t.cut(&plan, r.in[i], r.y, parts, least, most)
			}
		}
		if len(plan) == took && (best < 0 || r.value[best] < 1e-4 || !t.cut(&plan, r.in[best], r.y, parts, least, most)) {
			return
		}
		for _, p := range plan[took:] {
			cost += p.cost
		}
		if t.isBent(parts) {
			break
		}
		if t.g.isOver() {
			return
		}
		copy(r.n, parts)
		copy(r.least, least)
		copy(r.most, most)
		r.limit = float64(t.best - cost)
		basis := append([]column(nil), r.in...)
		r.again(basis)
		r.solve(lpRounds)
		t.spend(r)
		if cost+int64(math.Ceil(r.bound-fuzzCost)) >= t.best {
			return
		}
	}
	plan = t.c.polish(append(plan, t.tubing(n, parts)...))
	if cost, _ := sum(plan); cost < t.best {
		t.best, t.plan = cost, plan
	}
}

// cut takes a column as far as it is still wanted, with its legs or else those that are
// worth most.
func (t *tree) cut(plan *[]pattern, col column, y []float64, parts, least, most []int) bool {
	c, k := t.c, col.bar
	if most[k] == 0 {
		return false
	}
	var take []int
	for _, i := range col.take {
		if parts[i] > 0 {
			parts[i]--
			take = append(take, i)
		}
	}
	if len(take) == 0 {
		return false
	}
	rest := c.rest(k, take)
	best, value := served{a: noLeg, b: noLeg}, 0.0
	for _, w := range c.legs(nil, k, take, rest, parts) {
		v := 0.0
		for _, l := range [2]leg{w.a, w.b} {
			if l.serves >= 0 {
				v += float64(c.parts[l.serves].gain) + y[l.serves]
			}
			for _, own := range col.legs {
				if own == l.serves { // before any other
					v += float64(c.leave)
				}
			}
		}
		if v > value {
			best, value = w, v
		}
	}
	for _, l := range [2]leg{best.a, best.b} {
		if l.serves >= 0 {
			parts[l.serves]--
		}
	}
	least[k] = max(least[k]-1, 0)
	if most[k] > 0 {
		most[k]--
	}
	*plan = append(*plan, c.made(k, take, rest, best))
	return true
}

// polish lets legs serve what is cut from tubing in a plan, as far as one bar alone
// can be changed for that.
func (c *cover) polish(plan []pattern) []pattern {
	left := make([]int, len(c.parts)) // cut from tubing
	for _, p := range plan {
		for _, i := range p.take {
			if p.bar >= 0 && c.parts[i].gain > 0 {
				left[i]++
			}
		}
	}
	for again := true; again; {
		again = false
		for j := range plan {
			p := &plan[j]
			if p.bar < 0 || c.bars[p.bar].legA <= 0 && c.bars[p.bar].legB <= 0 {
				continue
			}
			var gain int64
			for _, l := range [2]leg{p.legA, p.legB} {
				if l.serves >= 0 {
					gain += c.parts[l.serves].gain
					left[l.serves]++
				}
			}
			best := served{a: p.legA, b: p.legB, gain: gain}
			for _, w := range c.legs(nil, p.bar, p.take, c.rest(p.bar, p.take), left) {
				if w.gain > best.gain {
					best, again = w, true
				}
			}
			p.legA, p.legB, p.cost = best.a, best.b, c.bars[p.bar].cost-best.gain
			for _, l := range [2]leg{p.legA, p.legB} {
				if l.serves >= 0 {
					left[l.serves]--
				}
			}
		}
	}
	var out []pattern
	for _, p := range plan {
		if p.bar < 0 || len(p.take) == 0 || c.parts[p.take[0]].gain == 0 {
			out = append(out, p)
			continue
		}
		var take []int
		for _, i := range p.take {
			if left[i] > 0 {
				left[i]--
				take = append(take, i)
			}
		}
		if len(take) > 0 {
			out = append(out, c.made(p.bar, take, c.rest(p.bar, take), served{a: noLeg, b: noLeg}))
		}
	}
	return out
}

// isBent reports whether all bends are covered.
func (t *tree) isBent(parts []int) bool {
	for i, n := range parts {
		if n > 0 && t.c.parts[i].class != t.straights {
			return false
		}
	}
	return true
}

// tubing cuts what is left of the straights from tubing.
func (t *tree) tubing(n *node, parts []int) []pattern {
	c := *t.c
	c.parts = append([]part(nil), c.parts...)
	for i := range c.parts {
		c.parts[i].n = parts[i] + n.cut[i]
	}
	plan, _ := t.g.cheapest(&c, t.g.quick())
	return plan
}
