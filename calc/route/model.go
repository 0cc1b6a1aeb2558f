package route

import (
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// link is an element in plain numbers, mm and rad.
type link struct {
	bend         bool
	length       float64 // of a straight
	turn, radius float64
	rotation     float64
	piece        int // index in the chain, −1 for a sliver
}

// element returns the link as an element of a tube.
func (l link) element(id string) tube.Element {
	if !l.bend {
		return tube.Element{ID: id, Straight: units.Length(l.length)}
	}
	return tube.Element{ID: id, Bend: &tube.Bend{
		Turn: units.Angle(l.turn), Radius: units.Length(l.radius), Rotation: shortest(units.Angle(l.rotation))}}
}

// shortest returns the same turn with −180° < turn ≤ 180°.
func shortest(turn units.Angle) units.Angle {
	const whole = 2 * math.Pi
	a := math.Mod(float64(turn), whole)
	switch {
	case a > math.Pi:
		a -= whole
	case a <= -math.Pi:
		a += whole
	}
	return units.Angle(a)
}

// what a knob changes of its link.
type what int8

const (
	clock what = iota
	angle
	length
)

// knob is one number of a chain that can be changed.
type knob struct {
	bit   kinds
	kind  Kind
	what  what
	link  int
	joint int // of a turn or sliver; otherwise −1
	// counter is the next bend behind a new one, which is turned back by as much as
	// the new one is turned, so that it stays as it is; otherwise −1.
	counter int
	lo, hi  float64 // of the change, rad or mm; lo ≤ 0 ≤ hi but for slivers
	// Effort is base + |change|/unit. Unit is the measure of a change in the pull
	// towards none as well.
	base, unit float64
}

// The effort of each kind, see Kind.
func (k Kind) effort() (base, unit float64) {
	const deg = float64(units.Degree)
	switch k {
	case Turn:
		return 1, 20 * deg
	case Straight:
		return 1.5, 20
	case Bend:
		return 2, 10 * deg
	case Recut:
		return 4, 5 * deg
	case Trim:
		return 5, 10
	case StraightAnew:
		return 7, 20
	case BendAnew:
		return 9, 10 * deg
	case NewStraight:
		return 10, 20
	case NewBend:
		return 12, 20 * deg
	}
	panic("route: bug: no such kind " + string(k))
}

func newKnob(k Kind, w what, link int, lo, hi float64) knob {
	base, unit := k.effort()
	return knob{kind: k, bit: k.bit(), what: w, link: link, joint: -1, counter: -1, lo: min(lo, 0), hi: max(hi, 0), base: base, unit: unit}
}

// model is a chain in plain numbers with what can be changed of it.
type model struct {
	chain  Chain
	start  geom.Frame
	before float64
	links  []link
	knobs  []knob
	usual  int // how many of knobs, from the first, ask for no piece anew
	target Target
	u, v   geom.Vec // square to the target's aim and to each other
}

func newModel(c Chain, t Target) model {
	m := model{chain: c, start: c.Start, before: c.Before.MM(), target: t}
	m.u, m.v = across(t.Aim)
	for i, p := range c.Pieces {
		l := link{piece: i, length: p.Element.Straight.MM()}
		if b := p.Element.Bend; b != nil {
			l = link{piece: i, bend: true, turn: float64(b.Turn), radius: b.Radius.MM(), rotation: float64(b.Rotation)}
			if joint, ok := c.freeJoint(i); ok {
				k := newKnob(Turn, clock, i, -math.Pi, math.Pi)
				k.joint = joint
				m.knobs = append(m.knobs, k)
			}
		}
		m.links = append(m.links, l)
		if k, ok := p.knob(i); ok {
			m.knobs = append(m.knobs, k)
		}
	}
	m.usual = len(m.knobs)
	for i, p := range c.Pieces {
		if k, ok := p.anew(i); ok {
			m.knobs = append(m.knobs, k)
		}
	}
	return m
}

// freeJoint returns the joint at which the bend i can be turned.
func (c Chain) freeJoint(i int) (joint int, ok bool) {
	for j := i; j >= 0; j-- {
		if j < i && c.Pieces[j].Element.Bend != nil {
			break
		}
		if c.Pieces[j].State != Fixed {
			return j, true
		}
	}
	return 0, false
}

// knob returns what can be changed of the piece itself.
func (p Piece) knob(i int) (k knob, ok bool) {
	if b := p.Element.Bend; b != nil {
		turn := float64(b.Turn)
		least := float64(LeastTurn) - turn
		switch p.State {
		case Cut:
			k = newKnob(Recut, angle, i, least, 0)
		case Uncut:
			k = newKnob(Bend, angle, i, least, p.widest()-turn)
		}
	} else {
		l := p.Element.Straight.MM()
		least := p.Least.MM() - l
		switch p.State {
		case Cut:
			k = newKnob(Trim, length, i, least, 0)
		case Uncut:
			k = newKnob(Straight, length, i, least, p.longest()-l)
		}
	}
	return k, k.lo < k.hi
}

// anew returns what can be gained by cutting another piece in the place of one that is
// cut: less is to be had from the one that is there.
func (p Piece) anew(i int) (k knob, ok bool) {
	if p.State != Cut || p.NoStock {
		return knob{}, false
	}
	if b := p.Element.Bend; b != nil {
		k = newKnob(BendAnew, angle, i, 0, p.widest()-float64(b.Turn))
	} else {
		k = newKnob(StraightAnew, length, i, 0, p.longest()-p.Element.Straight.MM())
	}
	return k, k.lo < k.hi
}

// widest is the most angle that a bend's stock gives, rad.
func (p Piece) widest() float64 {
	if p.MaxTurn > 0 {
		return float64(p.MaxTurn)
	}
	return math.Pi
}

// longest is the most length that a straight's stock gives, mm.
func (p Piece) longest() float64 {
	if p.Most > 0 {
		return p.Most.MM()
	}
	return longest
}

// across returns two unit vectors that are square to the unit vector w and to each
// other.
func across(w geom.Vec) (u, v geom.Vec) {
	e := geom.Vec{X: 1}
	if math.Abs(w.X) > 0.8 {
		e = geom.Vec{Y: 1}
	}
	u, _ = e.Sub(w.Scale(e.Dot(w))).Unit()
	return u, w.Cross(u)
}

// set puts the change x of a knob on its link.
func (k *knob) set(links []link, x float64) {
	l := &links[k.link]
	switch k.what {
	case clock:
		l.rotation += x
		if k.counter >= 0 {
			links[k.counter].rotation -= x
		}
	case angle:
		l.turn += x
	case length:
		l.length += x
	}
}

// tip is where a chain is at the start of a link: n is the plane of the link's own
// bend.
type tip struct{ o, t, n geom.Vec }

// pose is a chain that has been walked.
type pose struct {
	tips   []tip
	end    tip
	length float64
}

// walk follows the links. Unlike tube.Walk it does not true its frames, which a
// search does not need and which takes most of the time.
func (m *model) walk(links []link, p *pose) {
	p.tips = p.tips[:0]
	at := tip{m.start.O, m.start.T, m.start.N}
	p.length = m.before
	for i := range links {
		l := &links[i]
		if !l.bend {
			p.tips = append(p.tips, at)
			at.o = at.o.Add(at.t.Scale(l.length))
			p.length += l.length
			continue
		}
		sin, cos := math.Sincos(l.rotation)
		at.n = at.n.Scale(cos).Add(at.t.Cross(at.n).Scale(sin))
		p.tips = append(p.tips, at)
		sin, cos = math.Sincos(l.turn)
		at = tip{
			o: at.o.Add(at.t.Scale(l.radius * sin)).Add(at.n.Scale(l.radius * (1 - cos))),
			t: at.t.Scale(cos).Add(at.n.Scale(sin)),
			n: at.n.Scale(cos).Sub(at.t.Scale(sin)),
		}
		p.length += l.radius * l.turn
	}
	p.end = at
}

// rows is how many misses there are: three of place, two of aim, one of length.
const rows = 6

type row [rows]float64

// lever is how the end moves for one unit of a knob.
func (p *pose) lever(k *knob, l *link) (move, aim geom.Vec, longer float64) {
	at := &p.tips[k.link]
	axis, arm := at.t, p.end.o.Sub(at.o)
	switch k.what {
	case length:
		return at.t, geom.Vec{}, 1
	case angle:
		axis = at.t.Cross(at.n)
		arm = arm.Sub(at.n.Scale(l.radius))
		longer = l.radius
	}
	move, aim = axis.Cross(arm), axis.Cross(p.end.t)
	if k.counter >= 0 {
		back := &p.tips[k.counter]
		move = move.Sub(back.t.Cross(p.end.o.Sub(back.o)))
		aim = aim.Sub(back.t.Cross(p.end.t))
	}
	return move, aim, longer
}

// scale is how misses are weighed: mm, rad and mm that count as 1.
type scale struct{ place, aim, length float64 }

// usual is the scale at which 1 is the tolerance. A length is free to nine tenths
// of its own and then counts.
func (t Target) usual() scale {
	return scale{t.Within.MM(), float64(t.AimWithin), (1 - lengthFree) * t.LengthWithin.MM()}
}

const lengthFree = 0.9

// misses returns the misses of an end over their scale. The aim is off by
//
//	2·tan(θ/2)
//
// which is θ for what is near and has a derivative nearly up to a half turn.
func (m *model) misses(p *pose, s scale) (r row) {
	d := p.end.o.Sub(m.target.At)
	along := d.Dot(m.target.Aim)
	r[0] = d.Dot(m.u) / s.place
	r[1] = d.Dot(m.v) / s.place
	r[2] = (along - m.target.slipped(along)) / s.place
	q := 2 / m.ahead(p) / s.aim
	r[3] = p.end.t.Dot(m.u) * q
	r[4] = p.end.t.Dot(m.v) * q
	r[5] = m.excess(p) / s.length
	if s.length == 0 {
		r[5] = 0
	}
	return r
}

// ahead is 1 + cos θ of the aim, at least what 174° has.
func (m *model) ahead(p *pose) float64 {
	return max(1+p.end.t.Dot(m.target.Aim), 0.005)
}

// excess is by how much the length leaves the part of its tolerance that is free.
func (m *model) excess(p *pose) float64 {
	if m.target.LengthWithin == 0 {
		return 0
	}
	off := p.length - m.target.Length.MM()
	free := lengthFree * m.target.LengthWithin.MM()
	return off - max(-free, min(free, off))
}

// slopes returns the derivative of misses to one knob.
func (m *model) slopes(p *pose, s scale, k *knob, l *link) (j row) {
	move, aim, longer := p.lever(k, l)
	j[0] = move.Dot(m.u) / s.place
	j[1] = move.Dot(m.v) / s.place
	along := p.end.o.Sub(m.target.At).Dot(m.target.Aim)
	if along != m.target.slipped(along) || m.target.Deeper == 0 && m.target.Shorter == 0 {
		j[2] = move.Dot(m.target.Aim) / s.place
	}
	a := m.ahead(p)
	q := 2 / a / s.aim
	turned := aim.Dot(m.target.Aim) / a
	j[3] = (aim.Dot(m.u) - p.end.t.Dot(m.u)*turned) * q
	j[4] = (aim.Dot(m.v) - p.end.t.Dot(m.v)*turned) * q
	if s.length > 0 && m.excess(p) != 0 {
		j[5] = longer / s.length
	}
	return j
}
