package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/ledger"
	"tubewright/calc/route"
	"tubewright/calc/sorted"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Span is a part of a tube that is to be filled from stock: from one joint to another.
// Joint 0 is at the flange, joint n lies before the piece that is counted n from 0, and
// the last is at the end.
type Span struct {
	Tube string `json:"tube"`
	From int    `json:"from"`
	To   int    `json:"to"`
}

// ToTheEnd is the last joint of a tube, however many it has.
const ToTheEnd = -1

// FillingPlan is what fills a part of a tube from stock: up to two bends and three
// straights.
type FillingPlan struct {
	Span
	Held       string     `json:"held"` // what the end is held against: "socket", "plan", or "joint" where pieces go on behind it
	Replaces   []string   `json:"replaces"`
	Apart      out        `json:"apart"` // mm from one joint to the other
	Aside      out        `json:"aside"` // degrees between their directions
	Plans      []FillPlan `json:"plans"` // that close: fewest welds, gaps that are less than wanted counted like two, then shortest
	Best       *FillPlan  `json:"best"`  // comes nearest where none closes
	Rejected   []string   `json:"rejected"`
	CLR        *out       `json:"clr"`         // the largest below those on hand with which it would do, in steps of 5 %
	LengthOpen bool       `json:"length_open"` // none has the length that is wanted: these have another
	Why        string     `json:"why"`         // there is no plan
}

// FillPlan is one way to fill a span. What comes of it is of the whole tube.
type FillPlan struct {
	Pieces []FillPiece `json:"pieces"` // in order from the port
	Next   *ClockPlan  `json:"next"`   // the bend behind the span, which counts from the new plane
	Welds  int         `json:"welds"`  // joints to weld, those at both ends too
	Closes bool        `json:"closes"`
	EndsPlan
	Longer out         `json:"longer"` // than the tube is now
	Gaps   []GapPlan   `json:"gaps"`   // of this tube that are below what is wanted
	Sure   SurePlan    `json:"sure"`   // joints are counted with the new pieces
	Cost   out         `json:"cost"`   // of what has to be bought
	Stock  []CutStock  `json:"stock"`  // what is cut from what, and what is left
	Buy    []BuyPlan   `json:"buy"`
	Out    []FillStock `json:"out"` // pieces that no stock gives

	effort float64
}

// FillPiece is a piece that is cut for a span, with its marks.
type FillPiece struct {
	ID       string `json:"id"` // new-1
	Kind     string `json:"kind"`
	Length   out    `json:"length"`
	Angle    *out   `json:"angle,omitempty"`
	CLR      *out   `json:"clr,omitempty"`
	Rotation *out   `json:"rotation,omitempty"`
	ClockArc *out   `json:"clock_arc,omitempty"`
	Outside  *out   `json:"outside,omitempty"`
	Inside   *out   `json:"inside,omitempty"`
	OnLeg    bool   `json:"on_leg"` // a leg of the bend beside it that stays on
}

// FillStock is a piece that could not be planned.
type FillStock struct {
	Piece string `json:"piece"`
	Why   string `json:"why"`
}

const (
	// A joint in the middle of a tube has to be met closer than its end, which swings
	// with what is off there. Own choices.
	jointWithin    = 0.5 * units.Millimetre
	jointAimWithin = 0.15 * units.Degree
	newPiece       = "new"
	mostRejected   = 6 // reasons that are told
)

// Filling fills a part of a tube from stock. The error says what of the question cannot be.
func Filling(j Job, h Span, step func(done float64) bool) (FillingPlan, error) {
	i := slices.IndexFunc(j.Tubes, func(t Tube) bool { return t.ID == h.Tube })
	if i < 0 {
		return FillingPlan{}, fmt.Errorf("there is no tube %q", h.Tube)
	}
	s := newScene(j)
	t := j.Tubes[i]
	p := FillingPlan{Span: h, Plans: []FillPlan{}, Rejected: []string{}, Replaces: []string{}}
	c, why := s.toFill(t)
	if why != "" {
		p.Why = why
		return p, nil
	}
	n := len(c.pieces)
	if h.To == ToTheEnd {
		h.To, p.To = n, n
	}
	if h.From < 0 || h.To > n || h.From > h.To || h.From == h.To && n > 0 {
		return FillingPlan{}, fmt.Errorf("%s: from joint %d to joint %d is no part of it: joints go from 0 to %d", t.Title, h.From, h.To, n)
	}
	for _, piece := range c.pieces[h.From:h.To] {
		p.Replaces = append(p.Replaces, piece.ID)
	}
	for k := h.From; k <= min(h.To, n-1); k++ {
		if c.states[k] == route.Fixed {
			p.Why = fmt.Sprintf("joint %d is tacked", k)
			return p, nil
		}
	}
	f := filler{corrected: s.corrected(t, c, s.asMade(), s.things()), span: h}
	return p, f.fill(&p, step)
}

