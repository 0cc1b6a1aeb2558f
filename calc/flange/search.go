package flange

import (
	"math"
	"slices"
)

// laid is one way to lay holes on holes: for each hole of the first face the one of
// the second, −1 for none, and the least-squares placement of those.
type laid struct {
	lay
	mate []int
}

// search looks for every placement of from on to.
type search struct {
	from, to [][2]float64
	may      func(i, j int) bool     // whether hole i may lie on hole j
	limit    float64                 // greatest miss that is still looked for, in mm
	reach    func(round int) float64 // how far a hole may be from its mate in the rounds of settling
	fewest   int                     // how many holes must have a mate
	found    []laid
	desk     desk
	at       [][2]float64 // where the holes lie in this round
}

// From a base of two holes a and b that lies right to limit mm each, every
// placement within limit of the true one is reached: the two places that a and b
// come to are at most 2·limit farther apart or closer together than a and b, and
// the placement over them lies within limit·(2 + 2√3) of the true one anywhere in
// the two circles about a and b through the other, so that with a base of the two
// farthest holes no hole misses by more than spread·limit.
const spread = 6.5

// over adds what is found from a base of the holes a and b of the from face; if
// turned, of the to face.
func (s *search) over(a, b int, turned bool) {
	base, other, may := s.from, s.to, s.may
	if turned {
		base, other, may = s.to, s.from, func(i, j int) bool { return s.may(j, i) }
	}
	span := distance(base[a], base[b])
	for c := range other {
		if !may(a, c) {
			continue
		}
		for d := range other {
			if c == d || !may(b, d) || math.Abs(distance(other[c], other[d])-span) > 2*s.limit {
				continue
			}
			for _, flip := range [2]float64{1, -1} {
				if turned {
					s.settle(overTwo(flip, other[c], other[d], base[a], base[b]))
				} else {
					s.settle(overTwo(flip, base[a], base[b], other[c], other[d]))
				}
			}
		}
	}
}

// settle pairs holes by where l lays them, lays anew by least squares, and so on
// until the pairs stay.
func (s *search) settle(l lay) {
	var mate []int
	for round := range 20 {
		next := s.pairs(l, s.reach(round))
		if slices.Equal(next, mate) && s.reach(round) == s.reach(round+1) {
			break
		}
		mate = next
		p := s.chosen(mate)
		if len(p.from) < s.fewest {
			return
		}
		if s.seen(l.flip, mate) {
			return
		}
		l, _ = p.leastSquares(l.flip)
		if p.arm(l) < s.limit && len(mate) > s.fewest {
			return // what is paired lies too close together to say how the rest is turned
		}
	}
	s.found = append(s.found, laid{l, mate})
}

// seen reports whether these pairs were settled on before.
func (s *search) seen(flip float64, mate []int) bool {
	for _, f := range s.found {
		if f.flip == flip && slices.Equal(f.mate, mate) {
			return true
		}
	}
	return false
}

func (s *search) pairs(l lay, reach float64) []int {
	s.at = s.at[:0]
	for _, q := range s.from {
		s.at = append(s.at, l.at(q))
	}
	return s.desk.pairUp(len(s.from), len(s.to), func(i, j int) float64 {
		if !s.may(i, j) {
			return math.Inf(1)
		}
		return square(s.at[i], s.to[j])
	}, reach*reach)
}

func (s *search) chosen(mate []int) pairs {
	var p pairs
	for i, j := range mate {
		if j >= 0 {
			p.add(s.from[i], s.to[j])
		}
	}
	return p
}

// farthestPair returns the two places that are farthest apart among those not yet
// used, and how far that is; −1, −1 when fewer than two are left.
func farthestPair(places [][2]float64, used []bool) (a, b int, apart float64) {
	a, b, apart = -1, -1, -1
	for i := range places {
		for j := range i {
			if used[i] || used[j] {
				continue
			}
			if d := distance(places[i], places[j]); d > apart {
				a, b, apart = j, i, d
			}
		}
	}
	return a, b, apart
}
