package stock

import "math"

// mostLevels is how many sums of money for tubing are looked at for a bound.
const mostLevels = 60

// byTubing returns what a bundle costs at least, at most cost, where its bends cost
// bends at least. For every sum that may be spent on tubing, what does not go into so
// much tubing has to be served by legs, and the bends may cost what is left; where the
// relaxation says that no bends for that money serve as much, the sum is too little.
func (b *bundle) byTubing(cost, bends int64) int64 {
	straights := b.of(b.straights(), make([]int, len(b.cover.parts)))
	tubing := straights.merged()
	unit := tubing.unit()
	table := tubing.area(b.straights(), unit, cost-bends)
	c := b.bends()
	if table == nil || math.IsInf(table.loss, 1) {
		return bends
	}
	var total float64 // of straights, in steps of gain
	for i := range c.parts {
		if p := &c.parts[i]; p.class == b.straights() {
			p.gain = int64(straightSteps * (p.length + table.loss))
			total += float64(p.gain+1) * float64(p.n)
		}
	}
	// Rounded so that the bound stays one: gains up, what has to be gained down.
	for i := range c.parts {
		if p := &c.parts[i]; p.class == b.straights() {
			p.gain++
			total -= float64(p.n)
		}
	}
	parts, bars := c.all()
	levels := 0
	for at, room := range table.room {
		spent := int64(at) * unit
		if at > 0 && room == table.room[at-1] {
			continue
		}
		if bends+spent >= cost {
			break
		}
		if levels++; levels > mostLevels {
			return bends + spent
		}
		r := newLegsOnly(&c, cost-1-spent)
		r.solve(lpRounds)
		w := r.worth()
		most := w.rate*float64(cost-1-spent) - w.of(parts, bars)
		if most >= total-straightSteps*(room+1e-6)-1e-3 {
			return bends + spent
		}
	}
	return cost
}

// straightSteps is how many steps of gain a millimetre is.
const straightSteps = 1000

// bends returns the cover of all bends, with straights that legs may serve.
func (b *bundle) bends() cover {
	c := b.cover
	c.parts = append([]part(nil), b.cover.parts...)
	for i := range c.parts {
		if c.parts[i].class == b.straights() {
			c.parts[i].must = false
		}
	}
	return c
}
