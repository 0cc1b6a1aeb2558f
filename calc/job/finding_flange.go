package job

import (
	"fmt"
	"math"
	"strings"

	"tubewright/calc/flange"
	"tubewright/calc/units"
)

// flangeFindings looks at what the bolts and ports of a bank say of its flange.
func flangeFindings(j Job, k Bank, p FlangePlan) []Finding {
	s := newSayer(j)
	var fs []Finding
	if f, found := s.wayRound(k, p); found {
		fs = append(fs, f)
	}
	if f, found := s.holeOff(k, p); found {
		fs = append(fs, f)
	}
	for i, pattern := range k.Patterns {
		fs = append(fs, s.pattern(k, pattern, p.Patterns[i])...)
	}
	for _, port := range p.Ports {
		if f, found := s.fewPoints(port); found {
			fs = append(fs, f)
		}
	}
	if p.Design != nil {
		fs = append(fs, s.design(k, *p.Design)...)
	}
	for _, e := range p.Ends {
		fs = append(fs, s.formedEnd(j, e)...)
	}
	return fs
}

const (
	// alikePorts is how far outlines may lie off each other, in mm, and still make no
	// difference to the gas: 1/4 mm. Own choice; a port is rarely cast truer.
	alikePorts = 0.25
	// usualPlay is what a bolt whose size nobody entered is taken to have on each side:
	// that of M8 in its normal hole.
	usualPlay = 0.5
	// mostWays is how many wrong ways round are told one by one.
	mostWays = 3
)

// goIn tells whether the bolts go in, as far as that is known.
func (f Fits) goIn() bool {
	if f.BoltsGoIn != nil {
		return *f.BoltsGoIn
	}
	return f.Minimax <= usualPlay
}

// wayRound tells in which other ways the flange bolts up. One that lies alike both ways
// does no harm until the tubes are on it.
func (s sayer) wayRound(k Bank, p FlangePlan) (Finding, bool) {
	f := Finding{Severity: Note, Rule: "flange-way-round", Where: []string{k.ID}, Slots: s.boltSlots(k), Unit: "mm", Limit: num(alikePorts), Grade: ownChoice}
	var ways []string
	worst := out(0)
	more := 0
	for _, m := range p.SelfMatch {
		if !m.goIn() {
			continue
		}
		if len(ways) == mostWays {
			more++
			continue
		}
		way := m.How
		if m.BoltsGoIn == nil && m.Minimax > frameTolerance {
			way += fmt.Sprintf(" (with %s of play round each bolt)", say(units.Length(m.Minimax)))
		}
		if l, off := m.farthest(); off > alikePorts {
			f.Severity = Warn
			f.Where = append(f.Where, l.ID, l.Onto)
			way += fmt.Sprintf(", and %s then lies on %s and is %s off", lower(s.name(l.ID)), lower(s.name(l.Onto)), say(units.Length(off)))
			if l.ID == l.Onto {
				way = strings.Replace(way, "lies on "+lower(s.name(l.Onto))+" and ", "", 1)
			}
		}
		worst = max(worst, m.PortsOff)
		ways = append(ways, way)
	}
	if len(ways) == 0 {
		return Finding{}, false
	}
	f.Value = num(float64(worst))
	f.Text = fmt.Sprintf("The flange of bank %s bolts up in another way too: %s.", k.ID, strings.Join(ways, "; "))
	if more > 0 {
		f.Text += fmt.Sprintf(" So it does in %s more.", count(more, "way", "ways"))
	}
	f.Help = "Mark on the flange which side faces the tubes before anything is tacked."
	if f.Severity == Note {
		f.Text += " Its ports fit then as well."
		f.Help = "Mark a side all the same: once the tubes are on it fits one way only."
	}
	return f, true
}

// farthest returns the port that is farthest off.
func (m SelfMatchPlan) farthest() (l LandingPlan, off out) {
	for _, p := range m.Ports {
		if p.Off > off {
			l, off = p, p.Off
		}
	}
	return l, off
}

