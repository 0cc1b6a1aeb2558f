package route

import (
	"math"
	"slices"

	"tubewright/calc/sorted"
	"tubewright/calc/units"
)

// clr is a CLR on hand with the most angle that it comes in.
type clr struct {
	radius units.Length
	turn   units.Angle
}

func (g Gap) radii() (list []clr) {
	for _, s := range g.Stock {
		i := slices.IndexFunc(list, func(c clr) bool { return contains([]units.Length{c.radius}, s.Radius) })
		if i < 0 {
			list = append(list, clr{s.Radius, s.Turn})
			continue
		}
		list[i].turn = max(list[i].turn, s.Turn)
	}
	return list
}

// filler is one run of ClosingPiece.
type filler struct {
	gap     Gap
	out     Filled
	nearest float64 // worst miss of Best
	forms   []form  // of out.Plans
	shapes  []shape // that closed
}

// form is which bends a plan has and which of the straights before, between and
// behind them.
type form struct {
	bends [2]clr
	count int // of bends
	has   [3]bool
	loose bool // its straights may be as short as they come: only looked at
}

// all tries every combination of CLRs.
func (f *filler) all(radii []clr) error {
	n := len(radii)
	total, done := float64(1+n+n*n), 0.0
	try := func(bends ...clr) error {
		if f.gap.Step != nil && !f.gap.Step(done/total) {
			return ErrStopped
		}
		done++
		return f.combination(bends)
	}
	if err := try(); err != nil {
		return err
	}
	for _, a := range radii {
		if err := try(a); err != nil {
			return err
		}
	}
	for _, a := range radii {
		for _, b := range radii {
			if err := try(a, b); err != nil {
				return err
			}
		}
	}
	return nil
}

// combination tries some bends, with all straights first and then with fewer, from
// what came of all.
func (f *filler) combination(bends []clr) error {
	whole := form{count: len(bends)}
	copy(whole.bends[:], bends)
	for i := range len(bends) + 1 {
		whole.has[i] = true
	}
	whole.loose = true
	var roots []shape
	for _, start := range f.starts(bends) {
		s, r := f.solve(whole, start)
		if worst(r) < f.nearest {
			if err := f.best(whole, s, r); err != nil {
				return err
			}
		}
		if worst(r) <= 1 && !slices.ContainsFunc(roots, s.isLike) {
			roots = append(roots, s)
		}
	}
	for _, fm := range whole.fewer(f.gap) {
		for _, s := range roots {
			got, r := f.solve(fm, s)
			if worst(r) > 1 {
				continue
			}
			if err := f.offer(fm, got); err != nil {
				return err
			}
		}
	}
	return nil
}

// fewer returns the form with every choice of its straights that the least straights
// leave, fewest first.
func (w form) fewer(g Gap) (list []form) {
	least := g.leasts(w.count)
	for mask := range 1 << (w.count + 1) {
		fm := w
		fm.loose = false
		good := w.count > 0 || mask == 1
		for i := range w.count + 1 {
			fm.has[i] = mask>>i&1 == 1
			good = good && (fm.has[i] || least[i] == 0)
		}
		if good {
			list = append(list, fm)
		}
	}
	sorted.By(list, func(a, b form) int { return a.straights() - b.straights() })
	return list
}

func (w form) straights() (n int) {
	for _, h := range w.has {
		if h {
			n++
		}
	}
	return n
}

// leasts returns the least of the straights before, between and behind some bends.
func (g Gap) leasts(bends int) [3]float64 {
	first, between, last := g.LeastFirst.MM(), g.LeastBetween.MM(), g.LeastLast.MM()
	switch bends {
	case 0:
		return [3]float64{max(first, last)}
	case 1:
		return [3]float64{first, last}
	}
	return [3]float64{first, between, last}
}

// leasts returns the least of the straights that a form has: none is so short that it
// cannot be held.
func (w form) leasts(g Gap) [3]float64 {
	least := g.leasts(w.count)
	for i := range least {
		if w.has[i] && !w.loose {
			least[i] = max(least[i], leastSliver)
		}
	}
	return least
}

// shape is a plan in plain numbers, mm and rad.
type shape struct {
	lengths      [3]float64
	turns, clock [2]float64
}

func (s shape) isLike(o shape) bool {
	for i := range s.lengths {
		if math.Abs(s.lengths[i]-o.lengths[i]) > longAlike {
			return false
		}
	}
	for i := range s.turns {
		clocked := math.Abs(float64(shortest(units.Angle(s.clock[i] - o.clock[i]))))
		if math.Abs(s.turns[i]-o.turns[i]) > float64(turnedAlike) || clocked > float64(turnedAlike) {
			return false
		}
	}
	return true
}

// starts returns where to begin for some bends: the first bend turned to eight sides
// and through four angles, the second as much as it takes to come to the target's
// aim, and straights of what is left.
func (f *filler) starts(bends []clr) (list []shape) {
	g := f.gap
	apart := g.Target.At.Sub(g.Start.O).Norm()
	if len(bends) == 0 {
		return []shape{{lengths: [3]float64{apart}}}
	}
	for i := range 8 {
		for _, turn := range []float64{40, 85, 130, 175} {
			s := shape{clock: [2]float64{float64(i) * math.Pi / 4}, turns: [2]float64{turn * float64(units.Degree)}}
			for k := range len(bends) + 1 {
				s.lengths[k] = apart / 4
			}
			if len(bends) == 2 {
				at := g.Start.Turn(s.clock[0]).Arc(s.turns[0], bends[0].radius.MM())
				s.turns[1] = at.T.Angle(g.Target.Aim)
				side := g.Target.Aim.Sub(at.T.Scale(at.T.Dot(g.Target.Aim)))
				s.clock[1] = math.Atan2(at.T.Dot(at.N.Cross(side)), at.N.Dot(side))
			}
			list = append(list, s)
		}
	}
	return list
}
