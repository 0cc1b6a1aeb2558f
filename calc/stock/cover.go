package stock

import "math"

// A cover is packing as plain numbers: parts that have to be covered by patterns,
// each pattern a choice of parts that fit in one bar. Costs are whole numbers. The
// parts of a class and its bars belong together: the bends of one CLR and what
// they are cut from, or the straights and their tubing.
type cover struct {
	parts []part // those of a class together, the largest first
	bars  []bar
	// What a part costs that must be covered and is not, in money and in the unit of
	// gain.
	leaveMoney, leave int64
	scale             int64 // units of cost in a cent: more than all welds together
}

// A part is a kind of piece, of which n are wanted.
type part struct {
	class int
	size  float64 // rad or mm
	n     int
	must  bool // it has to be covered; otherwise it only may be, by a leg
	gain  int64
	// before and after are the straights next to a bend, as parts, −1 for none: a leg
	// covers them, and the plan costs gain of them less.
	before, after int
	length        float64 // of a straight, mm
}

// A bar is a kind of stock.
type bar struct {
	class      int
	size, loss float64 // rad or mm; loss for each cut between two pieces
	legA, legB float64 // mm
	money      int64   // what it costs
	cost       int64   // the same in the unit of gain
	n          int     // −1: as many as are wanted
	keep       float64 // the least off-cut that is of use
}

// unlimited is the n of a bar of which any number is to be had.
const unlimited = -1

// tight is by how much sizes that are summed up may pass what they have to fit in,
// in rad or mm: a thousandth of the last digit that can be typed, far above
// rounding and far below what a saw can do.
const tight = 1e-8

// A pattern is what is cut from one bar.
type pattern struct {
	bar        int   // −1: the part is left out
	take       []int // parts, one entry for each piece
	legA, legB leg
	cost       int64 // of the bar less what its legs gain
	money      int64
	rest       float64 // what is left of the bar before a cut
	off        float64 // the off-cut, if it is of use
	over       float64 // what the pattern costs beyond what its parts are worth
}

// A leg is one that stays on a piece.
type leg struct {
	serves int  // the straight, as a part; −1 when the leg is cut off
	piece  int  // the piece in take that it stays on
	after  bool // it is the straight after the bend, not the one before
}

var noLeg = leg{serves: -1, piece: -1}

// need returns what a part takes of a bar, with the cut behind it.
func (c *cover) need(i, k int) float64 { return c.parts[i].size + c.bars[k].loss }

// room returns what parts and their cuts have to fit in.
func (b bar) room() float64 { return b.size + b.loss }

// fits reports whether one part alone can be cut from a bar.
func (c *cover) fits(i, k int) bool {
	return c.parts[i].class == c.bars[k].class && c.parts[i].size <= c.bars[k].size+tight
}

// bothLegs reports whether both legs of a bar can stay on pieces: what is left over
// lies between pieces then and takes one cut more, or there is nothing left over.
func (b bar) bothLegs(pieces int, rest float64) bool {
	return rest <= tight || pieces > 1 && rest >= b.loss-tight
}

// served is one way to use the legs of a bar for a pattern.
type served struct {
	a, b leg
	gain int64
}

// legs adds to list the ways to use the legs of bar k for what is taken, each with
// the straights that are still to be had: no way of which another serves the same
// and more. There is always one, if only to use none.
func (c *cover) legs(list []served, k int, take []int, rest float64, left []int) []served {
	b := c.bars[k]
	start := len(list)
	if b.legA > 0 || b.legB > 0 {
		if b.bothLegs(len(take), rest) {
			list = c.pairs(list, b, take, left)
		}
		single := len(list)
		for p := range take {
			for _, after := range [2]bool{false, true} {
				s := c.beside(take[p], after)
				if s < 0 || left[s] == 0 || isServed(list[start:single], s) || isServed(list[single:], s) {
					continue
				}
				// The shorter leg that is long enough: the longer one stays on the off-cut.
				l := leg{serves: s, piece: p, after: after}
				onA, onB := reaches(b.legA, c.parts[s]), reaches(b.legB, c.parts[s])
				switch {
				case onA && (!onB || b.legA <= b.legB):
					list = append(list, served{a: l, b: noLeg, gain: c.parts[s].gain})
				case onB:
					list = append(list, served{a: noLeg, b: l, gain: c.parts[s].gain})
				}
			}
		}
	}
	if len(list) == start {
		list = append(list, served{a: noLeg, b: noLeg})
	}
	return list
}

// pairs adds the ways to use both legs.
func (c *cover) pairs(list []served, b bar, take []int, left []int) []served {
	start := len(list)
	for p := range take {
		for _, after := range [2]bool{false, true} {
			s := c.beside(take[p], after)
			if s < 0 || left[s] == 0 || !reaches(b.legA, c.parts[s]) {
				continue
			}
			for q := range take {
				if (q == p) != (len(take) == 1) {
					continue
				}
				for _, behind := range [2]bool{false, true} {
					t := c.beside(take[q], behind)
					if t < 0 || left[t] == 0 || s == t && left[s] < 2 || q == p && behind == after || !reaches(b.legB, c.parts[t]) || isPair(list[start:], s, t) {
						continue
					}
					list = append(list, served{
						a: leg{serves: s, piece: p, after: after}, b: leg{serves: t, piece: q, after: behind},
						gain: c.parts[s].gain + c.parts[t].gain,
					})
				}
			}
		}
	}
	return list
}

// beside returns the straight next to a bend, as a part, or −1.
func (c *cover) beside(i int, after bool) int {
	if after {
		return c.parts[i].after
	}
	return c.parts[i].before
}

func reaches(leg float64, straight part) bool { return leg >= straight.length-tight }

func isPair(list []served, s, t int) bool {
	for _, w := range list {
		if w.a.serves == s && w.b.serves == t || w.a.serves == t && w.b.serves == s {
			return true
		}
	}
	return false
}

func isServed(list []served, s int) bool {
	for _, w := range list {
		if w.a.serves == s || w.b.serves == s {
			return true
		}
	}
	return false
}

// rest returns what is left of bar k beside what is taken, before the cut that
// takes it off; below −tight, it does not fit.
func (c *cover) rest(k int, take []int) float64 {
	r := c.bars[k].room()
	for _, i := range take {
		r -= c.need(i, k)
	}
	return r
}

// offcut returns the off-cut that a rest makes, 0 where it is not worth keeping.
func (b bar) offcut(rest float64) float64 {
	if off := rest - b.loss; off >= b.keep-tight && off > tight {
		return off
	}
	return 0
}

// made returns a pattern with the legs as served.
func (c *cover) made(k int, take []int, rest float64, w served) pattern {
	b := c.bars[k]
	return pattern{
		bar: k, take: append([]int(nil), take...), legA: w.a, legB: w.b,
		cost: b.cost - w.gain, money: b.money, rest: math.Max(rest, 0), off: b.offcut(rest),
	}
}

// left is what remains to be covered, and the bars that remain.
func (c *cover) all() (parts, bars []int) {
	for _, p := range c.parts {
		parts = append(parts, p.n)
	}
	for _, b := range c.bars {
		bars = append(bars, b.n)
	}
	return parts, bars
}

// isLimited reports whether a part that must be covered can only be cut from bars
// of which there are so many and no more.
func (c *cover) isLimited(i int) bool {
	for k, b := range c.bars {
		if b.n == unlimited && c.fits(i, k) {
			return false
		}
	}
	return true
}
