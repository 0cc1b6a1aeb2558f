package job

import (
	"fmt"
	"slices"
	"strings"

	"tubewright/calc/geom"
)

func (b *builder) making(bank string) Making {
	f, k := b.f, "bank"
	return Making{
		BoltSize: f.word(k, bank, "bolt_size"), HoleClass: f.word(k, bank, "hole_class"),
		Opening: f.word(k, bank, "opening"), OpeningGap: f.length(k, bank, "opening_gap"),
		Pieces: f.word(k, bank, "pieces"),
		Edge:   f.length(k, bank, "edge"), Web: f.length(k, bank, "web"),
		Fixed: f.word(k, bank, "fixed"), Hot: f.number(k, bank, "hot"),
		Washer: f.length(k, bank, "washer"), Revision: f.word(k, bank, "revision"),
	}
}

func (b *builder) patterns(bank string) []Pattern {
	f := b.f
	var ps []Pattern
	for _, e := range f.in("pattern", bank) {
		p := Pattern{ID: e.ID, Title: f.title("pattern", e.ID), What: f.word("pattern", e.ID, "what"), Name: f.Notes[Slot("pattern", e.ID, "name")],
			Side: f.word("pattern", e.ID, "side"), Edge: b.drawn("pattern", e.ID)}
		for _, h := range f.in("hole", e.ID) {
			p.Holes = append(p.Holes, Hole{h.ID, f.title("hole", h.ID), f.length("hole", h.ID, "x"), f.length("hole", h.ID, "y"), f.length("hole", h.ID, "diameter")})
		}
		for _, o := range f.in("opening", e.ID) {
			shape := f.word("opening", o.ID, "shape")
			p.Openings = append(p.Openings, Opening{o.ID, f.title("opening", o.ID), f.length("opening", o.ID, "x"), f.length("opening", o.ID, "y"), shape, b.outline("opening", o.ID, shape)})
		}
		ps = append(ps, p)
	}
	return ps
}

func (b *builder) prints(j *Job) {
	f, k := b.f, "print"
	for _, e := range f.Lists[k] {
		j.Prints = append(j.Prints, Print{e.ID, f.title(k, e.ID), f.word(k, e.ID, "sheet"), f.word(k, e.ID, "of"), f.length(k, e.ID, "across"), f.length(k, e.ID, "up")})
	}
}

// rimOf is the kind of the points that a measured outline is made of.
var rimOf = map[string]string{"port": "rim", "opening": "spot"}

// outline makes the outline of a port or an opening about its centre, turned as
// entered, once all its dimensions or points are known.
func (b *builder) outline(kind, id, shape string) *geom.Outline {
	var o *geom.Outline
	switch shape {
	case byPoints:
		o = b.measured(kind, id)
	case drawn:
		return b.drawn(kind, id)
	default:
		o = b.dimensioned(kind, id, shape)
	}
	if turn := b.f.angle(kind, id, "turn"); o != nil && turn.Known && turn.V != 0 && shape != "round" {
		turned := o.Turned(float64(turn.V))
		return &turned
	}
	return o
}

func (b *builder) dimensioned(kind, id, shape string) *geom.Outline {
	of, known := shapes[shape]
	if !known {
		return nil
	}
	mm := make([]float64, len(of.dimensions))
	for i, name := range of.dimensions {
		d := b.f.length(kind, id, name)
		if !d.Known {
			return nil
		}
		mm[i] = d.V.MM()
	}
	o, err := of.outline(mm)
	if err != nil {
		b.refuse(kind, id, of.blame(err), err.Error())
		return nil
	}
	return &o
}

// fewestRim is how many points an outline takes; fewer are asked for, not refused.
const fewestRim = 8

func (b *builder) measured(kind, id string) *geom.Outline {
	pts := b.rim(kind, id)
	if len(pts) < fewestRim {
		return nil
	}
	o, err := geom.Points(pts)
	if err != nil {
		b.refuse(kind, id, "shape", err.Error())
		return nil
	}
	return &o
}

// rim returns the points that were measured of an outline, in order round it; none
// unless its shape asks for them. A point of which one figure is still to come is asked
// for, and left out until then: the outline is there while it is added to.
func (b *builder) rim(kind, id string) [][2]float64 {
	rim := rimOf[kind]
	if b.f.word(kind, id, "shape") != byPoints {
		return nil
	}
	var pts [][2]float64
	for _, e := range b.f.in(rim, id) {
		x, y := b.f.length(rim, e.ID, "x"), b.f.length(rim, e.ID, "y")
		if x.Known && y.Known {
			pts = append(pts, [2]float64{x.V.MM(), y.V.MM()})
		}
	}
	return pts
}

// fewPoints asks for more points where an outline has fewer than make one.
func fewPoints(f Facts) []Todo {
	var todo []Todo
	for _, kind := range []string{"port", "opening"} {
		rim, _ := KindOf(rimOf[kind])
		for _, e := range f.Lists[kind] {
			if n := len(f.in(rim.Name, e.ID)); n < fewestRim && f.word(kind, e.ID, "shape") == byPoints {
				todo = append(todo, Todo{Slot: rim.Name + "/" + e.ID, Label: rim.Plural, Where: fmt.Sprintf("%s has %d of at least %d", f.title(kind, e.ID), n, fewestRim)})
			}
		}
	}
	return todo
}

// drawn makes the outline of what was drawn, nil where nothing was.
func (b *builder) drawn(kind, id string) *geom.Outline {
	text := b.f.word(kind, id, "path")
	if text == "" {
		return nil
	}
	path, err := ParsePath(text)
	if err != nil {
		return nil // it was refused when it was checked
	}
	o, err := geom.FromLoop(path)
	if err != nil {
		b.refuse(kind, id, "path", err.Error())
		return nil
	}
	return &o
}

// shape is an outline by a few dimensions, and how it is made of them.
type shape struct {
	dimensions []string
	outline    func(mm []float64) (geom.Outline, error)
}

var shapes = map[string]shape{
	"round":     {[]string{"diameter"}, func(d []float64) (geom.Outline, error) { return geom.Round(d[0]) }},
	"stadium":   {[]string{"width", "height"}, func(d []float64) (geom.Outline, error) { return geom.Stadium(d[0], d[1]) }},
	"oval":      {[]string{"width", "height"}, func(d []float64) (geom.Outline, error) { return geom.Oval(d[0], d[1]) }},
	"rectangle": {[]string{"width", "height", "corner"}, func(d []float64) (geom.Outline, error) { return geom.Rectangle(d[0], d[1], d[2]) }},
	"d":         {[]string{"radius", "flat", "corner"}, func(d []float64) (geom.Outline, error) { return geom.D(d[0], d[1], d[2]) }},
}

// blame returns the dimension that an error of the outline starts with.
func (s shape) blame(err error) string {
	name, _, _ := strings.Cut(err.Error(), " ")
	if slices.Contains(s.dimensions, name) {
		return name
	}
	return s.dimensions[len(s.dimensions)-1]
}
