package job

import (
	"slices"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// DesignPlan is the flange that is made.
type DesignPlan struct {
	Revision string        `json:"revision"`
	Pieces   []PlatePlan   `json:"pieces"`
	Overlaps []OverlapPlan `json:"overlaps"`
	Openings []MouthPlan   `json:"openings"`
	Holes    []DrillPlan   `json:"holes"`
	Cuts     []CutPlan     `json:"cuts"`

	Edge   *LeastPlan `json:"edge_least"`   // metal from a hole to the edge or a cut
	Web    *LeastPlan `json:"web_least"`    // metal between holes and openings
	Washer *LeastPlan `json:"washer_least"` // room of a washer to a weld or another washer
	Socket *LeastPlan `json:"socket_least"` // room of a socket to a tube

	Thickness out      `json:"thickness"`
	Area      out      `json:"area"`    // mm², of all plates
	Mass      *out     `json:"mass_kg"` // null while the material has no figures here
	Density   *out     `json:"density"` // kg/m³
	Growth    out      `json:"growth_mm"`
	Disputed  []string `json:"disputed"`
}

// PlatePlan is one plate.
type PlatePlan struct {
	Loop  []corner `json:"loop"`
	Ports []string `json:"ports"`
	Bolts []string `json:"bolts"`
}

// OverlapPlan is two plates that want the same metal, by their ports.
type OverlapPlan struct {
	Ports [2]string `json:"ports"`
	By    out       `json:"by"`
}

// MouthPlan is one opening, by what it was made.
type MouthPlan struct {
	Port string   `json:"port"`
	Loop []corner `json:"loop"`
	From string   `json:"from"` // tube or port
}

// DrillPlan is one hole, or a slot with the bolt in its middle.
type DrillPlan struct {
	Bolt     string `json:"bolt"`
	At       onFace `json:"at"`
	Diameter out    `json:"diameter"`
	Slot     out    `json:"slot"` // between the centres at its ends
	Dir      onFace `json:"dir"`  // unit, along the slot
	Growth   out    `json:"growth"`
	Rule     string `json:"rule"`
}

// CutPlan is one saw cut, from the edge inwards.
type CutPlan struct {
	From    onFace    `json:"from"`
	To      onFace    `json:"to"`
	Between [2]string `json:"between"` // ports
	Bridge  out       `json:"bridge"`  // metal left at its end
	Web     out       `json:"web"`     // metal left beside it
}

// LeastPlan is where least is left, below 0 by how much too little is there.
type LeastPlan struct {
	Value   out      `json:"value"`
	At      string   `json:"at,omitempty"`      // of one
	Between []string `json:"between,omitempty"` // of two
	Place   onFace   `json:"place"`
}

// design lays out the flange of a bank. It is nil while thickness, a bolt or all ports
// are not known yet.
func (k Bank) design(ends []formed) *DesignPlan {
	spec, from, ok := k.spec(ends)
	if !ok {
		return nil
	}
	d, err := flange.NewDesign(spec)
	if err != nil {
		return nil
	}
	dp := &DesignPlan{Revision: d.Revision, Pieces: []PlatePlan{}, Overlaps: []OverlapPlan{}, Openings: []MouthPlan{}, Holes: []DrillPlan{}, Cuts: []CutPlan{},
		Edge: leastOf(d.Edge), Web: leastOf(d.Web), Washer: leastOf(d.Washer), Socket: leastOf(d.Socket),
		Thickness: out(d.Thickness), Area: out(d.Area), Growth: out(d.Growth), Disputed: []string{}}
	if d.Known {
		dp.Mass, dp.Density = num(d.Mass), num(d.Density)
	}
	for _, p := range d.Pieces {
		dp.Pieces = append(dp.Pieces, PlatePlan{loopOf(p.Outline), append([]string{}, p.Mouths...), append([]string{}, p.Bolts...)})
	}
	for _, o := range d.Overlaps {
		dp.Overlaps = append(dp.Overlaps, OverlapPlan{[2]string{o.A, o.B}, out(o.By)})
	}
	for i, m := range d.Mouths {
		dp.Openings = append(dp.Openings, MouthPlan{m.ID, loopOf(m.Opening), from[i]})
	}
	for _, h := range d.Holes {
		dp.Holes = append(dp.Holes, DrillPlan{h.Bolt, onFace(h.At), out(h.Diameter), out(h.Slot), onFace(h.Dir), out(h.Growth), h.Rule})
	}
	for _, c := range d.Cuts {
		dp.Cuts = append(dp.Cuts, CutPlan{onFace(c.From), onFace(c.To), c.Between, out(c.Bridge), out(c.Web)})
	}
	return dp
}

func leastOf(l *flange.Least) *LeastPlan {
	switch {
	case l == nil:
		return nil
	case l.Between[1] == "":
		return &LeastPlan{Value: out(l.Value), At: l.Between[0], Place: onFace(l.At)}
	}
	return &LeastPlan{Value: out(l.Value), Between: l.Between[:], Place: onFace(l.At)}
}

// spec is how the flange is to be made; from says of each opening by what.
func (k Bank) spec(ends []formed) (s flange.Spec, from []string, ok bool) {
	m := k.Making
	s = flange.Spec{Size: m.BoltSize, Class: m.HoleClass, Pieces: m.Pieces, Edge: m.Edge.V.MM(), Web: m.Web.V.MM(), Fixed: m.Fixed, Hot: m.Hot.V,
		Washer: m.Washer.V.MM(), Thickness: k.Thickness.V.MM(), Material: k.Material, Revision: m.Revision}
	for _, b := range k.Bolts {
		if !b.X.Known || !b.Y.Known || !(m.hole(b) > 0) {
			return s, nil, false
		}
		s.Bolts = append(s.Bolts, flange.Bolt{ID: b.ID, At: [2]float64{b.X.V.MM(), b.Y.V.MM()}, Hole: b.Hole.V.MM()})
	}
	for _, p := range k.Ports {
		at, ok := p.placed()
		if !ok {
			return s, nil, false
		}
		mouth, by := flange.Mouth{ID: p.ID, Opening: at}, "port"
		if i := slices.IndexFunc(ends, func(e formed) bool { return e.port.ID == p.ID && e.err == nil }); i >= 0 {
			move := func(o geom.Outline) geom.Outline { return o.Moved(p.X.V.MM(), p.Y.V.MM()) }
			mouth.Tube = move(ends[i].end.Outside)
			if m.through() {
				mouth.Opening, by = move(ends[i].end.Opening), "tube"
			}
		}
		s.Mouths, from = append(s.Mouths, mouth), append(from, by)
	}
	return s, from, k.Thickness.Known && len(s.Bolts) > 0 && len(s.Mouths) > 0
}
