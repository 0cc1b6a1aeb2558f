package job

import (
	"strconv"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

// orDecided reads a length that counts as another slot says where it is left open: its
// field's Else. What was entered and cannot be used is no open one.
func (b *builder) orDecided(kind, id, name string) Opt[units.Length] {
	own := b.f.length(kind, id, name)
	if own.Known || b.unusable[Slot(kind, id, name)] {
		return own
	}
	other := fieldOf(kind, name).Else
	if v, known := b.f.Values[other]; known && !b.unusable[other] {
		b.elsewhere[Slot(kind, id, name)] = other
		return Opt[units.Length]{units.LengthNM(v.V), true}
	}
	return own
}

// isLeftOpen tells whether nothing was entered for a slot.
func (b *builder) isLeftOpen(kind, id, name string) bool {
	_, entered := b.f.Values[Slot(kind, id, name)]
	return !entered
}

func (b *builder) decision() Decision {
	f, k := b.f, "target"
	d := Decision{
		OD: f.length(k, Self, "od"), Wall: f.length(k, Self, "wall"),
		OutletOD: f.length(k, Self, "outlet_od"), CollectorLength: f.length(k, Self, "collector_length"),
		FirstLength: f.length(k, Self, "first_length"),
		SecondaryOD: f.length(k, Self, "secondary_od"), SecondaryWall: f.length(k, Self, "secondary_wall"),
		LengthBy: f.word(k, Self, "length_by"), BoreBy: f.word(k, Self, "bore_by"),
		LengthGave: f.length(k, Self, "length_rule_gave"), BoreGave: f.length(k, Self, "bore_rule_gave"),
		Reason: f.Notes[Slot(k, Self, "reason")], By: f.Decided.Person, At: f.Decided.At,
	}
	d.Wall = b.wallWithin(k, Self, "od", "wall", d.OD, d.Wall)
	d.SecondaryWall = b.wallWithin(k, Self, "secondary_od", "secondary_wall", d.SecondaryOD, d.SecondaryWall)
	return d
}

// wallWithin refuses a wall that leaves nothing inside. What hangs on it is left out.
func (b *builder) wallWithin(kind, id, odField, wallField string, od, wall Opt[units.Length]) Opt[units.Length] {
	half := od.V.MM() / 2
	if !od.Known || !wall.Known || wall.V.MM() < half {
		return wall
	}
	switch {
	case !b.isLeftOpen(kind, id, wallField):
		b.refuseWithin(kind, id, wallField, fieldOf(kind, wallField).Low, half, "it has to be less than half the OD, or nothing is left inside")
		b.unusable[Slot(kind, id, wallField)] = true
	case !b.isLeftOpen(kind, id, odField): // the wall is the decided one
		b.refuseWithin(kind, id, odField, 2*wall.V.MM(), fieldOf(kind, odField).High, "it has to be more than twice the wall, or nothing is left inside")
	}
	return Opt[units.Length]{V: wall.V}
}

// besides are the inputs of rules that a job has for them alone, in their units.
func (b *builder) besides() (in sizing.Inputs) {
	k, _ := KindOf("sizing")
	for i := range k.Fields {
		f := &k.Fields[i]
		v, known := b.f.Values[Slot("sizing", Self, f.Name)]
		if !known || f.Name == "tube_hot" {
			continue
		}
		switch key := sizing.Key(f.Name); f.Quantity {
		case LengthQ:
			in.SetLength(key, units.LengthNM(v.V))
		case AngleQ:
			in.SetAngle(key, units.Angle(f.read(v))*units.Degree)
		default:
			if f.Unit == "°C" {
				in.Set(key, kelvin(f.read(v)))
			} else {
				in.Set(key, f.read(v))
			}
		}
	}
	in.Fuel = b.f.word("engine", Self, "fuel")
	return in
}

func (b *builder) slips() (list []Slip) {
	f, k := b.f, "slip"
	side := func(id, which string) SlipTube {
		return SlipTube{f.length(k, id, which+"_od"), f.length(k, id, which+"_wall"), f.word(k, id, which+"_material"), f.number(k, id, which+"_hot")}
	}
	for _, e := range f.Lists[k] {
		s := Slip{e.ID, f.title(k, e.ID), side(e.ID, "outer"), side(e.ID, "inner")}
		s.Outer.Wall = b.wallWithin(k, e.ID, "outer_od", "outer_wall", s.Outer.OD, s.Outer.Wall)
		s.Inner.Wall = b.wallWithin(k, e.ID, "inner_od", "inner_wall", s.Inner.OD, s.Inner.Wall)
		list = append(list, s)
	}
	return list
}

func (b *builder) sensors() (list []Sensor) {
	f, k := b.f, "sensor"
	for _, e := range f.Lists[k] {
		list = append(list, Sensor{e.ID, f.title(k, e.ID), f.word(k, e.ID, "what"), f.word(k, e.ID, "on"),
			f.length(k, e.ID, "from_engine"), f.length(k, e.ID, "to_open_end"), f.length(k, e.ID, "to_joint"), f.length(k, e.ID, "pipe_id"), f.angle(k, e.ID, "above")})
	}
	return list
}

// intervals checks what only shows when order and intervals are seen together.
func (b *builder) intervals(e *Engine) {
	if len(e.FiringIntervals) == 0 || len(e.FiringOrder) == 0 {
		return
	}
	if len(e.FiringIntervals) != len(e.FiringOrder) || sumOff(e.FiringIntervals) {
		b.refuse("engine", Self, "firing_intervals", "there has to be one after each cylinder of the firing order, "+strconv.Itoa(len(e.FiringOrder))+" in all, and 720° together")
		e.FiringIntervals = nil
	}
}

// sumOff tells whether intervals are no whole cycle.
func sumOff(as []units.Angle) bool {
	sum := 0.0
	for _, a := range as {
		sum += a.Deg()
	}
	return !(sum >= 720-0.01*float64(len(as)) && sum <= 720+0.01*float64(len(as)))
}

// firingIntervals reads degrees with hyphens between them. why is empty when they can be
// used.
func firingIntervals(text string) (as []units.Angle, why string) {
	const sample = "write degrees from 0 to 720 with hyphens, one after each cylinder of the firing order, for example 270-450"
	for _, p := range strings.FieldsFunc(text, func(r rune) bool { return r == '-' || r == ',' || r == ' ' || r == '°' }) {
		deg, err := strconv.ParseFloat(p, 64)
		if err != nil || !(deg >= 0 && deg <= 720) {
			return nil, sample
		}
		as = append(as, units.Angle(deg)*units.Degree)
	}
	if len(as) == 0 {
		return nil, sample
	}
	return as, ""
}

// layout reads how cylinders are numbered: a word of the table, the cylinders of each bank
// with strokes between the banks, or the object of a job file, {"A": [1, 3], "B": [2, 4]}.
// The error is a *fault.Field.
func layout(text string, n int) (sizing.Layout, error) {
	l, err := sizing.LayoutOf(text, n)
	if err == nil {
		return l, nil
	}
	if strings.HasPrefix(text, "{") {
		l, err = layoutObject(text)
	} else if own, why := layoutList(text); why == "" {
		l, err = own, nil
	}
	if err != nil {
		return sizing.Layout{}, err
	}
	return l, l.Check(n)
}

func layoutList(text string) (l sizing.Layout, why string) {
	for bank := range strings.SplitSeq(text, "/") {
		order, why := firingOrder(bank)
		if why != "" {
			return l, why
		}
		l.Banks = append(l.Banks, sizing.Bank{Name: string(rune('A' + len(l.Banks))), Cylinders: order})
	}
	return l, ""
}

func layoutObject(text string) (l sizing.Layout, err error) {
	r := fileReader{}
	m := r.document([]byte(text))
	if m == nil {
		return l, r.errs[0]
	}
	for _, bank := range m.list {
		b := sizing.Bank{Name: bank.key}
		for _, raw := range r.array(bank.key, bank.raw) {
			cyl, err := strconv.Atoi(raw)
			if err != nil {
				return l, fault.Refuse(fieldOf("engine", "numbering").Label, "bank "+bank.key+" has no list of cylinder numbers")
			}
			b.Cylinders = append(b.Cylinders, cyl)
		}
		l.Banks = append(l.Banks, b)
	}
	if len(r.errs) > 0 {
		return l, r.errs[0]
	}
	return l, nil
}
