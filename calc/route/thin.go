package route

import (
	"cmp"
	"math"
	"slices"

	"tubewright/calc/sorted"
	"tubewright/calc/units"
)

// effort is what changes cost, those that a tool cannot follow left out.
func (m *model) effort(set []int, x []float64) (sum float64) {
	x = m.rounded(set, x, grids[1])
	for i, k := range set {
		if x[i] != 0 {
			sum += m.knobs[k].base + math.Abs(x[i])/m.knobs[k].unit
		}
	}
	return sum
}

// thin leaves out of set one knob after the other, each time the one without which
// the rest costs least, as long as good says that the rest still does. Knobs that
// cannot be 0 stay.
func (v *solver) thin(set []int, f found, good func(found) bool) ([]int, found) {
	for {
		var less []int
		var next found
		least := math.Inf(1)
		for i, k := range set {
			if knob := &v.m.knobs[k]; knob.lo > 0 || knob.kind == NewBend {
				continue
			}
			rest := without(set, i)
			g := v.fit(rest, without(f.x, i))
			if !good(g) {
				continue
			}
			if e := v.m.effort(rest, g.x); e < least {
				least, less, next = e, rest, g
			}
		}
		if less == nil {
			return set, f
		}
		set, f = less, next
	}
}

// without returns list without its element i.
func without[T any](list []T, i int) []T {
	out := make([]T, 0, len(list))
	return append(append(out, list[:i]...), list[i+1:]...)
}

func closes(f found) bool { return worst(f.r) <= 1 }

// thinned offers what is left of a solution of all knobs.
func (s *search) thinned(all []int, best found) error {
	set, f := s.solver.thin(all, best, closes)
	if err := s.certify(s.solver.m, set, f.x, 0); err != nil {
		return err
	}
	if len(s.kept) == 0 && len(s.out.Vetoed) == 0 && len(set) < len(all) {
		// Too near to the edge to be rounded; with all knobs there is more room.
		return s.certify(s.solver.m, all, best.x, 0)
	}
	return nil
}

const (
	leastSliver   = 6.0                // mm, about a quarter of an inch for a grip; from memory
	longestSliver = 60.0               // mm, beyond it is no sliver
	widestSliver  = 45 * units.Degree  // likewise
	firstSliver   = 15 * units.Degree  // to start from
	freeSliver    = 180 * units.Degree // unit of a new bend's rotation, which costs nothing
)

// slivers tries a new short straight, and then a new short bend, at every joint that
// is free.
func (s *search) slivers() error {
	n := len(s.ask.Chain.Pieces)
	for _, bend := range []bool{false, true} {
		for j := range n + 1 {
			if j < n && s.ask.Chain.Pieces[j].State == Fixed || !bend && s.hasUncutStraight(j) {
				continue
			}
			radii := []units.Length{0}
			if bend {
				radii = s.radii()
			}
			for i, radius := range radii {
				if s.stopped((float64(j) + float64(i)/float64(len(radii))) / float64(n+1)) {
					s.out.Complete = false
					return ErrStopped
				}
				if err := s.sliver(j, radius.MM()); err != nil {
					return err
				}
			}
		}
		if len(s.kept) >= min(s.most, fewAnswers) {
			break
		}
	}
	return nil
}

// hasUncutStraight reports whether a straight at joint j can be made longer, which
// does the same as a new one.
func (s *search) hasUncutStraight(j int) bool {
	for _, i := range []int{j - 1, j} {
		if i >= 0 && i < len(s.ask.Chain.Pieces) {
			if p := s.ask.Chain.Pieces[i]; p.Element.Bend == nil && p.State == Uncut {
				return true
			}
		}
	}
	return false
}

// radii returns the CLRs on hand, or those of the chain.
func (s *search) radii() []units.Length {
	list := s.ask.Radii
	if len(list) == 0 {
		for _, p := range s.ask.Chain.Pieces {
			if b := p.Element.Bend; b != nil {
				list = append(list, b.Radius)
			}
		}
	}
	var once []units.Length
	for _, r := range list {
		if !contains(once, r) {
			once = append(once, r)
		}
	}
	return once
}

// contains reports whether a CLR is in a list to a tenth of a mm.
func contains(list []units.Length, r units.Length) bool {
	for _, o := range list {
		if math.Abs((o - r).MM()) < 0.1 {
			return true
		}
	}
	return false
}