func (s sayer) boltSlots(k Bank) []string {
	slots := []string{}
	for _, b := range k.Bolts {
		slots = append(slots, Slot("bolt", b.ID, "x"), Slot("bolt", b.ID, "y"))
	}
	return slots
}

// holeOff names a bolt hole that does not go with the others.
func (s sayer) holeOff(k Bank, p FlangePlan) (Finding, bool) {
	f := Finding{Severity: Warn, Rule: "flange-hole-off", Unit: "mm", Grade: fromGeometry,
		Help: "Measure it again. If it is where it was measured, the head is made so, and the flange has to follow it."}
	name := func(ids ...string) {
		f.Where, f.Slots = []string{k.ID}, []string{}
		for _, id := range ids {
			f.Where, f.Slots = append(f.Where, id), append(f.Slots, Slot("bolt", id, "x"), Slot("bolt", id, "y"))
		}
	}
	if odd := p.Suspect; odd != nil {
		name(odd.Bolt)
		f.Value = num(float64(odd.Off))
		f.Text = fmt.Sprintf("%s of bank %s is off by %s: without it all other bolt holes lie alike both ways round.", s.name(odd.Bolt), k.ID, say(units.Length(odd.Off)))
		return f, true
	}
	for _, m := range p.SelfMatch {
		switch {
		case !m.Certain:
			continue
		case m.Mate == m.Worst || m.Mate == "":
			name(m.Worst)
			f.Text = fmt.Sprintf("%s of bank %s is off by %s", s.name(m.Worst), k.ID, say(units.Length(m.WorstOff)))
		default:
			name(m.Worst, m.Mate)
			f.Text = fmt.Sprintf("%s or %s of bank %s is off by %s", s.name(m.Worst), lower(s.name(m.Mate)), k.ID, say(units.Length(m.WorstOff)))
			f.Help = "Measure both again; which of the two it is cannot be told from here. If they are where they were measured, the head is made so."
		}
		f.Value = num(float64(m.WorstOff))
		f.Text += fmt.Sprintf(": %s, all others lie on each other.", m.How)
		return f, true
	}
	return Finding{}, false
}

// fewPoints says what fewer points of an outline cost.
func (s sayer) fewPoints(p PortPlan) (Finding, bool) {
	if p.Points == nil || *p.Points >= flange.EnoughPoints {
		return Finding{}, false
	}
	f := Finding{Severity: Note, Rule: "port-few-points", Where: []string{p.ID}, Slots: []string{Slot("port", p.ID, "shape")}, Value: num(float64(*p.Points)), Limit: num(flange.EnoughPoints), Grade: ownChoice,
		Text: fmt.Sprintf("The outline of %s was measured by %d points.", lower(s.name(p.ID)), *p.Points), Help: fmt.Sprintf("Measure %d points or more, at even distances.", flange.EnoughPoints)}
	if u := p.Uncertain; u != nil {
		f.Text = fmt.Sprintf("%s Its area may be off by %.1f %%, its perimeter by %.1f %%.", f.Text, float64(u.Area), float64(u.Perimeter))
	}
	return f, true
}

