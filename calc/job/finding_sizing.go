package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

// sizeFindings looks at what was decided, at how tubes fit their ports and each other,
// and at what rules say of the engine as it was entered.
func sizeFindings(j Job, p Plan) []Finding { return newSizer(j, p.portFigures()).findings() }

func (s sizer) findings() (fs []Finding) {
	fs = append(fs, s.engineFindings()...)
	fs = append(fs, s.firingFindings()...)
	fs = append(fs, s.decisionFindings()...)
	fs = append(fs, s.portFindings()...)
	fs = append(fs, s.slipFindings()...)
	return append(fs, s.sensorFindings()...)
}

// found is a finding of package sizing as one of a job, with the source of its limit.
func found(f sizing.Finding, where, slots []string) Finding {
	g := Finding{Severity: Severity(f.Severity), Rule: f.Rule, Where: where, Slots: slots, Value: numOr(f.Value), Limit: numOr(f.Limit), Unit: f.Unit, Grade: string(f.Source.Grade), Text: f.Text, Help: f.Help}
	return g.from(f.Source)
}

// from says where the limit of a finding comes from.
func (f Finding) from(s sizing.Source) Finding {
	f.Grade = string(s.Grade)
	if s.Text != "" {
		f.Help += " Source: " + s.Text + "."
	}
	return f
}

// engineFindings are figures of the engine that are unlikely or cannot stand together.
func (s sizer) engineFindings() (fs []Finding) {
	for _, f := range sizing.Sane(s.in) {
		key, isKey := strings.CutPrefix(f.Rule, "unlikely-")
		slots := []string{}
		if isKey {
			slots = append(slots, slotOf(sizing.Key(key)))
		}
		for _, k := range saneOf[f.Rule] {
			slots = append(slots, slotOf(k))
		}
		if f.Unit == "K" {
			f = inCelsius(f, sizing.FieldOf(sizing.Key(key)))
		}
		fs = append(fs, found(f, []string{Self}, slots))
	}
	if err := s.in.Check(); err != nil { // what a job allows and rules do not: a tube longer than any they know
		for _, f := range fault.All(err) {
			fs = append(fs, Finding{Severity: Note, Rule: "rule-input", Where: []string{Self}, Slots: []string{}, Grade: ownChoice, Text: "No rule for size takes this, so they go on without it: " + f.Error(), Help: "Look at it again."})
		}
	}
	return fs
}

// saneOf are the inputs that a finding about several of them rests on.
var saneOf = map[string][]sizing.Key{
	"bore-stroke": {sizing.Bore, sizing.Stroke}, "rod-too-short": {sizing.Rod, sizing.Stroke}, "rod-ratio": {sizing.Rod, sizing.Stroke},
	"torque-above-power": {sizing.TorqueRPM, sizing.PowerRPM}, "piston-speed": {sizing.Stroke, sizing.PowerRPM},
	"throat-in-bore": {sizing.ThroatArea, sizing.Bore}, "port-in-bore": {sizing.PortArea, sizing.Bore},
}

// inCelsius says of an unlikely temperature what it is as it was entered.
func inCelsius(f sizing.Finding, field sizing.Field) sizing.Finding {
	f.Value, f.Limit, f.Unit = celsius(f.Value), celsius(f.Limit), "°C"
	f.Text = fmt.Sprintf("%s: %.0f °C is unusual; %.0f to %.0f °C is what most have.", field.Label, f.Value, celsius(field.Likely[0]), celsius(field.Likely[1]))
	return f
}

