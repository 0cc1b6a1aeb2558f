package job

import (
	"fmt"
	"math"

	"tubewright/calc/route"
	"tubewright/calc/stock"
	"tubewright/calc/units"
)

const (
	// leastWall is how much of the wall has to be left at the outside of a bend before
	// it is spoken of: what the rule of thumb leaves at a CLR of 1.5 OD.
	leastWall = 0.75
	// cutWithin is how far off its angle a piece may be cut: good work by hand, from memory.
	cutWithin = 0.5 * units.Degree
	// lengthWithin and clrWithin are the same for lengths, clockWithin for the clock. Own choices.
	lengthWithin = 1 * units.Millimetre
	clrWithin    = 1 * units.Millimetre
	clockWithin  = 1 * units.Degree
	// freeEndWithin is how far a measured free end may lie from where the pieces say
	// before the measurement itself is doubted. Own choice.
	freeEndWithin = 5 * units.Millimetre
)

// pieceFindings looks at the pieces as planned.
func pieceFindings(j Job, t Tube, p TubePlan) []Finding {
	var fs []Finding
	least, grade := j.Shop.LeastPiece.Or(route.LeastTurn), practice
	if j.Shop.LeastPiece.Known {
		grade = given
	}
	thin := -1
	for i, pc := range p.Pieces {
		if n := t.number(pc.Element); n != 0 && n != pc.Number {
			fs = append(fs, Finding{Severity: Warn, Rule: "piece-number-twice", Where: []string{t.ID}, Slots: []string{Slot("element", pc.Element, "number")}, Value: num(float64(n)), Grade: given,
				Text: fmt.Sprintf("%s: two pieces bear the number %d; one of them is %s here.", t.Title, n, pc.Name), Help: "Give one of them another number, and chalk it on the part."})
		}
		if pc.Kind != stock.Bend {
			continue
		}
		if turn := units.Angle(*pc.Angle) * units.Degree; turn < least-1e-9 {
			fs = append(fs, Finding{Severity: Warn, Rule: "small-piece", Where: []string{t.ID}, Slots: []string{Slot("element", pc.Element, "turn")}, Value: pc.Angle, Limit: num(least.Deg()), Unit: "°", Grade: grade,
				Text: fmt.Sprintf("%s: piece %s turns %.1f°; a piece below %.1f° cannot be held in the saw.", t.Title, pc.Name, turn.Deg(), least.Deg()),
				Help: "Leave the bend out and turn its neighbours a little more, or make it part of the next bend."})
		}
		if *pc.WallLeft < out(leastWall*t.Wall.V.MM())-1e-9 && (thin < 0 || *pc.WallLeft < *p.Pieces[thin].WallLeft) {
			thin = i
		}
	}
	if thin >= 0 {
		pc := p.Pieces[thin]
		fs = append(fs, Finding{Severity: Note, Rule: "wall-left", Where: []string{t.ID}, Slots: []string{Slot("element", pc.Element, "clr"), Slot("tube", t.ID, "wall")}, Value: pc.WallLeft, Limit: num(leastWall * t.Wall.V.MM()), Unit: "mm", Grade: thumb,
			Text: fmt.Sprintf("%s: about %s of wall is left at the outside of bend %s, by the rule wall · R/(R + OD/2).", t.Title, say(units.Length(*pc.WallLeft)), pc.Name),
			Help: "Measure one such bend before relying on it; weld the outside with little heat."})
	}
	return fs
}

// name is what is chalked on a piece.
func (tp TubePlan) name(piece string) string {
	for _, pc := range tp.Pieces {
		if pc.ID == piece {
			return pc.Name
		}
	}
	return piece
}

// number is the number that an element bears, 0 where it has none.
func (t Tube) number(element string) int {
	for _, e := range t.Path {
		if e.ID == element {
			return e.Number
		}
	}
	return 0
}

