package flange

import (
	"math"
	"slices"
)

// Comparison is one way to lay another face, a bought or drawn flange or a gasket,
// on the own one.
type Comparison struct {
	Placement         // of the other: with as much room at the tightest bolt as can be
	How       string  // Placement.Words
	RMS       float64 // of the misses of the paired holes after a least-squares fit, in mm
	Minimax   float64 // the smallest play on each side of a bolt with which all go in, in mm
	Odd               // the hole of the other that stands off most; Mate is empty
	WorstBolt string  // the own hole that Worst belongs to
	Known     bool    // the play at every pair is known; Room and BoltsGoIn say nothing without
	Room      float64 // play left at the tightest bolt, in mm; negative: it does not go on
	BoltsGoIn bool    // every bolt that has a hole goes through it
	Seats     []Seat  // one for each pair, in the order of the other's holes
	// Openings are where the other's openings lie on own ports, in the order of the
	// other's.
	Openings    []Landing
	OpeningsOff float64 // the greatest Off of Openings, in mm
	// Unmatched are the ids of what has no mate on the other side.
	Unmatched struct{ Bolts, Holes, Ports, Openings []string }
}

// Seat is one bolt in one hole.
type Seat struct {
	Hole, Bolt string     // ids, of the other and of the own face
	Off        [2]float64 // from where the hole belongs to where it is, in mm, laid by the least sum of misses
	Miss       float64    // length of Off
	Room       float64    // play left with the other placed as the Comparison says, in mm; 0 unless Known
	Known      bool
}

// What a comparison allows for. A placement that fits worse than the best by more
// than alsoRan mm a hole is not one that anybody would take for right. One that
// needs no turning over is preferred while it is worse by less than easier mm.
const (
	alsoRan = 1.0
	easier  = 0.1
	within  = 1.0 // of the radius of a port, between centres: beyond it an opening belongs to another port
)

// Compare returns the ways to lay other on own, best first, where nobody knows
// which hole belongs to which bolt, how the other was turned when it was measured,
// or which side it was measured from. Own gives the bolts (Hole.Bolt), other the
// diameters that have to take them.
//
// Either may have holes that the other has not: a hole more than 5 mm from any bolt
// has none, and counts as 5 mm in the choice, and so does a port without an opening.
// Ways in which most holes have a bolt, and all bolts go in where their size is
// known, come first, then by how well holes and openings lie together. Those worse
// than the best by more than 1 mm a hole are left out. Fewer than two holes in
// different places on either side give none.
//
// The placement is the one with most room at the tightest bolt, to 1e-5 mm. Each
// Seat has its Off from another, the least sum of misses, which one hole that is
// off does not move. The error names the hole or port that is not finite or farther
// than 1e5 mm out, or a count above 64.
func Compare(own, other Face) ([]Comparison, error) {
	if err := own.check(); err != nil {
		return nil, err
	}
	if err := other.check(); err != nil {
		return nil, err
	}
	s := search{
		from: other.places(), to: own.places(), fewest: 2, limit: widestMiss,
		may: func(int, int) bool { return true },
	}
	few, turned := s.from, len(s.from) > len(s.to)
	if turned {
		few = s.to
	}
	for _, side := range [][][2]float64{s.from, s.to} {
		_, _, apart := farthestPair(side, make([]bool, len(side)))
		if !(apart > 0.1) {
			return nil, nil
		}
		s.limit = min(s.limit, apart/6)
	}
	s.reach = func(round int) float64 {
		if round < 2 {
			return 2 * s.limit // a base hole may itself be off
		}
		return s.limit
	}
	// Of any placement that leaves fewer than k of the smaller pattern unpaired,
	// at least one of k pairs that share no hole is a base.
	used := make([]bool, len(few))
	best := math.Inf(1)
	for k := 1; ; k++ {
		a, b, apart := farthestPair(few, used)
		if !(apart > 0.1) {
			break
		}
		used[a], used[b] = true, true
		s.over(a, b, turned)
		for _, l := range s.found {
			best = min(best, s.cost(l))
		}
		if float64(k)*s.limit/float64(len(few)) > best+alsoRan {
			break
		}
	}
	ports, openings := trace(own.Ports), trace(other.Ports)
	var list []Comparison
	var order []float64
	most := 0 // pairs in one placement
	s.found = slices.DeleteFunc(s.found, func(l laid) bool { return s.cost(l) > best+alsoRan })
	ways := s.distinct()
	for _, l := range ways {
		most = max(most, len(s.chosen(l.mate).from))
	}
	for _, l := range ways {
		cost := s.cost(l)
		c := compare(own, other, &s, l, ports, openings)
		if n := min(len(ports), len(openings)); n > 0 {
			sum := float64(max(0, n-len(c.Openings))) * s.limit // without a mate, as holes are
			for _, o := range c.Openings {
				sum += min(o.Off, s.limit)
			}
			cost += sum / float64(n)
		}
		if c.Mirrored {
			cost += easier
		}
		if c.Known && !c.BoltsGoIn || len(c.Seats) < most {
			cost += 10 * widestMiss // after all those that do
		}
		at, _ := slices.BinarySearchFunc(order, cost, func(a, b float64) int {
			if byFirst(a-b) <= 0 {
				return -1
			}
			return 1
		})
		order, list = slices.Insert(order, at, cost), slices.Insert(list, at, c)
	}
	return list, nil
}

