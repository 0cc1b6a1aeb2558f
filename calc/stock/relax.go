package stock

import "math"

// A column is a pattern of the relaxation.
type column struct {
	bar   int   // −1: none, a row is left short or has more than it wants
	take  []int // parts, one entry for each piece
	legs  []int // straights served
	cost  float64
	count []entry // by row; those of the bar itself apart
}

type entry struct {
	row int
	n   float64
}

// relaxed solves the linear relaxation by column generation (Gilmore and Gomory, "A
// linear programming approach to the cutting-stock problem", Operations Research 9,
// 1961) with the simplex method on a dense inverse. What is wanted can be changed
// after that, and the dual simplex method goes on from the basis it has.
type relaxed struct {
	c    *cover
	want []float64 // of each row: the parts first
	n    []int     // of each part how many are wanted
	// The rows of each bar, −1 for none: how many there are at most, and at least.
	mostRow, leastRow []int
	least, most       []int
	// lengthRow has the room of all tubing less what is cut from it; −1 where straights
	// are cut by patterns as bends are. straights is their class.
	lengthRow, straights int
	rooms                []float64 // of each bar of tubing
	takes                []float64 // of each straight, 0 where no tubing is long enough

	// The basis: what stands in each row, its value, and the inverse.
	in     []column
	value  []float64
	inv    [][]float64
	pool   *pool
	y      []float64
	barY   []float64 // what using a bar is worth, one place behind: the first is for none
	dear   []float64 // what leaving out a part costs here
	dir    []float64
	buf    []entry
	pivots int // since the inverse was made
	rules  rules
	off    []bool // of each column of the pool, whether the rules forbid it

	// limit of cost: what costs as much at least is not looked for.
	limit float64
	bound float64 // no plan within the limit costs less
	work  int     // what was done, in numbers multiplied
}

// A pool is the columns that were found, which all relaxations of a cover share.
type pool struct {
	columns []column
	// exact says of each bar whether pieces may fill it to the last; nil where that is
	// not known.
	exact []bool
}

// newRelaxed starts from leaving out every part.
func newRelaxed(c *cover, parts, bars []int, p *pool) *relaxed {
	r := &relaxed{c: c, n: parts, most: bars, pool: p, straights: -1}
	r.rows()
	r.restart()
	return r
}

// newBetween is for plans with so many of each bar at least and at most. Every part
// has to be covered, and no straight twice.
func newBetween(c *cover, straights int, p *pool) *relaxed {
	parts, bars := c.all()
	r := &relaxed{c: c, n: parts, least: make([]int, len(bars)), most: bars, straights: straights, pool: p}
	r.rows()
	r.restart()
	return r
}

// endlessBars is what the row of a bar wants of which there is no end: it never binds.
const endlessBars = 1e6

// rows lays out the rows.
func (r *relaxed) rows() {
	c := r.c
	if r.pool == nil {
		r.pool = &pool{}
	}
	row := func() int {
		r.want = append(r.want, 0)
		return len(r.want) - 1
	}
	r.dear = make([]float64, len(r.n))
	for i := range r.n {
		row()
		if c.parts[i].must {
			r.dear[i] = r.without(i)
		}
	}
	r.mostRow, r.leastRow = make([]int, len(c.bars)), make([]int, len(c.bars))
	for k, n := range r.most {
		r.mostRow[k], r.leastRow[k] = -1, -1
		if n >= 0 || r.least != nil {
			r.mostRow[k] = row()
		}
		if r.least != nil {
			r.leastRow[k] = row()
		}
	}
	r.lengthRow = -1
	if r.least != nil {
		r.lengthRow = row()
		r.lengths()
	}
	rows := len(r.want)
	r.y, r.dir, r.value, r.barY = make([]float64, rows), make([]float64, rows), make([]float64, rows), make([]float64, len(c.bars)+1)
	r.in = make([]column, rows)
	r.inv = make([][]float64, rows)
	all := make([]float64, rows*rows)
	for i := range rows {
		r.inv[i] = all[i*rows : (i+1)*rows]
	}
	r.wants()
}

