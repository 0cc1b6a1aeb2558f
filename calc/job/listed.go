package job

import (
	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/ledger"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// ListedPlan is what a list of intersection points makes of a tube, before anything
// of it is kept.
type ListedPlan struct {
	Points   []point         `json:"points"` // as read, in the frame of the tube's bank
	Elements []ListedElement `json:"elements"`
	Length   out             `json:"length"`    // centreline
	XYZ      []point         `json:"xyz"`       // of the same path from the port; as read where the port has no place
	StartOff *out            `json:"start_off"` // of the first point from the port's centre; null where that has no place
	AimOff   *out            `json:"aim_off"`   // of the first straight from the port's aim; likewise
}

// ListedElement is a piece of the path, with what its kind has.
type ListedElement struct {
	Type     string `json:"type"` // straight or bend
	Length   *out   `json:"length,omitempty"`
	Turn     *out   `json:"turn,omitempty"`
	CLR      *out   `json:"clr,omitempty"`
	Rotation *out   `json:"rotation,omitempty"`
}

// FromList reads intersection points of a tube from comma-separated text, see
// tube.ReadPoints, and returns the path that they make. unit, "mm" or "in", is what
// figures without one are in; clr is a CLR as typed, for the points at which the text
// has none, and may be empty. The first rotation counts from the bank's up. The error
// is one or more *fault.Field.
func FromList(recs []ledger.Record, id, text, clr, unit string) (ListedPlan, error) {
	def := units.Millimetre
	if unit == "in" {
		def = units.Inch
	}
	pts, radii, err := tube.ReadPoints(text, def)
	if err != nil {
		return ListedPlan{}, err
	}
	inner := radii[1 : len(radii)-1]
	if clr != "" {
		field := fieldOf("element", "clr")
		typed, err := units.ParseLength(clr, units.Unit(unit))
		if err != nil {
			return ListedPlan{}, fault.At(err, fault.Field{Name: field.Label, Unit: field.Unit, Low: field.Low, High: field.High})
		}
		got := units.LengthNM(typed.V)
		if err := fault.Within(field.Label, got.MM(), field.Low, field.High, field.Unit); err != nil {
			return ListedPlan{}, err
		}
		for i, r := range inner {
			if r == 0 {
				inner[i] = got
			}
		}
	}
	facts, _ := fromFolded(ledger.Fold(recs))
	return listed(pts, inner, startOf(facts, id))
}

// startOf is the frame in which the path of a tube begins, as far as it is known.
func startOf(f Facts, id string) Opt[geom.Frame] {
	j := f.job()
	for _, t := range j.Tubes {
		if t.ID == id {
			start, ok := j.start(t)
			return Opt[geom.Frame]{start, ok}
		}
	}
	return Opt[geom.Frame]{}
}

func listed(pts []geom.Vec, clr []units.Length, start Opt[geom.Frame]) (ListedPlan, error) {
	up := geom.Vec{Y: 1}
	if start.Known {
		up = start.V.N
	}
	if first := pts[1].Sub(pts[0]); first.Cross(up).Norm() < 1e-9*first.Norm() {
		up = geom.Vec{Z: -1} // as a port that aims straight up has it, see tube.Start
	}
	l, err := tube.FromPoints(pts, clr, up)
	if err != nil {
		return ListedPlan{}, err
	}
	p := ListedPlan{Points: points(pts), Elements: []ListedElement{}, Length: out(l.Length().MM()), XYZ: points(pts)}
	for _, e := range l.Elements() {
		if e.Bend == nil {
			p.Elements = append(p.Elements, ListedElement{Type: "straight", Length: num(e.Straight.MM())})
			continue
		}
		p.Elements = append(p.Elements, ListedElement{Type: "bend", Turn: num(e.Bend.Turn.Deg()), CLR: num(e.Bend.Radius.MM()), Rotation: num(e.Bend.Rotation.Deg())})
	}
	if start.Known {
		p.XYZ = points(tube.XYZ(start.V, l))
		p.StartOff = num(pts[0].Sub(start.V.O).Norm())
		p.AimOff = num(units.Angle(pts[1].Sub(pts[0]).Angle(start.V.T)).Deg())
	}
	return p, nil
}

func points(vs []geom.Vec) []point {
	ps := make([]point, len(vs))
	for i, v := range vs {
		ps[i] = point(v)
	}
	return ps
}
