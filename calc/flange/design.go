package flange

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
)

// Ways to make a flange.
const (
	OnePiece = "one piece"
	Sawn     = "one piece, sawn"
	Separate = "separate"
)

// Bolt is a bolt of the head and the hole that was measured for it, in mm, 0 where
// it was not.
type Bolt struct {
	ID   string
	At   [2]float64
	Hole float64
}

// Mouth is a port's place in the flange: the opening and the outside of the formed
// tube, both where they lie. An empty tube is not looked at.
type Mouth struct {
	ID            string
	Opening, Tube geom.Outline
}

// Spec is how a flange is to be made. A zero stands for what is usual, see Defaults;
// lengths are mm.
type Spec struct {
	Bolts           []Bolt
	Mouths          []Mouth
	Size, Class     string // of the bolts, see HoleFor; no size leaves the holes as measured
	Pieces          string // OnePiece where empty
	Edge, Web       float64
	Fixed           string  // bolt whose hole stays round; where empty all do
	Hot             float64 // °C
	Washer, Socket  float64 // outside diameters
	WeldLeg, Bridge float64
	Thickness       float64
	Material        string
	Revision        string
}

// Drilled is a hole of the flange, or a slot with the bolt in its middle.
type Drilled struct {
	Bolt     string
	At       [2]float64
	Diameter float64
	Slot     float64    // between the centres at its ends, 0 for a round hole
	Dir      [2]float64 // unit, along the slot, away from the hole that stays round
	Growth   float64    // by how much the flange grows to here
	Rule     string
}

// Design is a flange ready to be drawn. Mass is 0 where Known is false: the
// material has no figures then, and a hole that is to be a slot stays round.
type Design struct {
	Revision string
	Pieces   []Piece
	Overlaps []Overlap // of separate pieces
	Mouths   []Mouth
	Holes    []Drilled // in the order of the bolts
	Cuts     []Cut

	// Edge is the least metal from a hole to the edge of its plate or a saw cut, Web
	// that between holes and openings of one plate; Washer is the least room of a
	// washer to the weld round a tube or another washer, Socket that of a socket to a
	// tube. Nil where there is nothing to compare.
	Edge, Web, Washer, Socket *Least

	Thickness, Area float64 // mm, mm²
	Density, Mass   float64 // kg/m³, kg
	Growth          float64 // mm, the greatest
	Known           bool
}

const (
	mostBolts  = 64
	mostMouths = 64
)

// NewDesign lays out the flange: the holes by their class, slots from the hole that
// stays round, the shortest plate with the metal asked for round holes and
// openings, saw cuts, and what is left where. It says of the plan what is too
// little of; it changes nothing by itself.
//
// Separate plates grow each from a hole of their own: the one that stays round, or
// the nearest to it. The error is a *fault.Field, or says why there is no plate.
func NewDesign(s Spec) (Design, error) {
	s = s.usual()
	if err := s.check(); err != nil {
		return Design{}, err
	}
	d := Design{Revision: s.Revision, Mouths: slices.Clone(s.Mouths), Thickness: s.Thickness}
	material, known := MaterialOf(s.Material)
	d.Known = known
	for _, b := range s.Bolts {
		h := Drilled{Bolt: b.ID, At: b.At, Diameter: b.Hole, Rule: "as measured"}
		if s.Size != "" {
			var err error
			if h.Diameter, h.Rule, err = HoleFor(s.Size, s.Class); err != nil {
				return Design{}, err
			}
		}
		if !(h.Diameter > 0) {
			return Design{}, &fault.Field{Name: "Bolt hole", Where: "bolt " + b.ID, Got: h.Diameter, Unit: "mm", Low: 1, High: 100, Why: "enter the bolt size, or the hole"}
		}
		d.Holes = append(d.Holes, h)
	}
	s.Mouths = slices.Clone(s.Mouths)
	for i, m := range s.Mouths {
		s.Mouths[i].Opening, s.Mouths[i].Tube = arced(m.Opening), arced(m.Tube)
	}
	if err := d.plates(s); err != nil {
		return Design{}, err
	}
	if s.Pieces == Sawn {
		d.saw(s)
	}
	d.rooms(s)
	d.weigh(material)
	return d, nil
}