// lengths adds the columns of tubing: each bar with its room, and each straight that
// takes up room. Straights are short beside tubing as a rule, and patterns of them, of
// which any number are as good, keep the simplex method busy. And bars that nothing is
// cut from.
func (r *relaxed) lengths() {
	r.rooms, r.takes = make([]float64, len(r.c.bars)), make([]float64, len(r.n))
	loss := math.Inf(1)
	for _, b := range r.c.bars {
		if b.class == r.straights {
			loss = math.Min(loss, b.loss)
		}
	}
	for k, b := range r.c.bars {
		col := r.empty(k)
		if b.class == r.straights {
			r.rooms[k] = r.c.filled(k, loss) / lengthUnit
			col.count = []entry{{r.lengthRow, r.rooms[k]}}
		}
		r.pool.columns = append(r.pool.columns, col)
	}
	for i, p := range r.c.parts {
		if p.class == r.straights && r.c.cheapestFor(i, r.most) >= 0 {
			r.takes[i] = (p.size + loss) / lengthUnit
			r.pool.columns = append(r.pool.columns, column{bar: -1, count: []entry{{i, 1}, {r.lengthRow, -r.takes[i]}}})
		}
	}
}

// lengthUnit is what the row of lengths counts in, in mm.
const lengthUnit = 1000.0

// wants sets what the rows want. A little more of each keeps the simplex method from
// going in circles.
func (r *relaxed) wants() {
	for i, n := range r.n {
		r.want[i] = float64(n)
	}
	for k, n := range r.most {
		if row := r.mostRow[k]; row >= 0 {
			r.want[row] = float64(n)
			if n < 0 {
				r.want[row] = endlessBars
			}
		}
		if row := r.leastRow[k]; row >= 0 {
			r.want[row] = float64(r.least[k])
		}
	}
	for i := range r.want {
		if i != r.lengthRow {
			r.want[i] += float64(1e-7 * float64(1+i%17))
		}
	}
	if r.lengthRow >= 0 {
		r.want[r.lengthRow] = 0
		for i, n := range r.rules.cut {
			r.want[r.lengthRow] += float64(r.takes[i] * float64(n))
		}
	}
	for k := range r.leastRow { // never more than the most
		if row := r.leastRow[k]; row >= 0 {
			r.want[row] -= 2e-6
		}
	}
}

// without returns a price for leaving out a part. Where there is stock without end it
// is one that no plan comes to, a little more than the dearest bar that the part
// can be cut from: less than c.leave, so that the bound stays one, and kinder to the
// arithmetic.
func (r *relaxed) without(i int) float64 {
	if r.least == nil && r.c.isLimited(i) {
		return float64(r.c.leave)
	}
	var most int64
	for k, b := range r.c.bars {
		if r.c.fits(i, k) {
			most = max(most, b.cost)
		}
	}
	if r.least != nil { // the dearest may not be had
		most *= 4
	}
	return float64(min(most+1, r.c.leave))
}

// leaveOut sets the price for leaving out a part to so many times the usual.
func (r *relaxed) leaveOut(times float64) {
	for i := range r.n {
		if r.c.parts[i].must {
			r.dear[i] = r.without(i) * times
		}
	}
	for i := range r.in {
		if col := &r.in[i]; col.bar < 0 && col.cost > 0 {
			col.cost = r.dear[col.count[0].row]
		}
	}
}

// isShort reports whether the relaxation leaves out a part of a part.
func (r *relaxed) isShort() bool {
	for i, col := range r.in {
		if col.bar < 0 && col.cost > 0 && r.value[i] > 1e-4 {
			return true
		}
	}
	return false
}

// isExact reports whether a part must not be covered more than it is wanted: what a
// leg gains counts once.
func (r *relaxed) isExact(i int) bool { return r.least != nil && r.c.parts[i].gain > 0 }

// cost returns what a bar costs.
func (r *relaxed) cost(k int) float64 { return float64(r.c.bars[k].cost) }

