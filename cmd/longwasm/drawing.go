package main

import (
	"fmt"
	"math"
	"strings"

	"tubewright/calc/draw/dxf"
	"tubewright/calc/flange"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// drawing is what a DXF holds, in the words in which a pattern is kept: lengths in mm,
// paths as job.FormatPath writes them.
type drawing struct {
	Ask      *dxfAsk      `json:"ask"`  // the unit is to be named first; then there is only this, Layers and Notes
	Unit     string       `json:"unit"` // that the figures were taken as
	Size     [2]float64   `json:"size"` // of all there is, across and up
	Path     string       `json:"path"` // of the outline that holds the rest; empty where none does
	Holes    []dxfHole    `json:"holes"`
	Openings []dxfOpening `json:"openings"`
	Layers   []dxfLayer   `json:"layers"`
	Notes    []string     `json:"notes"` // sentences: what was left out, and what else to know
}

type dxfAsk struct {
	Why  string     `json:"why"`
	MM   [2]float64 `json:"mm"` // across and up, were the figures mm
	Inch [2]float64 `json:"in"` // likewise inches; in mm
}

type dxfHole struct {
	X        float64 `json:"x"`
	Y        float64 `json:"y"`
	Diameter float64 `json:"diameter"`
	liesOn
}

// liesOn is the bolt or the port that it lies on once the drawing is laid on the head, by
// id; empty where it lies on none, or nobody knows.
type liesOn struct {
	Bolt string `json:"bolt,omitempty"`
	Port string `json:"port,omitempty"`
}

// dxfOpening is round, with a diameter, or drawn, with a path about x, y.
type dxfOpening struct {
	X        float64 `json:"x"`
	Y        float64 `json:"y"`
	Shape    string  `json:"shape"`
	Diameter float64 `json:"diameter,omitempty"`
	Path     string  `json:"path,omitempty"`
	liesOn
}

type dxfLayer struct {
	Name   string `json:"name"`
	Off    bool   `json:"off"`
	Pieces int    `json:"pieces"`
}

const (
	// widestHole is the diameter in mm up to which a circle is taken for a bolt's hole:
	// above that of every bolt in the tables, below that of every port.
	widestHole = 20.0
	// least are the smallest circles that a flange has, in mm; the rest are marks.
	leastHole = 3.0
	// reach is how far places of a pattern may be from its origin, in mm.
	reach = 3000.0
)

// readDrawing is an op: a DXF that is read in for a bank.
func readDrawing(q question, own, shop []ledger.Record, _ func(float64) bool) (any, error) {
	return drawingOf(q.File, q.Unit, bankOf(job.Work(own, shop...).Job, q.Bank))
}

// drawingOf reads a DXF. unit, one of dxf.Options.Unit or empty, is what its figures
// are in where it does not say so itself; k is the bank it is read for.
func drawingOf(text, unit string, k job.Bank) (drawing, error) {
	r, err := dxf.Read([]byte(text), dxf.Options{Unit: unit})
	if err != nil {
		return drawing{}, err
	}
	d := drawing{Unit: r.Unit, Holes: []dxfHole{}, Openings: []dxfOpening{}, Layers: []dxfLayer{}, Notes: append([]string{}, r.Left...)}
	for _, l := range r.Layers {
		d.Layers = append(d.Layers, dxfLayer(l))
	}
	if a := r.Ask; a != nil {
		d.Ask = &dxfAsk{a.Why, rounded(a.MM), rounded(a.Inch)}
		return d, nil
	}
	if r.Pieces == 0 {
		return d, nil
	}
	d.Size = rounded([2]float64{r.High[0] - r.Low[0], r.High[1] - r.Low[1]})
	d.loose(r.Open)
	var by [2]float64 // where a pattern begins means nothing
	if far := max(-r.Low[0], -r.Low[1], r.High[0], r.High[1]); far > reach {
		by = [2]float64{-(r.Low[0] + r.High[0]) / 2, -(r.Low[1] + r.High[1]) / 2}
		d.Notes = append(d.Notes, "the drawing lies far from its origin; it was shifted to it")
	}
	d.take(r, by)
	d.lay(k)
	return d, nil
}

func bankOf(j job.Job, id string) job.Bank {
	for _, k := range j.Banks {
		if k.ID == id {
			return k
		}
	}
	return job.Bank{}
}

// lay notes what holes and openings lie on.
func (d *drawing) lay(k job.Bank) {
	var f flange.Face
	for _, h := range d.Holes {
		f.Holes = append(f.Holes, flange.Hole{At: [2]float64{h.X, h.Y}, Diameter: h.Diameter})
	}
	for _, o := range d.Openings {
		outline, err := o.outline()
		if err != nil {
			return // too odd to be laid on anything
		}
		f.Ports = append(f.Ports, flange.Port{Outline: outline.Moved(o.X, o.Y)})
	}
	holes, openings := k.Lies(f)
	for i, on := range holes {
		d.Holes[i].liesOn = liesOn(on)
	}
	for i, on := range openings {
		d.Openings[i].liesOn = liesOn(on)
	}
}

func (o dxfOpening) outline() (geom.Outline, error) {
	if o.Path == "" {
		return geom.Round(o.Diameter)
	}
	loop, err := job.ParsePath(o.Path)
	if err != nil {
		return geom.Outline{}, err
	}
	return geom.FromLoop(loop)
}

// loose names the places where an outline all but closes. Other rows that stay open are
// centre lines and the like, which the reader counts.
func (d *drawing) loose(open []dxf.Open) {
	const nearly, most = 1.0, 3 // mm, places
	said := 0
	for _, o := range open {
		if !(o.Near > 0 && o.Near <= nearly) {
			continue
		}
		if said++; said > most {
			d.Notes = append(d.Notes, "more outlines stay open in the same way")
			return
		}
		d.Notes = append(d.Notes, fmt.Sprintf("on layer %s an outline stays open by %.3f mm, where it goes from %.1f, %.1f to %.1f, %.1f: close it in the drawing and read that",
			o.Layer, o.Near, round(o.From[0]), round(o.From[1]), round(o.To[0]), round(o.To[1])))
	}
}

// take puts what was found into the words of a pattern, shifted.
func (d *drawing) take(r dxf.Result, by [2]float64) {
	if r.Outer != nil {
		d.Path = d.path("the outside edge", r.Outer.Vertices, by)
	}
	small := 0
	for _, h := range r.Holes {
		x, y := round(h.X+by[0]), round(h.Y+by[1])
		switch dia := round(h.Diameter); {
		case dia < leastHole:
			small++
		case dia > widestHole:
			d.Openings = append(d.Openings, dxfOpening{X: x, Y: y, Shape: "round", Diameter: dia})
		default:
			d.Holes = append(d.Holes, dxfHole{X: x, Y: y, Diameter: dia})
		}
	}
	if small > 0 {
		d.Notes = append(d.Notes, fmt.Sprintf("circles of less than %g mm were left out (%d): no bolt goes through", leastHole, small))
	}
	for i, o := range r.Openings {
		low, high := o.Outline.Bounds()
		x, y := round((low[0]+high[0])/2), round((low[1]+high[1])/2)
		if path := d.path(fmt.Sprintf("opening %d", i+1), o.Vertices, [2]float64{-x, -y}); path != "" {
			d.Openings = append(d.Openings, dxfOpening{X: round(x + by[0]), Y: round(y + by[1]), Shape: "drawn", Path: path})
		}
	}
	if n := len(r.Beside); n > 0 {
		d.Notes = append(d.Notes, fmt.Sprintf("%d of the outlines lie outside the edge or within another: they are not taken", n))
	}
}

// path writes an outline as it is kept, or says why it cannot be.
func (d *drawing) path(what string, loop []geom.Vertex, by [2]float64) string {
	shifted := make([]geom.Vertex, len(loop))
	for i, v := range loop {
		shifted[i] = geom.Vertex{X: v.X + by[0], Y: v.Y + by[1], Bulge: v.Bulge}
	}
	text := job.FormatPath(shifted)
	if _, err := job.ParsePath(text); err != nil {
		d.Notes = append(d.Notes, fmt.Sprintf("%s cannot be kept: %s", what, strings.TrimSuffix(err.Error(), ".")))
		return ""
	}
	return text
}

// round keeps six decimals of a length in mm, as the plan does.
func round(v float64) float64 { return math.Round(v*1e6)/1e6 + 0 }

func rounded(v [2]float64) [2]float64 { return [2]float64{round(v[0]), round(v[1])} }