// madeFindings holds what was cut and tacked against the plan.
func madeFindings(t Tube, p TubePlan) []Finding {
	var fs []Finding
	add := func(f Finding) {
		f.Where = []string{t.ID}
		fs = append(fs, f)
	}
	for _, pc := range p.Pieces {
		for _, f := range pc.offPlan() {
			add(f)
		}
	}
	for _, id := range t.elsewhere(p.Pieces) {
		add(Finding{Severity: Warn, Rule: "made-elsewhere", Slots: []string{Slot("element", id, "type")}, Grade: given,
			Text: t.Title + ": what was cut or tacked was entered at a part of the path with which no piece begins, so it is not used.", Help: "Enter it at the piece itself: of straights in a row that is the first that is not 0."})
	}
	for _, id := range p.unused {
		add(Finding{Severity: Warn, Rule: "free-end-aim", Slots: []string{Slot("tack", id, "aim_x"), Slot("tack", id, "aim_y"), Slot("tack", id, "aim_z")}, Limit: num(90), Unit: "°", Grade: fromGeometry,
			Text: t.Title + ": the measured aim of the free end points back or square to where the tacked pieces lead, so the measurement is not used.", Help: "The aim is the direction of travel: right, up, out of the head."})
	}
	m := p.Made
	if m == nil {
		return fs
	}
	if e := m.FreeEnd; e != nil && units.Length(e.Off) > freeEndWithin {
		add(Finding{Severity: Warn, Rule: "free-end-off", Slots: []string{Slot("tack", e.Tack, "x"), Slot("tack", e.Tack, "y"), Slot("tack", e.Tack, "z")}, Value: num(float64(e.Off)), Limit: num(freeEndWithin.MM()), Unit: "mm", Grade: ownChoice,
			Text: fmt.Sprintf("%s: the free end behind %s was measured %s from where its pieces say.", t.Title, p.name(e.Piece), say(units.Length(e.Off))),
			Help: "Measure it again from the datum before going on by it."})
	}
	if !m.Closes {
		add(m.open(t))
	}
	return fs
}

// open is the finding of a tube that would not end where it has to.
func (m MadePlan) open(t Tube) Finding {
	to := "where it was planned to"
	if m.To == "socket" {
		to = "in its socket"
	}
	text := fmt.Sprintf("%s as cut and tacked does not end %s: it would come %s and %.1f° off", t.Title, to, say(units.Length(m.Miss)), float64(m.AimOff))
	if math.Abs(float64(m.Longer)) >= 0.01 {
		text += ", and " + longer(units.Length(m.Longer))
	}
	return Finding{Severity: Warn, Rule: "chain-open", Slots: []string{}, Value: num(float64(m.Miss)), Limit: num(route.UsualWithin.MM()), Unit: "mm", Grade: ownChoice,
		Text: text + ".", Help: "Ask for a correction before anything else is cut or tacked: turning the joints that are still open is the least work."}
}

func longer(by units.Length) string {
	if by < 0 {
		return say(-by) + " shorter than planned"
	}
	return say(by) + " longer than planned"
}

// offPlan says what of a piece came out farther off than good work does.
func (pc PiecePlan) offPlan() []Finding {
	var fs []Finding
	is := func(field, what string, off *out, limit float64, unit, grade string, said func(float64) string) {
		if off == nil || math.Abs(float64(*off)) <= limit+1e-9 {
			return
		}
		fs = append(fs, Finding{Severity: Warn, Rule: "off-plan", Slots: []string{Slot("element", pc.Element, field)}, Value: off, Limit: num(limit), Unit: unit, Grade: grade,
			Text: fmt.Sprintf("Piece %s: %s %s than planned.", pc.Name, what, said(float64(*off))), Help: "Measure it again; then ask whether the tube still closes."})
	}
	degrees := func(more, less string) func(float64) string {
		return func(v float64) string {
			if v < 0 {
				return fmt.Sprintf("%.1f° %s", -v, less)
			}
			return fmt.Sprintf("%.1f° %s", v, more)
		}
	}
	length := func(v float64) string {
		if v < 0 {
			return say(units.Length(-v)) + " less"
		}
		return say(units.Length(v)) + " more"
	}
	if c := pc.AsCut; c != nil {
		is("cut_turn", "it turns", c.AngleOff, cutWithin.Deg(), "°", memory, degrees("more", "less"))
		is("cut_clr", "its CLR is", c.CLROff, clrWithin.MM(), "mm", ownChoice, length)
		if pc.Kind == stock.Straight {
			is("cut_length", "its length is", c.LengthOff, lengthWithin.MM(), "mm", ownChoice, length)
		}
	}
	is("clocked", "it is clocked", pc.ClockOff, clockWithin.Deg(), "°", ownChoice, degrees("farther right-hand", "farther left-hand"))
	return fs
}