// sliver tries a new piece at joint j: a bend of the radius, or a straight for 0.
func (s *search) sliver(j int, radius float64) error {
	m := s.m.with(j, radius)
	v := newSolver(&m)
	all := upTo(m.usual)
	for k := len(s.m.knobs); k < len(m.knobs); k++ {
		all = append(all, k)
	}
	ways := []float64{0}
	if radius > 0 {
		ways = []float64{0, math.Pi / 2, math.Pi, -math.Pi / 2}
	}
	var best found
	for i, way := range ways {
		x := m.least(all)
		if radius > 0 {
			x[len(x)-2], x[len(x)-1] = way, float64(firstSliver)
		}
		if f := v.fit(all, x); i == 0 || worst(f.r) < worst(best.r) {
			best = f
		}
	}
	if closes(best) {
		set, f := v.thin(all, best, closes)
		if err := s.certify(&m, set, f.x, 0); err != nil {
			return err
		}
	}
	s.solver.tries += v.tries
	return nil
}

// with returns the model with a new link in front of link j, of no length yet, whose
// knobs come last: a straight, or for a radius a bend with its rotation and angle.
func (m *model) with(j int, radius float64) model {
	w := *m
	w.links, w.knobs = nil, nil
	w.links = append(append(append(w.links, m.links[:j]...), link{piece: -1, bend: radius > 0, radius: radius}), m.links[j:]...)
	for _, k := range m.knobs {
		if k.link >= j {
			k.link++
		}
		w.knobs = append(w.knobs, k)
	}
	if radius == 0 {
		k := newKnob(NewStraight, length, j, 0, longestSliver)
		k.lo, k.joint = leastSliver, j
		w.knobs = append(w.knobs, k)
		return w
	}
	r := newKnob(NewBend, clock, j, -2*math.Pi, 2*math.Pi)
	r.base, r.unit = 0, float64(freeSliver)
	for i := j + 1; i < len(w.links); i++ {
		if w.links[i].bend {
			r.counter = i
			break
		}
	}
	a := newKnob(NewBend, angle, j, 0, float64(widestSliver))
	a.lo, a.joint = float64(LeastTurn), j
	w.knobs = append(w.knobs, r, a)
	return w
}

// far is how much less a miss counts than usual where the socket may move.
const far = 30

// would fills in what comes nearest, and what would let the chain close.
func (s *search) would(all []int, best found) error {
	v := &s.solver
	least := worst(best.r)
	set, f := v.thin(all, best, func(f found) bool { return worst(f.r) <= 1.02*least+0.02 })
	a, _, err := s.m.certified(set, f.x)
	if err != nil {
		return err
	}
	s.out.Best = &a
	if err := s.moved(all, best); err != nil {
		return err
	}
	if s.stopped(1) {
		return ErrStopped
	}
	return s.others(all)
}

// moved finds how far the socket would have to move at the least, its aim kept where
// it can be.
func (s *search) moved(all []int, best found) error {
	t := s.m.target
	sc := t.usual()
	sc.place *= far
	v := &s.solver
	f := v.solve(all, v.m.least(all), sc)
	if g := v.solve(all, best.x, sc); g.cost < f.cost {
		f = g
	}
	var a Answer
	for range 3 {
		var err error
		if a, err = s.m.answer(all, s.m.rounded(all, f.x, grids[1])); err != nil {
			return err
		}
		if a.Aim <= t.AimWithin {
			break
		}
		sc.aim /= 3 // what the place pulls the aim off by
		f = v.solve(all, f.x, sc)
	}
	d := a.End.O.Sub(t.At)
	socket := Socket{Move: d.Sub(t.Aim.Scale(t.slipped(d.Dot(t.Aim)))), Answer: a}
	if a.Aim > t.AimWithin {
		socket.Tilt = a.Aim
	}
	s.out.Socket = &socket
	return nil
}

// others tries every other CLR on hand for every bend that is not cut.
func (s *search) others(all []int) error {
	for i, p := range s.ask.Chain.Pieces {
		if p.State != Uncut || p.Element.Bend == nil {
			continue
		}
		for _, radius := range s.radii() {
			if contains([]units.Length{p.Element.Bend.Radius}, radius) {
				continue
			}
			c := s.ask.Chain
			c.Pieces = slices.Clone(c.Pieces)
			b := *p.Element.Bend
			b.Radius = radius
			c.Pieces[i].Element.Bend = &b
			m := newModel(c, s.m.target)
			other := search{solver: newSolver(&m)}
			f := other.nearest(all)
			s.solver.tries += other.solver.tries
			if !closes(f) {
				continue
			}
			set, f := other.solver.thin(all, f, closes)
			a, _, err := m.certified(set, f.x)
			if err != nil {
				return err
			}
			if a.Closes {
				a.Longer = a.Length - s.out.AsIs.Length
				s.out.Radii = append(s.out.Radii, OtherRadius{i, radius, a})
			}
		}
	}
	sorted.By(s.out.Radii, func(a, b OtherRadius) int { return cmp.Compare(a.Answer.Effort, b.Answer.Effort) })
	return nil
}
