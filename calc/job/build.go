package job

import (
	"fmt"
	"slices"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
)

// build makes the typed job of checked facts. What does not go together (a
// corner radius larger than half the port, a bend tighter than its tube) is
// returned as faults, and the part it concerns is left out.
//
// unusable holds the slots whose values were refused already: what hangs on them
// is left out without a second fault.
func build(f Facts, unusable map[string]bool) (Job, []Fault) {
	b := builder{f: f, unusable: unusable, elsewhere: map[string]string{}}
	j := Job{Notes: b.notes(), Engine: b.engine(), Target: b.target(), Shop: b.shop(), elsewhere: b.elsewhere}
	for _, e := range f.Lists["bank"] {
		j.Banks = append(j.Banks, b.bank(e.ID))
	}
	for _, e := range f.Lists["tube"] {
		j.Tubes = append(j.Tubes, b.tube(e))
	}
	j.Stock = slices.Concat(b.stock(), f.Shared.Stock)
	b.prints(&j)
	b.around(&j)
	j.Besides, j.TubeHot = b.besides(), f.number("sizing", Self, "tube_hot")
	j.Slips, j.Sensors = b.slips(), b.sensors()
	j.Fixture = b.fixture()
	j.Weld = b.welding()
	b.intervals(&j.Engine)
	b.mouths(j)
	b.cylinders(j)
	return j, b.faults
}

type builder struct {
	f        Facts
	unusable map[string]bool
	faults   []Fault

	elsewhere map[string]string // as in Job
}

// refuse notes that a value cannot be used beside the others, with the range of
// its own field.
func (b *builder) refuse(kind, id, name, why string) {
	field := fieldOf(kind, name)
	b.refuseWithin(kind, id, name, field.Low, field.High, why)
}

// refuseWithin does the same where the others leave another range.
func (b *builder) refuseWithin(kind, id, name string, low, high float64, why string) {
	slot := Slot(kind, id, name)
	v := b.f.Values[slot]
	field := fieldOf(kind, name)
	f := refuseWord(field, v, why)
	if field.Quantity != WordQ {
		f = &fault.Field{Name: field.Label, Text: v.Text, Got: field.read(v), Unit: field.Unit, Low: low, High: high, Why: why}
	}
	f.Where = b.f.where(kind, id, v)
	b.faults = append(b.faults, Fault{Slot: slot, Field: f})
}

func (b *builder) notes() Notes {
	n := func(field string) string { return b.f.Notes[Slot("job", Self, field)] }
	stage := n("stage")
	if stage == "" {
		stage = Stages[0]
	}
	return Notes{n("name"), n("customer"), n("use"), n("due"), stage, n("blocked")}
}

func (b *builder) engine() Engine {
	f, k := b.f, "engine"
	order, _ := firingOrder(f.word(k, Self, "firing_order"))
	intervals, _ := firingIntervals(f.word(k, Self, "firing_intervals"))
	return Engine{
		Cylinders:   f.number(k, Self, "cylinders"),
		Bore:        f.length(k, Self, "bore"),
		Stroke:      f.length(k, Self, "stroke"),
		Rod:         f.length(k, Self, "rod"),
		FiringOrder: order,
		Numbering:   f.word(k, Self, "numbering"),
		TorqueRPM:   f.number(k, Self, "peak_torque_rpm"),
		PowerRPM:    f.number(k, Self, "peak_power_rpm"),
		OpensBBDC:   f.angle(k, Self, "exhaust_opens_bbdc"),
		ClosesATDC:  f.angle(k, Self, "exhaust_closes_atdc"),
		ValveToFace: f.length(k, Self, "valve_to_face"),
		Roll:        f.angle(k, Self, "roll"),
		RollY:       f.length(k, Self, "roll_y"),
		RollZ:       f.length(k, Self, "roll_z"),

		Compression:     f.number(k, Self, "compression"),
		FiringIntervals: intervals,
		ExhaustValves:   f.number(k, Self, "exhaust_valves"),
		Throat:          f.length(k, Self, "throat"),
	}
}

func (b *builder) target() Target {
	return Target{
		Length:    b.f.length("target", Self, "length"),
		From:      b.f.word("target", Self, "from"),
		Tolerance: b.f.length("target", Self, "tolerance"),
		Gap:       b.f.length("target", Self, "gap"),
		Style:     b.f.word("target", Self, "style"),
		Sets:      int(b.f.number("target", Self, "sets").Or(1)),
		Decided:   b.decision(),
	}
}

func (b *builder) shop() Shop {
	own, usual := b.f.ownShop(), b.f.Shared.Shop
	return Shop{Kerf: own.Kerf.orElse(usual.Kerf), Facing: own.Facing.orElse(usual.Facing),
		LeastPiece: own.LeastPiece.orElse(usual.LeastPiece), LeastOffcut: own.LeastOffcut.orElse(usual.LeastOffcut)}
}