// formedEnd looks at what forming the end of a tube asks of it.
func (s sayer) formedEnd(j Job, e FormedEnd) []Finding {
	var fs []Finding
	add := func(f Finding) {
		f.Where, f.Grade = []string{e.Tube, e.Port}, memory
		fs = append(fs, f)
	}
	tube, port := s.name(e.Tube), lower(s.name(e.Port))
	if e.Why != "" {
		return []Finding{{Severity: Warn, Rule: "end-open", Where: []string{e.Tube, e.Port}, Slots: []string{}, Grade: fromGeometry,
			Text: fmt.Sprintf("%s cannot be formed to %s: %s.", tube, port, trimStop(e.Why)), Help: "Look at the outline of the port and at the wall of the tube."}}
	}
	if stretch := float64(e.Stretch) / 100; stretch > flange.StretchWarn {
		f := Finding{Severity: Warn, Rule: "end-stretch", Slots: []string{Slot("tube", e.Tube, "od"), Slot("tube", e.Tube, "wall")}, Value: num(float64(e.Stretch)), Limit: num(100 * flange.StretchWarn), Unit: "%",
			Text: fmt.Sprintf("The end of %s has to be stretched by %.1f %% to reach round %s; opened by hand it gets thin corners from %.0f %% on.", lower(tube), float64(e.Stretch), port, 100*flange.StretchWarn)}
		if stretch > flange.StretchStop && s.isChosen(j, e) {
			f.Severity, f.Limit = Stop, num(100*flange.StretchStop)
			f.Text = fmt.Sprintf("The end of %s would have to be stretched by %.1f %% to reach round %s; beyond %.0f %% it cracks.", lower(tube), float64(e.Stretch), port, 100*flange.StretchStop)
		}
		f.Help = fmt.Sprintf("A tube of %s OD with the same wall reaches round it as it is.", say(units.Length(s.unstretched(j, e))))
		add(f)
	}
	if l := e.Loft; l != nil && float64(l.Wall) > flange.WallWarn*180/math.Pi {
		need := float64(l.Length) * math.Tan(float64(l.Wall)*math.Pi/180) / math.Tan(flange.WallWarn)
		add(Finding{Severity: Warn, Rule: "end-wall-angle", Slots: []string{Slot("tube", e.Tube, "transition")}, Value: num(float64(l.Wall)), Limit: num(flange.WallWarn * 180 / math.Pi), Unit: "°",
			Text: fmt.Sprintf("The wall of %s's formed end leans by %.1f° over %s; beyond %.0f° the gas may leave it.", lower(tube), float64(l.Wall), say(units.Length(l.Length)), flange.WallWarn*180/math.Pi),
			Help: fmt.Sprintf("Form it over about %s.", say(units.Length(math.Ceil(need))))})
	}
	return fs
}

// isChosen tells whether somebody said how the tube comes to the flange. Until then it
// is still open whether it is this tube, and nothing is stopped by its end.
func (s sayer) isChosen(j Job, e FormedEnd) bool {
	for _, k := range j.Banks {
		for _, p := range k.Ports {
			if p.ID == e.Port && k.Making.Opening != "" {
				return true
			}
		}
	}
	for _, t := range j.Tubes {
		if t.ID == e.Tube && t.Transition.Known {
			return true
		}
	}
	return false
}

// unstretched returns the OD, in mm, at which a tube of the same wall has the perimeter
// of its formed end.
func (s sayer) unstretched(j Job, e FormedEnd) float64 {
	for _, t := range j.Tubes {
		if t.ID == e.Tube {
			return float64(e.PerimeterPort)/math.Pi + t.Wall.V.MM()
		}
	}
	return 0
}

// lower writes a name as it stands within a sentence.
func lower(name string) string {
	if name == "" {
		return name
	}
	return strings.ToLower(name[:1]) + name[1:]
}

// offScale is what a ruler of 100 mm may be off, in mm, and the sheet still be used.
const offScale = 0.2

// printFindings looks at the rulers of sheets that were printed.
func printFindings(j Job) []Finding {
	var fs []Finding
	for _, p := range j.Prints {
		if !p.Across.Known || !p.Up.Known {
			continue
		}
		across, up := p.Across.V.MM()-100, p.Up.V.MM()-100
		worst := across
		if math.Abs(up) > math.Abs(across) {
			worst = up
		}
		if math.Abs(worst) <= offScale+slack.MM() {
			continue
		}
		fs = append(fs, Finding{Severity: Stop, Rule: "print-off-scale", Where: []string{p.ID}, Slots: []string{Slot("print", p.ID, "across"), Slot("print", p.ID, "up")}, Value: num(worst), Limit: num(offScale), Unit: "mm", Grade: ownChoice,
			Text: fmt.Sprintf("%s (%s) is off scale: its rulers of 100 mm measure %s across and %s up.", p.Title, p.Sheet, units.MM(p.Across.V.NM(), 2)+" mm", units.MM(p.Up.V.NM(), 2)+" mm"),
			Help: "Throw it away and print it again at 100 %, without fitting it to the page. Nothing is cut by it."})
	}
	return fs
}
