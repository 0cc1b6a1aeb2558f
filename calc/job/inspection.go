package job

import (
	"math"
	"slices"
	"strconv"

	"tubewright/calc/geom"
	"tubewright/calc/ledger"
	"tubewright/calc/route"
	"tubewright/calc/units"
)

// How far off a header may be where nothing was entered. No published limit for the
// flange of a fabricated header is known to us; these are from memory, and what the
// gasket's maker says comes first.
const (
	flatWithin     = 0.010 * units.Inch // along the whole flange
	flatPairWithin = 0.005 * units.Inch // across two ports beside each other
	// leastTip is how far a second point on the axis has to be off for its aim to be held
	// against a tolerance of half a degree: 0.5 mm at 60 mm. Own choice.
	leastTip = 60 * units.Millimetre
)

// Inspection holds what was read of a job's header against its plan.
func (w Worked) Inspection() InspectionPlan { return w.inspection(nil) }

// InspectionOf is Inspection of a job's records and those of the shop's own job. Readings in
// dispute are each tried; step is told the share that is done, and where it returns false
// the rest is not tried.
func InspectionOf(own, shop []ledger.Record, step func(done float64) bool) (InspectionPlan, error) {
	return Work(own, shop...).inspection(step), nil
}

func (w Worked) inspection(step func(done float64) bool) InspectionPlan {
	in := inspector{w.facts.usable(), w.Job, w.Plan, w.folded}
	p := in.plan()
	disputed := slices.DeleteFunc(disputedSlots(w.folded, w.facts), func(slot string) bool { return !isInspected(slot) })
	in.vary(&p, w.facts, disputed, step)
	p.Findings = slices.Concat(p.Findings, disputeFindings(w.folded, w.facts, disputed), in.findings(p))
	return p
}

// isInspected tells whether something of an inspection may rest on a slot.
func isInspected(slot string) bool {
	kind, _, _, _ := SplitSlot(slot)
	return !slices.Contains([]string{"engine", "sizing", "slip", "sensor", "stock", "use", "print", "pattern", "hole", "opening", "spot", "tool"}, kind) ||
		slot == Slot("engine", Self, "roll") || slot == Slot("engine", Self, "roll_y") || slot == Slot("engine", Self, "roll_z")
}

// isRead tells of a slot that is read where a header is inspected, on which no plan rests.
func isRead(slot string) bool {
	kind, _, name, _ := SplitSlot(slot)
	return kind == "gauge" || kind == "hold" || fieldOf(kind, name).Group == inspect
}

// usable are the facts without what cannot be used.
func (f Facts) usable() Facts {
	ok, _, _ := check(f)
	return ok
}

// inspector is a job with its plan, and what was read of what was made of it.
type inspector struct {
	f      Facts // usable ones
	j      Job
	p      Plan
	folded ledger.Folded
}

func (in inspector) plan() InspectionPlan {
	p := InspectionPlan{Cautions: inspectCautions, Rows: []CheckRow{}, Gauges: []GaugeCheck{}, Open: []OpenCheck{}, Findings: []Finding{}}
	for i, t := range in.j.Tubes {
		in.pieces(&p, in.p.Tubes[i])
		in.lengths(&p, t, in.p.Tubes[i])
	}
	for _, c := range in.j.Collectors {
		in.poses(&p, c)
	}
	for _, k := range in.j.Banks {
		in.flatness(&p, k)
	}
	for _, k := range in.j.Banks {
		in.bolts(&p, k)
	}
	p.Spread = in.spread(p)
	in.gauges(&p)
	in.leak(&p)
	for i := range p.Rows {
		if p.Rows[i].Disputed == nil {
			p.Rows[i].Disputed, p.Rows[i].Readings = []string{}, []CheckReading{}
		}
	}
	inOrder(p.Rows, func(r CheckRow) string { return r.At })
	inOrder(p.Open, func(o OpenCheck) string { return o.At })
	return p
}

// inOrder puts what is read first in front, and leaves the rest as it stands.
func inOrder[T any](list []T, at func(T) string) {
	var sorted []T
	for _, when := range []string{asCut, asTacked, asWelded, asFitted} {
		for _, v := range list {
			if at(v) == when {
				sorted = append(sorted, v)
			}
		}
	}
	copy(list, sorted)
}

// row adds a figure that was read at the slots, against what was planned.
func (in inspector) row(p *InspectionPlan, r CheckRow, planned, read, within Opt[float64], slots ...string) {
	r.Slot = slots[0]
	r.said = slots
	if planned.Known {
		r.Planned = num(planned.V)
	}
	if within.Known {
		r.Tolerance = num(within.V)
	} else {
		r.Grade = ""
	}
	r.Read = num(read.V)
	if planned.Known {
		off := read.V - planned.V
		r.Off = num(off)
		if within.Known {
			r.OK = yes(math.Abs(off) <= within.V+slack.MM())
		}
	}
	r.By, r.When, r.With = in.said(slots)
	p.Rows = append(p.Rows, r)
}

func yes(is bool) *bool { return &is }

