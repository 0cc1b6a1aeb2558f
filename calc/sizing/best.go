package sizing

import (
	"math/bits"
	"slices"
	"strconv"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// mostAtOnce is how many cylinders are dealt out at once by trying every way: 12 into
// pairs are 10,395 ways. More than that are dealt out bank by bank.
const mostAtOnce = 12

// mostKept is how many equally good groupings are handed out, and mostNext how many of
// those that come after them.
const (
	mostKept = 64
	mostNext = 3
)

// Grouping is cylinders dealt out into groups, in order of their lowest numbers.
type Grouping struct {
	Groups []Group
	Least  units.Angle // the least gap in any of them
	Even   bool        // every group is even
}

// Search is every way to deal cylinders out, in order of how good they are: by the
// least gap between two pulses of a group, the larger the better, then by how even the
// gaps are.
type Search struct {
	Best  []Grouping // all that are equally good, at most 64
	Ties  int        // how many those are
	Next  []Grouping // those that come after them, best first, at most 3
	Worst Grouping
	Tried int
}

// score is how good a group or a grouping is.
type score struct {
	least   int64
	squares int64 // of all gaps, summed: the less, the more even
}

func (a score) beats(b score) bool {
	return a.least > b.least || a.least == b.least && a.squares < b.squares
}

// and is the score of two groups together. Squares of twelve periods of 720 million
// millionths of a degree are below 2^63.
func (a score) and(b score) score { return score{min(a.least, b.least), a.squares + b.squares} }

// Best deals cylinders out into groups of the given sizes in every way that there is.
// Exact. The error is a *fault.Field: cylinders of the engine, each once, 1 to 12 at
// once, and sizes that sum to as many.
func (f Firing) Best(cylinders, sizes []int) (Search, error) {
	if err := f.known(cylinders); err != nil {
		return Search{}, err
	}
	n := len(cylinders)
	if err := fault.Within("Cylinders at once", float64(n), 1, mostAtOnce, ""); err != nil {
		return Search{}, err
	}
	sum := 0
	d := deal{firing: f, full: 1<<n - 1, left: make([]int, n+1), known: make([]score, 1<<n)}
	for _, k := range sizes {
		if k < 1 || k > n {
			return Search{}, fault.Within("Cylinders in a group", float64(k), 1, float64(n), "")
		}
		sum += k
		d.left[k]++
	}
	if sum != n {
		return Search{}, fault.Refuse("Cylinders in a group", "the groups have room for "+strconv.Itoa(sum)+" cylinders, there are "+strconv.Itoa(n))
	}
	// By number, so that groups come in the order of their lowest.
	for cyl := 1; cyl <= len(f.at); cyl++ {
		for _, c := range cylinders {
			if c == cyl {
				d.cylinders = append(d.cylinders, cyl)
			}
		}
	}
	d.walk(0, score{least: f.period})
	return d.search(), nil
}

// deal is the walk through all ways to deal cylinders out. Groups are sets of bits.
type deal struct {
	firing    Firing
	cylinders []int // in order of their numbers
	full      int
	left      []int   // how many groups of each size are still to be made
	known     []score // of each set; least 0 and squares 0 where it was not asked for yet
	groups    []int

	best, worst found
	ties        [][]int
	next        []found
	tied, tried int
}

type found struct {
	score
	groups []int
}

// walk deals out what is not in taken. The lowest cylinder that is left goes into each
// kind of group that is left, with every choice of the others.
func (d *deal) walk(taken int, s score) {
	if taken == d.full {
		d.keep(s)
		return
	}
	first := bits.TrailingZeros(^uint(taken))
	for size, n := range d.left {
		if n == 0 {
			continue
		}
		d.left[size]--
		d.fill(1<<first, first+1, size-1, taken, s)
		d.left[size]++
	}
}

// fill puts need more cylinders, from number k on, into a group.
func (d *deal) fill(group, k, need, taken int, s score) {
	if need == 0 {
		d.groups = append(d.groups, group)
		d.walk(taken|group, s.and(d.of(group)))
		d.groups = d.groups[:len(d.groups)-1]
		return
	}
	for ; k < len(d.cylinders); k++ {
		if taken>>k&1 == 0 {
			d.fill(group|1<<k, k+1, need-1, taken, s)
		}
	}
}

func (d *deal) of(group int) score {
	if d.known[group] == (score{}) {
		d.known[group] = d.firing.score(d.members(group))
	}
	return d.known[group]
}

func (d *deal) members(group int) (list []int) {
	for k, cyl := range d.cylinders {
		if group>>k&1 == 1 {
			list = append(list, cyl)
		}
	}
	return list
}

// score returns how good a group is.
func (f Firing) score(group []int) score {
	s := score{least: f.period}
	last, first := 0, 0
	add := func(gap int64) {
		s.least = min(s.least, gap)
		s.squares += gap * gap
	}
	for _, cyl := range f.order {
		for _, c := range group {
			if c != cyl {
				continue
			}
			if last == 0 {
				first = cyl
			} else {
				add(f.at[cyl-1] - f.at[last-1])
			}
			last = cyl
		}
	}
	add(f.at[first-1] + f.period - f.at[last-1])
	return s
}

func (d *deal) keep(s score) {
	d.tried++
	here := func() found { return found{s, append([]int(nil), d.groups...)} }
	switch {
	case d.tried == 1:
		d.best, d.worst = here(), here()
		d.tied, d.ties = 1, append(d.ties, d.best.groups)
		return
	case s.beats(d.best.score):
		for i := min(len(d.ties), mostNext) - 1; i >= 0; i-- { // all of them come before what came after them
			d.after(found{d.best.score, d.ties[i]}, 0)
		}
		d.best = here()
		d.tied, d.ties = 1, [][]int{d.best.groups}
	case s == d.best.score:
		if d.tied++; d.tied <= mostKept {
			d.ties = append(d.ties, here().groups)
		}
	default:
		place := 0
		for place < len(d.next) && !s.beats(d.next[place].score) {
			place++
		}
		if place < mostNext {
			d.after(here(), place)
		}
	}
	if d.worst.beats(s) {
		d.worst = here()
	}
}

// after puts a grouping among those that come after the best.
func (d *deal) after(g found, place int) {
	d.next = slices.Insert(d.next, place, g)
	d.next = d.next[:min(len(d.next), mostNext)]
}

func (d *deal) search() Search {
	s := Search{Ties: d.tied, Tried: d.tried, Worst: d.grouping(d.worst.groups)}
	for _, groups := range d.ties {
		s.Best = append(s.Best, d.grouping(groups))
	}
	for _, next := range d.next {
		s.Next = append(s.Next, d.grouping(next.groups))
	}
	return s
}

func (d *deal) grouping(groups []int) Grouping {
	var g Grouping
	g.Even = true
	for i, set := range groups {
		k := d.firing.Group(d.members(set))
		if i == 0 || k.Least < g.Least {
			g.Least = k.Least
		}
		g.Even = g.Even && k.Even
		g.Groups = append(g.Groups, k)
	}
	return g
}