// generate adds the best column of each bar to the pool, where that is of use, and
// works out the bound.
func (r *relaxed) generate(small float64) (found bool) {
	y := r.y[:len(r.n)]
	y0 := 0.0 // of room in tubing
	if r.lengthRow >= 0 {
		y0 = math.Max(r.y[r.lengthRow], 0)
	}
	bound := 0.0
	for i, n := range r.n {
		worth := y[i]
		if p := r.c.parts[i]; p.class == r.straights { // what is cut from tubing is worth no more than its room
			if need := r.takes[i]; need > 0 && (r.rules.leg == nil || !r.rules.leg[i]) {
				worth = math.Min(worth, float64(y0*need))
			}
		}
		bound += float64(worth * float64(n))
	}
	for i, n := range r.rules.cut {
		bound += float64(y0 * r.takes[i] * float64(n))
	}
	var over coarses
	for k, b := range r.c.bars {
		if r.most[k] == 0 {
			continue
		}
		if b.class == r.straights {
			bound += r.short(k, r.cost(k)-float64(y0*r.rooms[k]))
			continue
		}
		s := newSack(r.c, k, y, r.n, &over)
		s.rules = &r.rules
		s.exact = r.pool.exact == nil || r.pool.exact[k]
		s.search(r.cost(k)-r.barY[k+1]+small, true)
		r.work += 16 * s.steps
		if s.kept != nil {
			r.pool.columns = append(r.pool.columns, r.column(s))
			found = true
		}
		bound += r.short(k, r.cost(k)-s.upper)
	}
	for _, one := range over {
		r.work += 16 * one.steps
	}
	r.bound = math.Max(r.bound, bound)
	return found
}

// short returns what bars of a kind bring to the bound, where none costs less than so
// much more than its parts are worth.
func (r *relaxed) short(k int, over float64) float64 {
	switch {
	case r.least == nil:
		return 0
	case math.IsInf(over, -1):
		return over
	case over > 0:
		return float64(over * float64(r.least[k]))
	case r.most[k] >= 0:
		return float64(over * float64(r.most[k]))
	}
	pieces, size := 0, 0.0
	for i, n := range r.n {
		if r.rules.cut != nil {
			n += r.rules.cut[i]
		}
		if r.c.fits(i, k) {
			pieces += n
			size += float64(r.c.need(i, k) * float64(n))
		}
	}
	b := r.c.bars[k]
	if b.legA <= 0 && b.legB <= 0 {
		// Two that are filled less than half are one.
		pieces = min(pieces, int(2*size/b.room())+1)
	}
	if b.cost > 0 {
		// What legs gain is less than a cent.
		pieces = min(pieces, int((r.limit+float64(r.c.scale))/float64(b.cost)))
	}
	return float64(over * float64(max(pieces, 0)))
}

// worth returns what the parts are worth, made feasible: what some pattern of a bar
// would cost less than its parts are worth is taken off the bar where it is
// limited, and off every pattern or every part otherwise.
func (r *relaxed) worth() worth {
	n := len(r.n)
	w := worth{part: make([]float64, n), bar: make([]float64, len(r.c.bars))}
	r.price()
	for i, p := range r.c.parts {
		switch {
		case r.n[i] == 0: // nothing holds it down
		case r.isExact(i):
			w.part[i] = math.Max(r.y[i], -float64(p.gain))
		case p.must:
			w.part[i] = math.Min(math.Max(r.y[i], 0), r.dear[i])
		default:
			w.part[i] = math.Min(r.y[i], 0)
		}
	}
	for k, b := range r.c.bars {
		if r.most[k] == 0 {
			continue
		}
		cost := r.cost(k)
		var over coarses
		s := newSack(r.c, k, w.part, r.n, &over)
		s.exact = true
		s.search(0, false)
		short := cost - s.upper
		switch {
		case short >= 0:
		case b.n != unlimited:
			w.bar[k] = short
		case short < -1e-6*cost && b.legA <= 0 && b.legB <= 0:
			for i, p := range r.c.parts {
				if p.class == b.class && w.part[i] > 0 {
					w.part[i] *= cost / s.upper
				}
			}
		default:
			w.slack = math.Max(w.slack, -short)
		}
	}
	return w
}

// column returns the best choice of a sack.
func (r *relaxed) column(s *sack) column {
	col := column{bar: s.k, take: append([]int(nil), s.kept...), cost: r.cost(s.k)}
	count := make([]float64, len(r.n))
	for _, i := range col.take {
		count[i]++
	}
	for _, i := range s.legs {
		if i >= 0 {
			col.legs = append(col.legs, i)
			count[i]++
			col.cost -= float64(r.c.parts[i].gain)
		}
	}
	for row, v := range count {
		if v != 0 {
			col.count = append(col.count, entry{row, v})
		}
	}
	return col
}