// said is who entered the last of some slots in use, when and with which tool.
func (in inspector) said(slots []string) (by, when, with string) {
	latest := ""
	for _, slot := range slots {
		if h, used := inUse(in.folded.Slots[slot]); used && h.HLC > latest {
			latest, by, when, with = h.HLC, h.Person, h.At, h.Tool
		}
	}
	return by, when, with
}

// open notes what is not read yet.
func (in inspector) open(p *InspectionPlan, at, what, kind, id, field, name string) {
	p.Open = append(p.Open, OpenCheck{What: what, On: id, Name: name, At: at, Slot: Slot(kind, id, field), Label: fieldOf(kind, field).Label})
}

// pieces are what was cut, against the plan.
func (in inspector) pieces(p *InspectionPlan, tp TubePlan) {
	known := func(o *out) Opt[float64] {
		if o == nil {
			return Opt[float64]{}
		}
		return Opt[float64]{float64(*o), true}
	}
	within := func(v float64) Opt[float64] { return Opt[float64]{v, true} }
	for _, pc := range tp.Pieces {
		name := "Piece " + pc.Name
		row := func(at, what, unit, grade, field string, planned, read *out, limit float64) {
			in.row(p, CheckRow{What: what, On: pc.ID, Name: name, At: at, Unit: unit, Grade: grade}, known(planned), known(read), within(limit), Slot("element", pc.Element, field))
		}
		if c := pc.AsCut; c != nil {
			if c.Angle != nil {
				row(asCut, "angle", "°", memory, "cut_turn", pc.Angle, c.Angle, cutWithin.Deg())
			}
			if c.CLR != nil {
				row(asCut, "clr", "mm", ownChoice, "cut_clr", pc.CLR, c.CLR, clrWithin.MM())
			}
			if c.Length != nil && pc.Angle == nil {
				row(asCut, "length", "mm", ownChoice, "cut_length", &pc.Length, c.Length, lengthWithin.MM())
			}
		}
		if pc.AsClocked != nil {
			turned := num(float64(*pc.Rotation) + float64(*pc.ClockOff)) // within half a turn of what was planned
			row(asTacked, "clock", "°", ownChoice, "clocked", pc.Rotation, turned, clockWithin.Deg())
		}
	}
}

// lengths are those of a tube, against its path as planned, within the target's tolerance.
func (in inspector) lengths(p *InspectionPlan, t Tube, tp TubePlan) {
	if tp.Centreline == nil {
		return
	}
	tol := in.j.Target.Tolerance
	for _, when := range moments[:2] {
		field := "length_" + when.word
		read := in.f.length("tube", t.ID, field)
		if !read.Known {
			in.open(p, when.at, "length", "tube", t.ID, field, t.Title)
			continue
		}
		r := CheckRow{What: "length", On: t.ID, Name: t.Title, At: when.at, Unit: "mm", Grade: given}
		if wanted, known := in.j.wanted(); known {
			r.Target = num(wanted.MM())
		}
		in.row(p, r, Opt[float64]{float64(*tp.Centreline), true}, Opt[float64]{read.V.MM(), true}, Opt[float64]{tol.V.MM(), tol.Known}, Slot("tube", t.ID, field))
	}
}

// poses are where a collector was found and where it aims, in its own frame.
func (in inspector) poses(p *InspectionPlan, c Collector) {
	if !c.Pose.Known {
		return
	}
	b := builder{f: in.f, unusable: map[string]bool{}}
	zero := Opt[float64]{0, true}
	for _, when := range moments[:2] {
		at, tip := b.place("collector", c.ID, when.word+"_"), b.place("collector", c.ID, when.word+"_tip_")
		slots, tips := axes("collector", c.ID, when.word+"_"), axes("collector", c.ID, when.word+"_tip_")
		if !at.Known {
			in.open(p, when.at, "position", "collector", c.ID, when.word+"_x", c.Title)
		} else {
			d := at.V.Sub(c.Pose.V.O)
			r := CheckRow{What: "position", On: c.ID, Name: c.Title, At: when.at, Unit: "mm", Grade: ownChoice, Places: &CheckPlaces{point(c.Pose.V.O), point(at.V), point(d)}}
			in.row(p, r, zero, Opt[float64]{d.Norm(), true}, Opt[float64]{route.UsualWithin.MM(), true}, slots...)
		}
		if !tip.Known {
			in.open(p, when.at, "aim", "collector", c.ID, when.word+"_tip_x", c.Title)
		}
		if !at.Known || !tip.Known {
			continue
		}
		aim, ok := tip.V.Sub(at.V).Unit()
		if !ok || units.Length(tip.V.Sub(at.V).Norm()) < 1 {
			continue // no direction: findings say so
		}
		r := CheckRow{What: "aim", On: c.ID, Name: c.Title, At: when.at, Unit: "°", Grade: ownChoice, Places: &CheckPlaces{point(c.Pose.V.T), point(aim), point(aim.Sub(c.Pose.V.T))}}
		in.row(p, r, zero, Opt[float64]{units.Angle(aim.Angle(c.Pose.V.T)).Deg(), true}, Opt[float64]{route.UsualAimWithin.Deg(), true}, slices.Concat(tips, slots)...)
	}
}

