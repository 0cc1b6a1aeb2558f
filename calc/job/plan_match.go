package job

import (
	"math"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// Laid is how a face or a pattern is laid on the head: turned over first (x becomes
// −x), then turned, then moved.
type Laid struct {
	How      string `json:"how"`
	Angle    out    `json:"angle"`
	Mirrored bool   `json:"mirrored"`
	Move     onFace `json:"move"`
}

// Fits is how well holes lie on bolts. Room is null while bolt size or holes are not
// known, and so is whether the bolts go in.
type Fits struct {
	RMS       out    `json:"rms"`
	Minimax   out    `json:"minimax"` // play on each side of the bolts with which all go in
	Room      *out   `json:"room"`    // play left at the tightest; below 0 they do not go in
	BoltsGoIn *bool  `json:"bolts_go_in"`
	Worst     string `json:"worst"`
	WorstOff  out    `json:"worst_off"`
	Certain   bool   `json:"certain"` // it stands out of what is only measured so
}

// SelfMatchPlan is one way in which the flange lies on its own bolts.
type SelfMatchPlan struct {
	Laid
	Fits
	Mate     string        `json:"mate"` // may be off as well as Worst
	Ports    []LandingPlan `json:"ports"`
	PortsOff out           `json:"ports_off"`
}

// OddHole is a hole that is off, whichever way the flange is laid.
type OddHole struct {
	Bolt string `json:"bolt"`
	Off  out    `json:"off"`
}

// LandingPlan is where one port comes to lie then.
type LandingPlan struct {
	ID   string `json:"id"`
	Onto string `json:"onto"`
	Off  out    `json:"off"` // greatest distance between the two outlines
}

// PatternPlan is a bought or drawn flange or a gasket laid on the head.
type PatternPlan struct {
	ID   string `json:"id"`
	What string `json:"what"`
	Name string `json:"name"`
	*Laid
	*Fits
	WorstBolt string        `json:"worst_bolt"`
	Loop      []corner      `json:"loop"` // its outside edge as laid
	Holes     []SeatPlan    `json:"holes"`
	Openings  []OpeningPlan `json:"openings"`
	Unmatched []string      `json:"unmatched"` // bolts, holes, ports and openings without a mate
	Why       string        `json:"why"`       // it cannot be laid on the head
	Disputed  []string      `json:"disputed"`
}

// SeatPlan is one hole of a pattern.
type SeatPlan struct {
	ID       string  `json:"id"`
	At       onFace  `json:"at"` // as laid
	Diameter out     `json:"diameter"`
	Bolt     string  `json:"bolt"`
	Miss     *out    `json:"miss"`
	Off      *onFace `json:"off"` // from where it belongs to where it is
	Room     *out    `json:"room"`
}

// OpeningPlan is one opening of a pattern as laid.
type OpeningPlan struct {
	ID         string   `json:"id"`
	Port       string   `json:"port"`
	Off        *out     `json:"off"` // greatest distance between the two outlines
	*ShadePlan          // with a port
	OpenBy     *out     `json:"open_by"` // by how much the port's tube does not go through; null where none is to
	Loop       []corner `json:"loop"`
}

// ShadePlan is how an opening lies over its port.
type ShadePlan struct {
	Shadow out     `json:"shadow"` // how far the pattern stands into the port, 0 where it stays clear
	At     *onFace `json:"shadow_at"`
	Area   out     `json:"shadow_area"` // of the port that it covers, mm²
	Clear  out     `json:"clear"`       // by how much it keeps outside the port all round
	Beyond out     `json:"beyond"`      // by how much it lies outside at most
}

func laidBy(p flange.Placement, how string) Laid {
	return Laid{how, degrees(p.Angle), p.Mirrored, onFace(p.Move)}
}

func fits(rms, minimax float64, odd flange.Odd, known bool, room float64, goIn bool) Fits {
	f := Fits{RMS: out(rms), Minimax: out(minimax), Worst: odd.Worst, WorstOff: out(odd.WorstOff), Certain: odd.Certain}
	if known {
		f.Room, f.BoltsGoIn = num(room), &goIn
	}
	return f
}

// selfMatch returns how a face lies on itself, and the one hole that all of that
// calls off. More holes than any head has give nothing.
func selfMatch(face flange.Face) (plans []SelfMatchPlan, suspect *OddHole) {
	plans = []SelfMatchPlan{}
	matches, err := flange.SelfMatch(face)
	if err != nil {
		return plans, nil
	}
	if id, off, ok := flange.Suspect(face, matches); ok {
		suspect = &OddHole{id, out(off)}
	}
	for _, m := range matches {
		sp := SelfMatchPlan{Laid: laidBy(m.Placement, m.How), Fits: fits(m.RMS, m.Minimax, m.Odd, m.Known, m.Room, m.BoltsGoIn),
			Mate: m.Mate, Ports: []LandingPlan{}, PortsOff: out(m.PortsOff)}
		for _, l := range m.Ports {
			sp.Ports = append(sp.Ports, LandingPlan{l.ID, l.Onto, out(l.Off)})
		}
		plans = append(plans, sp)
	}
	return plans, suspect
}

func patternPlans(k Bank, face flange.Face, ends []formed) []PatternPlan {
	plans := []PatternPlan{}
	for _, p := range k.Patterns {
		pp := p.plan(face)
		if k.Making.through() && p.What != "gasket" {
			pp.opened(p, ends)
		}
		plans = append(plans, pp)
	}
	return plans
}

// opened says how far the openings are too small for the tubes that go through them.
func (pp *PatternPlan) opened(p Pattern, ends []formed) {
	if pp.Laid == nil {
		return
	}
	lay := flange.Placement{Mirrored: pp.Mirrored, Angle: float64(pp.Angle) * math.Pi / 180, Move: pp.Move}
	for i, op := range pp.Openings {
		for _, o := range p.Openings {
			at, ok := placed(o.Outline, o.X, o.Y)
			if !ok || o.ID != op.ID {
				continue
			}
			for _, e := range ends {
				if e.port.ID == op.Port && e.err == nil {
					tube, _ := placed(&e.end.Opening, e.port.X, e.port.Y)
					by, _ := flange.Lacks(lay.Outline(at), tube)
					pp.Openings[i].OpenBy = num(by)
				}
			}
		}
	}
}

// plan lays a pattern on the head. Seen from the head side it is turned over first,
// so that how it is laid is told as seen from the tubes.
func (p Pattern) plan(own flange.Face) PatternPlan {
	pp := PatternPlan{ID: p.ID, What: p.What, Name: p.Name, Loop: []corner{}, Holes: []SeatPlan{}, Openings: []OpeningPlan{}, Unmatched: []string{}, Disputed: []string{}}
	other, openings := p.face()
	found, err := flange.Compare(own, other)
	if err != nil {
		pp.Why = reasons(err)
		return pp
	}
	if len(found) == 0 {
		pp.Why = "it needs two holes that lie as far apart as two bolts of the head"
		return pp
	}
	c := p.likeliest(found)
	of := laidBy(c.Placement, c.How)
	of.Mirrored = of.Mirrored != p.fromHead()
	f := fits(c.RMS, c.Minimax, c.Odd, c.Known, c.Room, c.BoltsGoIn)
	pp.Laid, pp.Fits, pp.WorstBolt = &of, &f, c.WorstBolt
	if p.Edge != nil {
		pp.Loop = loopOf(c.Outline(p.seen(*p.Edge)))
	}
	pp.seats(c, other)
	for i, o := range other.Ports {
		pp.Openings = append(pp.Openings, openingPlan(c, o.ID, c.Outline(openings[i]), own.Ports))
	}
	for _, ids := range [][]string{c.Unmatched.Bolts, c.Unmatched.Holes, c.Unmatched.Ports, c.Unmatched.Openings} {
		pp.Unmatched = append(pp.Unmatched, ids...)
	}
	return pp
}

// likeliest is the best of the ways to lay it, of those with the side up that somebody
// said where there is one in which the bolts go in.
func (p Pattern) likeliest(found []flange.Comparison) flange.Comparison {
	for _, c := range found {
		if p.Side != "" && !c.Mirrored && (c.BoltsGoIn || !c.Known) {
			return c
		}
	}
	return found[0]
}

func openingPlan(c flange.Comparison, id string, o geom.Outline, ports []flange.Port) OpeningPlan {
	op := OpeningPlan{ID: id, Loop: loopOf(o)}
	for _, l := range c.Openings {
		if l.ID != id {
			continue
		}
		op.Port, op.Off = l.Onto, num(l.Off)
		for _, p := range ports {
			if p.ID == l.Onto {
				op.ShadePlan = shade(o, p.Outline)
			}
		}
	}
	return op
}

func shade(opening, port geom.Outline) *ShadePlan {
	if clear, beyond, ok := flange.Clear(opening, port); ok {
		return &ShadePlan{Clear: out(clear), Beyond: out(beyond)}
	}
	s, err := flange.Shadow(opening, port)
	if err != nil {
		return nil
	}
	sp := &ShadePlan{Shadow: out(s.Depth), Area: out(s.Area), Clear: out(s.Clear), Beyond: out(s.Beyond)}
	if s.Depth > 0 {
		at := onFace(s.DepthAt)
		sp.At = &at
	}
	return sp
}

func (pp *PatternPlan) seats(c flange.Comparison, other flange.Face) {
	for _, h := range other.Holes {
		sp := SeatPlan{ID: h.ID, At: onFace(c.Point(h.At)), Diameter: out(h.Diameter)}
		for _, s := range c.Seats {
			if s.Hole != h.ID {
				continue
			}
			off := onFace(s.Off)
			sp.Bolt, sp.Miss, sp.Off = s.Bolt, num(s.Miss), &off
			if s.Known {
				sp.Room = num(s.Room)
			}
		}
		pp.Holes = append(pp.Holes, sp)
	}
}

// Lies tells what bolt or port of the bank each hole and opening of a drawing lies on,
// as flange.Lies has it.
func (k Bank) Lies(drawn flange.Face) (holes, openings []flange.On) {
	return flange.Lies(k.face(), drawn)
}

func (p Pattern) fromHead() bool { return p.Side == "head" }

// seen returns an outline of the pattern as it is seen from the tubes.
func (p Pattern) seen(o geom.Outline) geom.Outline {
	if p.fromHead() {
		return o.Mirrored()
	}
	return o
}

// face returns what the pattern has, as seen from the tubes.
func (p Pattern) face() (f flange.Face, openings []geom.Outline) {
	flip := 1.0
	if p.fromHead() {
		flip = -1
	}
	for _, h := range p.Holes {
		if h.X.Known && h.Y.Known {
			f.Holes = append(f.Holes, flange.Hole{ID: h.ID, At: [2]float64{flip * h.X.V.MM(), h.Y.V.MM()}, Diameter: h.Diameter.V.MM()})
		}
	}
	for _, o := range p.Openings {
		if at, ok := placed(o.Outline, o.X, o.Y); ok {
			at = p.seen(at)
			f.Ports, openings = append(f.Ports, flange.Port{ID: o.ID, Outline: at}), append(openings, at)
		}
	}
	return f, openings
}
