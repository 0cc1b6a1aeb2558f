package route

import (
	"math/rand/v2"
	"slices"

	"tubewright/calc/units"
)

// How far each change is set from none, both ways, to get round what turned down
// those that ask for little.
var (
	aroundTurns   = []units.Angle{5 * units.Degree, 15 * units.Degree, 30 * units.Degree, 60 * units.Degree, 120 * units.Degree}
	aroundAngles  = []units.Angle{3 * units.Degree, 8 * units.Degree, 15 * units.Degree, 30 * units.Degree}
	aroundLengths = []units.Length{6, 15, 30, 60}
)

// sizes returns how far a knob is set to get round something.
func (k *knob) sizes() (list []float64) {
	both := func(x float64) {
		for _, x := range []float64{x, -x} {
			if x >= k.lo && x <= k.hi {
				list = append(list, x)
			}
		}
	}
	switch k.what {
	case clock:
		for _, a := range aroundTurns {
			both(float64(a))
		}
	case angle:
		for _, a := range aroundAngles {
			both(float64(a))
		}
	case length:
		for _, l := range aroundLengths {
			both(l.MM())
		}
	}
	return list
}

// around looks for answers that lie farther from the chain as it is, since Reject
// turned down those that ask for little: each change in turn is set to some sizes and
// the others close the chain again, and then all are drawn at random.
func (s *search) around(all []int) error {
	s.out.Around = true
	for i, k := range all {
		if s.stopped(float64(i) / float64(len(all))) {
			return ErrStopped
		}
		rest := without(all, i)
		for _, size := range s.m.knobs[k].sizes() {
			m := s.m
			m.links = slices.Clone(s.m.links)
			m.knobs[k].set(m.links, size)
			v := newSolver(&m)
			f := v.fit(rest, nil)
			set := rest
			if closes(f) {
				set, f = v.thin(rest, f, closes)
				if err := s.certifyFar(append(slices.Clone(set), k), append(slices.Clone(f.x), size)); err != nil {
					return err
				}
			}
			s.solver.tries += v.tries
		}
	}
	rnd := rand.New(rand.NewPCG(2, 0))
	for range mostStarts {
		f := s.solver.fit(all, s.m.drawn(rnd, all))
		if !closes(f) {
			continue
		}
		set, f := s.solver.thin(all, f, closes)
		if err := s.certifyFar(set, f.x); err != nil {
			return err
		}
	}
	return nil
}

// certifyFar is certify for a solution of knobs that may have others beside it.
func (s *search) certifyFar(set []int, x []float64) error {
	a, x, err := s.m.certified(set, x)
	if err != nil || !a.Closes {
		return err
	}
	if mask := s.m.changed(set, x); mask != 0 {
		s.offer(a, mask)
	}
	return nil
}
