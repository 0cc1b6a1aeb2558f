package job

import (
	"math"
	"slices"

	"tubewright/calc/clear"
	"tubewright/calc/collector"
	"tubewright/calc/geom"
	"tubewright/calc/route"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// AsCutPlan is a piece as it was cut. Off is measured less planned; null where it was
// not measured.
type AsCutPlan struct {
	Angle     *out `json:"angle"`
	CLR       *out `json:"clr"`
	Length    *out `json:"length"` // of a straight as measured, of a bend what its angle and CLR come to
	AngleOff  *out `json:"angle_off"`
	CLROff    *out `json:"clr_off"`
	LengthOff *out `json:"length_off"`
}

// MadePlan is where a tube ends with its pieces as they were cut and tacked, and the
// others as planned.
type MadePlan struct {
	Centreline out       `json:"centreline"` // from the port face
	Longer     out       `json:"longer"`     // than planned
	At         point     `json:"at"`         // in the root frame
	Dir        direction `json:"dir"`
	To         string    `json:"to"`      // what it is held against: "socket", or "plan" where there is none
	Miss       out       `json:"miss"`    // of the end, beyond what the socket has of slip
	AimOff     out       `json:"aim_off"` // degrees
	Closes     bool      `json:"closes"`  // within the tolerances of position, aim and length
	FreeEnd    *FreeEnd  `json:"free_end"`
}

// FreeEnd is the measured free end that a tube goes on from.
type FreeEnd struct {
	Tack   string `json:"tack"`
	Piece  string `json:"piece"`   // behind which it was measured
	Off    out    `json:"off"`     // mm from where the pieces say
	AimOff *out   `json:"aim_off"` // degrees; null where no aim was measured
}

// chain is a tube as it is made: one element a piece, in the root frame.
type chain struct {
	pieces []stock.Piece
	elems  []tube.Element // as made where that is known
	states []route.State
	port   geom.Frame   // where the path begins
	behind int          // how many pieces lie before start, tacked and measured
	start  geom.Frame   // the port, or the free end behind them
	before units.Length // centreline up to there
	end    geom.Frame   // walked from start
	free   *FreeEnd
	unused []string // tacks that say nothing, since their aim cannot be
	target route.Target
	to     string
}

// chain lays a tube out as it is made; ok is false until its path has a place and its
// pieces are known.
func (s *scene) chain(t Tube) (c chain, ok bool) {
	section, known := t.Section()
	start, planned, placed := s.walk(t)
	if !known || !placed {
		return chain{}, false
	}
	pieces, err := stock.Pieces(t.ID, section, t.Path)
	if err != nil || len(pieces) == 0 {
		return chain{}, false
	}
	c = chain{pieces: pieces, port: start, start: start}
	for _, p := range pieces {
		c.add(p, t.Made[p.Element])
	}
	c.measured(t, s.frames[s.job.bankOf(t)])
	walked, err := tube.Walk(c.start, c.elems[c.behind:])
	if err != nil {
		return chain{}, false
	}
	c.end = walked.End
	c.aimAt(s, t, planned)
	return c, true
}

// add puts a piece behind the others as it came out.
func (c *chain) add(p stock.Piece, m Made) {
	e := tube.Element{ID: p.ID, Number: p.Number, Straight: m.Length.Or(p.Length)}
	if p.Kind == stock.Bend {
		e.Straight = 0
		e.Bend = &tube.Bend{Turn: m.Turn.Or(p.Turn), Radius: m.CLR.Or(p.Radius), Rotation: m.Clocked.Or(p.Rotation)}
	}
	state := route.Uncut
	if m.isCut() {
		state = route.Cut
	}
	if m.isTacked() {
		state = route.Fixed
	}
	c.elems, c.states = append(c.elems, e), append(c.states, state)
}

// measured lets the chain begin at the last free end that was measured.
func (c *chain) measured(t Tube, move geom.Move) {
	type found struct {
		tack   Tack
		behind int
	}
	var last *found
	for _, k := range t.Tacks {
		n := c.through(t, k.Element)
		if n > 0 && (last == nil || n >= last.behind) {
			last = &found{k, n}
		}
	}
	if last == nil {
		return
	}
	walked, err := tube.Walk(c.start, c.elems[:last.behind])
	if err != nil {
		return
	}
	aim := walked.End.T
	if last.tack.Aim.Known {
		aim = move.Dir(last.tack.Aim.V)
	}
	free, err := route.FreeEnd(walked.End, move.Point(last.tack.At), aim)
	if err != nil {
		c.unused = append(c.unused, last.tack.ID)
		return
	}
	c.free = &FreeEnd{Tack: last.tack.ID, Piece: c.pieces[last.behind-1].ID, Off: out(free.O.Sub(walked.End.O).Norm())}
	if last.tack.Aim.Known {
		c.free.AimOff = num(units.Angle(free.T.Angle(walked.End.T)).Deg())
	}
	c.behind, c.start = last.behind, free
	for i := range last.behind {
		c.states[i] = route.Fixed // it was tacked, or its end could not have been measured
		c.before += c.elems[i].Length()
	}
}

// through counts the pieces up to the one that an element is part of.
func (c *chain) through(t Tube, element string) int {
	n := 0
	for _, e := range t.Path {
		if n < len(c.pieces) && e.ID == c.pieces[n].Element {
			n++
		}
		if e.ID == element {
			return n
		}
	}
	return 0
}

// held is how many pieces from the port on are tacked.
func (c *chain) held() int {
	for i, s := range c.states {
		if s != route.Fixed {
			return i
		}
	}
	return len(c.states)
}

// expected is where the tube will be: as it is made where that closes. Where it does not,
// only what is tacked stays where it is; the rest is corrected, and then ends as planned.
func (c *chain) expected(t Tube, planned clear.Path) (clear.Path, error) {
	made := c.plan(t)
	if made == nil {
		return planned, nil
	}
	if made.Closes {
		return c.path(t.OD.V, c.elems[c.behind:])
	}
	held := c.held()
	path, err := c.path(t.OD.V, c.elems[c.behind:held])
	var length units.Length
	for _, p := range c.pieces[:held] {
		length += p.Length
	}
	return path.Then(planned.Trim(length, 0)), err
}

// path is the chain from the port on with elements behind start.
func (c *chain) path(od units.Length, elems []tube.Element) (clear.Path, error) {
	tacked, err := clear.NewPath(c.port, c.elems[:c.behind], od)
	if err != nil {
		return clear.Path{}, err
	}
	rest, err := clear.NewPath(c.start, elems, od)
	return tacked.Then(rest), err
}

// aimAt sets where the end has to come: on the axis of its socket, as deep in it as
// planned; without a socket where the path as planned ends. The length is that of the
// target, or as planned where the plan is off it already.
func (c *chain) aimAt(s *scene, t Tube, planned tube.Walked) {
	c.to = "plan"
	c.target = route.Target{At: planned.End.O, Aim: planned.End.T, Within: route.UsualWithin, AimWithin: route.UsualAimWithin}
	if mouth, ok := s.mouth(t); ok {
		insert := collector.Enter(mouth, planned.End).Insert
		c.to = "socket"
		c.target.At, c.target.Aim = mouth.O.Add(mouth.T.Scale(insert)), mouth.T
		if depth := s.depth(t); depth > 0 {
			c.target.Deeper = units.Length(max(0, depth-insert))
			c.target.Shorter = units.Length(max(0, insert-depth*leastSlip))
		}
	}
	tol := s.job.Target.Tolerance
	if !tol.Known {
		return
	}
	length := planned.Length
	if wanted, known := s.job.wanted(); known && math.Abs((length-wanted).MM()) <= (tol.V+slack).MM() {
		length = wanted
	}
	c.target.Length, c.target.LengthWithin = length, tol.V
}

// leastSlip is which part of a socket's depth has to stay filled. Own choice.
const leastSlip = 0.5

// depth is how deep the socket of a tube is, mm; 0 while it is not known.
func (s *scene) depth(t Tube) float64 {
	for _, c := range s.job.Collectors {
		if c.ID == t.Collector {
			return c.SocketDepth.V.MM()
		}
	}
	return 0
}

// wanted is the centreline that is wanted from the port face on.
func (j Job) wanted() (units.Length, bool) {
	length, from, _ := j.Target.primary()
	switch {
	case !length.Known || from == "":
		return 0, false
	case from == "valve":
		return length.V - j.Engine.ValveToFace.V, j.Engine.ValveToFace.Known
	}
	return length.V, true
}

// length is the centreline of the chain from the port face on.
func (c *chain) length() units.Length {
	total := units.Length(0)
	for _, e := range c.elems {
		total += e.Length()
	}
	return total
}

// plan says where the chain ends, nil while nothing of it is made.
func (c *chain) plan(t Tube) *MadePlan {
	if len(t.Made) == 0 && c.free == nil {
		return nil
	}
	length, planned := c.length(), units.Length(0)
	for _, p := range c.pieces {
		planned += p.Length
	}
	d := c.end.O.Sub(c.target.At)
	along := d.Dot(c.target.Aim)
	slip := max(-c.target.Shorter.MM(), min(c.target.Deeper.MM(), along))
	miss := d.Sub(c.target.Aim.Scale(slip)).Norm()
	aim := units.Angle(c.end.T.Angle(c.target.Aim))
	return &MadePlan{Centreline: out(length.MM()), Longer: out((length - planned).MM()), At: point(c.end.O), Dir: direction(c.end.T), To: c.to,
		Miss: out(miss), AimOff: out(aim.Deg()), FreeEnd: c.free,
		Closes: miss <= c.target.Within.MM()+slack.MM() && aim <= c.target.AimWithin+1e-9 && (c.target.LengthWithin == 0 || math.Abs((length-c.target.Length).MM()) <= (c.target.LengthWithin+slack).MM())}
}

// made fills in what came out of a tube and of its pieces.
func (tp *TubePlan) made(s *scene, t Tube) {
	if len(t.Made) == 0 && len(t.Tacks) == 0 {
		return
	}
	if c, ok := s.chain(t); ok {
		tp.Made, tp.unused = c.plan(t), c.unused
	}
	for i, p := range tp.Pieces {
		m, said := t.Made[p.Element]
		if !said {
			continue
		}
		pp := &tp.Pieces[i]
		pp.Stage, pp.StageBy, pp.StageAt = m.Stage, m.By, m.At
		pp.AsCut = m.asCut(p)
		if m.Clocked.Known && p.Rotation != nil {
			pp.AsClocked = num(m.Clocked.V.Deg())
			off := math.Remainder(m.Clocked.V.Deg()-float64(*p.Rotation), 360)
			pp.ClockOff, pp.ClockArcOff = num(off), num(t.OD.V.MM()/2*off*float64(units.Degree))
		}
	}
}

// asCut holds a piece as it was cut against the plan; nil where it was not measured.
func (m Made) asCut(p PiecePlan) *AsCutPlan {
	c := AsCutPlan{}
	off := func(got, planned float64) *out { return num(got - planned) }
	switch {
	case p.Kind == stock.Straight && m.Length.Known:
		c.Length, c.LengthOff = num(m.Length.V.MM()), off(m.Length.V.MM(), float64(p.Length))
	case p.Kind == stock.Bend && (m.Turn.Known || m.CLR.Known):
		turn, clr := units.Angle(*p.Angle)*units.Degree, units.Length(*p.CLR)
		if m.Turn.Known {
			turn = m.Turn.V
			c.Angle, c.AngleOff = num(turn.Deg()), off(turn.Deg(), float64(*p.Angle))
		}
		if m.CLR.Known {
			clr = m.CLR.V
			c.CLR, c.CLROff = num(clr.MM()), off(clr.MM(), float64(*p.CLR))
		}
		length := clr.MM() * float64(turn)
		c.Length, c.LengthOff = num(length), off(length, float64(p.Length))
	default:
		return nil
	}
	return &c
}

// elsewhere lists elements that bear something made and with which no piece begins.
func (t Tube) elsewhere(pieces []PiecePlan) []string {
	var ids []string
	for _, e := range t.Path {
		if _, said := t.Made[e.ID]; said && !slices.ContainsFunc(pieces, func(p PiecePlan) bool { return p.Element == e.ID }) {
			ids = append(ids, e.ID)
		}
	}
	return ids
}