// cost returns the mean miss of the smaller pattern in mm, where what has no mate
// counts as the limit.
func (s *search) cost(l laid) float64 {
	few := min(len(s.from), len(s.to))
	sum, paired := 0.0, 0
	for i, j := range l.mate {
		if j >= 0 {
			sum += min(s.limit, distance(l.at(s.from[i]), s.to[j]))
			paired++
		}
	}
	return (sum + float64(few-paired)*s.limit) / float64(few)
}

func compare(own, other Face, s *search, l laid, ports, openings []traced) Comparison {
	var c Comparison
	p := s.chosen(l.mate)
	var plays []float64
	var suspects [][]int
	taken := make([]bool, len(own.Holes))
	c.Known = true
	for i, j := range l.mate {
		hole := other.Holes[i]
		if j < 0 {
			c.Unmatched.Holes = append(c.Unmatched.Holes, hole.ID)
			continue
		}
		taken[j] = true
		r, ok := play(hole.Diameter, own.Holes[j].Bolt)
		c.Known = c.Known && ok
		plays = append(plays, r)
		suspects = append(suspects, []int{len(suspects)})
		c.Seats = append(c.Seats, Seat{Hole: hole.ID, Bolt: own.Holes[j].ID, Room: r, Known: ok})
	}
	for j, t := range taken {
		if !t {
			c.Unmatched.Bolts = append(c.Unmatched.Bolts, own.Holes[j].ID)
		}
	}
	n := len(c.Seats)
	squares, sum := p.leastSquares(l.flip)
	c.RMS = math.Sqrt(sum / float64(n))
	tight, minimax := p.leastMost(l.lay, make([]float64, n))
	c.Minimax = minimax
	if c.Known {
		if slices.Max(plays)-slices.Min(plays) > 1e-9 {
			tight, _ = p.leastMost(l.lay, plays)
		}
		c.Room = math.Inf(1)
	}
	robust := p.leastSum(l.lay)
	for i := range c.Seats {
		seat := &c.Seats[i]
		q := robust.at(p.from[i])
		seat.Off = [2]float64{q[0] - p.to[i][0], q[1] - p.to[i][1]}
		seat.Miss = distance(q, p.to[i])
		if !seat.Known {
			seat.Room = 0
			continue
		}
		seat.Room -= distance(tight.at(p.from[i]), p.to[i])
		if c.Known {
			c.Room = min(c.Room, seat.Room)
		}
	}
	c.BoltsGoIn = c.Known && c.Room >= 0
	c.Placement = tight.placement()
	c.How = c.Words()

	v := p.try(l.flip, suspects, 1, float64(2*n-5))
	if v.worst < 0 { // too few to leave one out
		v.worst, v.off = 0, distance(squares.at(p.from[0]), p.to[0])
	}
	c.Odd = Odd{Worst: c.Seats[v.worst].Hole, WorstOff: v.off, Certain: v.certain}
	c.WorstBolt = c.Seats[v.worst].Bolt

	c.Openings, c.Unmatched.Openings, c.Unmatched.Ports = landings(openings, ports, tight, within)
	for _, o := range c.Openings {
		c.OpeningsOff = max(c.OpeningsOff, o.Off)
	}
	return c
}
