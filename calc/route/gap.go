package route

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/sorted"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// StockBend is a bend that pieces can be cut from.
type StockBend struct {
	ID     string
	Radius units.Length // CLR
	Turn   units.Angle  // the most it gives
	// Legs of the stock, 0 for none. A piece with less than all of Turn keeps one.
	LegA, LegB units.Length
}

// Gap is a question to ClosingPiece: what has to be put between a free end and a
// target.
type Gap struct {
	Start  geom.Frame
	Before units.Length // centreline up to Start, counted into every length
	OD     units.Length
	Target Target
	Stock  []StockBend
	// Least straights at the start and at the end (grip, bolt heads, slip), and
	// between two bends.
	LeastFirst, LeastBetween, LeastLast units.Length
	Most                                int // how many plans are wanted; 0 for 6
	// Reject and Step as in Request; a cost counts like welds.
	Reject func(elems []tube.Element) (cost float64, reason string)
	Step   func(done float64) bool
}

// Plan is one way to fill a gap.
type Plan struct {
	Elems  []tube.Element
	Stock  []int  // of every element the index in Gap.Stock; −1 for a straight
	OnLeg  []bool // of every element: a straight that a leg of a bend beside it gives
	Pieces int    // to be cut: elements but for straights on legs
	Welds  int    // joints, that at the start and that at the socket too: Pieces + 1

	Closes bool // walked, in figures that can be marked, as in Answer
	End    geom.Frame
	Miss   units.Length
	Slip   units.Length
	Aim    units.Angle
	Length units.Length // centreline with Before
	Cost   float64      // what Reject gave
}

// Filled is what ClosingPiece found.
type Filled struct {
	Plans  []Plan // that close: fewest welds and cost, then shortest
	Vetoed int    // that Reject turned down
	// When none closes with this stock: Best comes nearest, and Radius is the largest
	// CLR below those on hand, in steps of 5 %, with which one or two bends of the most
	// angle on hand would do; 0 where none does.
	Best   *Plan
	Radius units.Length
}

const (
	mostStock   = 50
	mostOfOne   = 2                // plans with the same bends and straights
	turnedAlike = 1 * units.Degree // plans that differ by less are one
	longAlike   = 2.0              // mm, likewise
)

// ClosingPiece plans up to two bends and up to three straights (first, between, last)
// from a free end to a target: every combination of CLRs on hand, with as few
// straights as will do. The error is joined *fault.Field or ErrStopped. That nothing
// fits is not an error.
//
// Both bends' angles and rotations and the straights are solved together as Close
// solves its changes, from 32 starts each. What is found holds; that no start led to
// a plan is no proof that there is none.
func ClosingPiece(g Gap) (Filled, error) {
	t, err := g.Target.ready()
	if err := errors.Join(err, g.check()); err != nil {
		return Filled{}, err
	}
	g.Target = t
	if g.Most == 0 {
		g.Most = usualAnswers
	}
	f := filler{gap: g, nearest: math.Inf(1)}
	radii := g.radii()
	if err := f.all(radii); err != nil {
		f.finish()
		return f.out, err
	}
	f.finish()
	if len(f.out.Plans) == 0 && f.out.Vetoed == 0 {
		err = f.tighter(radii)
	} else {
		f.out.Best = nil
	}
	return f.out, err
}

func (g Gap) check() error {
	faults := []error{
		fault.Within("Answers wanted", float64(g.Most), 0, 100, ""),
		fault.Within("Centreline before", g.Before.MM(), 0, 10*longest, "mm"),
		fault.Within("Least straight at the start", g.LeastFirst.MM(), 0, longest, "mm"),
		fault.Within("Least straight between bends", g.LeastBetween.MM(), 0, longest, "mm"),
		fault.Within("Least straight at the end", g.LeastLast.MM(), 0, longest, "mm"),
		fault.Within("Stock bends", float64(len(g.Stock)), 0, mostStock, ""),
	}
	if _, err := tube.Walk(g.Start, nil); err != nil {
		faults = append(faults, err)
	}
	elems := []tube.Element{}
	for _, s := range g.Stock {
		elems = append(elems, tube.Element{ID: s.ID, Bend: &tube.Bend{Turn: s.Turn, Radius: s.Radius}})
		faults = append(faults, fault.At(errors.Join(
			fault.Within("Stock angle", s.Turn.Deg(), LeastTurn.Deg(), 180+1e-9, "°"),
			fault.Within("Leg", min(s.LegA, s.LegB).MM(), 0, longest, "mm"),
			fault.Within("Leg", max(s.LegA, s.LegB).MM(), 0, longest, "mm"),
		), fault.Field{Where: "stock " + s.ID}))
	}
	return errors.Join(append(faults, tube.Check(tube.Section{OD: g.OD, Wall: g.OD / 10}, elems))...)
}

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

// model returns a form as a chain that is to be cut, from a shape, and of each of its
// links the number among the straights or the bends.
func (f *filler) model(fm form, from shape) (m model, at shape, number []int) {
	g := f.gap
	c := Chain{Start: g.Start, Before: g.Before, OD: g.OD}
	at = from
	least := g.leasts(fm.count)
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
	least := g.leasts(fm.count)
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

// best keeps what comes nearest.
func (f *filler) best(fm form, s shape, r row) error {
	p, err := f.plan(fm, s)
	if err == nil {
		f.nearest, f.out.Best = worst(r), &p
	}
	return err
}

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
			fm := form{bends: [2]clr{one, one}, count: count, has: [3]bool{true, true, count == 2}}
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
