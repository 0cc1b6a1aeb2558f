package flange

import (
	"math"
	"slices"
)

// Odd is the hole that makes two patterns differ most.
type Odd struct {
	Worst string // its id
	// Mate is the hole that may be off as well as Worst: a face laid on itself
	// cannot tell which of two that change places is off. It is Worst again where a
	// hole is its own mate; then it stands off the axis by half of WorstOff. Empty
	// where Worst alone explains it.
	Mate     string
	WorstOff float64 // by how much it misses when the others are laid without it, in mm
	// Certain says that Worst stands out of what the others miss, and that no other
	// hole explains the misses nearly as well. Without it no hole should be called off.
	Certain bool
}

// What makes a hole stand out. noise is how well a hole is taken to have been
// measured, in mm along each axis of the difference of two; it counts as much as
// trust readings, so that a few holes that agree by chance do not make the next
// look wrong. Both are our choice. chance is how often a hole among holes that are
// all right may be called off, and odds how much likelier it has to be than the
// next suspect. Below leastOff, in mm, nobody can mend it.
const (
	noise    = 0.08
	trust    = 4
	chance   = 0.01
	odds     = 10
	leastOff = 0.25
)

// suspect is what may be off together: pairs that are left out at once.
type suspect struct {
	left []int // of the pairs
	free float64
}

// odd returns the suspect without which the rest lies together best, by how much
// it then misses, and whether that is certain.
//
// Leaving one hole out takes two unknowns out of the fit, so that with the sums of
// squares S of all and R of the rest, which has f degrees of freedom,
//
//	P = (R/S)^(f/2)
//
// is the chance of as much improvement or more when nothing is off (the F
// distribution with 2 and f degrees of freedom, closed form), times the number of
// holes tried. Two suspects are compared by the same ratio of their R. weight is
// the share of S that is not a repetition.
func (p pairs) odd(flip float64, suspects []suspect, weight float64) (worst int, off float64, certain bool) {
	_, all := p.leastSquares(flip)
	prior := trust * noise * noise
	best, next := math.Inf(1), math.Inf(1)
	worst = -1
	for i, s := range suspects {
		if len(p.from)-len(s.left) < 2 {
			continue
		}
		l, rest := p.leastSquares(flip, s.left...)
		if rest < best {
			best, next, worst, off = rest, best, i, 0
			for _, k := range s.left {
				off = max(off, distance(l.at(p.from[k]), p.to[k]))
			}
		} else if rest < next {
			next = rest
		}
	}
	if worst < 0 {
		return -1, 0, false
	}
	half := (suspects[worst].free + trust) / 2
	lead := func(sum float64) float64 { return half * math.Log((weight*sum+prior)/(weight*best+prior)) }
	certain = off >= leastOff && lead(all) >= math.Log(float64(len(suspects))/chance) && lead(next) >= math.Log(odds)
	return worst, off, certain
}

// odd of a face laid on itself: a hole takes part in two pairs, where it goes and
// what comes to it. Where two change places these say the same twice.
func (f Face) odd(p pairs, l laid) Odd {
	n := len(l.mate)
	from := make([]int, n)
	swaps := true
	for i, j := range l.mate {
		from[j] = i
	}
	for i, j := range l.mate {
		swaps = swaps && from[i] == j
	}
	weight, free := 1.0, float64(2*n-7)
	if swaps {
		weight, free = 0.5, float64(n-4)
	}
	var suspects []suspect
	var holes []int
	for i, j := range l.mate {
		switch {
		case i == j:
			suspects = append(suspects, suspect{[]int{i}, max(0, free)})
		case swaps && j < i:
			continue // named by its mate
		default:
			suspects = append(suspects, suspect{[]int{i, from[i]}, max(0, free)})
		}
		holes = append(holes, i)
	}
	worst, off, certain := p.odd(l.flip, suspects, weight)
	if worst < 0 { // too few to leave one out
		best, _ := p.leastSquares(l.flip)
		for k, i := range holes {
			if d := distance(best.at(p.from[i]), p.to[i]); worst < 0 || d > off {
				worst, off = k, d
			}
		}
	}
	i := holes[worst]
	o := Odd{Worst: f.Holes[i].ID, WorstOff: off, Certain: certain}
	if swaps {
		o.Mate = f.Holes[l.mate[i]].ID
	}
	return o
}

// Suspect returns the id of the one hole that every match with a certain odd hole
// has in it, and by how much it is off where it should be, in mm: in two matches a
// hole has two different mates. It is false where nothing is certain, where one
// match leaves two holes to choose from, or where the matches contradict.
func Suspect(matches []Match) (id string, off float64, ok bool) {
	var left []string
	for _, m := range matches {
		if !m.Certain {
			continue
		}
		named := []string{m.Worst}
		if m.Mate != "" && m.Mate != m.Worst {
			named = append(named, m.Mate)
		}
		if left == nil {
			left = named
			off = m.WorstOff
			if m.Mate == m.Worst {
				off /= 2
			}
			continue
		}
		left = slices.DeleteFunc(left, func(s string) bool { return !slices.Contains(named, s) })
		if len(left) == 0 {
			break
		}
	}
	if len(left) != 1 {
		return "", 0, false
	}
	return left[0], off, true
}
