package job

import (
	"math"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// FlangePlan is what follows from one bank's bolts and ports. Places are in the
// bank's frame.
type FlangePlan struct {
	Bank      string          `json:"bank"`
	Ports     []PortPlan      `json:"ports"`
	Placed    *PosePlan       `json:"placed"`     // its frame in the root; null until it is tied to it
	SelfMatch []SelfMatchPlan `json:"self_match"` // ways in which it could be bolted on wrongly, closest first
	Suspect   *OddHole        `json:"suspect"`
	SelfOn    []string        `json:"self_disputed"` // of both
	Patterns  []PatternPlan   `json:"patterns"`
	Design    *DesignPlan     `json:"design"` // null until all bolts, ports and the thickness are there
	Ends      []FormedEnd     `json:"ends"`
}

// PortPlan compares a port with round tube.
type PortPlan struct {
	ID                string     `json:"id"`
	Shape             string     `json:"shape"`
	At                *onFace    `json:"at"`     // null until it is measured
	Loop              []corner   `json:"loop"`   // the outline where it is; empty until then
	Points            *int       `json:"points"` // how many were measured of the outline
	Uncertain         *Uncertain `json:"uncertain"`
	Fit               *FitPlan   `json:"fit"` // a shape that the points may be
	Perimeter         out        `json:"perimeter"`
	Area              out        `json:"area"`               // mm²
	HydraulicDiameter out        `json:"hydraulic_diameter"` // 4·area/perimeter
	EqualArea         out        `json:"equal_area"`         // bore of the round tube of equal area
	EqualPerimeter    out        `json:"equal_perimeter"`    // bore of the round tube of equal perimeter
	Disputed          []string   `json:"disputed"`
	AtOn              []string   `json:"at_disputed"` // of at and loop
}

// figures are what a port has wherever it is.
func (p PortPlan) figures() PortPlan {
	p.At, p.Loop = nil, nil
	return p
}

// Uncertain is by how much the figures of a measured outline may be off for want of
// points, in percent.
type Uncertain struct {
	Area      out `json:"area_percent"`
	Perimeter out `json:"perimeter_percent"`
}

// onFace is a place on the port face, [x, y] in mm.
type onFace [2]float64

func (p onFace) MarshalJSON() ([]byte, error) {
	b := append(appendFigure([]byte{'['}, p[0], 6), ',')
	return append(appendFigure(b, p[1], 6), ']'), nil
}

// corner is a corner of a closed path, [x, y, bulge]; nine decimals of the bulge hold
// an arc to a millionth of its chord.
type corner geom.Vertex

func (c corner) MarshalJSON() ([]byte, error) {
	b := append(appendFigure([]byte{'['}, c.X, 6), ',')
	b = append(appendFigure(b, c.Y, 6), ',')
	return append(appendFigure(b, c.Bulge, 9), ']'), nil
}

// loopError is how far, in mm, the arcs of a loop may be from the curve that they
// stand for: half of what a sheet is drawn to.
const loopError = 0.01

func loopOf(o geom.Outline) []corner {
	loop := o.Loop(loopError)
	cs := make([]corner, len(loop))
	for i, v := range loop {
		cs[i] = corner(v)
	}
	return cs
}

func flangePlan(k Bank, tubes []Tube) FlangePlan {
	fp := FlangePlan{Bank: k.ID, Ports: []PortPlan{}, SelfOn: []string{}, Ends: []FormedEnd{}}
	for _, port := range k.Ports {
		if port.Outline != nil {
			fp.Ports = append(fp.Ports, portPlan(port))
		}
	}
	face := k.face()
	fp.SelfMatch, fp.Suspect = selfMatch(face)
	ends := k.formed(tubes)
	fp.Patterns = patternPlans(k, face, ends)
	fp.Design = k.design(ends)
	for _, e := range ends {
		fp.Ends = append(fp.Ends, e.plan())
	}
	return fp
}

func portPlan(p Port) PortPlan {
	f := flange.Measures(*p.Outline)
	pp := PortPlan{
		ID: p.ID, Shape: p.Shape, Loop: []corner{},
		Perimeter: out(f.Perimeter), Area: out(f.Area), HydraulicDiameter: out(f.Hydraulic),
		EqualArea: out(f.EqualArea), EqualPerimeter: out(f.EqualPerimeter),
		Disputed: []string{}, AtOn: []string{},
	}
	if o, ok := p.placed(); ok {
		pp.At, pp.Loop = &onFace{p.X.V.MM(), p.Y.V.MM()}, loopOf(o)
	}
	if n := len(p.Rim); n > 0 {
		short := flange.ShortfallOf(n, flange.UsualNoise, f.EqualPerimeter)
		pp.Points, pp.Uncertain = &n, &Uncertain{out(short.AreaPercent), out(short.PerimeterPercent)}
	}
	return pp
}

// placed returns the outline where the port is.
func (p Port) placed() (geom.Outline, bool) { return placed(p.Outline, p.X, p.Y) }

func placed(o *geom.Outline, x, y Opt[units.Length]) (geom.Outline, bool) {
	if o == nil || !x.Known || !y.Known {
		return geom.Outline{}, false
	}
	return o.Moved(x.V.MM(), y.V.MM()), true
}

// face returns what has to come together where the flange sits, as far as it is
// measured. The holes are those of the flange that is made.
func (k Bank) face() flange.Face {
	var f flange.Face
	for _, b := range k.Bolts {
		if b.X.Known && b.Y.Known {
			f.Holes = append(f.Holes, flange.Hole{ID: b.ID, At: [2]float64{b.X.V.MM(), b.Y.V.MM()}, Diameter: k.Making.hole(b), Bolt: k.Making.bolt()})
		}
	}
	for _, p := range k.Ports {
		if o, ok := p.placed(); ok {
			f.Ports = append(f.Ports, flange.Port{ID: p.ID, Outline: o})
		}
	}
	return f
}

func degrees(rad float64) out { return out(rad * 180 / math.Pi) }