// usual returns the spec with the usual figures where there is none.
func (s Spec) usual() Spec {
	fill := func(v *float64, usual float64) {
		if *v == 0 {
			*v = usual
		}
	}
	if s.Pieces == "" {
		s.Pieces = OnePiece
	}
	hole, washer, socket := 0.0, 0.0, 0.0
	for _, b := range s.Bolts {
		hole = max(hole, b.Hole)
	}
	for _, b := range BoltSizes {
		if b.Name == s.Size {
			hole, washer, socket = b.Normal, b.Washer, b.Socket
		}
	}
	fill(&s.Edge, UsualEdge*hole)
	fill(&s.Web, UsualWeb)
	fill(&s.Hot, UsualHot)
	fill(&s.Washer, washer)
	fill(&s.Socket, socket)
	fill(&s.WeldLeg, UsualWeldLeg)
	fill(&s.Bridge, UsualBridge)
	return s
}

func (s Spec) check() error {
	if len(s.Bolts) == 0 && len(s.Mouths) == 0 {
		return fault.Refuse("Flange", "it has neither bolts nor ports")
	}
	if len(s.Bolts) > mostBolts {
		return &fault.Field{Name: "Number of bolts", Got: float64(len(s.Bolts)), High: mostBolts}
	}
	if len(s.Mouths) > mostMouths {
		return &fault.Field{Name: "Number of ports", Got: float64(len(s.Mouths)), High: mostMouths}
	}
	if !slices.Contains([]string{OnePiece, Sawn, Separate}, s.Pieces) {
		return fault.Refuse("Pieces", "it is "+strings.Join([]string{OnePiece, Sawn, Separate}, ", or "))
	}
	for _, v := range []struct {
		name      string
		got       float64
		low, high float64
	}{
		{"Metal round bolt holes", s.Edge, 0, 200}, {"Metal round openings", s.Web, 0, 200}, {"Washer OD", s.Washer, 0, 200}, {"Socket OD", s.Socket, 0, 200},
		{"Weld leg", s.WeldLeg, 0, 50}, {"Bridge", s.Bridge, 0, 200}, {"Flange thickness", s.Thickness, 0, 200},
	} {
		if err := fault.Within(v.name, v.got, v.low, v.high, "mm"); err != nil {
			return err
		}
	}
	if err := fault.Within("Flange gets as hot as", s.Hot, Cold, 1000, "°C"); err != nil {
		return err
	}
	named := s.Fixed == ""
	for i, b := range s.Bolts {
		where := "bolt " + b.ID
		if b.ID == "" {
			where = "bolt number " + strconv.Itoa(i+1)
		}
		for k, name := range [2]string{"Bolt hole x", "Bolt hole y"} {
			if err := fault.Within(name, b.At[k], -farthestPlace, farthestPlace, "mm"); err != nil {
				return fault.At(err, fault.Field{Where: where})
			}
		}
		if err := fault.Within("Bolt hole", b.Hole, 0, 100, "mm"); err != nil {
			return fault.At(err, fault.Field{Where: where})
		}
		named = named || b.ID == s.Fixed
	}
	if !named {
		return fault.Refuse("Hole that stays round", "no bolt is called "+s.Fixed)
	}
	for _, m := range s.Mouths {
		low, high := m.Opening.Bounds()
		if m.Opening.Len() == 0 {
			return &fault.Field{Name: "Opening", Where: "port " + m.ID, Got: math.NaN(), Why: "it has no outline"}
		}
		for k := range 2 {
			for _, v := range [2]float64{low[k], high[k]} {
				if err := fault.Within("Opening", v, -farthestPlace, farthestPlace, "mm"); err != nil {
					return fault.At(err, fault.Field{Where: "port " + m.ID})
				}
			}
		}
	}
	return nil
}

// farthestPlace is how far from the origin a flange may reach, in mm: none is a
// tenth of it, and every sum keeps its digits.
const farthestPlace = 1e4