func axes(kind, id, prefix string) []string {
	return []string{Slot(kind, id, prefix+"x"), Slot(kind, id, prefix+"y"), Slot(kind, id, prefix+"z")}
}

// tip is the distance of a collector's two points; known when both were read.
func (in inspector) tip(id, word string) Opt[units.Length] {
	b := builder{f: in.f, unusable: map[string]bool{}}
	at, tip := b.place("collector", id, word+"_"), b.place("collector", id, word+"_tip_")
	return Opt[units.Length]{units.Length(tip.V.Sub(at.V).Norm()), at.Known && tip.Known}
}

// flatness is how far a bank's flange is out of flat.
func (in inspector) flatness(p *InspectionPlan, k Bank) {
	for _, when := range moments[:2] {
		for _, of := range []struct {
			what, field string
			limit       units.Length
			isAsked     bool
		}{
			{"flatness", "flat_" + when.word, flatWithin, true},
			{"flatness-pair", "flat_pair_" + when.word, flatPairWithin, len(k.Ports) > 1},
		} {
			read := in.f.length("bank", k.ID, of.field)
			if !read.Known {
				if of.isAsked {
					in.open(p, when.at, of.what, "bank", k.ID, of.field, "Bank "+k.ID)
				}
				continue
			}
			in.row(p, CheckRow{What: of.what, On: k.ID, Name: "Bank " + k.ID, At: when.at, Unit: "mm", Grade: memory},
				Opt[float64]{0, true}, Opt[float64]{read.V.MM(), true}, Opt[float64]{of.limit.MM(), true}, Slot("bank", k.ID, of.field))
		}
	}
}

// bolts are those that were started by hand when the header was fitted.
func (in inspector) bolts(p *InspectionPlan, k Bank) {
	for _, b := range k.Bolts {
		slot := Slot("bolt", b.ID, "starts")
		said := in.f.word("bolt", b.ID, "starts")
		name := b.Title
		if len(in.j.Banks) > 1 {
			name += " of bank " + k.ID
		}
		if said == "" {
			in.open(p, asFitted, "bolt", "bolt", b.ID, "starts", name)
			continue
		}
		r := CheckRow{What: "bolt", On: b.ID, Name: name, At: asFitted, Grade: seen, OK: yes(said == "yes"), said: []string{slot}}
		r.Slot = slot
		r.By, r.When, r.With = in.said(r.said)
		p.Rows = append(p.Rows, r)
	}
}

// spread is longest less shortest of the tubes that were read.
func (in inspector) spread(p InspectionPlan) CheckSpread {
	s := CheckSpread{Planned: in.p.Spread, Disputed: []string{}}
	if tol := in.j.Target.Tolerance; tol.Known {
		s.Limit = num(2 * tol.V.MM())
	}
	of := func(at string) *out {
		low, high, n := math.Inf(1), math.Inf(-1), 0
		for _, r := range p.Rows {
			if r.What == "length" && r.At == at {
				low, high, n = min(low, float64(*r.Read)), max(high, float64(*r.Read)), n+1
			}
		}
		if n < 2 {
			return nil
		}
		return num(high - low)
	}
	s.Tacked, s.Welded = of(asTacked), of(asWelded)
	return s
}

// leak is the leak test, which is one of the points at which a job is held.
func (in inspector) leak(p *InspectionPlan) {
	const kind = "hold"
	slot := Slot(kind, Self, "leak_test")
	p.Leak = LeakCheck{Test: in.f.word(kind, Self, "leak_test"), Method: in.f.word(kind, Self, "leak_method"), checkSaid: checkSaid{Slot: slot}}
	if field := fieldOf(kind, "leak_method"); field.isNote() {
		p.Leak.Method = in.f.Notes[Slot(kind, Self, "leak_method")]
	}
	if field, pressure := fieldOf(kind, "leak_pressure"), in.f.number(kind, Self, "leak_pressure"); pressure.Known {
		p.Leak.Pressure, p.Leak.Unit = num(pressure.V), field.Unit
	}
	switch p.Leak.Test {
	case "passed", "failed":
		p.Leak.OK = yes(p.Leak.Test == "passed")
		p.Leak.By, p.Leak.When, p.Leak.With = in.said([]string{slot})
	default:
		in.open(p, asWelded, "leak", kind, Self, "leak_test", "Leak test")
	}
}

// slipOf reads a signed figure of mm for a sentence.
func slipOf(v float64) string {
	if v < 0 {
		return say(units.Length(-v)) + " short"
	}
	return say(units.Length(v)) + " long"
}

// places of a row say where a part lies off, for a sentence.
func (c CheckPlaces) off() string {
	d := geom.Vec(c.Off)
	return "x " + signedMM(d.X) + ", y " + signedMM(d.Y) + ", z " + signedMM(d.Z) + " mm"
}

func signedMM(v float64) string {
	text := strconv.FormatFloat(math.Abs(v), 'f', 2, 64)
	if v < 0 && text != "0.00" {
		return "−" + text
	}
	return "+" + text
}
