package flange

import "math"

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

// verdict is what leaving out each suspect says.
type verdict struct {
	worst   int       // the suspect without which the rest lies together best, −1 where too few are left
	off     float64   // by how much it then misses, in mm
	behind  []float64 // how far each suspect is behind it, log of the odds
	certain bool
}

// try leaves out each suspect in turn.
//
// Leaving one hole out takes two unknowns out of the fit, so that with the sums of
// squares S of all and R of the rest, which has f degrees of freedom,
//
//	P = (R/S)^(f/2)
//
// is the chance of as much improvement or more when nothing is off (the F
// distribution with 2 and f degrees of freedom, closed form), times the number of
// holes tried. Two suspects are compared by the same ratio of their R. weight is
// the share of S that is not a repetition. Where one cannot be left out because
// fewer than two pairs stay, nothing is certain.
func (p pairs) try(flip float64, suspects [][]int, weight, free float64) verdict {
	_, all := p.leastSquares(flip)
	v := verdict{worst: -1, certain: true, behind: make([]float64, len(suspects))}
	best := math.Inf(1)
	for i, left := range suspects {
		v.behind[i] = all
		if len(p.from)-len(left) < 2 {
			v.certain = false
			continue
		}
		l, rest := p.leastSquares(flip, left...)
		v.behind[i] = rest
		if rest < best {
			best, v.worst, v.off = rest, i, 0
			for _, k := range left {
				v.off = max(v.off, distance(l.at(p.from[k]), p.to[k]))
			}
		}
	}
	if v.worst < 0 {
		return v
	}
	const prior = trust * noise * noise
	half := (max(0, free) + trust) / 2
	lead := func(sum float64) float64 { return half * math.Log((weight*sum+prior)/(weight*best+prior)) }
	next := math.Inf(1)
	for i, rest := range v.behind {
		v.behind[i] = lead(rest)
		if i != v.worst {
			next = min(next, v.behind[i])
		}
	}
	v.certain = v.certain && v.off >= leastOff && lead(all) >= math.Log(float64(len(suspects))/chance) && next >= math.Log(odds)
	return v
}

// odd of a face laid on itself: a hole takes part in two pairs, where it goes and
// what comes to it. Where two change places these say the same twice. behind has
// for each hole how far it is behind the worst as a suspect.
func (f Face) odd(p pairs, l laid) (o Odd, behind []float64) {
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
	var suspects [][]int
	var holes []int
	of := make([]int, n) // the suspect that a hole is part of
	for i, j := range l.mate {
		of[i] = len(suspects)
		switch {
		case i == j:
			suspects = append(suspects, []int{i})
		case swaps && j < i:
			of[i] = of[j]
			continue // named by its mate
		default:
			suspects = append(suspects, []int{i, from[i]})
		}
		holes = append(holes, i)
	}
	v := p.try(l.flip, suspects, weight, free)
	if v.worst < 0 { // too few to leave one out
		best, _ := p.leastSquares(l.flip)
		for k, i := range holes {
			if d := distance(best.at(p.from[i]), p.to[i]); v.worst < 0 || d > v.off {
				v.worst, v.off = k, d
			}
		}
	}
	for i := range n {
		behind = append(behind, v.behind[of[i]])
	}
	i := holes[v.worst]
	o = Odd{Worst: f.Holes[i].ID, WorstOff: v.off, Certain: v.certain}
	if swaps {
		o.Mate = f.Holes[l.mate[i]].ID
	}
	return o, behind
}

// Suspect returns the id of the one hole of f that explains best what all its
// matches miss, and by how much it is off where it should be, in mm: in two matches
// a hole has two different mates, so that together they tell which of the two is
// off. It is false unless a match that includes it is certain, and the next hole is
// far less likely.
func Suspect(f Face, matches []Match) (id string, off float64, ok bool) {
	worst, best, next := -1, math.Inf(1), math.Inf(1)
	for i := range f.Holes {
		sum := 0.0
		for _, m := range matches {
			sum += m.behind[i]
		}
		if sum < best {
			worst, best, next = i, sum, best
		} else {
			next = min(next, sum)
		}
	}
	if worst < 0 || next-best < math.Log(odds) {
		return "", 0, false
	}
	id = f.Holes[worst].ID
	n := 0.0
	for _, m := range matches {
		if !m.Certain || m.Worst != id && m.Mate != id {
			continue
		}
		n++
		if m.Mate == m.Worst {
			off += m.WorstOff / 2
		} else {
			off += m.WorstOff
		}
	}
	if n == 0 {
		return "", 0, false
	}
	return id, off / n, true
}
