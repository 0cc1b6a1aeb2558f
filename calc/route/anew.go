package route

import "slices"

// anew tries sets with one piece that is cut anew, which costs less than a sliver and
// no weld, and where nothing else closes all knobs at once.
func (s *search) anew() error {
	if len(s.m.knobs) == s.m.usual {
		return nil
	}
	var piles [][]uint64
	total := 0
	for a := s.m.usual; a < len(s.m.knobs); a++ {
		rest := slices.DeleteFunc(s.all(), func(k int) bool { return s.m.same(a, k) })
		piles = s.piled(piles, 1<<a, int(2*s.m.knobs[a].base), rest, besideAnew)
	}
	for _, p := range piles {
		total += len(p)
	}
	sortPiles(piles)
	if err := s.enumerate(piles, total, s.out.Complete); err != nil {
		return err
	}
	if len(s.kept) > 0 || len(s.out.Vetoed) > 0 {
		return nil
	}
	best := s.nearest(upTo(len(s.m.knobs)))
	if !closes(best) {
		return nil
	}
	set, f := s.solver.once(upTo(len(s.m.knobs)), best)
	return s.thinned(set, f)
}

// same reports whether two knobs change the same of one piece.
func (m *model) same(a, b int) bool {
	return m.knobs[a].link == m.knobs[b].link && m.knobs[a].what == m.knobs[b].what
}

// once leaves of a solution one change of each piece: what is taken off it and what
// another in its place has more come to one of both.
func (v *solver) once(set []int, f found) ([]int, found) {
	x := slices.Clone(f.x)
	for i := 0; i < len(set); i++ {
		j := slices.IndexFunc(set[i+1:], func(k int) bool { return v.m.same(set[i], k) })
		if j < 0 {
			continue
		}
		j += i + 1
		sum := x[i] + x[j]
		if sum > 0 {
			x[j] = sum
			set, x = without(set, i), without(x, i)
			i--
			continue
		}
		x[i] = sum
		set, x = without(set, j), without(x, j)
	}
	return set, v.fit(set, x)
}
