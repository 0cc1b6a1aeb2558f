package flange

import (
	"math"
	"slices"

	"tubewright/calc/sorted"
)

// Match is one way in which a face lies on itself other than as it is: a way in
// which the flange could be bolted on wrongly.
type Match struct {
	Placement           // of the flange: holes on holes, by the least sum of misses
	How       string    // Placement.Words
	Mates     []string  // for each hole of the face, in order, the one whose bolt it takes
	Misses    []float64 // of each hole, as placed, in mm
	RMS       float64   // of the misses of the holes after a least-squares fit, in mm
	Minimax   float64   // the smallest play on each side of a bolt with which all go in, in mm
	Odd                 // the hole that stands off most
	Known     bool      // the play of every hole on its new bolt is known; Room and BoltsGoIn say nothing without
	Room      float64   // play left at the tightest hole where all have as much as can be, in mm; negative: it does not go on
	BoltsGoIn bool
	Ports     []Landing // where each port comes to lie, in the order of the face
	PortsOff  float64   // the greatest Off of Ports, in mm

	behind []float64 // for Suspect
}

// widestMiss is the greatest miss of a hole, in mm, up to which a face is said to
// lie on itself: beyond it no bolt goes in, and nobody would try.
const widestMiss = 5

// SelfMatch returns every way to turn the face over or round in its plane such
// that all its holes come to lie on holes for the same bolt, none more than 5 mm
// off, closest first by RMS. Lying as it is, is left out. Ports do not place a
// flange, bolts do; they are compared as they then lie.
//
// Fewer than two holes in different places give none, as nothing then says how the
// flange lies. With all holes in one line, turning over about that line is one of
// the ways. Where all holes of the face lie close together, within 30 mm, a
// sixth of that takes the place of the 5 mm.
//
// Complete and exact: every way within the limit is reached from the two farthest
// holes (see spread), the pairing is the Hungarian one, RMS is closed form, Minimax
// and Room are within 1e-5 mm of the best. The error names the hole or port that is
// not finite or farther than 1e5 mm out, or a count above 64.
func SelfMatch(f Face) ([]Match, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	places := f.places()
	a, b, apart := farthestPair(places, make([]bool, len(places)))
	if !(apart > 0.1) {
		return nil, nil
	}
	kind := kinds(f.Holes)
	limit := min(widestMiss, apart/6)
	s := search{
		from: places, to: places, limit: limit, fewest: len(places),
		may:   func(i, j int) bool { return kind[i] == kind[j] },
		reach: func(int) float64 { return spread * limit },
	}
	s.over(a, b, false)
	ports := trace(f.Ports)
	var matches []Match
	for _, l := range s.distinct() {
		if l.flip > 0 && l.apart(lay{flip: 1, cos: 1}, places) < limit/2 {
			continue // as it is
		}
		if m, ok := f.match(l, limit, ports); ok {
			matches = append(matches, m)
		}
	}
	sorted.By(matches, func(m, n Match) int {
		return byFirst(m.RMS-n.RMS, m.PortsOff-n.PortsOff, m.Angle-n.Angle)
	})
	return matches, nil
}

// byFirst returns the sign of the first difference that is more than rounding.
func byFirst(differences ...float64) int {
	for _, d := range differences {
		if d > 1e-6 {
			return 1
		} else if d < -1e-6 {
			return -1
		}
	}
	return 0
}

// distinct returns what was found, the best of those that lay every hole within
// half the limit of each other.
func (s *search) distinct() []laid {
	miss := make([]float64, len(s.found))
	order := make([]int, len(s.found))
	for i, l := range s.found {
		_, sum := s.chosen(l.mate).leastSquares(l.flip)
		order[i], miss[i] = i, sum/float64(len(l.mate))
	}
	sorted.By(order, func(i, j int) int { return byFirst(miss[i] - miss[j]) })
	var kept []laid
	for _, i := range order {
		l := s.found[i]
		if !slices.ContainsFunc(kept, func(k laid) bool { return k.flip == l.flip && k.apart(l.lay, s.from) < s.limit/2 }) {
			kept = append(kept, l)
		}
	}
	return kept
}

func (f Face) match(l laid, limit float64, ports []traced) (Match, bool) {
	var p pairs
	room := make([]float64, len(l.mate))
	known := true
	for i, j := range l.mate {
		p.add(f.Holes[i].At, f.Holes[j].At)
		var ok bool
		room[i], ok = play(f.Holes[i].Diameter, f.Holes[j].Bolt)
		known = known && ok
	}
	n := float64(len(l.mate))
	_, sum := p.leastSquares(l.flip)
	m := Match{RMS: math.Sqrt(sum / n), Known: known}
	if m.RMS > limit { // Minimax is no less
		return Match{}, false
	}
	if _, m.Minimax = p.leastMost(l.lay, make([]float64, len(l.mate))); m.Minimax > limit {
		return Match{}, false
	}
	if known {
		m.Room = p.mostRoom(l.lay, room, m.Minimax)
		m.BoltsGoIn = m.Room >= 0
	}
	best := p.leastSum(l.lay)
	m.Placement = best.placement()
	m.How = m.Words()
	for i, j := range l.mate {
		m.Mates = append(m.Mates, f.Holes[j].ID)
		m.Misses = append(m.Misses, distance(best.at(p.from[i]), p.to[i]))
	}
	m.Odd, m.behind = f.odd(p, l)
	m.Ports, _, _ = landings(ports, ports, best, 0)
	for _, land := range m.Ports {
		m.PortsOff = max(m.PortsOff, land.Off)
	}
	return m, true
}

// mostRoom returns the room at the tightest hole where it has most. minimax is that
// of the pairs without play, all that is needed where the play is the same.
func (p pairs) mostRoom(start lay, play []float64, minimax float64) float64 {
	if slices.Max(play)-slices.Min(play) < 1e-9 {
		return play[0] - minimax
	}
	_, excess := p.leastMost(start, play)
	return -excess
}
