package job

import (
	"errors"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
)

// build makes the typed job of checked facts. What does not go together (a
// corner radius larger than half the port, a bend tighter than its tube) is
// returned as faults, and the part it concerns is left out.
func build(f Facts) (Job, []Fault) {
	b := builder{f: f}
	j := Job{Notes: b.notes(), Engine: b.engine(), Target: b.target(), Shop: b.shop()}
	for _, e := range f.Lists["bank"] {
		j.Banks = append(j.Banks, b.bank(e.ID))
	}
	for _, e := range f.Lists["tube"] {
		j.Tubes = append(j.Tubes, b.tube(e.ID))
	}
	b.cylinders(j)
	return j, b.faults
}

type builder struct {
	f      Facts
	faults []Fault
}

// refuse notes a fault that concerns a slot.
func (b *builder) refuse(kind, id, field string, err error) {
	slot := Slot(kind, id, field)
	v := b.f.Values[slot]
	k, _ := KindOf(kind)
	fd, _ := k.Field(field)
	var ff *fault.Field
	if !errors.As(err, &ff) {
		ff = fault.Refuse(fd.Label, err.Error())
		ff.Text = v.Text
	}
	ff.Where = b.f.where(kind, id, v)
	b.faults = append(b.faults, Fault{Slot: slot, Field: ff})
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
	}
}

func (b *builder) target() Target {
	return Target{
		Length:    b.f.length("target", Self, "length"),
		From:      b.f.word("target", Self, "from"),
		Tolerance: b.f.length("target", Self, "tolerance"),
		Style:     b.f.word("target", Self, "style"),
	}
}

func (b *builder) shop() Shop {
	return Shop{Kerf: b.f.length("shop", Self, "kerf"), Facing: b.f.length("shop", Self, "facing")}
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
		b.refuse("bank", id, "along", errors.New("the second bolt hole has to be another one than the datum"))
	}
	for _, e := range f.in("bolt", id) {
		k.Bolts = append(k.Bolts, Bolt{e.ID, f.length("bolt", e.ID, "x"), f.length("bolt", e.ID, "y"), f.length("bolt", e.ID, "hole")})
	}
	for _, e := range f.in("port", id) {
		k.Ports = append(k.Ports, b.port(id, e.ID))
	}
	return k
}

func (b *builder) port(bank, id string) Port {
	f := b.f
	p := Port{
		ID: id, Bank: bank,
		Cylinder: f.number("port", id, "cylinder"),
		X:        f.length("port", id, "x"),
		Y:        f.length("port", id, "y"),
		Aim:      geom.Vec{Z: 1},
		Shape:    f.word("port", id, "shape"),
	}
	ax, ay, az := f.number("port", id, "aim_x"), f.number("port", id, "aim_y"), f.number("port", id, "aim_z")
	if ax.Known || ay.Known || az.Known {
		aim, ok := geom.Vec{X: ax.V, Y: ay.V, Z: az.V}.Unit()
		switch {
		case !ok:
			b.refuse("port", id, "aim_z", errors.New("the three parts of the aim cannot all be zero"))
		case aim.Z <= 0:
			b.refuse("port", id, "aim_z", errors.New("gas leaves the port out of the head, so this part has to be above zero"))
		default:
			p.Aim = aim
		}
	}
	p.Outline = b.outline(id, p.Shape)
	return p
}

// outline makes a port's outline once all its dimensions are known.
func (b *builder) outline(id, shape string) *geom.Outline {
	of, known := shapes[shape]
	if !known {
		return nil
	}
	mm := make([]float64, len(of.dimensions))
	for i, name := range of.dimensions {
		d := b.f.length("port", id, name)
		if !d.Known {
			return nil
		}
		mm[i] = d.V.MM()
	}
	o, err := of.outline(mm)
	if err != nil {
		b.refuse("port", id, of.blame, errors.New(strings.TrimPrefix(err.Error(), "geom: ")))
		return nil
	}
	return &o
}

// shapes tells which dimensions each shape has, how its outline is made of them,
// and which one is named when they do not go together.
var shapes = map[string]struct {
	dimensions []string
	blame      string
	outline    func(mm []float64) (geom.Outline, error)
}{
	"round":     {[]string{"diameter"}, "diameter", func(d []float64) (geom.Outline, error) { return geom.Round(d[0]) }},
	"stadium":   {[]string{"width", "height"}, "width", func(d []float64) (geom.Outline, error) { return geom.Stadium(d[0], d[1]) }},
	"oval":      {[]string{"width", "height"}, "width", func(d []float64) (geom.Outline, error) { return geom.Oval(d[0], d[1]) }},
	"rectangle": {[]string{"width", "height", "corner"}, "corner", func(d []float64) (geom.Outline, error) { return geom.Rectangle(d[0], d[1], d[2]) }},
	"d":         {[]string{"radius", "flat", "corner"}, "corner", func(d []float64) (geom.Outline, error) { return geom.D(d[0], d[1], d[2]) }},
}

func (b *builder) tube(id string) Tube {
	f := b.f
	t := Tube{
		ID:       id,
		Port:     f.word("tube", id, "port"),
		OD:       f.length("tube", id, "od"),
		Wall:     f.length("tube", id, "wall"),
		Material: f.word("tube", id, "material"),
	}
	for _, e := range f.in("element", id) {
		el, open := b.element(e.ID)
		t.Path = append(t.Path, el)
		t.Open = append(t.Open, open...)
	}
	s, known := t.Section()
	if !known {
		return t
	}
	if err := s.Check(); err != nil {
		b.refuse("tube", id, "wall", err)
		t.Wall.Known = false
		return t
	}
	if len(t.Open) > 0 {
		return t
	}
	// Ranges hold already; what is left is a bend tighter than its tube allows.
	for i, el := range t.Path {
		if err := tube.Check(s, t.Path[i:i+1]); err != nil {
			field := "length"
			if el.Bend != nil {
				field = "clr"
			}
			b.refuse("element", el.ID, field, err)
			t.Open = append(t.Open, Slot("element", el.ID, field))
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
	el.ID = id
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
	if n := j.Engine.Cylinders; n.Known {
		if o := j.Engine.FiringOrder; len(o) > 0 && float64(len(o)) != n.V {
			b.refuse("engine", Self, "firing_order", errors.New("it has to name each cylinder of the engine once"))
		}
		for _, k := range j.Banks {
			for _, p := range k.Ports {
				if p.Cylinder.Known && p.Cylinder.V > n.V {
					b.refuse("port", p.ID, "cylinder", &fault.Field{Name: "Cylinder", Got: p.Cylinder.V, Text: b.f.word("port", p.ID, "cylinder"), Low: 1, High: n.V})
				}
			}
		}
	}
}