// FillingOf is Filling of a job's records and those of the shop's own job.
func FillingOf(own, shop []ledger.Record, h Span, step func(done float64) bool) (FillingPlan, error) {
	facts, _ := fromFolded(ledger.Fold(own))
	facts.Shared = SharedOf(shop)
	return Filling(facts.job(), h, step)
}

// toFill lays a tube out as it is made; one without a path goes from its port to the
// middle of what its socket leaves it.
func (s *scene) toFill(t Tube) (c chain, why string) {
	if _, known := t.Section(); !known {
		return c, "its OD and wall are not entered yet"
	}
	if len(t.Path) > 0 {
		if c, ok := s.chain(t); ok {
			return c, ""
		}
		return c, "its path is not complete, or its port has no place yet"
	}
	start, placed := s.start(t)
	mouth, has := s.mouth(t)
	switch {
	case !placed:
		return c, "its port has no place yet"
	case !has:
		return c, "it has no socket to go to: enter the collector and which socket it ends in"
	}
	c = chain{port: start, start: start, end: start}
	end := mouth.Straight(s.depth(t) * (1 + leastSlip) / 2)
	wanted, _ := s.job.wanted()
	c.aimAt(s, t, tube.Walked{End: end, Length: wanted})
	return c, ""
}

// filler is a tube with a span to be filled.
type filler struct {
	corrected
	span  Span
	front []tube.Element // from the start of the chain to the span
	tail  []tube.Element // behind it
	to    geom.Frame     // where the tail begins
	gap   route.Gap
}

func (f *filler) fill(p *FillingPlan, step func(float64) bool) error {
	if err := f.measure(p); err != nil {
		return err
	}
	hasLength := f.gap.Target.LengthWithin > 0
	half := func(from float64) func(float64) bool { // the second half is for any length
		return func(done float64) bool { return step == nil || step(from+done/2) }
	}
	f.gap.Step = half(0)
	filled, err := route.ClosingPiece(f.gap)
	if err == nil && len(filled.Plans) == 0 && hasLength {
		open := f.gap
		open.Target.LengthWithin, open.Step = 0, half(0.5)
		var other route.Filled
		if other, err = route.ClosingPiece(open); len(other.Plans) > 0 {
			filled, p.LengthOpen = other, true
			f.c.target.LengthWithin = 0
		}
	}
	if err != nil && len(filled.Plans) == 0 {
		p.Why = reasons(err)
		return nil
	}
	p.Rejected = append(p.Rejected, filled.Why[:min(len(filled.Why), mostRejected)]...)
	for _, plan := range filled.Plans {
		fp, err := f.plan(plan)
		if err != nil {
			return err
		}
		if fp.Closes {
			p.Plans = append(p.Plans, fp)
		}
	}
	sorted.By(p.Plans, func(a, b FillPlan) int {
		return cmp.Or(cmp.Compare(a.effort, b.effort), cmp.Compare(a.Length, b.Length))
	})
	if len(p.Plans) > 0 {
		return nil
	}
	p.Why = f.why(filled)
	if filled.Best != nil {
		fp, err := f.plan(*filled.Best)
		if err != nil {
			return err
		}
		fp.Closes = fp.Closes && filled.Best.Closes
		p.Best = &fp
	}
	if filled.Radius > 0 {
		p.CLR = num(filled.Radius.MM())
	}
	return nil
}

func (f *filler) why(filled route.Filled) string {
	switch {
	case filled.Vetoed > 0:
		return "what would close touches something"
	case len(f.gap.Stock) == 0:
		return "no bends of this OD, wall and material are entered as stock"
	case filled.Best != nil && filled.Best.Short:
		return "it would come there only with a straight of less than 6 mm, which nobody can hold"
	}
	return "no two bends of the stock come there"
}

