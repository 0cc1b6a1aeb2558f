package stock

import "math"

// worth is what covering each part is worth, and what a bar of which there are so
// many is worth beyond its cost: a feasible point of the dual of the linear
// relaxation. No pattern costs less than its parts are worth, so that whatever is
// left to cover costs at least what it is worth. That is the bound of the search.
type worth struct {
	part []float64 // of an optional part 0 or less: its gain is shared
	bar  []float64 // 0 or less
	// rate is what a cent of the money that there is for the whole plan is worth, where
	// that was set: bars cost as much more.
	rate float64
	// slack is by how much a pattern may cost less than its parts are worth, since
	// the relaxation is solved in floating point.
	slack float64
}

// of returns what covering the rest is worth.
func (w worth) of(parts, bars []int) float64 {
	var sum float64
	pieces := 0
	for i, n := range parts {
		sum += w.part[i] * float64(n)
		pieces += n
	}
	for k, n := range bars {
		if n > 0 {
			sum += w.bar[k] * float64(n)
		}
	}
	return sum - w.slack*float64(pieces)
}

// A column is a pattern of the relaxation. It is a little freer than a real one:
// two legs may stay on without the cut that what is left between pieces takes, and
// both may serve the same straight.
type column struct {
	bar   int
	take  []int // parts, one entry for each piece
	legs  []int // straights served
	cost  float64
	count []entry // by row
}

type entry struct {
	row int
	n   float64
}

// relaxed solves the linear relaxation by column generation (Gilmore and Gomory, "A
// linear programming approach to the cutting-stock problem", Operations Research 9,
// 1961) with the simplex method on a dense inverse.
type relaxed struct {
	c    *cover
	rows int // parts, then bars
	want []float64
	// The basis: what stands in each row, its value, and the inverse.
	in    []column
	value []float64
	inv   [][]float64
	pool  []column
	y     []float64
	most  []float64 // what leaving out a part costs here
	// legsOnly counts what legs gain and no money: that has to stay within the want of
	// the last row.
	legsOnly bool
}

// newRelaxed starts from leaving out every part.
func newRelaxed(c *cover, parts, bars []int, pool []column) *relaxed {
	return startRelaxed(&relaxed{c: c, rows: len(parts) + len(bars), pool: pool}, parts, bars)
}

// newLegsOnly is for the most that legs gain in a plan of so much money.
func newLegsOnly(c *cover, money int64) *relaxed {
	parts, bars := c.all()
	r := startRelaxed(&relaxed{c: c, rows: len(parts) + len(bars) + 1, legsOnly: true}, parts, bars)
	r.want[r.rows-1] = float64(money) / moneyUnit
	r.value[r.rows-1] = r.want[r.rows-1]
	return r
}

// moneyUnit is what the row of money counts in, in cents, so that its figures are of
// the size of the others.
const moneyUnit = 100.0

func startRelaxed(r *relaxed, parts, bars []int) *relaxed {
	c := r.c
	r.want = make([]float64, r.rows)
	r.value = make([]float64, r.rows)
	r.in = make([]column, r.rows)
	r.inv = make([][]float64, r.rows)
	r.y = make([]float64, r.rows)
	r.most = make([]float64, len(parts))
	for i := range r.rows {
		r.inv[i] = make([]float64, r.rows)
		r.inv[i][i] = 1
		r.in[i] = column{bar: -1, count: []entry{{i, 1}}}
		if i < len(parts) {
			r.want[i] = float64(parts[i])
			if c.parts[i].must {
				r.most[i] = r.dear(i)
				r.in[i].cost = r.most[i]
			}
		} else if i == len(parts)+len(bars) {
			continue // money, set by newLegsOnly
		} else if n := bars[i-len(parts)]; n >= 0 {
			r.want[i] = float64(n)
		} else {
			r.want[i] = 1e9 // of such a bar there is no end, and its row never binds
		}
		// A little more of each keeps the simplex method from going in circles.
		r.value[i] = r.want[i] + 1e-7*float64(1+i%17)
	}
	return r
}

// dear returns a price for leaving out a part. Where there is stock without end it
// is one that no plan comes to, a little more than the dearest bar that the part
// can be cut from: less than c.leave, so that the bound stays one, and kinder to the
// arithmetic.
func (r *relaxed) dear(i int) float64 {
	if r.legsOnly { // more than all legs gain
		most := int64(1)
		for _, p := range r.c.parts {
			most += p.gain * int64(p.n)
		}
		return float64(most)
	}
	if r.c.isLimited(i) {
		return float64(r.c.leave)
	}
	var most int64
	for k, b := range r.c.bars {
		if r.c.fits(i, k) {
			most = max(most, b.cost)
		}
	}
	return float64(min(most+1, r.c.leave))
}

// small is what a column has to cost less than its parts are worth to be of use.
func (r *relaxed) small() float64 {
	top := 1.0
	for k := range r.c.bars {
		top = math.Max(top, r.cost(k))
	}
	return 1e-9 * top
}

// solve improves until no column is of use or rounds are over.
func (r *relaxed) solve(rounds int) {
	small := r.small()
	for range rounds {
		r.price()
		enter, ok := r.cheapest(small)
		if !ok {
			if !r.generate(small) {
				return
			}
			continue
		}
		if !r.pivot(enter) {
			return
		}
	}
}

