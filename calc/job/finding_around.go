package job

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"tubewright/calc/collector"
	"tubewright/calc/units"
)

// aroundFindings looks at what tubes must reach and clear, and at how their places
// were found.
func aroundFindings(j Job, p Plan) []Finding {
	s := newSayer(j)
	var fs []Finding
	for _, g := range p.Gaps {
		if f, found := s.gap(g); found {
			fs = append(fs, f)
		}
	}
	for _, a := range p.Access {
		if f, found := s.access(a); found {
			fs = append(fs, f)
		}
	}
	for i, t := range j.Tubes {
		fs = append(fs, s.tube(t, p.Tubes[i])...)
	}
	for i, pt := range j.Points {
		fs = append(fs, s.point(pt, p.Points[i])...)
	}
	fs = append(fs, s.frames(p)...)
	return append(fs, s.unplaced(p)...)
}

// sayer puts figures of a job into sentences.
type sayer struct {
	j     Job
	names map[string]string // by id
}

func newSayer(j Job) sayer {
	names := map[string]string{}
	for _, t := range j.Tubes {
		names[t.ID] = t.Title
	}
	for _, n := range j.Neighbours {
		names[n.ID] = n.Title
	}
	for _, c := range j.Collectors {
		names[c.ID] = c.Title
	}
	for _, k := range j.Banks {
		of := "" // with one bank there is no other
		if len(j.Banks) > 1 {
			of = " of bank " + k.ID
		}
		for _, b := range k.Bolts {
			names[b.ID] = b.Title + of
		}
		for _, p := range k.Ports {
			names[p.ID] = p.Title + of
		}
		for _, p := range k.Plugs {
			names[p.ID] = p.Title + of
		}
	}
	return sayer{j, names}
}

func (s sayer) name(id string) string { return s.names[id] }

func (s sayer) gap(g GapPlan) (Finding, bool) {
	if units.Length(g.Gap) >= units.Length(g.Wanted)-slack && !g.TooClose {
		return Finding{}, false // most have air enough, and nothing is said of them
	}
	a, b := s.name(g.A), s.name(g.B)
	if g.A == g.B {
		b = "itself"
	}
	gap := units.Length(g.Gap)
	f := Finding{Severity: Warn, Rule: g.rule, Where: []string{g.A, g.B}, Slots: s.gapSlots(g), Value: num(float64(g.Gap)), Limit: num(float64(g.Wanted)), Unit: "mm", Grade: g.Grade}
	at := ""
	if g.WorstCase != "" {
		at = " with " + g.WorstCase
	}
	what := fmt.Sprintf("%s and %s are %s apart%s", a, b, say(gap), at)
	if gap < 0 {
		what = fmt.Sprintf("%s and %s run into each other by %s%s", a, b, say(-gap), at)
	}
	least, wanted := units.Length(g.Least), units.Length(g.Wanted)
	switch {
	case gap < 0 && g.rule == scrubLine:
		f.Text, f.Help = fmt.Sprintf("%s hangs %s below %s%s.", a, say(-gap), b, at), "With a tyre flat it touches the road. Lead it higher, or agree it with the customer."
	case gap < 0:
		f.Severity, f.Limit = Stop, num(float64(g.Least))
		f.Text, f.Help = what+".", "Lead one of them another way."
	case gap < least-slack:
		f.Severity, f.Limit = Stop, num(float64(g.Least))
		f.Text = fmt.Sprintf("%s; at least %s has to stay.", what, say(least))
		f.Help = "Lead the tube another way, or move or shield what is in its way and enter the gap that is then wanted."
	case gap < wanted-slack:
		f.Text = fmt.Sprintf("%s; wanted is %s.", what, say(wanted))
		f.Help = "Look at the place on the car, over all that moves."
	}
	if g.TooClose {
		doubt := units.Length(g.Eps)
		if g.Sigma != nil {
			doubt += units.Length(2 * *g.Sigma)
		}
		if f.Text == "" {
			f.Severity, f.Text = Note, fmt.Sprintf("%s, just as much as is wanted.", what)
		}
		f.Text += fmt.Sprintf(" It is too close to call: the places are known to ± %s.", say(doubt))
	}
	return f, true
}

