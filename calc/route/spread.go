package route

import (
	"cmp"
	"math"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/num"
	"tubewright/calc/sorted"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

const (
	draws     = 2048 // of Spread.Likely
	sure      = 0.95 // likely enough that no further joint goes into the fixture
	mostFixed = 4    // joints that are worth a fixture, of one answer
)

// spread fills in the uncertainty of all that was found.
func (s *search) spread() error {
	sp := spreader{sigmas: s.sigmas, m: &s.m}
	answers := []*Answer{&s.out.AsIs}
	for i := range s.out.Answers {
		answers = append(answers, &s.out.Answers[i])
	}
	for i := range s.out.Vetoed {
		answers = append(answers, &s.out.Vetoed[i].Answer)
	}
	for i := range s.out.Radii {
		answers = append(answers, &s.out.Radii[i].Answer)
	}
	if s.out.Best != nil {
		answers = append(answers, s.out.Best)
	}
	if s.out.Socket != nil {
		answers = append(answers, &s.out.Socket.Answer)
	}
	for _, a := range answers {
		var err error
		if a.Spread, err = sp.of(a); err != nil {
			return err
		}
	}
	return nil
}

// spreader works out the spreads of one chain.
type spreader struct {
	sigmas Sigmas
	m      *model
	normal []row // draws, made when first wanted
}

// effect is a source with what one sigma of it does to the six misses, in mm and rad.
type effect struct {
	source Source
	of     row
}

func (sp *spreader) of(a *Answer) (Spread, error) {
	levers, err := tube.Levers(sp.m.start, a.Elems)
	if err != nil {
		return Spread{}, err
	}
	effects := sp.start(a)
	for i, l := range levers {
		effects = append(effects, sp.element(a, i, l)...)
	}
	var s Spread
	cov := covariance(effects)
	s.Miss = units.Length(math.Sqrt(cov.At(0, 0) + cov.At(1, 1) + cov.At(2, 2)))
	s.Aim = units.Angle(math.Sqrt(cov.At(3, 3) + cov.At(4, 4)))
	s.Length = units.Length(math.Sqrt(cov.At(5, 5)))
	s.Likely = sp.likely(a, cov)
	for _, e := range effects {
		s.Sources = append(s.Sources, e.source)
	}
	sorted.By(s.Sources, func(a, b Source) int { return cmp.Compare(b.Miss, a.Miss) })
	s.Fixture = sp.fixture(a, effects, s.Likely)
	return s, nil
}

// swing returns what src does that turns everything behind it.
func (sp *spreader) swing(src Source, sw tube.Swing, longer float64, end geom.Vec) effect {
	turned := sw.Axis.Cross(end)
	return sp.effect(src, sw.Move, geom.Vec{X: turned.Dot(sp.m.u), Y: turned.Dot(sp.m.v)}, longer)
}

// effect returns what src does, for a move in mm and a tilt in rad (along the two
// axes square to the target) and a length for one of its unit.
func (sp *spreader) effect(src Source, move, tilt geom.Vec, longer float64) effect {
	s := src.Sigma
	e := effect{source: src, of: row{
		s * move.Dot(sp.m.u), s * move.Dot(sp.m.v), s * move.Dot(sp.m.target.Aim), s * tilt.X, s * tilt.Y, s * longer}}
	e.source.Miss = units.Length(s * move.Norm())
	e.source.Aim = units.Angle(s * tilt.Norm())
	return e
}

// start returns what the start of the chain does, axis by axis.
func (sp *spreader) start(a *Answer) (list []effect) {
	g, f, end := sp.sigmas, sp.m.start, a.End
	axes := []geom.Vec{f.T, f.N, f.T.Cross(f.N)}
	swing := func(axis geom.Vec) tube.Swing {
		return tube.Swing{Axis: axis, Move: axis.Cross(end.O.Sub(f.O))}
	}
	for i, axis := range axes {
		src := Source{Joint: -1, Element: -1}
		if g.Start > 0 {
			src.Kind, src.Sigma = StartPlace, g.Start.MM()
			list = append(list, sp.effect(src, axis, geom.Vec{}, 0))
		}
		src.Kind, src.Sigma = StartAim, float64(g.StartAim)
		if i == 0 {
			src.Kind, src.Sigma = StartClock, float64(g.StartClock)
		}
		if src.Sigma > 0 {
			list = append(list, sp.swing(src, swing(axis), 0, end.T))
		}
	}
	return list
}

// element returns what can be off in one element and its clock.
func (sp *spreader) element(a *Answer, i int, l tube.Lever) (list []effect) {
	g := sp.sigmas
	e := a.Elems[i]
	todo, joint, free := sp.state(a, i)
	add := func(src Source, sw *tube.Swing, longer float64) {
		if src.Sigma == 0 {
			return
		}
		if sw == nil {
			list = append(list, sp.effect(src, l.Length, geom.Vec{}, longer))
			return
		}
		list = append(list, sp.swing(src, *sw, longer, a.End.T))
	}
	if e.Bend == nil {
		src := Source{Kind: Straight, Joint: -1, Element: i, Todo: todo, Sigma: g.LengthMeasured.MM()}
		if todo {
			src.Sigma = g.Length.MM()
		}
		add(src, nil, 1)
		return list
	}
	src := Source{Kind: Turn, Joint: joint, Element: i, Todo: free, Sigma: float64(g.ClockMeasured)}
	if free {
		src.Sigma = float64(g.Clock)
	}
	add(src, &l.Clock, 0)
	src = Source{Kind: Bend, Joint: -1, Element: i, Todo: todo, Sigma: float64(g.TurnMeasured)}
	if todo {
		src.Sigma = float64(g.Turn)
	}
	add(src, &l.Turn, e.Bend.Radius.MM())
	return list
}

// state says of an element of an answer whether it is still to be cut or recut, and
// at which joint it will still be turned, if at any.
func (sp *spreader) state(a *Answer, i int) (todo bool, joint int, free bool) {
	p := a.Pieces[i]
	if p < 0 { // a sliver stands at the joint of what follows
		next := len(sp.m.chain.Pieces)
		if i+1 < len(a.Pieces) {
			next = a.Pieces[i+1]
		}
		return true, next, true
	}
	piece := sp.m.chain.Pieces[p]
	todo = piece.State == Uncut
	for _, c := range a.Changes {
		todo = todo || c.Piece == p && c.Kind != Turn
	}
	joint, free = sp.m.chain.freeJoint(p)
	if !free {
		joint = p
	}
	return todo, joint, free
}

// covariance of the six misses.
func covariance(effects []effect) num.Square {
	c := num.NewSquare(rows)
	for _, e := range effects {
		for i := range rows {
			for j := range rows {
				c.Add(i, j, e.of[i]*e.of[j])
			}
		}
	}
	return c
}

// likely returns how likely the end comes within all tolerances.
func (sp *spreader) likely(a *Answer, cov num.Square) float64 {
	t := sp.m.target
	// Misses are measured in their tolerances, so that mm and rad can be turned into
	// each other by the axes of the covariance.
	unit := row{t.Within.MM(), t.Within.MM(), t.Within.MM(), float64(t.AimWithin), float64(t.AimWithin), max(1, t.LengthWithin.MM())}
	c := num.NewSquare(rows)
	for i := range rows {
		for j := range rows {
			c.Add(i, j, cov.At(i, j)/unit[i]/unit[j])
		}
	}
	values, axes, ok := c.Eigen()
	if !ok {
		return 0
	}
	var root [rows]row
	for k := range rows {
		s := math.Sqrt(max(0, values[k]))
		for i := range rows {
			root[i][k] = axes.At(k, i) * s * unit[i]
		}
	}
	d := a.End.O.Sub(t.At)
	q := 2 / max(1+a.End.T.Dot(t.Aim), 0.005)
	mean := row{d.Dot(sp.m.u), d.Dot(sp.m.v), d.Dot(t.Aim), q * a.End.T.Dot(sp.m.u), q * a.End.T.Dot(sp.m.v), a.Length.MM() - t.Length.MM()}
	in := 0
	for i := range sp.normals() {
		z := &sp.normal[i]
		at := func(i int) float64 {
			r := &root[i]
			return mean[i] + r[0]*z[0] + r[1]*z[1] + r[2]*z[2] + r[3]*z[3] + r[4]*z[4] + r[5]*z[5]
		}
		x, y, along := at(0), at(1), at(2)
		along -= t.slipped(along)
		o := off{miss: math.Sqrt(x*x + y*y + along*along)}
		if !(o.miss <= t.Within.MM()) {
			continue
		}
		x, y = at(3), at(4)
		o.aim = math.Sqrt(x*x + y*y)
		if t.LengthWithin > 0 {
			o.length = at(5)
		}
		if t.holds(o) {
			in++
		}
	}
	return float64(in) / draws
}

// normals returns draws of six independent normal numbers, spread more evenly than
// chance: multiples of the square roots of primes, of which only the part behind the
// point is kept (Richtmyer; from memory), two by two by Box and Muller's formula.
func (sp *spreader) normals() []row {
	if sp.normal != nil {
		return sp.normal
	}
	primes := row{2, 3, 5, 7, 11, 13}
	sp.normal = make([]row, draws)
	for n := range sp.normal {
		var u row
		for i, p := range primes {
			_, u[i] = math.Modf((float64(n) + 0.5) * math.Sqrt(p))
		}
		for i := 0; i < rows; i += 2 {
			r := math.Sqrt(-2 * math.Log(1-u[i]))
			sin, cos := math.Sincos(2 * math.Pi * u[i+1])
			sp.normal[n][i], sp.normal[n][i+1] = r*cos, r*sin
		}
	}
	return sp.normal
}

// fixture says which of the joints that are still to be tacked to set in the
// fixture: one after the other that with the largest part in the misses, until the
// end is likely enough.
func (sp *spreader) fixture(a *Answer, effects []effect, likely float64) (list []Fixture) {
	effects = slices.Clone(effects)
	t := sp.m.target
	for len(list) < mostFixed && likely < sure {
		most, at := 0.0, -1
		for i, e := range effects {
			if e.source.Kind != Turn || !e.source.Todo || !(e.source.Sigma > float64(sp.sigmas.Fixture)) {
				continue
			}
			part := math.Hypot(e.source.Miss.MM()/t.Within.MM(), float64(e.source.Aim)/float64(t.AimWithin))
			if part > most {
				most, at = part, i
			}
		}
		if at < 0 {
			break
		}
		e := &effects[at]
		k := float64(sp.sigmas.Fixture) / e.source.Sigma
		for i := range e.of {
			e.of[i] *= k
		}
		e.source.Todo = false // done
		likely = sp.likely(a, covariance(effects))
		list = append(list, Fixture{e.source.Joint, likely})
	}
	return list
}
