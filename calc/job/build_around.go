package job

import (
	"fmt"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// around builds what the tubes must reach and clear. What is not all there yet is
// left open; what is asked for stands in the list of what is to be entered.
func (b *builder) around(j *Job) {
	f := b.f
	for _, e := range f.Lists["collector"] {
		j.Collectors = append(j.Collectors, b.collector(e.ID))
	}
	for _, e := range f.Lists["tie"] {
		t := Tie{ID: e.ID, Title: f.title("tie", e.ID), A: f.word("tie", e.ID, "a"), B: f.word("tie", e.ID, "b"), InA: b.place("tie", e.ID, "a"), InB: b.place("tie", e.ID, "b")}
		if t.A != "" && t.A == t.B {
			b.refuse("tie", e.ID, "b", "the second frame has to be another one than the first")
			continue
		}
		j.Ties = append(j.Ties, t)
	}
	for _, e := range f.Lists["point"] {
		j.Points = append(j.Points, b.point(e.ID))
	}
	for _, e := range f.Lists["neighbour"] {
		j.Neighbours = append(j.Neighbours, b.neighbour(e.ID))
	}
	for _, e := range f.Lists["tool"] {
		j.Tools = append(j.Tools, Tool{ID: e.ID, Title: f.title("tool", e.ID), OD: f.length("tool", e.ID, "od"), Length: f.length("tool", e.ID, "length")})
	}
}

// mouths checks that each tube has a socket of its own collector, and to itself.
func (b *builder) mouths(j Job) {
	taken := map[string]string{}
	for _, t := range j.Tubes {
		for _, c := range j.Collectors {
			if c.ID != t.Collector || t.Socket == 0 {
				continue
			}
			if c.Sockets > 0 && t.Socket > c.Sockets {
				b.refuseWithin("tube", t.ID, "socket", 1, float64(c.Sockets), "the collector has no such socket")
				continue
			}
			mouth := fmt.Sprintf("%s/%d", c.ID, t.Socket)
			if first := taken[mouth]; first != "" {
				b.refuseWithin("tube", t.ID, "socket", 1, float64(c.Sockets), first+" ends in it already")
				continue
			}
			taken[mouth] = t.Title
		}
	}
}

// frame returns the frame that an entity names, the first bank's where it names none.
func (b *builder) frame(kind, id string) string {
	if word := b.f.word(kind, id, "frame"); word != "" {
		return word
	}
	return b.root()
}

func (b *builder) root() string {
	if banks := b.f.Lists["bank"]; len(banks) > 0 {
		return banks[0].ID
	}
	return ""
}

// place reads three coordinates; it is known when all three are.
func (b *builder) place(kind, id, prefix string) Opt[geom.Vec] {
	x, y, z := b.f.length(kind, id, prefix+"x"), b.f.length(kind, id, prefix+"y"), b.f.length(kind, id, prefix+"z")
	return Opt[geom.Vec]{geom.Vec{X: x.V.MM(), Y: y.V.MM(), Z: z.V.MM()}, x.Known && y.Known && z.Known}
}

// heading reads three parts of a direction and returns it with unit length. It is
// known when all three are entered and say a direction.
func (b *builder) heading(kind, id, prefix string) Opt[geom.Vec] {
	x, y, z := b.f.number(kind, id, prefix+"x"), b.f.number(kind, id, prefix+"y"), b.f.number(kind, id, prefix+"z")
	if !x.Known || !y.Known || !z.Known {
		return Opt[geom.Vec]{}
	}
	v := geom.Vec{X: x.V, Y: y.V, Z: z.V}
	unit, ok := v.Unit()
	if !ok || v.Norm() < shortestAim {
		b.refuse(kind, id, prefix+"z", "the three parts are too small to say a direction; along z it is 0, 0, 1")
		return Opt[geom.Vec]{}
	}
	return Opt[geom.Vec]{unit, true}
}

func (b *builder) collector(id string) Collector {
	f, k := b.f, "collector"
	c := Collector{
		ID: id, Title: f.title(k, id), Frame: b.frame(k, id), Nest: f.word(k, id, "nest"),
		Sockets:  int(f.number(k, id, "sockets").V),
		SocketID: f.length(k, id, "socket_id"), SocketDepth: f.length(k, id, "socket_depth"),
		Pitch: f.length(k, id, "pitch"), OutletOD: b.orDecided(k, id, "outlet_od"),
	}
	at, axis := b.place(k, id, "at_"), b.heading(k, id, "axis_")
	if !at.Known || !axis.Known {
		return c
	}
	pose, err := geom.NewFrame(at.V, axis.V, geom.Vec{Y: 1})
	if err != nil { // it flows along y, which then says nothing of the roll
		pose, err = geom.NewFrame(at.V, axis.V, geom.Vec{Z: 1})
	}
	if err == nil {
		c.Pose = Opt[geom.Frame]{pose.Turn(float64(f.angle(k, id, "roll").V)), true}
	}
	return c
}

func (b *builder) point(id string) Point {
	f := b.f
	sigma := f.length("point", id, "sigma")
	p := Point{ID: id, Title: f.title("point", id), Frame: b.frame("point", id), Side: f.word("point", id, "side"), Sigma: sigma.Or(usualTape), At: b.place("point", id, "")}
	for _, e := range f.in("tape", id) {
		from := f.word("tape", e.ID, "from")
		if from == id {
			b.refuse("tape", e.ID, "from", "a point cannot be taped from itself")
			continue
		}
		p.Tapes = append(p.Tapes, Tape{ID: e.ID, From: from, Distance: f.length("tape", e.ID, "distance")})
	}
	return p
}

// What is taken where nothing was entered. Own choices: a tape read to the
// millimetre, and a mock-up measured with one.
const (
	usualTape   = 1 * units.Millimetre
	usualSurvey = 1 * units.Millimetre
)

func (b *builder) neighbour(id string) Neighbour {
	f, k := b.f, "neighbour"
	n := Neighbour{ID: id, Title: f.title(k, id), What: f.word(k, id, "what"), Frame: b.frame(k, id), Gap: f.length(k, id, "gap")}
	switch f.word(k, id, "fixed_to") {
	case "engine":
		n.OnEngine = true
	case "":
		n.OnEngine = slices.Contains(onEngine, n.What)
	}
	b.motion(&n)
	for _, e := range f.in("part", id) {
		if p, open := b.part(e.ID); len(open) > 0 {
			n.Open = append(n.Open, open...)
		} else {
			n.Parts = append(n.Parts, p)
		}
	}
	return n
}

// onEngine are kinds of neighbours that are usually fixed to the engine.
var onEngine = []string{"starter", "plug boot", "dipstick or filter"}

func (b *builder) motion(n *Neighbour) {
	f, k := b.f, "neighbour"
	word := f.word(k, n.ID, "moves")
	if word != "turns" && word != "slides" {
		return
	}
	axis := b.heading(k, n.ID, "axis_")
	m := Motion{Turns: word == "turns", Axis: axis.V}
	low, high := "slide_low", "slide_high"
	var from, to Opt[float64]
	whole := axis.Known
	if m.Turns {
		at := b.place(k, n.ID, "axis_at_")
		m.At, whole = at.V, whole && at.Known
		low, high = "turn_low", "turn_high"
		a, z := f.angle(k, n.ID, low), f.angle(k, n.ID, high)
		from, to = Opt[float64]{float64(a.V), a.Known}, Opt[float64]{float64(z.V), z.Known}
	} else {
		a, z := f.length(k, n.ID, low), f.length(k, n.ID, high)
		from, to = Opt[float64]{a.V.MM(), a.Known}, Opt[float64]{z.V.MM(), z.Known}
	}
	m.Low, m.High = from.V, to.V
	switch {
	case !whole || !from.Known || !to.Known:
		n.Open = append(n.Open, Slot(k, n.ID, "moves"))
	case m.High < m.Low:
		b.refuse(k, n.ID, high, "it has to be at least as much as where the movement begins")
		n.Open = append(n.Open, Slot(k, n.ID, high))
	default:
		n.Motion = Opt[Motion]{m, true}
	}
}

// part builds one shape. open lists what it lacks.
func (b *builder) part(id string) (p Part, open []string) {
	f, k := b.f, "part"
	need := func(field string, known bool) {
		if !known {
			open = append(open, Slot(k, id, field))
		}
	}
	spot := func(named, prefix string) Spot {
		s := Spot{Point: f.word(k, id, named)}
		at := b.place(k, id, prefix)
		s.At = at.V
		need(prefix+"x", s.Point != "" || at.Known)
		return s
	}
	p = Part{ID: id, Shape: f.word(k, id, "shape"), X: geom.Vec{X: 1}, Y: geom.Vec{Y: 1}}
	need("shape", p.Shape != "")
	radius := f.length(k, id, "radius")
	p.Radius = radius.V.MM()
	switch p.Shape {
	case "sphere":
		p.At = spot("point", "")
		need("radius", radius.Known)
	case "rod":
		p.At, p.To = spot("point", ""), spot("to_point", "to_")
		need("radius", radius.Known)
	case "box":
		p.At = spot("point", "")
		size := b.place(k, id, "size_")
		p.Size = size.V
		need("size_x", size.Known)
		b.boxAxes(&p)
	case "plane":
		p.At = spot("point", "")
		out := b.heading(k, id, "dir_")
		p.X = out.V
		need("dir_x", out.Known)
	case "sleeve":
		need("radius", radius.Known)
		open = append(open, b.corners(&p)...)
	}
	return p, open
}

// boxAxes sets the box's own axes: its x as entered, its y square to that, as near
// to what was entered as can be.
func (b *builder) boxAxes(p *Part) {
	if x := b.heading("part", p.ID, "dir_"); x.Known {
		p.X = x.V
	}
	y := geom.Vec{Y: 1}
	if up := b.heading("part", p.ID, "up_"); up.Known {
		y = up.V
	}
	axes, err := geom.NewFrame(geom.Vec{}, p.X, y)
	if err != nil { // its x is along the frame's y
		axes, _ = geom.NewFrame(geom.Vec{}, p.X, geom.Vec{X: 1})
	}
	p.Y = axes.N
}

func (b *builder) corners(p *Part) (open []string) {
	list := b.f.in("corner", p.ID)
	for _, e := range list {
		s := Spot{Point: b.f.word("corner", e.ID, "point")}
		at := b.place("corner", e.ID, "")
		s.At = at.V
		if s.Point == "" && !at.Known {
			open = append(open, Slot("corner", e.ID, "x"))
			continue
		}
		p.Corners = append(p.Corners, s)
	}
	if len(list) == 0 {
		open = append(open, Slot("part", p.ID, "shape"))
	}
	return open
}

func (b *builder) plugs(bank string) []Plug {
	f := b.f
	var ps []Plug
	for _, e := range f.in("plug", bank) {
		ps = append(ps, Plug{ID: e.ID, Title: f.title("plug", e.ID), At: b.place("plug", e.ID, ""), Out: b.heading("plug", e.ID, "dir_"),
			OD: f.length("plug", e.ID, "od"), Withdraw: f.length("plug", e.ID, "withdraw")})
	}
	return ps
}

// mockUp reads what was measured of a tube's mock-up.
func (b *builder) mockUp(t *Tube) {
	f := b.f
	sigma := f.length("tube", t.ID, "survey_sigma")
	t.SurveySigma = sigma.Or(usualSurvey)
	for _, e := range f.in("mark", t.ID) {
		at, on := b.place("mark", e.ID, ""), f.number("mark", e.ID, "straight")
		if at.Known && on.Known {
			t.Marks = append(t.Marks, Mark{ID: e.ID, Straight: int(on.V), At: at.V})
		}
	}
	for _, e := range f.in("crook", t.ID) {
		clr, after := f.length("crook", e.ID, "clr"), f.number("crook", e.ID, "after")
		if clr.Known && after.Known {
			t.Crooks = append(t.Crooks, Crook{ID: e.ID, After: int(after.V), CLR: clr.V, Crown: b.place("crook", e.ID, "crown_")})
		}
	}
	length, turn, rotation := f.length("tube", t.ID, "trust_length"), f.angle("tube", t.ID, "trust_turn"), f.angle("tube", t.ID, "trust_rotation")
	t.Trust = Opt[Trust]{Trust{length.V, turn.V, rotation.V}, length.Known && turn.Known && rotation.Known}
}