// measure finds the span and what may go into it.
func (f *filler) measure(p *FillingPlan) error {
	c := &f.c
	n := len(c.pieces)
	f.front, f.tail = c.elems[c.behind:max(c.behind, f.span.From)], c.elems[f.span.To:]
	walked, err := tube.Walk(c.start, c.elems[c.behind:])
	if err != nil {
		return fmt.Errorf("walk %s: %w", f.t.ID, err)
	}
	at := func(joint int) geom.Frame {
		if joint <= c.behind {
			return c.start
		}
		return walked.Ends[joint-c.behind-1]
	}
	from := at(f.span.From)
	f.gap = route.Gap{Start: from, Before: c.before + lengthOf(f.front), OD: f.t.OD.V, Target: c.target, Stock: f.stock(), Reject: f.turnDown}
	if f.span.From == 0 {
		f.gap.LeastFirst = firstStraight
	}
	p.Held = c.to
	if f.span.To == n {
		f.gap.LeastLast = max(leastGrip, units.Length(f.s.depth(f.t)*leastSlip))
	} else {
		p.Held = "joint"
		f.to = at(f.span.To)
		as, err := route.Stand(f.request(c.elems[c.behind:], c.states[c.behind:]))
		if err != nil {
			return err
		}
		if !as.Closes { // the pieces behind the span are set so that they end where they have to
			end, err := geom.NewFrame(c.target.At, c.target.Aim, c.end.N)
			if err != nil {
				return fmt.Errorf("set the pieces behind the span: %w", err)
			}
			f.to = carried(f.to, c.end, end)
		}
		t := &f.gap.Target
		*t = route.Target{At: f.to.O, Aim: f.to.T, Within: jointWithin, AimWithin: jointAimWithin, LengthWithin: t.LengthWithin, Length: t.Length}
		if t.LengthWithin > 0 {
			t.Length -= lengthOf(f.tail)
		}
	}
	p.Apart = out(f.gap.Target.At.Sub(from.O).Norm())
	p.Aside = out(units.Angle(from.T.Angle(f.gap.Target.Aim)).Deg())
	return nil
}

// carried is where a frame comes when what it hangs on moves from one place to another.
func carried(f, from, to geom.Frame) geom.Frame {
	a, b := [3]geom.Vec{from.T, from.N, from.T.Cross(from.N)}, [3]geom.Vec{to.T, to.N, to.T.Cross(to.N)}
	dir := func(v geom.Vec) (w geom.Vec) {
		for i := range a {
			w = w.Add(b[i].Scale(v.Dot(a[i])))
		}
		return w
	}
	return geom.Frame{O: to.O.Add(dir(f.O.Sub(from.O))), T: dir(f.T), N: dir(f.N)}
}

func lengthOf(elems []tube.Element) (sum units.Length) {
	for _, e := range elems {
		sum += e.Length()
	}
	return sum
}

// mostStock is how many bends of stock ClosingPiece takes.
const mostStock = 50

// stock is what bends can be cut from: on hand, or to be bought.
func (f *filler) stock() (list []route.StockBend) {
	for _, s := range f.s.job.Stock {
		b := route.StockBend{ID: s.ID, Radius: s.CLR.V, Turn: s.Angle.V, LegA: s.LegA.V, LegB: s.LegB.V}
		isThere := !s.Offcut || s.Left() > 0
		if s.fits(f.t) && s.CLR.Known && isThere && b.Turn >= route.LeastTurn && len(list) < mostStock {
			list = append(list, b)
		}
	}
	return list
}

// request asks how a chain of the tube stands.
func (f *filler) request(elems []tube.Element, states []route.State) route.Request {
	r := route.Request{Chain: route.Chain{Start: f.c.start, Before: f.c.before, OD: f.t.OD.V}, Target: f.c.target}
	for i, e := range elems {
		r.Chain.Pieces = append(r.Chain.Pieces, route.Piece{State: states[i], Element: e})
	}
	if f.c.free != nil {
		sigmas := route.UsualSigmas(f.t.OD.V).UsualEnd()
		r.Sigmas = &sigmas
	}
	return r
}

// whole is the chain with the span filled, the next bend behind it clocked so that it
// stays where it is, in steps of grid degrees. Next is its index, −1 where there is none.
func (f *filler) whole(fill []tube.Element, grid float64) (elems []tube.Element, states []route.State, next int, err error) {
	elems = append(append(append(elems, f.front...), fill...), f.tail...)
	states = append(states, f.c.states[f.c.behind:f.c.behind+len(f.front)]...)
	states = append(states, make([]route.State, len(fill))...) // not cut yet
	states = append(states, f.c.states[f.span.To:]...)
	next = slices.IndexFunc(f.tail, func(e tube.Element) bool { return e.Bend != nil })
	if next < 0 {
		return elems, states, -1, nil
	}
	walked, err := tube.Walk(f.gap.Start, fill)
	if err != nil {
		return nil, nil, -1, fmt.Errorf("walk what fills %s: %w", f.t.ID, err)
	}
	n, at := walked.End.N, f.to
	b := *f.tail[next].Bend
	b.Rotation += units.Angle(math.Atan2(at.T.Dot(n.Cross(at.N)), n.Dot(at.N)))
	b.Rotation = units.Angle(math.Remainder(math.Round(b.Rotation.Deg()/grid)*grid, 360)) * units.Degree
	next += len(f.front) + len(fill)
	elems[next].Bend = &b
	return elems, states, next, nil
}

