package job

import (
	"fmt"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/ledger"
	"tubewright/calc/route"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// CorrectionPlan is what to change of a tube that does not end where it has to. The
// answer that stands in it is the one of least effort or, where none closes, the one
// that comes nearest.
type CorrectionPlan struct {
	Tube string   `json:"tube"`
	To   string   `json:"to"` // "socket" or "plan"
	AsIs EndsPlan `json:"as_is"`
	Answer
	Touches  string       `json:"touches"`  // why it cannot stay as it is though it closes
	Around   bool         `json:"around"`   // what asks for little was turned down: the answers lie farther from the tube as it is
	Others   []Answer     `json:"others"`   // that close too, by effort
	Rejected []Rejected   `json:"rejected"` // that close, and touch something
	Socket   *SocketMove  `json:"socket"`   // how the socket would have to move where nothing closes
	Radii    []RadiusPlan `json:"radii"`    // which other CLR would do then
	Complete bool         `json:"complete"` // all there is to try was tried
	Why      string       `json:"why"`      // there is no answer
	Findings []Finding    `json:"findings"`
}

// EndsPlan is how far an end is from where it has to come.
type EndsPlan struct {
	Miss   out `json:"miss"`   // mm, beyond the slip of the socket
	Aim    out `json:"aim"`    // degrees
	Length out `json:"length"` // centreline from the port face
}

// Answer is a set of changes and what comes of it.
type Answer struct {
	Changes []ChangePlan `json:"changes"` // in order from the port
	Closes  bool         `json:"closes"`
	EndsPlan
	Longer out       `json:"longer"` // than it is now
	Welds  int       `json:"welds"`  // more than now
	Effort out       `json:"effort"` // in turns of a joint
	Gaps   []GapPlan `json:"gaps"`   // of this tube that are below what is wanted
	Sure   SurePlan  `json:"sure"`
}

// ChangePlan is one thing to do, with the new marks for it. What does not belong to its
// kind is left out.
type ChangePlan struct {
	Kind     string     `json:"kind"` // turn, straight, bend, recut, trim, straight anew, bend anew, new straight, new bend
	Joint    *int       `json:"joint,omitempty"`
	Between  []string   `json:"between,omitempty"` // pieces before and behind the joint; "" for flange and socket
	Piece    string     `json:"piece,omitempty"`
	Turn     *out       `json:"turn,omitempty"`     // degrees, right-hand about travel, more than now
	TurnArc  *out       `json:"turn_arc,omitempty"` // along the OD
	Bend     string     `json:"bend,omitempty"`     // the one that turns with the joint, and its clock then:
	Clock    *out       `json:"clock,omitempty"`    // rotation from the bend before
	ClockArc *out       `json:"clock_arc,omitempty"`
	Trim     *out       `json:"trim,omitempty"`   // of a straight: shorter by, below 0 longer by
	Length   *out       `json:"length,omitempty"` // it has then
	Angle    *out       `json:"angle,omitempty"`  // of a bend: more, below 0 less
	Bent     *out       `json:"bent,omitempty"`   // through which it turns then
	CLR      *out       `json:"clr,omitempty"`
	Outside  *out       `json:"outside,omitempty"` // marks of that
	Inside   *out       `json:"inside,omitempty"`
	Next     *ClockPlan `json:"next,omitempty"` // behind a new bend: the next one's clock counts from it
	Effort   out        `json:"effort"`
}

// ClockPlan is how a bend is clocked.
type ClockPlan struct {
	Bend     string `json:"bend"`
	Clock    out    `json:"clock"`
	ClockArc out    `json:"clock_arc"`
}

// SurePlan is how far the end may come out from where an answer puts it, one sigma, by
// what is still to be cut and tacked and by what was measured.
type SurePlan struct {
	Miss    out       `json:"miss"`
	Aim     out       `json:"aim"`
	Length  out       `json:"length"`
	Likely  out       `json:"likely"` // that it comes within tolerance, 0 to 1
	Fixture []SetPlan `json:"fixture"`
}

// SetPlan is a joint that is worth setting in the fixture, and how likely the end
// comes within tolerance with it and those before it set there.
type SetPlan struct {
	Joint  int `json:"joint"`
	Likely out `json:"likely"`
}

// Rejected is an answer that closes and cannot be.
type Rejected struct {
	Why     string       `json:"why"`
	Changes []ChangePlan `json:"changes"`
}

// SocketMove is how a socket would have to move so that a tube closes.
type SocketMove struct {
	By      point        `json:"by"`   // mm, in the root frame
	Tilt    out          `json:"tilt"` // degrees
	Changes []ChangePlan `json:"changes"`
}

// RadiusPlan is a tube that closes with another CLR for one bend.
type RadiusPlan struct {
	Piece   string       `json:"piece"`
	CLR     out          `json:"clr"`
	Changes []ChangePlan `json:"changes"`
}

// leastGrip is what has to stay of a straight between two bends. From memory.
const leastGrip = 0.25 * units.Inch

// Corrections finds, for every tube of which something is cut and which does not end
// where it has to, or ends there and comes too near to something on its way, the smallest
// changes that bring it there. Gaps are held against the other tubes as asMade has them.
// step is told the share that is done; false stops, and what is found so far is
// returned.
func Corrections(j Job, step func(done float64) bool) []CorrectionPlan {
	plans := []CorrectionPlan{}
	s := newScene(j)
	placed, things := s.asMade(), s.things()
	var open []corrected
	for _, t := range j.Tubes {
		c, ok := s.chain(t)
		if !ok {
			continue
		}
		made := c.plan(t)
		if made == nil {
			continue
		}
		k := s.corrected(t, c, placed, things)
		if made.Closes {
			if _, k.touches = k.reject(c.elems[c.behind:]); k.touches == "" || c.behind == len(c.pieces) {
				continue
			}
		}
		open = append(open, k)
	}
	for i, k := range open {
		plans = append(plans, k.correct(func(done float64) bool {
			return step == nil || step((float64(i)+done)/float64(len(open)))
		}))
	}
	return plans
}

// CorrectionsOf is Corrections of a job's records and those of the shop's own job.
func CorrectionsOf(own, shop []ledger.Record, step func(done float64) bool) ([]CorrectionPlan, error) {
	facts, _ := fromFolded(ledger.Fold(own))
	facts.Shared = SharedOf(shop)
	return Corrections(facts.job(), step), nil
}

// asMade are all tubes that have a place, as they are made where anything of them is.
// What is not tacked yet of one that does not close counts as planned.
func (s *scene) asMade() []laid {
	tubes := make([]TubePlan, len(s.job.Tubes))
	for i, t := range s.job.Tubes {
		tubes[i] = TubePlan{Survey: s.survey(t)}
	}
	placed := s.laid(tubes)
	for i, l := range placed {
		if c, ok := s.chain(l.tube); ok {
			if path, err := c.expected(l.tube, l.path); err == nil {
				placed[i] = newLaid(l.tube, l.start, path, l.sigma)
			}
		}
	}
	return placed
}

// corrected is a tube to be corrected, with what it must not touch.
type corrected struct {
	s       *scene
	t       Tube
	c       chain
	others  []laid
	things  []thing
	held    units.Length // centreline of what is tacked, from the port: no change moves it
	touches string       // what the tube meets as it is though it closes
}

func (s *scene) corrected(t Tube, c chain, placed []laid, things []thing) corrected {
	k := corrected{s: s, t: t, c: c, things: things}
	k.others = slices.DeleteFunc(slices.Clone(placed), func(l laid) bool { return l.tube.ID == t.ID })
	for _, e := range c.elems[:c.held()] {
		k.held += e.Length()
	}
	return k
}

func (k corrected) correct(step func(float64) bool) CorrectionPlan {
	p := CorrectionPlan{Tube: k.t.ID, To: k.c.to, Touches: k.touches, Others: []Answer{}, Rejected: []Rejected{}, Radii: []RadiusPlan{}, Findings: []Finding{}}
	p.Changes, p.Gaps, p.Sure.Fixture = []ChangePlan{}, []GapPlan{}, []SetPlan{}
	made := k.c.plan(k.t)
	p.AsIs = EndsPlan{made.Miss, made.AimOff, made.Centreline}
	p.EndsPlan = p.AsIs
	if k.c.behind == len(k.c.pieces) {
		p.Why = "all its pieces are tacked"
		p.Findings = append(p.Findings, p.open(k.t))
		return p
	}
	r := route.Request{Chain: k.route(), Target: k.c.target, Radii: k.radii(), Reject: k.reject, Step: step}
	if k.c.free != nil {
		sigmas := route.UsualSigmas(k.t.OD.V).UsualEnd()
		r.Sigmas = &sigmas
	}
	closing, err := route.Close(r)
	if err != nil && len(closing.Answers) == 0 && closing.Best == nil {
		p.Why = reasons(err)
		p.Findings = append(p.Findings, p.open(k.t))
		return p
	}
	p.Complete, p.Around = closing.Complete, closing.Around
	for i, a := range closing.Answers {
		if i == 0 {
			p.Answer = k.answer(a)
		} else {
			p.Others = append(p.Others, k.answer(a))
		}
	}
	for _, v := range closing.Vetoed {
		if len(v.Changes) == 0 {
			continue // Touches says it
		}
		p.Rejected = append(p.Rejected, Rejected{v.Reason, k.changes(v.Answer)})
	}
	if len(closing.Answers) > 0 {
		return p
	}
	if closing.Best != nil {
		p.Answer = k.answer(*closing.Best)
	}
	if m := closing.Socket; m != nil {
		p.Socket = &SocketMove{point(m.Move), out(m.Tilt.Deg()), k.changes(m.Answer)}
	}
	for _, o := range closing.Radii {
		p.Radii = append(p.Radii, RadiusPlan{k.id(o.Piece), out(o.Radius.MM()), k.changes(o.Answer)})
	}
	p.Why = "no change of what is not tacked brings the end within tolerance"
	if len(closing.Vetoed) > 0 {
		p.Why = "what would close touches something"
	}
	p.Findings = append(p.Findings, p.open(k.t))
	return p
}

// open is the finding of a tube that cannot be brought to its end.
func (p CorrectionPlan) open(t Tube) Finding {
	help := "Break the joint that has the longest lever and set it again, or cut a piece anew."
	if p.Socket != nil {
		help = fmt.Sprintf("It would close if the socket moved by %s, or with another CLR; the correction lists what.", say(units.Length(geom.Vec(p.Socket.By).Norm())))
	}
	return Finding{Severity: Warn, Rule: "no-correction", Where: []string{t.ID}, Slots: []string{}, Value: num(float64(p.Miss)), Limit: num(route.UsualWithin.MM()), Unit: "mm", Grade: fromGeometry,
		Text: fmt.Sprintf("%s cannot be brought to its end: %s. It stays %s and %.1f° off.", t.Title, p.Why, say(units.Length(p.Miss)), float64(p.Aim)), Help: help}
}

// route is the part of the chain behind what is tacked and measured.
func (k corrected) route() route.Chain {
	c := route.Chain{Start: k.c.start, Before: k.c.before, OD: k.t.OD.V}
	last := len(k.c.pieces) - 1
	for i := k.c.behind; i <= last; i++ {
		p := route.Piece{ID: k.c.pieces[i].ID, State: k.c.states[i], Element: k.c.elems[i]}
		hasStock := len(k.s.job.Stock) > 0
		if b := p.Element.Bend; b != nil {
			most, found := k.s.job.largest(k.t, k.c.pieces[i].Radius)
			if found {
				p.MaxTurn = max(most, b.Turn)
			}
			p.NoStock = hasStock && !found
		} else {
			most, found := k.s.job.longest(k.t)
			if found && p.State == route.Cut {
				p.Most = max(most, p.Element.Straight)
			}
			p.NoStock = hasStock && !found
			least := leastGrip
			switch i {
			case 0:
				least = firstStraight
			case last:
				least = max(least, units.Length(k.s.depth(k.t)*leastSlip))
			}
			p.Least = min(least, p.Element.Straight)
		}
		c.Pieces = append(c.Pieces, p)
	}
	return c
}

// radii are the CLRs that the tube's stock has.
func (k corrected) radii() []units.Length {
	var radii []units.Length
	for _, s := range k.s.job.Stock {
		if s.fits(k.t) && !slices.ContainsFunc(radii, s.has) {
			radii = append(radii, s.CLR.V)
		}
	}
	return radii
}

// gaps are those of the tube with other elements behind the free end that leave less
// than is wanted.
func (k corrected) gaps(elems []tube.Element) []GapPlan {
	path, err := k.c.path(k.t.OD.V, elems)
	if err != nil {
		return []GapPlan{}
	}
	return tight(k.s.gapsOf(nil, newLaid(k.t, k.c.port, path, 0), k.others, k.things))
}

// tight keeps the gaps that leave less than is wanted.
func tight(all []GapPlan) []GapPlan {
	tight := []GapPlan{}
	for _, g := range all {
		if units.Length(g.Gap) < units.Length(g.Wanted)-slack {
			tight = append(tight, g)
		}
	}
	return tight
}

// moved are the gaps that leave less than is wanted of what lies behind the leading
// tacked pieces, which no answer moves, and of the tube with itself.
func (k corrected) moved(elems []tube.Element) []GapPlan {
	path, err := k.c.path(k.t.OD.V, elems)
	if err != nil {
		return nil
	}
	beside := k.s.gapsOf(nil, newLaid(k.t, k.c.port, path.Trim(k.held, 0), 0), k.others, k.things)
	beside = slices.DeleteFunc(beside, func(g GapPlan) bool { return g.A == g.B })
	return tight(append(k.s.gapsOf(nil, newLaid(k.t, k.c.port, path, 0), nil, nil), beside...))
}

// reject turns down what leaves less than the least gap, and puts behind the others
// what comes nearer to something than is wanted.
func (k corrected) reject(elems []tube.Element) (cost float64, reason string) {
	say := newSayer(k.s.job)
	for _, g := range k.moved(elems) {
		if units.Length(g.Gap) < units.Length(g.Least)-slack {
			if f, found := say.gap(g); found {
				return 0, f.Text
			}
		}
		cost += nearCost
	}
	return cost, ""
}

// nearCost is what a gap that is less than wanted counts, in turns of a joint. Own choice.
const nearCost = 2

func (k corrected) answer(a route.Answer) Answer {
	p := Answer{Changes: k.changes(a), Closes: a.Closes, EndsPlan: EndsPlan{out(a.Miss.MM()), out(a.Aim.Deg()), out(a.Length.MM())},
		Longer: out(a.Longer.MM()), Welds: a.Welds, Effort: out(a.Effort), Gaps: k.gaps(a.Elems),
		Sure: surePlan(a.Spread, k.c.behind)}
	return p
}

func surePlan(s route.Spread, behind int) SurePlan {
	p := SurePlan{Miss: out(s.Miss.MM()), Aim: out(s.Aim.Deg()), Length: out(s.Length.MM()), Likely: out(s.Likely), Fixture: []SetPlan{}}
	for _, f := range s.Fixture {
		p.Fixture = append(p.Fixture, SetPlan{f.Joint + behind, out(f.Likely)})
	}
	return p
}

// id names a piece of the chain behind what is tacked, "" beyond its ends.
func (k corrected) id(i int) string {
	if i += k.c.behind; i < 0 || i >= len(k.c.pieces) {
		return ""
	}
	return k.c.pieces[i].ID
}

// changes writes what to do with the marks for it.
func (k corrected) changes(a route.Answer) []ChangePlan {
	od := k.t.OD.V
	plans := make([]ChangePlan, 0, len(a.Changes))
	for _, c := range a.Changes {
		p := ChangePlan{Kind: string(c.Kind), Effort: out(c.Effort)}
		if c.Kind == route.Turn || c.Kind == route.NewStraight || c.Kind == route.NewBend {
			joint := c.Joint + k.c.behind
			p.Joint, p.Between = &joint, []string{k.id(c.Joint - 1), k.id(c.Joint)}
		} else {
			p.Piece = k.id(c.Piece)
		}
		switch c.Kind {
		case route.Turn:
			p.Turn, p.TurnArc = num(c.Turn.Deg()), num(c.Arc.MM())
			if e, piece, found := k.turned(a, c.Joint); found {
				p.Bend = piece
				p.Clock, p.ClockArc = num(e.Rotation.Deg()), num(stock.ClockArc(od, e.Rotation).MM())
			}
		case route.Straight, route.Trim, route.StraightAnew:
			p.Trim = num(-c.Length.MM())
			if e, found := k.element(a, c.Piece); found {
				p.Length = num(e.Straight.MM())
			}
		case route.Bend, route.Recut, route.BendAnew:
			p.Angle = num(c.Angle.Deg())
			if e, found := k.element(a, c.Piece); found && e.Bend != nil {
				p.bent(*e.Bend, od)
			}
		case route.NewStraight:
			p.Length = num(c.Length.MM())
		case route.NewBend:
			p.bent(tube.Bend{Turn: c.Angle, Radius: c.Radius}, od)
			p.Clock, p.ClockArc = num(c.Turn.Deg()), num(c.Arc.MM())
			if e, piece, found := k.turned(a, c.Joint); found {
				p.Next = &ClockPlan{piece, out(e.Rotation.Deg()), out(stock.ClockArc(od, e.Rotation).MM())}
			}
		}
		plans = append(plans, p)
	}
	return plans
}

func (p *ChangePlan) bent(b tube.Bend, od units.Length) {
	p.Bent, p.CLR = num(b.Turn.Deg()), num(b.Radius.MM())
	p.Outside, p.Inside = num(b.Outside(od).MM()), num(b.Inside(od).MM())
}

// element is a piece of the chain as an answer has it.
func (k corrected) element(a route.Answer, piece int) (tube.Element, bool) {
	for i, of := range a.Pieces {
		if of == piece && piece >= 0 {
			return a.Elems[i], true
		}
	}
	return tube.Element{}, false
}

// turned is the bend that turns with a joint: the first at or behind it.
func (k corrected) turned(a route.Answer, joint int) (b tube.Bend, piece string, found bool) {
	for i, of := range a.Pieces {
		if of >= joint && a.Elems[i].Bend != nil {
			return *a.Elems[i].Bend, k.id(of), true
		}
	}
	return tube.Bend{}, "", false
}