// price works out what covering a row is worth with the present basis.
func (r *relaxed) price() {
	for j := range r.y {
		r.y[j] = 0
	}
	for i, col := range r.in {
		if col.cost == 0 {
			continue
		}
		for j, v := range r.inv[i] {
			r.y[j] += float64(col.cost * v)
		}
	}
}

// cheapest returns the column that costs least beside what it covers, if that is of
// use.
func (r *relaxed) cheapest(small float64) (best column, ok bool) {
	least := -small
	parts := len(r.c.parts)
	for i, y := range r.y {
		// Covering a part more than wanted, and not using up a straight or a bar.
		if i < parts && r.c.parts[i].must {
			if y < least {
				least, best, ok = y, column{bar: -1, count: []entry{{i, -1}}}, true
			}
			if d := r.most[i] - y; d < least {
				least, best, ok = d, column{bar: -1, cost: r.most[i], count: []entry{{i, 1}}}, true
			}
		} else if -y < least {
			least, best, ok = -y, column{bar: -1, count: []entry{{i, 1}}}, true
		}
	}
	for _, col := range r.pool {
		if d := r.reduced(col); d < least {
			least, best, ok = d, col, true
		}
	}
	return best, ok
}

func (r *relaxed) reduced(col column) float64 {
	d := col.cost
	for _, e := range col.count {
		d -= float64(r.y[e.row] * e.n)
	}
	return d
}

// cost returns what a bar costs, with its share of the money.
func (r *relaxed) cost(k int) float64 {
	if r.legsOnly {
		return -r.y[r.rows-1] * float64(r.c.bars[k].money) / moneyUnit
	}
	return float64(r.c.bars[k].cost)
}

// generate adds the best column of each bar to the pool, where that is of use.
func (r *relaxed) generate(small float64) (found bool) {
	for k := range r.c.bars {
		if r.want[len(r.c.parts)+k] == 0 {
			continue
		}
		col, value := r.best(k)
		if r.cost(k)-value-r.y[len(r.c.parts)+k] < -small {
			r.pool = append(r.pool, col)
			found = true
		}
	}
	return found
}

// pivot brings a column into the basis; false when nothing limits it.
func (r *relaxed) pivot(col column) bool {
	dir := make([]float64, r.rows)
	for i := range dir {
		for _, e := range col.count {
			dir[i] += float64(r.inv[i][e.row] * e.n)
		}
	}
	out, step := -1, math.Inf(1)
	for i, d := range dir {
		if d > 1e-9 {
			if s := r.value[i] / d; s < step {
				out, step = i, s
			}
		}
	}
	if out < 0 {
		return false
	}
	step = math.Max(step, 0)
	for i := range r.value {
		r.value[i] -= float64(step * dir[i])
	}
	r.value[out] = step
	r.in[out] = col
	scale := 1 / dir[out]
	for j := range r.inv[out] {
		r.inv[out][j] *= scale
	}
	for i, d := range dir {
		if i == out || d == 0 {
			continue
		}
		from := r.inv[out]
		to := r.inv[i]
		for j, v := range from {
			to[j] -= float64(d * v)
		}
	}
	return true
}

// worth returns what the parts are worth, made feasible: what some pattern of a bar
// would cost less than its parts are worth is taken off the bar where it is
// limited, and off every pattern otherwise.
func (r *relaxed) worth() worth {
	n := len(r.c.parts)
	w := worth{part: make([]float64, n), bar: make([]float64, len(r.c.bars))}
	r.price()
	for i, p := range r.c.parts {
		switch {
		case r.want[i] == 0: // nothing holds it down
		case p.must:
			w.part[i] = math.Min(math.Max(r.y[i], 0), r.most[i])
		default:
			w.part[i] = math.Min(r.y[i], 0)
		}
	}
	copy(r.y, w.part)
	if r.legsOnly {
		r.y[r.rows-1] = math.Min(r.y[r.rows-1], 0)
		w.rate = -r.y[r.rows-1] / moneyUnit
	}
	for k, b := range r.c.bars {
		if r.want[n+k] == 0 {
			continue
		}
		_, value := r.best(k)
		short := r.cost(k) - value
		switch {
		case short >= 0:
		case b.n == unlimited:
			w.slack = math.Max(w.slack, -short)
		default:
			w.bar[k] = short
		}
	}
	return w
}

// best returns the column of bar k whose parts are worth most, and what they are
// worth with the gain of its legs, by branch and bound on what is worth most for
// its size.
func (r *relaxed) best(k int) (column, float64) {
	s := newSack(r.c, k, r.y[:len(r.c.parts)], func(i int) int { return int(r.want[i] + 0.5) })
	s.fill(0, s.room, 0, 0, 0)
	take, legs := s.chosen()
	col := column{bar: k, take: take, legs: legs}
	if !r.legsOnly {
		col.cost = float64(r.c.bars[k].cost)
	}
	count := make([]float64, r.rows)
	for _, i := range take {
		count[i]++
	}
	for _, i := range legs {
		count[i]++
		col.cost -= float64(r.c.parts[i].gain)
	}
	count[len(r.c.parts)+k] = 1
	if r.legsOnly {
		count[r.rows-1] = float64(r.c.bars[k].money) / moneyUnit
	}
	for row, v := range count {
		if v != 0 {
			col.count = append(col.count, entry{row, v})
		}
	}
	return col, s.most
}
