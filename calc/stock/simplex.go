package stock

import "math"

// restart begins with the basis that leaves out every part.
func (r *relaxed) restart() {
	for i := range r.want {
		r.in[i] = r.logical(i)
		for j := range r.inv[i] {
			r.inv[i][j] = 0
		}
		r.inv[i][i] = 1
		r.value[i] = r.want[i]
	}
	for k, row := range r.leastRow {
		if row >= 0 {
			r.in[row] = r.empty(k)
			r.inv[r.mostRow[k]][row] = -1
			r.value[r.mostRow[k]] -= r.want[row]
		}
	}
	if i := r.lengthRow; i >= 0 { // no more than the room that there is
		r.in[i].count[0].n = -1
		r.inv[i][i] = -1
		r.value[i] = -r.want[i]
	}
	r.pivots = 0
}

// logical returns the column that fills a row and nothing else.
func (r *relaxed) logical(row int) column {
	col := column{bar: -1, count: []entry{{row, 1}}}
	if row < len(r.n) {
		col.cost = r.dear[row]
	}
	return col
}

func (r *relaxed) empty(k int) column { return column{bar: k, cost: r.cost(k)} }

// from begins with a basis, for what is wanted now.
func (r *relaxed) from(basis []column) {
	rows := len(r.want)
	copy(r.in, basis)
	b := make([][]float64, rows)
	all := make([]float64, rows*rows)
	for i := range b {
		b[i] = all[i*rows : (i+1)*rows]
		for j := range r.inv[i] {
			r.inv[i][j] = 0
		}
		r.inv[i][i] = 1
	}
	for j := range basis {
		for _, e := range r.entries(&basis[j]) {
			b[e.row][j] += e.n
		}
	}
	for j := range rows { // Gauss and Jordan, the largest first
		at := j
		for i := j + 1; i < rows; i++ {
			if math.Abs(b[i][j]) > math.Abs(b[at][j]) {
				at = i
			}
		}
		if math.Abs(b[at][j]) < 1e-9 {
			r.restart()
			return
		}
		b[j], b[at] = b[at], b[j]
		r.inv[j], r.inv[at] = r.inv[at], r.inv[j]
		scale := 1 / b[j][j]
		for i := range rows {
			b[j][i] *= scale
			r.inv[j][i] *= scale
		}
		for i := range rows {
			if d := b[i][j]; d != 0 && i != j {
				subtract(b[i][j:], b[j][j:], d)
				subtract(r.inv[i], r.inv[j], d)
				r.work += rows
			}
		}
	}
	r.pivots = 0
	r.revalue()
}

func subtract(to, from []float64, n float64) {
	for i, v := range from {
		to[i] -= float64(n * v)
	}
}

// revalue works out the values of the basis.
func (r *relaxed) revalue() {
	for i, inv := range r.inv {
		v := 0.0
		for j, w := range r.want {
			v += float64(inv[j] * w)
		}
		r.value[i] = v
	}
}

// small is what a column has to cost less than its parts are worth to be of use.
func (r *relaxed) small() float64 {
	top := 1.0
	for k := range r.c.bars {
		top = math.Max(top, r.cost(k))
	}
	return 1e-9 * top
}

// solve improves until no column is of use, rounds are over or nothing within the
// limit is left.
func (r *relaxed) solve(rounds int) {
	small := r.small()
	r.bound = math.Inf(-1)
	r.price()
	for n := range rounds {
		if n%priceEvery == priceEvery-1 {
			r.price()
		}
		enter, cost, ok := r.cheapest(small)
		if !ok {
			r.price()
			if !r.generate(small) || r.least != nil && r.bound >= r.limit {
				return
			}
			continue
		}
		r.direct(&enter)
		out := r.leaving()
		if out < 0 {
			return
		}
		r.enter(enter, out, cost)
	}
}

// again goes on from the basis of a relaxation that was solved, after what is wanted
// was changed: values below nothing go first. The cost of every column is as much as
// its parts are worth at least, and stays so.
func (r *relaxed) again(basis []column) {
	r.wants()
	r.from(basis)
	r.leaveOut(1)
	for i := range r.in { // what is forbidden now costs too much
		if r.in[i].bar >= 0 || len(r.in[i].count) == 2 {
			if r.rules.forbids(&r.in[i]) {
				r.in[i].cost = float64(r.c.leave)
			}
		}
	}
	r.price()
	for range againRounds {
		out := -1
		for i, v := range r.value {
			if v < -1e-7 && (out < 0 || v < r.value[out]) {
				out = i
			}
		}
		if out < 0 {
			return
		}
		enter, cost, ok := r.steepest(out)
		if !ok {
			break
		}
		r.direct(&enter)
		r.enter(enter, out, cost)
		if r.pivots%priceEvery == 0 {
			r.price()
		}
	}
	r.restart()
}

// priceEvery is after how many rounds prices are worked out from the inverse, against
// rounding.
const priceEvery = 64

// againRounds is after how many rounds it is better to begin anew.
const againRounds = 400

// price works out what covering a row is worth with the present basis.
func (r *relaxed) price() {
	for j := range r.y {
		r.y[j] = 0
	}
	for i := range r.in {
		if cost := r.in[i].cost; cost != 0 {
			for j, v := range r.inv[i] {
				r.y[j] += float64(cost * v)
			}
		}
	}
	r.work += len(r.y) * len(r.y)
	r.priceBars()
}