// gapSlots are where a person says how much air something wants.
func (s sayer) gapSlots(g GapPlan) []string {
	for _, n := range s.j.Neighbours {
		if n.ID == g.B {
			return []string{Slot("neighbour", n.ID, "what"), Slot("neighbour", n.ID, "gap")}
		}
	}
	return []string{Slot("target", Self, "gap")}
}

func (s sayer) access(a AccessPlan) (Finding, bool) {
	if a.Gap >= a.Wanted {
		return Finding{}, false
	}
	rule, with := "bolt-access", "no tool reaches it"
	if a.Tool == "" {
		rule, with = "plug-access", "it cannot be drawn"
	}
	text := fmt.Sprintf("%s: %s past %s; the way is %s too narrow.", s.name(a.What), with, s.name(a.Against), say(units.Length(a.Wanted-a.Gap)))
	if a.Gap <= 0 { // how deep a tool runs into a solid is not known
		text = fmt.Sprintf("%s: %s past %s, which stands in its way.", s.name(a.What), with, s.name(a.Against))
	}
	return Finding{Severity: Warn, Rule: rule, Where: []string{a.What, a.Against}, Slots: []string{}, Value: num(float64(a.Gap)), Limit: num(float64(a.Wanted)), Unit: "mm", Grade: memory,
		Text: text, Help: "Lead the tube another way, move what stands there, or enter a smaller tool of your own."}, true
}

// tube looks at a tube's socket, its mock-up and what adjusting it takes.
func (s sayer) tube(t Tube, p TubePlan) []Finding {
	var fs []Finding
	add := func(f Finding) {
		f.Where = []string{t.ID}
		if f.Slots == nil {
			f.Slots = []string{}
		}
		fs = append(fs, f)
	}
	if p.Socket != nil {
		s.socket(t, p, add)
	}
	if m := p.Survey; m != nil {
		s.mockUp(t, *m, add)
	}
	if c := p.Closing; c != nil {
		switch {
		case c.Why != "":
			add(Finding{Severity: Warn, Rule: "closing", Grade: fromGeometry, Text: fmt.Sprintf("%s cannot be adjusted to its socket: %s.", t.Title, trimStop(c.Why)), Help: "Look for a rotation with the wrong sign, or a value typed twice."})
		case c.TooFar:
			add(Finding{Severity: Warn, Rule: "closing", Value: c.Chi2, Grade: fromGeometry,
				Text: fmt.Sprintf("%s misses its socket by %s, more than its values may be off as entered.", t.Title, say(units.Length(*c.Miss))), Help: "Measure the longest straight and the rotations again before adjusting."})
		}
	}
	return fs
}