// firingFindings hold the numbering against the ports, and the style against the order.
func (s sizer) firingFindings() (fs []Finding) {
	e := s.j.Engine
	if len(e.FiringOrder) == 0 {
		return nil
	}
	order, numbering := Slot("engine", Self, "firing_order"), Slot("engine", Self, "numbering")
	f, why := e.fires()
	if why != "" {
		if e.Cylinders.V == float64(len(e.FiringOrder)) { // else the order itself was refused
			fs = append(fs, Finding{Severity: Warn, Rule: "numbering", Where: []string{Self}, Slots: []string{numbering, order}, Grade: given,
				Text: "Which cylinder is which is not known: " + trimStop(why) + ".", Help: "Name the cylinders of each bank, front to rear, with strokes between the banks: 1-3-5-7/2-4-6-8."})
		}
		return fs
	}
	if e.Numbering == "" && len(s.j.Banks) > 1 {
		fs = append(fs, Finding{Severity: Warn, Rule: "numbering-open", Where: []string{Self}, Slots: []string{numbering}, Grade: given,
			Text: "How the maker numbers the cylinders is not entered; they are taken as one row.", Help: "Enter it: the same firing order means other cylinders under another numbering."})
	}
	fs = append(fs, s.numberedOtherwise(f.layout)...)
	style := s.j.Target.Style
	pairs, err := sizing.Pair(f.firing, f.layout, style)
	if err != nil {
		return fs // no style that pairs cylinders; one that wants another number of them says so where they are paired
	}
	for _, p := range pairs {
		best := p.Sets.Best[0]
		if best.Even {
			continue
		}
		of := "The engine"
		if p.Bank != "" {
			of = "Bank " + p.Bank
		}
		var groups []string
		for _, g := range best.Groups {
			groups = append(groups, hyphened(g.Cylinders)+" with gaps of "+gapsOf(g))
		}
		fs = append(fs, Finding{Severity: Note, Rule: "pairing-uneven", Where: []string{Self}, Slots: []string{order, numbering, Slot("target", Self, "style")}, Value: num(best.Least.Deg()), Limit: num(720 / float64(len(best.Groups[0].Cylinders))), Unit: "°", Grade: string(sizing.Computed),
			Text: fmt.Sprintf("%s fires unevenly in a %s: %s.", of, style, strings.Join(groups, "; ")), Help: "The other styles and a crossover set stand beside it where cylinders are paired."})
	}
	return fs
}

// numberedOtherwise finds a flange whose ports lie on two banks by the maker's numbering.
func (s sizer) numberedOtherwise(l sizing.Layout) (fs []Finding) {
	for _, k := range s.j.Banks {
		first, on := Port{}, ""
		for _, p := range k.Ports {
			bank, _ := l.Place(int(p.Cylinder.V))
			switch {
			case !p.Cylinder.Known || bank == "":
			case on == "":
				first, on = p, bank
			case bank != on:
				fs = append(fs, Finding{Severity: Warn, Rule: "numbering-ports", Where: []string{k.ID, first.ID, p.ID}, Slots: []string{Slot("engine", Self, "numbering"), Slot("port", first.ID, "cylinder"), Slot("port", p.ID, "cylinder")}, Grade: fromGeometry,
					Text: fmt.Sprintf("By the numbering (%s) cylinders %g and %g lie on two banks; the ports of bank %s have both.", or(s.j.Engine.Numbering, "inline"), first.Cylinder.V, p.Cylinder.V, k.ID),
					Help: "Look at the maker's numbering and at the cylinder of each port. Which tubes go together depends on it."})
				return fs
			}
		}
	}
	return fs
}

func hyphened(list []int) string {
	text := ""
	for i, v := range list {
		if i > 0 {
			text += "-"
		}
		text += fmt.Sprint(v)
	}
	return text
}

func gapsOf(g sizing.Group) string {
	parts := make([]string, len(g.Gaps))
	for i, gap := range g.Gaps {
		parts[i] = fmt.Sprintf("%g", math.Round(10*gap.Deg())/10)
	}
	return strings.Join(parts, ", ") + "°"
}

// rulesDrift is by which part what a rule gives may differ from what it gave when it was
// decided by. Own choice.
const rulesDrift = 0.01

