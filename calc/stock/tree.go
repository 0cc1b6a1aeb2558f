package stock

import "math"

// A tree is branch and price: the relaxation is solved with so many of each bar at
// least and at most, and where it uses parts of bars, both ways to round are looked at
// in turn, what may cost least first. Prices jump from bar to bar, and legs are of use
// only as far as they save a whole length of tubing: that is what the relaxation of
// all together does not see, and this does.
type tree struct {
	c         *cover
	g         *budget
	pool      pool
	lp        *relaxed
	spent     int   // the work of lp that was counted
	all       []int // of each part how many are wanted
	straights int   // their class
	unit      int64 // all money is a multiple of it
	legs      int64 // how much all straights gain

	open  []*node
	later []*node // put off, since much below their leaf was in vain
	// patience is how many nodes are looked at below a leaf before it is put off.
	patience int
	floor    int64  // the least that what was given up may cost
	root     *worth // what the parts are worth
	plan     []pattern
	best     int64 // what the plan costs
}

// A node is the plans with so many of each bar.
type node struct {
	least, most []int
	rules
	depth int   // how often it was divided
	leaf  *int  // how many nodes were looked at below the one where all bars are whole
	cost  int64 // none of them costs less
	bound float64
	basis []column // of the relaxation it was divided from
}

func newTree(g *budget, c *cover, straights int, plan []pattern) *tree {
	t := &tree{c: c, g: g, straights: straights, patience: firstPatience, floor: math.MaxInt64, plan: plan}
	t.best, _ = sum(plan)
	for _, b := range c.bars {
		t.unit = gcd(t.unit, b.money)
	}
	t.unit = max(t.unit, 1)
	for k := range c.bars {
		t.pool.exact = append(t.pool.exact, c.isExact(k))
	}
	for _, p := range c.parts {
		t.legs += p.gain * int64(p.n)
	}
	t.all, _ = c.all()
	t.lp = newBetween(c, straights, &t.pool)
	return t
}

// whole returns the least cost of a plan from a bound of it: money comes in whole
// units.
func (t *tree) whole(bound float64) int64 {
	money := up(bound/float64(t.c.scale), t.unit)
	return max(int64(math.Ceil(bound-fuzzCost)), money*t.c.scale-t.legs)
}

// diveEvery is at which nodes a plan is looked for.
const diveEvery = 8

// dearer is how many times dearer leaving out a part is made where the relaxation does
// so: there may be no plan at all with those bars.
const dearer = 100

// firstPatience is how many nodes are looked at below a leaf at first.
const firstPatience = 16

// workStep is how many numbers are multiplied in the time of a step of a search.
const workStep = 700

func (t *tree) spend(r *relaxed) {
	t.g.left -= min((r.work-t.spent)/workStep+1, t.g.left)
	t.spent = r.work
}

// run searches within a number of steps, and returns what a plan costs at least.
func (t *tree) run(steps int) int64 {
	end := t.g.left - min(steps, t.g.left)
	_, most := t.c.all()
	root := &node{least: make([]int, len(most)), most: most, bound: math.Inf(-1), rules: rules{cut: make([]int, len(t.all)), leg: make([]bool, len(t.all))}}
	t.open = append(t.open, root)
	for done := 0; ; done++ {
		if len(t.open) == 0 { // those that were put off, with more patience
			t.open, t.later = t.later, nil
			t.patience *= 4
		}
		if len(t.open) == 0 {
			return min(t.best, t.floor)
		}
		n := t.pop()
		switch {
		case n.cost >= t.best:
		case t.g.left <= end || t.g.isOver():
			t.open = append(t.open, n)
			return t.least()
		case n.leaf != nil && *n.leaf >= t.patience:
			t.later = append(t.later, n)
		default:
			t.look(n, done)
		}
	}
}

// least returns what a plan costs at least, by what is not divided yet.
func (t *tree) least() int64 {
	least := min(t.best, t.floor)
	for _, n := range append(t.open, t.later...) {
		least = min(least, n.cost)
	}
	return least
}

// pop takes the node that may cost least.
func (t *tree) pop() *node {
	at := 0
	for i, n := range t.open {
		if m := t.open[at]; n.isBefore(m, t.c.scale) {
			at = i
		}
	}
	n := t.open[at]
	t.open = append(t.open[:at], t.open[at+1:]...)
	return n
}

// isBefore reports whether a node is looked at first: what may cost less money, what
// is divided further, what may cost less.
func (n *node) isBefore(m *node, scale int64) bool {
	if a, b := up(float64(n.cost)/float64(scale), 1), up(float64(m.cost)/float64(scale), 1); a != b {
		return a < b
	}
	if n.depth != m.depth {
		return n.depth > m.depth
	}
	return n.bound < m.bound
}

// look solves the relaxation of a node and divides it.
func (t *tree) look(n *node, done int) {
	r := t.lp
	r.keep(n.rules)
	t.wanted(n, r.n)
	copy(r.least, n.least)
	copy(r.most, n.most)
	r.limit = float64(t.best)
	if n.basis != nil {
		r.again(n.basis)
	}
	r.solve(lpRounds)
	if r.bound < r.limit && r.isShort() {
		r.leaveOut(dearer)
		r.solve(lpRounds)
	}
	if t.root == nil {
		w := r.worth()
		t.root = &w
	}
	t.spend(r)
	n.bound = math.Max(n.bound, r.bound)
	n.cost = max(n.cost, t.whole(n.bound))
	n.basis = append([]column(nil), r.in...)
	if n.cost >= t.best {
		return
	}
	children := t.divided(n, r)
	if done%diveEvery == 0 || n.leaf != nil && *n.leaf%diveEvery == 0 || children == nil {
		t.dive(n, r)
	}
	if n.cost < t.best && children == nil {
		t.floor = min(t.floor, n.cost)
	}
	t.open = append(t.open, children...)
}

// wanted sets how many of each part bars have to cover at a node.
func (t *tree) wanted(n *node, parts []int) {
	copy(parts, t.all)
	for i, cut := range n.cut {
		parts[i] -= cut
	}
}