func (s sayer) socket(t Tube, p TubePlan, add func(Finding)) {
	for _, c := range s.j.Collectors {
		if c.ID != t.Collector || !c.SocketID.Known || !t.OD.Known {
			continue
		}
		air := max(0, (c.SocketID.V-t.OD.V)/2)
		name := fmt.Sprintf("%s at socket %d of %s", t.Title, t.Socket, c.Title)
		if off := units.Length(p.Socket.Offset); off > max(air, socketOff)+slack {
			add(Finding{Severity: Warn, Rule: "socket-offset", Slots: []string{Slot("tube", t.ID, "socket")}, Value: num(off.MM()), Limit: num(max(air, socketOff).MM()), Unit: "mm", Grade: ownChoice,
				Text: fmt.Sprintf("%s ends %s beside the socket's axis.", name, say(off)), Help: "Correct the path, or look whether it is meant for another socket."})
		}
		lean := units.Angle(collector.Lean(c.SocketID.V.MM(), t.OD.V.MM(), c.SocketDepth.V.MM()))
		if aim := units.Angle(p.Socket.AimOff) * units.Degree; aim > max(lean, socketAim) {
			add(Finding{Severity: Warn, Rule: "socket-aim", Slots: []string{Slot("tube", t.ID, "socket")}, Value: num(aim.Deg()), Limit: num(max(lean, socketAim).Deg()), Unit: "°", Grade: ownChoice,
				Text: fmt.Sprintf("%s leans %.1f° to the socket.", name, aim.Deg()), Help: "A tube that does not point along its socket makes the collector look bent."})
		}
		in := units.Length(p.Socket.Insert)
		switch {
		case in < 0:
			add(Finding{Severity: Warn, Rule: "socket-short", Slots: []string{Slot("tube", t.ID, "socket")}, Value: num(in.MM()), Limit: num(0), Unit: "mm", Grade: fromGeometry,
				Text: fmt.Sprintf("%s ends %s before the mouth.", name, say(-in)), Help: "Lengthen the last straight."})
		case c.SocketDepth.Known && in > c.SocketDepth.V+slack:
			add(Finding{Severity: Warn, Rule: "socket-long", Slots: []string{Slot("tube", t.ID, "socket")}, Value: num(in.MM()), Limit: num(c.SocketDepth.V.MM()), Unit: "mm", Grade: given,
				Text: fmt.Sprintf("%s goes %s deeper than the socket is.", name, say(in-c.SocketDepth.V)), Help: "Shorten the last straight."})
		}
	}
}

// socketOff and socketAim are what a tack can pull straight. Own choices.
const (
	socketOff = 1 * units.Millimetre
	socketAim = 1 * units.Degree
)

func (s sayer) mockUp(t Tube, m SurveyPlan, add func(Finding)) {
	crooks(t, add)
	if m.Why != "" {
		add(Finding{Severity: Warn, Rule: "mock-up-open", Grade: fromGeometry, Text: fmt.Sprintf("The mock-up of %s cannot be worked out yet: %s.", t.Title, trimStop(m.Why)), Help: "Measure what is missing while the mock-up stands."})
		return
	}
	for _, x := range m.Misses {
		if x.TooMuch {
			add(Finding{Severity: Warn, Rule: "mock-up-miss", Value: num(float64(x.Miss)), Limit: num(3 * float64(x.Sigma)), Unit: "mm", Grade: fromGeometry,
				Text: fmt.Sprintf("%s: straights %d and %d of the mock-up miss each other by %s; %s is to be expected.", t.Title, x.After, x.After+1, say(units.Length(x.Miss)), say(units.Length(x.Sigma))),
				Help: "One of their points is off, or the mock-up has moved. Measure again while it stands."})
		}
	}
	if p := m.Suspect; p != nil {
		also := ""
		for _, o := range p.Also {
			also += fmt.Sprintf(" So it would be if point %d of straight %d were.", o.Point, o.Straight)
		}
		add(Finding{Severity: Warn, Rule: "mock-up-suspect", Slots: []string{Slot("mark", p.Mark, "x"), Slot("mark", p.Mark, "y"), Slot("mark", p.Mark, "z")}, Value: num(float64(p.Off)), Limit: num(3 * t.SurveySigma.MM()), Unit: "mm", Grade: fromGeometry,
			Text: fmt.Sprintf("%s: point %d of straight %d of the mock-up is the odd one: it is about %s off.%s", t.Title, p.Point, p.Straight, say(units.Length(p.Off)), also), Help: "Measure this point again while the mock-up stands. A fourth point on the straight settles a doubt."})
	} else if m.Chi2 != nil && m.ChiLimit != nil && *m.Chi2 > *m.ChiLimit {
		add(Finding{Severity: Warn, Rule: "mock-up-scatter", Value: m.Chi2, Limit: m.ChiLimit, Grade: fromGeometry,
			Text: fmt.Sprintf("%s: the points of the mock-up fit worse than points known to %s should.", t.Title, say(t.SurveySigma)), Help: "More than one is off, or they are not as well known as entered."})
	}
	for _, c := range m.Crowns {
		if c.CLR != nil && math.Abs(float64(*c.CLR-c.Given)) > 3*float64(*c.Sigma) {
			add(Finding{Severity: Warn, Rule: "mock-up-clr", Value: c.CLR, Limit: num(float64(c.Given)), Unit: "mm", Grade: given,
				Text: fmt.Sprintf("%s: the bend after straight %d has a CLR of %s by its crown, %s is entered.", t.Title, c.After, say(units.Length(*c.CLR)), say(units.Length(c.Given))), Help: "Measure the bend itself, or take the crown again."})
		}
	}
}