func (f *filler) turnDown(fill []tube.Element) (cost float64, reason string) {
	elems, _, _, err := f.whole(fill, 0.1)
	if err != nil {
		return 0, reasons(err)
	}
	return f.reject(elems)
}

// plan says what comes of one way to fill the span.
func (f *filler) plan(p route.Plan) (FillPlan, error) {
	var a route.Answer
	var elems []tube.Element
	var next int
	for _, grid := range []float64{0.1, 0.01} {
		var states []route.State
		var err error
		if elems, states, next, err = f.whole(p.Elems, grid); err != nil {
			return FillPlan{}, err
		}
		if a, err = route.Stand(f.request(elems, states)); err != nil {
			return FillPlan{}, fmt.Errorf("walk %s filled: %w", f.t.ID, err)
		}
		if a.Closes {
			break
		}
	}
	od := f.t.OD.V
	fp := FillPlan{Closes: a.Closes && p.Closes, EndsPlan: EndsPlan{out(a.Miss.MM()), out(a.Aim.Deg()), out(a.Length.MM())},
		Longer: out((a.Length - f.c.length()).MM()), Gaps: f.gaps(elems), Sure: surePlan(a.Spread, f.c.behind),
		Pieces: []FillPiece{}, Stock: []CutStock{}, Buy: []BuyPlan{}, Out: []FillStock{}}
	if next >= 0 {
		b := elems[next].Bend
		at := f.span.To + next - len(f.front) - len(p.Elems)
		fp.Next = &ClockPlan{f.c.pieces[at].ID, out(b.Rotation.Deg()), out(stock.ClockArc(od, b.Rotation).MM())}
	}
	section, _ := f.t.Section()
	pieces, err := stock.Pieces(newPiece, section, p.Elems)
	if err != nil {
		return FillPlan{}, fmt.Errorf("pieces that fill %s: %w", f.t.ID, err)
	}
	for _, pc := range pieces {
		fp.Pieces = append(fp.Pieces, fillPiece(pc, od))
	}
	fp.cut(f.s.job, stock.Needs(newPiece, section, f.t.Material, pieces, 1))
	fp.effort = float64(fp.Welds) + p.Cost
	return fp, nil
}

func fillPiece(pc stock.Piece, od units.Length) FillPiece {
	fp := FillPiece{ID: pc.ID, Kind: pc.Kind, Length: out(pc.Length.MM())}
	if pc.Kind == stock.Bend {
		b := tube.Bend{Turn: pc.Turn, Radius: pc.Radius, Rotation: pc.Rotation}
		fp.Angle, fp.CLR, fp.Rotation = num(b.Turn.Deg()), num(b.Radius.MM()), num(b.Rotation.Deg())
		fp.ClockArc = num(stock.ClockArc(od, b.Rotation).MM())
		fp.Outside, fp.Inside = num(b.Outside(od).MM()), num(b.Inside(od).MM())
	}
	return fp
}

// cut plans what the pieces are cut from, by themselves.
func (fp *FillPlan) cut(j Job, needs []stock.Need) {
	fp.Welds = len(needs) + 1
	packed, err := j.pack(needs, nil)
	if err != nil {
		for _, n := range needs {
			fp.Out = append(fp.Out, FillStock{n.ID, reasons(err)})
		}
		return
	}
	plan := packed.plan(Job{})
	fp.Cost, fp.Stock, fp.Buy = plan.Cost, plan.Stock, plan.Buy
	for _, o := range plan.Out {
		fp.Out = append(fp.Out, FillStock{o.Piece, o.Why})
	}
	for _, s := range plan.Stock {
		for _, c := range s.Cuts {
			for _, leg := range []*LegPlan{c.LegA, c.LegB} {
				if leg == nil {
					continue
				}
				fp.Welds--
				for i := range fp.Pieces {
					fp.Pieces[i].OnLeg = fp.Pieces[i].OnLeg || fp.Pieces[i].ID == leg.Piece
				}
			}
		}
	}
}