func (b *builder) bank(id string) Bank {
	f := b.f
	k := Bank{
		ID:        id,
		Thickness: f.length("bank", id, "thickness"),
		Material:  f.word("bank", id, "material"),
		Datum:     f.word("bank", id, "datum"),
		Along:     f.word("bank", id, "along"),
	}
	if k.Datum != "" && k.Datum == k.Along {
		b.refuse("bank", id, "along", "the second bolt hole has to be another one than the datum")
	}
	for _, e := range f.in("bolt", id) {
		k.Bolts = append(k.Bolts, Bolt{e.ID, f.title("bolt", e.ID), f.length("bolt", e.ID, "x"), f.length("bolt", e.ID, "y"), f.length("bolt", e.ID, "hole")})
	}
	for _, e := range f.in("port", id) {
		k.Ports = append(k.Ports, b.port(id, e.ID))
	}
	k.Plugs, k.Making, k.Patterns = b.plugs(id), b.making(id), b.patterns(id)
	return k
}

func (b *builder) port(bank, id string) Port {
	f := b.f
	p := Port{
		ID: id, Bank: bank, Title: f.title("port", id),
		Cylinder: f.number("port", id, "cylinder"),
		X:        f.length("port", id, "x"),
		Y:        f.length("port", id, "y"),
		Shape:    f.word("port", id, "shape"),
	}
	p.Aim = b.aim(id)
	p.Outline, p.Rim = b.outline("port", id, p.Shape), b.rim("port", id)
	p.Turn = f.angle("port", id, "turn").V
	return p
}

// shortestAim is the least length of the three parts of an aim together. They are
// kept to a millionth, so that the direction of a shorter one would be rounded by
// more than 0.006°.
const shortestAim = 0.01

// aim returns the direction in which gas leaves a port: straight out where none was
// entered, no direction at all where one cannot be used.
func (b *builder) aim(id string) geom.Vec {
	var parts [3]float64
	entered := false
	for i, name := range []string{"aim_x", "aim_y", "aim_z"} {
		if b.unusable[Slot("port", id, name)] {
			return geom.Vec{}
		}
		part := b.f.number("port", id, name)
		parts[i], entered = part.V, entered || part.Known
	}
	if !entered {
		return geom.Vec{Z: 1}
	}
	aim := geom.Vec{X: parts[0], Y: parts[1], Z: parts[2]}
	unit, ok := aim.Unit()
	switch {
	case !ok || aim.Norm() < shortestAim:
		b.refuse("port", id, "aim_z", "the three parts of the aim are too small to say a direction; straight out is 0, 0, 1")
		return geom.Vec{}
	case unit.Z <= 0:
		b.refuse("port", id, "aim_z", "gas leaves the port out of the head, so this part has to be above zero")
		return geom.Vec{}
	}
	return unit
}

func (b *builder) tube(e Entity) Tube {
	f, id := b.f, e.ID
	t := Tube{
		ID:       id,
		Title:    f.title("tube", id),
		Number:   f.numberOf("tube", e),
		Port:     f.word("tube", id, "port"),
		OD:       b.orDecided("tube", id, "od"),
		Wall:     b.orDecided("tube", id, "wall"),
		Material: f.word("tube", id, "material"),

		Collector: f.word("tube", id, "collector"),
		Socket:    int(f.number("tube", id, "socket").V),

		Transition: f.length("tube", id, "transition"),
	}
	b.mockUp(&t)
	for _, e := range f.in("element", id) {
		el, open := b.element(e.ID)
		t.Path = append(t.Path, el)
		t.Open = append(t.Open, open...)
	}
	b.made(&t)
	half := t.OD.V.MM() / 2
	t.Wall = b.wallWithin("tube", id, "od", "wall", t.OD, t.Wall)
	for _, el := range t.Path {
		if t.OD.Known && el.Bend != nil && !slices.Contains(t.Open, Slot("element", el.ID, "clr")) && el.Bend.Radius.MM() <= half {
			b.refuseWithin("element", el.ID, "clr", half, fieldOf("element", "clr").High, "it has to be more than half the OD, or the inside of the bend has no radius left")
			t.Open = append(t.Open, Slot("element", el.ID, "clr"))
		}
	}
	return t
}

func (b *builder) element(id string) (el tube.Element, open []string) {
	f := b.f
	need := func(field string, known bool) {
		if !known {
			open = append(open, Slot("element", id, field))
		}
	}
	el.ID, el.Number = id, b.pieceNumber(id)
	switch f.word("element", id, "type") {
	case "straight":
		l := f.length("element", id, "length")
		need("length", l.Known)
		el.Straight = l.V
	case "bend":
		turn, clr, rot := f.angle("element", id, "turn"), f.length("element", id, "clr"), f.angle("element", id, "rotation")
		need("turn", turn.Known)
		need("clr", clr.Known)
		need("rotation", rot.Known)
		el.Bend = &tube.Bend{Turn: turn.V, Radius: clr.V, Rotation: rot.V}
	default:
		need("type", false)
	}
	return el, open
}

// cylinders checks what only shows when engine and ports are seen together.
func (b *builder) cylinders(j Job) {
	n := j.Engine.Cylinders
	if !n.Known {
		return
	}
	order := j.Engine.FiringOrder
	if len(order) > 0 && (float64(len(order)) != n.V || float64(slices.Max(order)) > n.V) {
		b.refuse("engine", Self, "firing_order", fmt.Sprintf("it has to name each cylinder from 1 to %g once", n.V))
	}
	for _, k := range j.Banks {
		for _, p := range k.Ports {
			if p.Cylinder.Known && p.Cylinder.V > n.V {
				b.refuseWithin("port", p.ID, "cylinder", 1, n.V, "the engine has no such cylinder")
			}
		}
	}
}
