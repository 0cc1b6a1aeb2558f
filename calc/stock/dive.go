package stock

import (
	"math"
	"sort"
)

// dive returns a plan that is good and need not be the best: the relaxation is
// solved, its patterns that are used whole are taken, or the one that is used most,
// and so on with what remains. Legs serve nothing in it.
func (c *cover) dive(p *pool, stop func() bool) []pattern {
	parts, bars := c.all()
	var plan []pattern
	for i := range c.parts {
		if !c.parts[i].must {
			parts[i] = 0
		}
	}
	for !isCovered(parts) && !stop() {
		r := newRelaxed(c, parts, bars, p)
		r.solve(lpRounds)
		took := false
		for i, col := range r.in {
			for n := math.Floor(r.value[i] + 1e-4); n >= 1 && col.bar >= 0; n-- {
				took = c.cut(&plan, col, parts, bars) || took
			}
		}
		if took {
			continue
		}
		most := -1
		for i, col := range r.in {
			if col.bar >= 0 && len(col.take) > 0 && r.value[i] > 1e-4 && (most < 0 || r.value[i] > r.value[most]+1e-9) {
				most = i
			}
		}
		if most < 0 || !c.cut(&plan, r.in[most], parts, bars) {
			break
		}
	}
	for i := range parts {
		for c.parts[i].must && parts[i] > 0 {
			if c.cut(&plan, column{bar: c.cheapestFor(i, bars), take: []int{i}}, parts, bars) {
				continue
			}
			parts[i]--
			plan = append(plan, c.without(i))
		}
	}
	return plan
}

// lpRounds ends a simplex method that goes in circles; the worth of parts that it
// has by then is a bound all the same.
const lpRounds = 5000

// cut takes a column as far as it is still wanted, and fills up what is left of its
// bar, the largest first. False when nothing of it is wanted.
func (c *cover) cut(plan *[]pattern, col column, parts, bars []int) bool {
	k := col.bar
	if k < 0 || bars[k] == 0 {
		return false
	}
	room := c.bars[k].room() + tight
	var take []int
	for _, i := range col.take {
		if parts[i] > 0 && c.need(i, k) <= room {
			parts[i]--
			room -= c.need(i, k)
			take = append(take, i)
		}
	}
	if len(take) == 0 {
		return false
	}
	for i := range parts {
		for parts[i] > 0 && c.parts[i].must && c.fits(i, k) && c.need(i, k) <= room {
			parts[i]--
			room -= c.need(i, k)
			take = append(take, i)
		}
	}
	if bars[k] > 0 {
		bars[k]--
	}
	sort.Ints(take)
	*plan = append(*plan, c.made(k, take, c.rest(k, take), served{a: noLeg, b: noLeg}))
	return true
}

// cheapestFor returns the bar that costs least for its size of those that a part can
// still be cut from; −1 when there is none.
func (c *cover) cheapestFor(i int, bars []int) int {
	best := -1
	rate := func(k int) float64 { return float64(c.bars[k].cost) / c.bars[k].room() }
	for k := range c.bars {
		if bars[k] != 0 && c.fits(i, k) && (best < 0 || rate(k) < rate(best)) {
			best = k
		}
	}
	return best
}

// without returns the pattern that leaves a part out.
func (c *cover) without(i int) pattern {
	return pattern{bar: -1, take: []int{i}, legA: noLeg, legB: noLeg, cost: c.leave, money: c.leaveMoney}
}

func isCovered(parts []int) bool {
	for _, n := range parts {
		if n > 0 {
			return false
		}
	}
	return true
}