// crooks looks for bends of a mock-up that are entered twice, and for those behind the
// last straight, of which nothing is used.
func crooks(t Tube, add func(Finding)) {
	last := 0
	for _, m := range t.Marks {
		last = max(last, m.Straight)
	}
	first := map[int]Crook{}
	for _, c := range t.Crooks {
		was, isTwice := first[c.After]
		slots := []string{Slot("crook", c.ID, "clr"), Slot("crook", c.ID, "after")}
		switch {
		case c.After >= last:
			add(Finding{Severity: Note, Rule: "mock-up-bend-loose", Slots: slots, Grade: given,
				Text: fmt.Sprintf("%s: the bend after straight %d of the mock-up has a CLR, but no straight behind it yet. It is not used.", t.Title, c.After), Help: "Measure the next straight, or remove the bend."})
		case isTwice:
			clrs := fmt.Sprintf("with a CLR of %s and of %s", say(was.CLR), say(c.CLR))
			if c.CLR.NM() == was.CLR.NM() {
				clrs = fmt.Sprintf("both times with a CLR of %s", say(c.CLR))
			}
			add(Finding{Severity: Warn, Rule: "mock-up-bend-twice", Slots: append(slots, Slot("crook", was.ID, "clr")), Value: num(c.CLR.MM()), Limit: num(was.CLR.MM()), Unit: "mm", Grade: given,
				Text: fmt.Sprintf("%s: the bend after straight %d of the mock-up is entered twice, %s. The first is used.", t.Title, c.After, clrs), Help: "Remove the one that is wrong, or name the straight that it comes after."})
		default:
			first[c.After] = c
		}
	}
}

func (s sayer) point(pt Point, p PointPlan) []Finding {
	if len(pt.Tapes) == 0 && !pt.At.Known {
		return nil
	}
	if p.Why != "" {
		return []Finding{{Severity: Warn, Rule: "point-open", Where: []string{pt.ID}, Slots: []string{}, Grade: fromGeometry, Text: fmt.Sprintf("%s has no place yet: %s.", pt.Title, trimStop(p.Why)), Help: "Three tapes from points that are not in one line are needed, and the side on which it lies."}}
	}
	var fs []Finding
	if p.Entered != nil {
		fs = append(fs, s.pointTwice(pt, *p.Entered))
	}
	for n, t := range pt.Tapes {
		if t.ID == p.Suspect {
			fs = append(fs, Finding{Severity: Warn, Rule: "tape-suspect", Where: []string{pt.ID}, Slots: []string{Slot("tape", t.ID, "distance")}, Value: p.Off, Unit: "mm", Grade: fromGeometry,
				Text: fmt.Sprintf("%s: tape %d does not go with the others; it is about %s too %s.", pt.Title, n+1, say(units.Length(math.Abs(float64(*p.Off)))), longOrShort(float64(*p.Off))), Help: "Tape it again, and look from which point it was taken."})
		}
	}
	return fs
}