// decisionFindings say where what is built, or what the decision rests on, is no longer
// what was decided.
func (s sizer) decisionFindings() (fs []Finding) {
	d := s.j.Target.Decided
	fs = append(fs, s.otherThan("od", d.OD, func(t Tube) Opt[units.Length] { return t.OD })...)
	fs = append(fs, s.otherThan("wall", d.Wall, func(t Tube) Opt[units.Length] { return t.Wall })...)
	for _, c := range s.j.Collectors {
		if d.OutletOD.Known && c.OutletOD.Known && math.Abs((c.OutletOD.V-d.OutletOD.V).MM()) > sameSize.MM() {
			fs = append(fs, Finding{Severity: Warn, Rule: "decision-outlet", Where: []string{c.ID}, Slots: []string{Slot("collector", c.ID, "outlet_od"), Slot("target", Self, "outlet_od")}, Value: num(c.OutletOD.V.MM()), Limit: num(d.OutletOD.V.MM()), Unit: "mm", Grade: given,
				Text: fmt.Sprintf("%s: its outlet OD is %s; decided was %s.", c.Title, say(c.OutletOD.V), say(d.OutletOD.V)), Help: "Take its own out so that the decision counts, or decide anew."})
		}
	}
	fs = append(fs, s.ruleDrift()...)
	if section, known := d.section(); known && len(s.j.Stock) > 0 && !s.j.isInStock(section) {
		fs = append(fs, Finding{Severity: Note, Rule: "decision-stock", Where: []string{Self}, Slots: []string{Slot("target", Self, "od"), Slot("target", Self, "wall")}, Value: num(section.OD.MM()), Unit: "mm", Grade: given,
			Text: fmt.Sprintf("No stock has the size that was decided, %s with a wall of %s.", say(section.OD), say(section.Wall)), Help: "Enter stock of it, or decide for a size that there is."})
	}
	return fs
}

// otherThan finds tubes whose OD or wall is another one than decided.
func (s sizer) otherThan(field string, decided Opt[units.Length], of func(Tube) Opt[units.Length]) []Finding {
	var same alike
	label := map[string]string{"od": "OD", "wall": "wall"}[field]
	for _, t := range s.j.Tubes {
		if own := of(t); decided.Known && own.Known && math.Abs((own.V-decided.V).MM()) > sameSize.MM() {
			same.add(t.Title, Finding{Severity: Warn, Rule: "decision-" + field, Where: []string{t.ID}, Slots: []string{Slot("target", Self, field), Slot("tube", t.ID, field)}, Value: num(own.V.MM()), Limit: num(decided.V.MM()), Unit: "mm", Grade: given,
				Text: fmt.Sprintf("%s %s; decided was %s.", label, say(own.V), say(decided.V)), Help: "Take its own out so that the decision counts, or decide anew."})
		}
	}
	return same.found()
}

// alike are findings about several things, those that say the same as one; but what stops
// is said of each, since the sheets of each have to say it.
type alike struct {
	fs    []Finding
	names [][]string
}

func (a *alike) add(name string, f Finding) {
	i := slices.IndexFunc(a.fs, func(o Finding) bool { return o.Rule == f.Rule && o.Text == f.Text && o.Help == f.Help })
	if i < 0 || f.Severity == Stop {
		a.fs, a.names = append(a.fs, f), append(a.names, []string{name})
		return
	}
	a.names[i] = append(a.names[i], lower(name))
	for _, more := range []struct{ to, of *[]string }{{&a.fs[i].Where, &f.Where}, {&a.fs[i].Slots, &f.Slots}} {
		for _, id := range *more.of {
			if !slices.Contains(*more.to, id) {
				*more.to = append(*more.to, id)
			}
		}
	}
}

// found puts before every text whom it is about.
func (a *alike) found() []Finding {
	for i := range a.fs {
		a.fs[i].Text = strings.Join(a.names[i], ", ") + ": " + a.fs[i].Text
	}
	return a.fs
}

// ruleDrift holds what the rules that a decision rests on gave then against what they give
// now. Rules that take a chosen size or length into account are asked both ways: that it
// was decided is no drift.
func (s sizer) ruleDrift() (fs []Finding) {
	d := s.j.Target.Decided
	start := sizing.Start(s.j.Target.From)
	var now, before []sizing.Result
	for _, q := range []struct {
		by, field, what string
		gave            Opt[units.Length]
		of              sizing.What
		start           sizing.Start
	}{
		{d.LengthBy, "length_by", "length", d.LengthGave, sizing.PrimaryLength, start}, {d.BoreBy, "bore_by", "ID", d.BoreGave, sizing.PrimaryBore, ""},
	} {
		if q.by == "" || q.by == ownDecision || !q.gave.Known {
			continue
		}
		if now == nil {
			now, _ = sizing.Work(s.in)
		}
		gives := s.gives(now, q.by, q.of, q.start)
		if gives.Known && !drifted(q.gave.V, gives.V) {
			continue
		}
		if before == nil {
			before, _ = sizing.Work(s.open)
		}
		if open := s.gives(before, q.by, q.of, q.start); open.Known && !drifted(q.gave.V, open.V) {
			continue
		}
		f := Finding{Severity: Warn, Rule: "decision-rule", Where: []string{Self}, Slots: []string{Slot("target", Self, q.field)}, Limit: num(q.gave.V.MM()), Unit: "mm", Grade: ownChoice,
			Help: "Look at the engine's figures, then decide anew or let it stand."}
		name := ruleName(now, q.by)
		f.Text = fmt.Sprintf("When the %s was decided, %s gave %s; with today's figures it gives nothing.", q.what, name, say(q.gave.V))
		if gives.Known {
			f.Value = num(gives.V.MM())
			f.Text = fmt.Sprintf("When the %s was decided, %s gave %s; with today's figures it gives %s.", q.what, name, say(q.gave.V), say(gives.V))
		}
		fs = append(fs, f)
	}
	return fs
}

