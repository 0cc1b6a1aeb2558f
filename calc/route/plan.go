package route

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tubewright/calc/sorted"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// model returns a form as a chain that is to be cut, from a shape, and of each of its
// links the number among the straights or the bends.
func (f *filler) model(fm form, from shape) (m model, at shape, number []int) {
	g := f.gap
	c := Chain{Start: g.Start, Before: g.Before, OD: g.OD}
	at = from
	least := fm.leasts(g)
	for i := range fm.count + 1 {
		if fm.has[i] {
			at.lengths[i] = max(at.lengths[i], least[i])
			c.Pieces = append(c.Pieces, Piece{Element: tube.Element{Straight: units.Length(at.lengths[i])}, Least: units.Length(least[i])})
			number = append(number, i)
		} else {
			at.lengths[i] = 0
		}
		if i < fm.count {
			b := fm.bends[i]
			at.turns[i] = max(float64(LeastTurn), min(float64(b.turn), at.turns[i]))
			at.clock[i] = float64(shortest(units.Angle(at.clock[i])))
			c.Pieces = append(c.Pieces, Piece{MaxTurn: b.turn, Element: tube.Element{Bend: &tube.Bend{
				Turn: units.Angle(at.turns[i]), Radius: b.radius, Rotation: units.Angle(at.clock[i])}}})
			number = append(number, i)
		}
	}
	return newModel(c, g.Target), at, number
}

// solve brings a form as near to the target as it comes from a shape. A slight pull
// towards where it starts comes first and is then let go.
func (f *filler) solve(fm form, from shape) (shape, row) {
	m, at, number := f.model(fm, from)
	all := make([]int, len(m.knobs))
	for i := range m.knobs {
		all[i] = i
		k := &m.knobs[i]
		k.unit = math.Pi
		if k.what == length {
			k.unit = 300
		}
	}
	v := newSolver(&m)
	got := v.solve(all, nil, m.target.usual())
	v.pull = 1e-6
	got = v.fit(all, got.x)
	for i, k := range m.knobs {
		n := number[k.link]
		switch k.what {
		case clock:
			at.clock[n] += got.x[i]
		case angle:
			at.turns[n] += got.x[i]
		case length:
			at.lengths[n] += got.x[i]
		}
	}
	return at, got.r
}

// plan is a shape in figures that can be marked, walked.
func (f *filler) plan(fm form, s shape) (Plan, error) {
	var first Plan
	for i, grid := range grids {
		p, err := f.walked(fm, s, grid)
		if err != nil || p.Closes {
			return p, err
		}
		if i == 0 {
			first = p
		}
	}
	return first, nil
}

func (f *filler) walked(fm form, s shape, grid float64) (Plan, error) {
	g := f.gap
	least := fm.leasts(g)
	step := grid * float64(units.Degree)
	var p Plan
	for i := range fm.count + 1 {
		if l := max(least[i], grid*math.Round(s.lengths[i]/grid)); fm.has[i] && l > 0 {
			p.Elems = append(p.Elems, tube.Element{Straight: units.Length(l)})
		}
		if i < fm.count {
			b := fm.bends[i]
			turn := max(float64(LeastTurn), min(float64(b.turn), step*math.Round(s.turns[i]/step)))
			p.Elems = append(p.Elems, tube.Element{Bend: &tube.Bend{
				Turn: units.Angle(turn), Radius: b.radius, Rotation: shortest(units.Angle(step * math.Round(s.clock[i]/step)))}})
		}
	}
	w, err := tube.Walk(g.Start, p.Elems)
	if err != nil {
		return Plan{}, fmt.Errorf("walk planned piece: %w", err)
	}
	p.End, p.Length = w.End, g.Before+w.Length
	o := g.Target.of(w.End, p.Length.MM())
	p.Closes = g.Target.holds(o)
	p.Miss, p.Aim, p.Slip = units.Length(o.miss), units.Angle(o.aim), units.Length(g.Target.slipped(o.along))
	f.cut(&p)
	return p, nil
}

// best keeps what comes nearest. Its straights may be as short as they come, which no
// plan's may; one that closes without such, as it can be marked, is a plan.
func (f *filler) best(fm form, s shape, r row) error {
	p, err := f.plan(fm, s)
	if err != nil {
		return err
	}
	p.Short = slices.ContainsFunc(p.Elems, tooShort)
	if p.Closes && !p.Short {
		return f.offer(fm, s)
	}
	p.Short, p.Closes = p.Closes, false
	f.nearest, f.out.Best = worst(r), &p
	return nil
}

func tooShort(e tube.Element) bool { return e.Bend == nil && e.Straight.MM() < leastSliver }

// offer takes a shape up among the plans if it closes as it can be marked, is not
// there yet, and Reject has nothing against it.
func (f *filler) offer(fm form, s shape) error {
	if slices.ContainsFunc(f.shapes, s.isLike) {
		return nil
	}
	p, err := f.plan(fm, s)
	if err != nil || !p.Closes {
		return err
	}
	f.shapes = append(f.shapes, s)
	if f.gap.Reject != nil {
		cost, reason := f.gap.Reject(p.Elems)
		if reason != "" {
			f.out.Vetoed++
			if !slices.Contains(f.out.Why, reason) {
				f.out.Why = append(f.out.Why, reason)
			}
			return nil
		}
		p.Cost = max(0, cost)
	}
	f.out.Plans = append(f.out.Plans, p)
	f.forms = append(f.forms, fm)
	return nil
}

// finish puts the plans in order and keeps the best.
func (f *filler) finish() {
	type both struct {
		plan Plan
		form form
	}
	var list []both
	for i, p := range f.out.Plans {
		list = append(list, both{p, f.forms[i]})
	}
	sorted.By(list, func(a, b both) int {
		return cmp.Or(
			cmp.Compare(float64(a.plan.Welds)+a.plan.Cost, float64(b.plan.Welds)+b.plan.Cost),
			cmp.Compare(a.plan.Length, b.plan.Length))
	})
	alike := map[form]int{}
	f.out.Plans = nil
	for _, b := range list {
		if alike[b.form]++; alike[b.form] <= mostOfOne && len(f.out.Plans) < f.gap.Most {
			f.out.Plans = append(f.out.Plans, b.plan)
		}
	}
}

// tighter looks for the largest CLR below those on hand with which it would do.
func (f *filler) tighter(radii []clr) error {
	const finer = 0.95 // of the CLR before
	smallest, turn := 10*f.gap.OD, units.Angle(0)
	for _, c := range radii {
		smallest, turn = min(smallest, c.radius), max(turn, c.turn)
	}
	if len(radii) == 0 {
		turn = math.Pi
	}
	for r := smallest * finer; r > 0.75*f.gap.OD; r *= finer {
		if f.gap.Step != nil && !f.gap.Step(1) {
			return ErrStopped
		}
		one := clr{r, turn}
		for count := 1; count <= 2; count++ {
			fm := form{bends: [2]clr{one, one}, count: count, has: [3]bool{true, true, count == 2}, loose: true}
			for _, s := range f.starts(fm.bends[:count]) {
				got, miss := f.solve(fm, s)
				if worst(miss) > 1 {
					continue
				}
				p, err := f.plan(fm, got)
				if err != nil {
					return err
				}
				if p.Closes {
					f.out.Radius = r
					return nil
				}
			}
		}
	}
	return nil
}