// pointTwice compares the coordinates of a point with the place that its tapes give.
// Both are kept until a person has decided.
func (s sayer) pointTwice(pt Point, e EnteredPlan) Finding {
	f := Finding{Severity: Note, Rule: "point-twice", Where: []string{pt.ID}, Slots: []string{Slot("point", pt.ID, "x"), Slot("point", pt.ID, "y"), Slot("point", pt.ID, "z")},
		Grade: fromGeometry, Help: "One of the two is enough: remove its coordinates or its tapes."}
	for _, t := range pt.Tapes {
		f.Slots = append(f.Slots, Slot("tape", t.ID, "distance"))
	}
	if e.Used {
		f.Text = fmt.Sprintf("%s has coordinates, and tapes that give no place: %s. The coordinates are used.", pt.Title, trimStop(e.Why))
		return f
	}
	f.Value, f.Limit, f.Unit = e.Off, e.Most, "mm"
	off, sigma := say(units.Length(*e.Off)), say(units.Length(*e.Sigma))
	f.Text = fmt.Sprintf("%s has coordinates and tapes, which lie %s apart; ± %s is to be expected that way. The place from the tapes is used.", pt.Title, off, sigma)
	if *e.Off > *e.Most {
		f.Severity, f.Help = Warn, "Find out which of the two is wrong and remove it: the coordinates or the tapes."
	}
	return f
}

func longOrShort(v float64) string {
	if v < 0 {
		return "short"
	}
	return "long"
}

func (s sayer) frames(p Plan) []Finding {
	var fs []Finding
	for _, frame := range slices.Sorted(maps.Keys(p.loose)) {
		fs = append(fs, Finding{Severity: Warn, Rule: "frame-open", Where: []string{frame}, Slots: []string{}, Grade: fromGeometry,
			Text: fmt.Sprintf("What was measured in %s has no place among the rest yet: %s.", s.frame(frame), trimStop(p.loose[frame])),
			Help: "Measure three points or more in both frames, not in one line."})
	}
	for _, f := range p.Frames {
		if f.TooFar {
			fs = append(fs, Finding{Severity: Warn, Rule: "frame-fit", Where: []string{f.Frame}, Slots: []string{}, Value: num(float64(f.RMS)), Unit: "mm", Grade: fromGeometry,
				Text: fmt.Sprintf("The points measured in %s and %s do not fit: they are %s apart.", s.frame(f.Frame), s.frame(f.In), say(units.Length(f.RMS))), Help: "Measure again the one that is farthest off."})
		}
		for _, t := range f.Targets {
			if float64(t.Sigma) > targetGood.MM() {
				fs = append(fs, Finding{Severity: Note, Rule: "frame-target", Where: []string{f.Frame, t.Collector}, Slots: []string{}, Value: num(float64(t.Sigma)), Limit: num(targetGood.MM()), Unit: "mm", Grade: ownChoice,
					Text: fmt.Sprintf("%s is known to %s only in %s.", s.name(t.Collector), say(units.Length(t.Sigma)), s.frame(f.In)),
					Help: fmt.Sprintf("One more point near it, measured in both frames, makes that %s.", say(units.Length(t.WithOne)))})
			}
		}
	}
	return fs
}

// targetGood is how well a collector should be known through points of two frames:
// as well as a tape reads. Own choice.
const targetGood = 2 * units.Millimetre

func (s sayer) frame(id string) string {
	if id == Car {
		return "the car's frame"
	}
	return "the frame of bank " + id
}

// unplaced names what is left out of the gaps, so that nobody takes silence for room.
func (s sayer) unplaced(p Plan) []Finding {
	var fs []Finding
	for i, n := range s.j.Neighbours {
		if len(p.Neighbours[i].Shapes) == len(n.Parts) && len(n.Parts) > 0 && len(n.Open) == 0 {
			continue
		}
		why := "its shape or place is not all there yet"
		if len(n.Parts) > 0 && len(n.Open) == 0 {
			why = "its frame is not tied to the first bank's, or a point of it has no place"
		}
		fs = append(fs, Finding{Severity: Warn, Rule: "neighbour-open", Where: []string{n.ID}, Slots: append([]string{}, n.Open...), Grade: fromGeometry,
			Text: fmt.Sprintf("%s is not looked at: %s.", n.Title, why), Help: "Until then no gap to it is known."})
	}
	return fs
}

// trimStop takes the full stop off a sentence that goes on.
func trimStop(text string) string {
	if n := len(text); n > 0 && text[n-1] == '.' {
		return text[:n-1]
	}
	return text
}