func (r *relaxed) priceBars() {
	for k := range r.c.bars {
		r.barY[k+1] = r.ofBar(r.y, k)
	}
}

// ofBar returns what the rows of a bar are worth.
func (r *relaxed) ofBar(y []float64, k int) (v float64) {
	if row := r.mostRow[k]; row >= 0 {
		v += y[row]
	}
	if row := r.leastRow[k]; row >= 0 {
		v += y[row]
	}
	return v
}

// logicals calls try with the columns of one row: what is left short or is more than
// wanted there.
func (r *relaxed) logicals(try func(row int, n, cost float64)) {
	for i := range r.n {
		if r.c.parts[i].must && !r.isExact(i) {
			try(i, -1, 0)
		}
		try(i, 1, r.dear[i])
	}
	for k := range r.c.bars {
		if i := r.mostRow[k]; i >= 0 {
			try(i, 1, 0)
		}
		if i := r.leastRow[k]; i >= 0 {
			try(i, -1, 0)
		}
	}
	if i := r.lengthRow; i >= 0 {
		try(i, -1, 0)
	}
}

// cheapest returns the column that costs least beside what it covers, and how much
// that is, if it is of use.
func (r *relaxed) cheapest(small float64) (best column, least float64, ok bool) {
	least = -small
	row, n, cost := -1, 0.0, 0.0
	r.logicals(func(i int, of, c float64) {
		if d := c - float64(of*r.y[i]); d < least {
			least, row, n, cost = d, i, of, c
		}
	})
	at := -1
	for i := range r.pool.columns {
		col := &r.pool.columns[i]
		d := col.cost - r.barY[col.bar+1]
		for _, e := range col.count {
			d -= float64(r.y[e.row] * e.n)
		}
		if d < least && !r.isOff(i) {
			least, at = d, i
		}
	}
	r.work += 8 * len(r.pool.columns)
	switch {
	case at >= 0:
		return r.pool.columns[at], least, true
	case row >= 0:
		return column{bar: -1, cost: cost, count: []entry{{row, n}}}, least, true
	}
	return column{}, 0, false
}

// steepest returns the column that fills up row out of the basis at the least cost,
// and what it costs beside what it covers.
func (r *relaxed) steepest(out int) (best column, over float64, ok bool) {
	inv := r.inv[out]
	ratio := math.Inf(1)
	row, n, cost := -1, 0.0, 0.0
	r.logicals(func(i int, of, c float64) {
		if a := float64(of * inv[i]); a < -1e-7 {
			if d := math.Max(c-float64(of*r.y[i]), 0); d < ratio*-a {
				ratio, over, row, n, cost = d/-a, d, i, of, c
			}
		}
	})
	at := -1
	barInv := make([]float64, len(r.c.bars)+1)
	for k := range r.c.bars {
		barInv[k+1] = r.ofBar(inv, k)
	}
	for i := range r.pool.columns {
		col := &r.pool.columns[i]
		a := barInv[col.bar+1]
		for _, e := range col.count {
			a += float64(inv[e.row] * e.n)
		}
		if a >= -1e-7 {
			continue
		}
		d := col.cost - r.barY[col.bar+1]
		for _, e := range col.count {
			d -= float64(r.y[e.row] * e.n)
		}
		if d = math.Max(d, 0); d < ratio*-a && !r.isOff(i) {
			ratio, over, at = d/-a, d, i
		}
	}
	r.work += 10 * len(r.pool.columns)
	switch {
	case at >= 0:
		return r.pool.columns[at], over, true
	case row >= 0:
		return column{bar: -1, cost: cost, count: []entry{{row, n}}}, over, true
	}
	return column{}, 0, false
}

// entries returns what a column has in every row.
func (r *relaxed) entries(col *column) []entry {
	if col.bar < 0 {
		return col.count
	}
	list := append(r.buf[:0], col.count...)
	if row := r.mostRow[col.bar]; row >= 0 {
		list = append(list, entry{row, 1})
	}
	if row := r.leastRow[col.bar]; row >= 0 {
		list = append(list, entry{row, 1})
	}
	r.buf = list
	return list
}

// direct works out what one of a column takes of every row of the basis.
func (r *relaxed) direct(col *column) {
	list := r.entries(col)
	for i, inv := range r.inv {
		d := 0.0
		for _, e := range list {
			d += float64(inv[e.row] * e.n)
		}
		r.dir[i] = d
	}
}

// leaving returns the row of the basis that limits the column that enters, −1 when
// none does.
func (r *relaxed) leaving() int {
	out, step := -1, math.Inf(1)
	for i, d := range r.dir {
		if d > 1e-9 {
			if s := r.value[i] / d; s < step {
				out, step = i, s
			}
		}
	}
	return out
}

// enter brings a column into the basis, that costs so much beside what it covers.
func (r *relaxed) enter(col column, out int, cost float64) {
	step := r.value[out] / r.dir[out]
	for i := range r.value {
		r.value[i] -= float64(step * r.dir[i])
	}
	r.value[out] = step
	r.in[out] = col
	scale := 1 / r.dir[out]
	from := r.inv[out]
	for j := range from {
		from[j] *= scale
		r.y[j] += float64(cost * from[j])
	}
	for i, d := range r.dir {
		if i != out && d != 0 {
			subtract(r.inv[i], from, d)
			r.work += len(from)
		}
	}
	r.pivots++
	r.priceBars()
}