// grow makes slots of the holes of one plate. Without a hole that stays round, or
// figures of the material, nothing changes.
func (d *Design) grow(s Spec, bolts []int) {
	material, known := MaterialOf(s.Material)
	fixed := slices.IndexFunc(s.Bolts, func(b Bolt) bool { return b.ID == s.Fixed })
	if !known || s.Fixed == "" || len(bolts) == 0 {
		return
	}
	from := bolts[0]
	for _, b := range bolts {
		if distance(s.Bolts[b].At, s.Bolts[fixed].At) < distance(s.Bolts[from].At, s.Bolts[fixed].At) {
			from = b
		}
	}
	for _, b := range bolts {
		h := &d.Holes[b]
		far := distance(h.At, s.Bolts[from].At)
		growth, err := material.Growth(far, s.Hot)
		if err != nil || growth <= h.Growth {
			continue // checked before; or a plate that shares the bolt grows more
		}
		h.Growth, h.Slot = growth, SlotFor(growth)
		d.Growth = max(d.Growth, growth)
		if h.Slot > 0 {
			h.Dir = [2]float64{(h.At[0] - s.Bolts[from].At[0]) / far, (h.At[1] - s.Bolts[from].At[1]) / far}
		}
	}
}

// slot returns what the hole takes out.
func (h Drilled) slot() slot {
	dx, dy := h.Slot/2*h.Dir[0], h.Slot/2*h.Dir[1]
	return slot{[2]float64{h.At[0] - dx, h.At[1] - dy}, [2]float64{h.At[0] + dx, h.At[1] + dy}, h.Diameter / 2}
}

// rooms finds what is least of all.
func (d *Design) rooms(s Spec) {
	var edge, web, washer, socket least
	for _, p := range d.Pieces {
		for i, b := range p.bolt {
			h := d.Holes[b]
			v, at := h.slot().from(p.Outline, true, edge.limit())
			edge.see(v, h.Bolt, "", at)
			for _, c := range d.Cuts {
				v, at := c.slot().to(h.slot())
				edge.see(v, h.Bolt, "", at)
			}
			for _, m := range p.mouths {
				v, at := h.slot().from(s.Mouths[m].Opening, false, web.limit())
				web.see(v, s.Mouths[m].ID, h.Bolt, at)
			}
			for _, c := range p.bolt[:i] {
				v, at := h.slot().to(d.Holes[c].slot())
				web.see(v, d.Holes[c].Bolt, h.Bolt, at)
			}
		}
		for i, m := range p.mouths {
			for _, n := range p.mouths[:i] {
				v, at := outlinesApart(s.Mouths[m].Opening, s.Mouths[n].Opening, web.limit())
				web.see(v, s.Mouths[n].ID, s.Mouths[m].ID, at)
			}
		}
	}
	for i, b := range s.Bolts {
		for _, m := range s.Mouths {
			if m.Tube.Len() == 0 {
				continue
			}
			v, at := slot{b.At, b.At, 0}.from(m.Tube, false, math.Inf(1))
			if s.Washer > 0 {
				washer.see(v-s.Washer/2-s.WeldLeg, m.ID, b.ID, at)
			}
			if s.Socket > 0 {
				socket.see(v-s.Socket/2, m.ID, b.ID, at)
			}
		}
		for _, c := range s.Bolts[:i] {
			if s.Washer > 0 {
				washer.see(distance(b.At, c.At)-s.Washer, c.ID, b.ID, partway(b.At, c.At, 0.5))
			}
		}
	}
	d.Edge, d.Web, d.Washer, d.Socket = edge.of, web.of, washer.of, socket.of
}

// weigh finds area and mass of all plates. What is taken out of two of them is taken
// out of both; a saw cut weighs nothing.
func (d *Design) weigh(m Material) {
	for _, p := range d.Pieces {
		d.Area += p.Outline.Area()
		for _, i := range p.mouths {
			d.Area -= d.Mouths[i].Opening.Area()
		}
		for _, b := range p.bolt {
			d.Area -= d.Holes[b].slot().area()
		}
	}
	d.Density = m.Density
	d.Mass = d.Area * d.Thickness * d.Density * 1e-9
}