func drifted(gave, gives units.Length) bool {
	return !(math.Abs((gives - gave).MM()) <= rulesDrift*gave.MM())
}

// ruleName is how a rule is called, or its id as it was entered.
func ruleName(results []sizing.Result, id string) string {
	for _, r := range results {
		if r.Rule.ID == id {
			return "the rule " + `"` + r.Rule.Name + `"`
		}
	}
	return `"` + id + `"`
}

// portFindings say how tubes fit their ports.
func (s sizer) portFindings() []Finding {
	var same alike
	for _, fit := range s.portFits() {
		for _, f := range fit.fit.Findings {
			if fit.tube == "" {
				same.add("What was decided, at "+lower(fit.port.Title), found(f, []string{fit.port.ID}, []string{Slot("target", Self, "od"), Slot("target", Self, "wall")}))
			} else {
				same.add(fit.title+" at "+lower(fit.port.Title), found(f, []string{fit.tube, fit.port.ID}, []string{Slot("tube", fit.tube, "od"), Slot("tube", fit.tube, "wall")}))
			}
		}
	}
	return same.found()
}

// slipFindings say how tubes go into each other, cold and hot.
func (s sizer) slipFindings() []Finding {
	var same alike
	for _, fit := range s.slipFits() {
		for _, f := range fit.fit.Findings {
			same.add(fit.what, found(f, []string{fit.id}, fit.slots))
		}
		if least, _, known := fit.hot(); known && fit.fit.Goes && least <= 0 {
			same.add(fit.what, Finding{Severity: Warn, Rule: "slip-tight-hot", Where: []string{fit.id}, Slots: append(slices.Clone(fit.slots), Slot("slip", fit.id, "outer_hot"), Slot("slip", fit.id, "inner_hot")), Value: num(least.MM()), Limit: num(0), Unit: "mm", Grade: string(sizing.Computed),
				Text: fmt.Sprintf("Hot, by the coefficients that leave the least, the joint is tight by %s and takes up no growth.", say(-least)), Help: "More room, or look at the temperatures: the inner tube carries the gas."})
		}
	}
	return same.found()
}

// sensorFindings are rules for sensors that are not kept.
func (s sizer) sensorFindings() (fs []Finding) {
	for _, g := range s.sensorRules() {
		for _, r := range g.rules {
			if r.OK || r.Open {
				continue
			}
			f := Finding{Severity: Note, Rule: r.Rule, Where: []string{g.sensor.ID}, Slots: []string{Slot("sensor", g.sensor.ID, sensorField[r.Rule])}, Value: numOr(r.Value), Limit: num(r.Low), Unit: r.Unit, Help: "The maker's own notes for the sensor come first."}
			if r.Value > r.High {
				f.Limit = num(r.High)
			}
			if r.Source.Grade == sizing.Published {
				f.Severity = Warn
			}
			f.Text = fmt.Sprintf("%s: %s is %s; asked for is %s.", g.sensor.Title, r.Text, figureOf(r), limitOf(r))
			fs = append(fs, f.from(r.Source))
		}
	}
	return fs
}

// sensorField is the field of a sensor that a rule looks at.
var sensorField = map[string]string{"sensor-angle": "above", "sensor-engine": "from_engine", "sensor-open-end": "to_open_end", "sensor-joint": "to_joint", "egt-head": "from_engine", "egt-same": "from_engine"}

func figureOf(r sizing.Judged) string {
	if r.Unit == "mm" {
		return say(units.Length(r.Value))
	}
	return fmt.Sprintf("%.1f", r.Value) + map[string]string{"°": "°", "diameters": " diameters"}[r.Unit]
}
