package flange_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// ear is one round port of 40 mm between two bolts, 80 mm apart.
func ear() flange.Spec {
	return flange.Spec{
		Bolts:  []flange.Bolt{{ID: "b1", At: [2]float64{-40, 0}}, {ID: "b2", At: [2]float64{40, 0}}},
		Mouths: []flange.Mouth{{ID: "p1", Opening: must(geom.Round(40)), Tube: must(geom.Round(43.3))}},
		Size:   "M8", Class: "normal", Edge: 9, Web: 6, Washer: 16, Socket: 18, WeldLeg: 3, Thickness: 10, Material: "304", Revision: "B",
	}
}

// Worked by hand: the plate goes round discs of 26 mm in the middle and 13.5 mm at
// the ends, tangents √(40² − 12.5²).
func TestDesignWorkedByHand(t *testing.T) {
	d, err := flange.NewDesign(ear())
	if err != nil {
		t.Fatal(err)
	}
	g, line := math.Asin(12.5/40), math.Sqrt(40*40-12.5*12.5)
	plate := 26*26*2*g + 13.5*13.5*(math.Pi-2*g) + 2*line*(26+13.5)
	area := plate - math.Pi*20*20 - 2*math.Pi*4.5*4.5
	for _, tt := range []struct {
		name      string
		got, want float64
	}{
		{"plate", d.Pieces[0].Outline.Area(), plate}, {"area", d.Area, area}, {"mass", d.Mass, area * 10 * 8e-6},
		{"edge", d.Edge.Value, 9}, {"web", d.Web.Value, 15.5}, {"washer", d.Washer.Value, 40 - 21.65 - 8 - 3}, {"socket", d.Socket.Value, 40 - 21.65 - 9},
		{"hole", d.Holes[0].Diameter, 9}, {"slot", d.Holes[1].Slot, 0}, {"growth", d.Growth, 0},
	} {
		if math.Abs(tt.got-tt.want) > 1e-4 {
			t.Errorf("%s: %v, want %v", tt.name, tt.got, tt.want)
		}
	}
	if d.Revision != "B" || !d.Known || d.Web.Between != [2]string{"p1", "b1"} || len(d.Cuts) != 0 || len(d.Overlaps) != 0 {
		t.Errorf("%+v", d)
	}
}

// Worked by hand: 304 to 500 °C has a mean of 18.298e-6/K; 80 mm grow by 0.7026 mm.
func TestSlotsLeadAwayFromTheFixedHole(t *testing.T) {
	s := ear()
	s.Fixed, s.Hot = "b1", 500
	d, err := flange.NewDesign(s)
	if err != nil {
		t.Fatal(err)
	}
	h := d.Holes[1]
	if math.Abs(h.Growth-0.7026) > 1e-4 || h.Slot != 1.5 || math.Abs(h.Dir[0]-1) > 1e-12 || d.Holes[0].Slot != 0 || d.Growth != h.Growth {
		t.Errorf("%+v and %+v", d.Holes[0], h)
	}
	if math.Abs(d.Edge.Value-9) > 1e-4 || math.Abs(d.Web.Value-(15.5-0.75)) > 1e-4 {
		t.Errorf("edge %v, web %v: a slot keeps its metal", d.Edge.Value, d.Web.Value)
	}
	s.Material = "unheard of"
	d, err = flange.NewDesign(s)
	if err != nil || d.Known || d.Mass != 0 || d.Holes[1].Slot != 0 {
		t.Errorf("unknown material: known %v, mass %v, slot %v, %v", d.Known, d.Mass, d.Holes[1].Slot, err)
	}
}

// four is a head of four ports with bolts between them, above and below, and at both
// ends: 10 bolts, like many.
func four() flange.Spec {
	s := flange.Spec{Size: "M8", Edge: 9, Web: 6, Thickness: 10, Material: "mild steel"}
	for i := range 4 {
		opening := must(geom.Rectangle(42, 36, 8)).Moved(95*float64(i), 0)
		tube, err := flange.Offset(opening, -0.4)
		if err != nil {
			panic(err)
		}
		s.Mouths = append(s.Mouths, flange.Mouth{ID: fmt.Sprint("p", i+1), Opening: opening, Tube: tube})
	}
	for i := range 5 {
		x := 95*float64(i) - 47.5
		s.Bolts = append(s.Bolts, flange.Bolt{ID: fmt.Sprint("t", i+1), At: [2]float64{x, 25}}, flange.Bolt{ID: fmt.Sprint("u", i+1), At: [2]float64{x, -27}})
	}
	return s
}

// A bolt half-way between two ports holds both, so separate plates want the same
// metal, and that is said; without it they do not.
func TestSeparatePlates(t *testing.T) {
	s := four()
	s.Pieces = flange.Separate
	d, err := flange.NewDesign(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Pieces) != 4 || len(d.Overlaps) != 3 || d.Overlaps[0].A != "p1" || d.Overlaps[0].B != "p2" || d.Overlaps[0].By < 5 {
		t.Errorf("%d plates, %+v", len(d.Pieces), d.Overlaps)
	}
	// Measured, the middle is never quite the middle.
	for i := range s.Bolts {
		s.Bolts[i].At[0] += []float64{0.3, -0.2, 0.4}[i%3]
	}
	d, err = flange.NewDesign(s)
	if err != nil {
		t.Fatal(err)
	}
	if got := d.Pieces[1].Bolts; !slices.Equal(got, []string{"t2", "u2", "t3", "u3"}) {
		t.Errorf("the second port is held by %v", got)
	}
	// Each port with two bolts of its own, across.
	s.Bolts = nil
	for i := range 4 {
		for k, y := range []float64{33, -33} {
			s.Bolts = append(s.Bolts, flange.Bolt{ID: fmt.Sprint("b", 2*i+k), At: [2]float64{95*float64(i) + 6*float64(k), y}})
		}
	}
	s.Fixed, s.Material = "b0", "321"
	d, err = flange.NewDesign(s)
	if err != nil || len(d.Pieces) != 4 || len(d.Overlaps) != 0 {
		t.Errorf("%d plates, %+v, %v", len(d.Pieces), d.Overlaps, err)
	}
	for i, p := range d.Pieces {
		if len(p.Bolts) != 2 || len(p.Mouths) != 1 {
			t.Errorf("plate %d: %v, %v", i, p.Mouths, p.Bolts)
		}
	}
	// Each plate grows from its own hole, so none by more than across it.
	if m, _ := flange.MaterialOf("321"); d.Growth > 70*m.Mean(500)*480 {
		t.Errorf("growth %v", d.Growth)
	}
}

// With a bolt above and below between the ports, a cut beside them gets to the
// bridge; and it keeps off the holes.
func TestSawCuts(t *testing.T) {
	s := four()
	s.Pieces = flange.Sawn
	d, err := flange.NewDesign(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Cuts) != 3 {
		t.Fatalf("%d cuts", len(d.Cuts))
	}
	plate := d.Pieces[0].Outline
	for i, c := range d.Cuts {
		if c.Between != [2]string{fmt.Sprint("p", i+1), fmt.Sprint("p", i+2)} || math.Abs(c.From[0]-c.To[0]) > 1e-9 || math.Abs(c.Bridge-flange.UsualBridge) > 1e-6 || !(c.Web >= s.Web-1e-9) {
			t.Errorf("cut %d: %+v", i+1, c)
		}
		if off, _ := plate.Nearest(c.From); off > 0.01 {
			t.Errorf("cut %d begins %v mm from the edge", i+1, off)
		}
		if !plate.Contains(c.To) {
			t.Errorf("cut %d ends outside", i+1)
		}
		for _, h := range d.Holes {
			for k := range 101 {
				p := [2]float64{c.From[0], c.From[1] + float64(k)/100*(c.To[1]-c.From[1])}
				if off := dist(p, h.At) - h.Diameter/2; off < s.Edge-1e-6 {
					t.Fatalf("cut %d is %v mm from hole %s", i+1, off, h.Bolt)
				}
			}
		}
	}
	// Without bolts between the ports the cut is in the middle and leaves the bridge.
	s.Bolts = []flange.Bolt{{ID: "a", At: [2]float64{-45, 0}}, {ID: "b", At: [2]float64{330, 0}}}
	d, err = flange.NewDesign(s)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range d.Cuts {
		if math.Abs(c.From[0]-95*(float64(i)+0.5)) > 1e-6 || math.Abs(c.Bridge-flange.UsualBridge) > 1e-6 || math.Abs(c.Web-(95-42)/2.0) > 1e-6 {
			t.Errorf("cut %d: %+v", i+1, c)
		}
	}
}

// Turning and shifting the head changes no figure.
func TestDesignMovesWithTheHead(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 40 {
		s := random(rnd)
		d, err := flange.NewDesign(s)
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		a, dx, dy := 6*rnd.Float64(), 100*rnd.Float64(), -100*rnd.Float64()
		sin, cos := math.Sincos(a)
		m := s
		m.Bolts, m.Mouths = slices.Clone(s.Bolts), slices.Clone(s.Mouths)
		for k := range m.Bolts {
			p := m.Bolts[k].At
			m.Bolts[k].At = [2]float64{cos*p[0] - sin*p[1] + dx, sin*p[0] + cos*p[1] + dy}
		}
		for k := range m.Mouths {
			m.Mouths[k].Opening = m.Mouths[k].Opening.Turned(a).Moved(dx, dy)
			m.Mouths[k].Tube = m.Mouths[k].Tube.Turned(a).Moved(dx, dy)
		}
		e, err := flange.NewDesign(m)
		if err != nil {
			t.Fatalf("seed %d case %d moved: %v", seed, i, err)
		}
		if math.Abs(d.Area-e.Area) > 0.02 || math.Abs(d.Growth-e.Growth) > 1e-9 || len(d.Pieces) != len(e.Pieces) || len(d.Cuts) != len(e.Cuts) ||
			math.Abs(d.Edge.Value-e.Edge.Value) > 1e-3 || math.Abs(d.Web.Value-e.Web.Value) > 1e-3 || math.Abs(d.Washer.Value-e.Washer.Value) > 1e-3 {
			t.Fatalf("seed %d case %d: area %v and %v, edge %v and %v, web %v and %v", seed, i, d.Area, e.Area, *d.Edge, *e.Edge, *d.Web, *e.Web)
		}
	}
}

// An uncut plate has the metal that was asked for round all, nothing is nearer than
// the least that is named, as dense points on holes and openings find, and every
// plate has lines and arcs only.
func TestDesignKeepsWhatWasAskedFor(t *testing.T) {
	const seed = 8
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range fewer(40) {
		s := random(rnd)
		s.Pieces = flange.OnePiece
		d, err := flange.NewDesign(s)
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		var rims [][][2]float64
		for _, h := range d.Holes {
			var pts [][2]float64
			for k := range 360 {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / 360)
				end := h.Slot / 2
				if cos*h.Dir[0]+sin*h.Dir[1] < 0 {
					end = -end
				}
				pts = append(pts, [2]float64{h.At[0] + end*h.Dir[0] + h.Diameter/2*cos, h.At[1] + end*h.Dir[1] + h.Diameter/2*sin})
			}
			for k := range 41 { // the sides of a slot
				along := h.Slot * (float64(k)/40 - 0.5)
				for _, side := range []float64{-h.Diameter / 2, h.Diameter / 2} {
					if h.Slot > 0 {
						pts = append(pts, [2]float64{h.At[0] + along*h.Dir[0] - side*h.Dir[1], h.At[1] + along*h.Dir[1] + side*h.Dir[0]})
					}
				}
			}
			rims = append(rims, pts)
		}
		edge := math.Inf(1)
		for _, pts := range rims {
			for _, p := range pts {
				off, _ := d.Pieces[0].Outline.Nearest(p)
				edge = min(edge, off)
			}
		}
		web := math.Inf(1)
		for k, pts := range rims {
			for _, m := range s.Mouths {
				for _, p := range pts {
					off, _ := m.Opening.Nearest(p)
					web = min(web, off)
				}
			}
			for _, other := range rims[:k] {
				for _, p := range pts {
					for _, q := range other {
						web = min(web, dist(p, q))
					}
				}
			}
		}
		for k, m := range s.Mouths {
			for _, n := range s.Mouths[:k] {
				for _, p := range m.Opening.Evenly(600) {
					off, _ := n.Opening.Nearest(p)
					web = min(web, off)
				}
			}
			for _, p := range m.Opening.Evenly(60) {
				if off, _ := d.Pieces[0].Outline.Nearest(p); off < s.Web-0.01 || !d.Pieces[0].Outline.Contains(p) {
					t.Fatalf("seed %d case %d: %v mm of metal round %s", seed, i, off, m.ID)
				}
			}
		}
		if math.Abs(edge-d.Edge.Value) > 0.02 || d.Edge.Value < s.Edge-0.01 {
			t.Fatalf("seed %d case %d: least edge %+v, found %v, asked %v", seed, i, *d.Edge, edge, s.Edge)
		}
		if math.Abs(web-d.Web.Value) > 0.05 {
			t.Fatalf("seed %d case %d: least web %+v, found %v", seed, i, *d.Web, web)
		}
		for _, seg := range d.Pieces[0].Outline.Segments() {
			if seg.Kind == geom.Cubic {
				t.Fatalf("seed %d case %d: a curve in the plate", seed, i)
			}
		}
	}
}

// random is a head of one to five ports in a row, nothing in anything's way.
func random(rnd *rand.Rand) flange.Spec {
	s := flange.Spec{Size: "M8", Edge: 4 + 8*rnd.Float64(), Web: 3 + 6*rnd.Float64(), Washer: 16, Thickness: 10, Material: "304", Hot: 400 + 300*rnd.Float64()}
	s.Pieces = []string{flange.OnePiece, flange.Sawn, flange.Separate}[rnd.IntN(3)]
	shapes := []geom.Outline{must(geom.Round(38)), must(geom.Oval(46, 34)), must(geom.Rectangle(40, 33, 7)), must(geom.D(21, 6, 5))}
	n := 1 + rnd.IntN(5)
	for i := range n {
		x, y := 95*float64(i)+6*rnd.Float64(), 6*rnd.Float64()
		o := shapes[rnd.IntN(len(shapes))].Turned(rnd.Float64()).Moved(x, y)
		s.Mouths = append(s.Mouths, flange.Mouth{ID: fmt.Sprint("p", i+1), Opening: o, Tube: o})
		for k := range 2 {
			a := 1.2 + rnd.Float64()*0.7 + math.Pi*float64(k)
			s.Bolts = append(s.Bolts, flange.Bolt{ID: fmt.Sprintf("b%d", 2*i+k), At: [2]float64{x + 38*math.Cos(a), y + 38*math.Sin(a)}})
		}
	}
	if rnd.IntN(2) == 0 {
		s.Fixed = s.Bolts[rnd.IntN(len(s.Bolts))].ID
	}
	return s
}

func TestDesignRefuses(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		name   string
		change func(*flange.Spec)
		field  string
	}{
		{"nothing", func(s *flange.Spec) { *s = flange.Spec{} }, "Flange"},
		{"size", func(s *flange.Spec) { s.Size = "M9" }, "Bolt size"},
		{"class", func(s *flange.Spec) { s.Class = "tight" }, "Hole class"},
		{"no hole", func(s *flange.Spec) { s.Size = "" }, "Bolt hole"},
		{"pieces", func(s *flange.Spec) { s.Pieces = "two" }, "Pieces"},
		{"edge", func(s *flange.Spec) { s.Edge = -1 }, "Metal round bolt holes"},
		{"web", func(s *flange.Spec) { s.Web = nan }, "Metal round openings"},
		{"washer", func(s *flange.Spec) { s.Washer = math.Inf(1) }, "Washer OD"},
		{"thickness", func(s *flange.Spec) { s.Thickness = nan }, "Flange thickness"},
		{"hot", func(s *flange.Spec) { s.Hot = 1200 }, "Flange gets as hot as"},
		{"fixed", func(s *flange.Spec) { s.Fixed = "b9" }, "Hole that stays round"},
		{"bolt", func(s *flange.Spec) { s.Bolts[1].At[1] = nan }, "Bolt hole y"},
		{"opening", func(s *flange.Spec) { s.Mouths[0].Opening = geom.Outline{} }, "Opening"},
		{"far", func(s *flange.Spec) { s.Mouths[0].Opening = s.Mouths[0].Opening.Moved(1e5, 0) }, "Opening"},
	} {
		s := ear()
		tt.change(&s)
		_, err := flange.NewDesign(s)
		var f *fault.Field
		if !errors.As(err, &f) || f.Name != tt.field {
			t.Errorf("%s: %v, want %q named", tt.name, err, tt.field)
		}
	}
}

// Worked by hand: which two are nearest, of holes, slots and openings.
func TestLeastMetalIsNamed(t *testing.T) {
	s := ear()
	s.Bolts = append(s.Bolts, flange.Bolt{ID: "b3", At: [2]float64{40, 14}})
	d, err := flange.NewDesign(s)
	if err != nil || math.Abs(d.Web.Value-(14-9)) > 1e-9 || d.Web.Between != [2]string{"b2", "b3"} {
		t.Errorf("two holes: %+v, %v", d.Web, err)
	}
	if math.Abs(d.Washer.Value-(14-16)) > 1e-9 || d.Washer.Between != [2]string{"b2", "b3"} {
		t.Errorf("two washers: %+v", d.Washer)
	}
	s = ear()
	s.Fixed, s.Hot = "b1", 500
	s.Bolts = append(s.Bolts, flange.Bolt{ID: "b3", At: [2]float64{52, 0}})
	d, err = flange.NewDesign(s)
	if want := 12 - 9 - (d.Holes[1].Slot+d.Holes[2].Slot)/2; err != nil || d.Holes[2].Slot != 2 || math.Abs(d.Web.Value-want) > 1e-9 {
		t.Errorf("two slots: %+v, want %v, %v", d.Web, want, err)
	}
	s = ear()
	s.Mouths = append(s.Mouths,
		flange.Mouth{ID: "p2", Opening: must(geom.Rectangle(30, 30, 0)).Moved(0, 80)},
		flange.Mouth{ID: "p3", Opening: must(geom.Round(40)).Moved(33, 60)})
	d, err = flange.NewDesign(s)
	// The corner of p2 at 15, 65 stands into p3.
	if err != nil || d.Web.Between != [2]string{"p2", "p3"} || math.Abs(d.Web.Value-(math.Hypot(18, 5)-20)) > 1e-6 {
		t.Errorf("openings in each other: %+v, %v", d.Web, err)
	}
	s.Mouths[2].Opening = must(geom.Round(40)).Moved(38, 75)
	d, err = flange.NewDesign(s)
	if err != nil || d.Web.Between != [2]string{"p2", "p3"} || math.Abs(d.Web.Value-3) > 1e-6 {
		t.Errorf("two openings: %+v, want 3, %v", d.Web, err)
	}
}

// What runs into each other is said as below 0, and is no error.
func TestDesignOfWhatDoesNotFit(t *testing.T) {
	s := ear()
	s.Bolts[0].At = [2]float64{-18, 0} // across the opening's edge
	d, err := flange.NewDesign(s)
	if err != nil || math.Abs(d.Web.Value-(-2-4.5)) > 1e-6 || d.Washer.Value > -14 {
		t.Errorf("web %+v, washer %+v, %v", d.Web, d.Washer, err)
	}
	s = ear()
	s.Mouths = append(s.Mouths, flange.Mouth{ID: "p2", Opening: must(geom.Round(40)).Moved(30, 0)})
	d, err = flange.NewDesign(s)
	if err != nil || d.Web.Value > -9 {
		t.Errorf("web %+v, %v", d.Web, err)
	}
}

func FuzzDesign(f *testing.F) {
	f.Add(40.0, 0.0, 30.0, 60.0, 5.0, 6.0, 500.0, uint8(0))
	f.Add(-40.0, 0.0, 0.0, 0.0, 0.0, 0.0, 20.0, uint8(2))
	f.Fuzz(func(t *testing.T, x, y, size, apart, edge, web, hot float64, pieces uint8) {
		o, err := geom.Round(size)
		if err != nil {
			t.Skip()
		}
		s := flange.Spec{
			Bolts:  []flange.Bolt{{ID: "a", At: [2]float64{x, y}}, {ID: "b", At: [2]float64{-x, y}}, {ID: "c", At: [2]float64{x + apart, -y}}},
			Mouths: []flange.Mouth{{ID: "p", Opening: o, Tube: o}, {ID: "q", Opening: o.Moved(apart, 0), Tube: o}},
			Size:   "M8", Edge: edge, Web: web, Fixed: "a", Hot: hot, Material: "304", Thickness: 8,
			Pieces: []string{flange.OnePiece, flange.Sawn, flange.Separate}[pieces%3],
		}
		d, err := flange.NewDesign(s)
		if err != nil {
			return
		}
		for _, v := range []float64{d.Area, d.Mass, d.Growth, d.Edge.Value, d.Web.Value, d.Washer.Value} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v gives %+v", s, d)
			}
		}
		for _, c := range d.Cuts {
			if math.IsNaN(c.From[0]+c.From[1]+c.To[0]+c.To[1]+c.Bridge+c.Web) || math.IsInf(c.Bridge, 0) {
				t.Fatalf("cut %+v", c)
			}
		}
	})
}

func BenchmarkDesign(b *testing.B) {
	b.Run("measured points", func(b *testing.B) {
		s := four()
		for i := range s.Mouths {
			s.Mouths[i].Opening = ports(b)["points"].Moved(95*float64(i), 0)
		}
		for b.Loop() {
			if _, err := flange.NewDesign(s); err != nil {
				b.Fatal(err)
			}
		}
	})
	for _, pieces := range []string{flange.OnePiece, flange.Sawn, flange.Separate} {
		s := four()
		s.Pieces, s.Fixed = pieces, "t3"
		b.Run(pieces, func(b *testing.B) {
			for b.Loop() {
				if _, err := flange.NewDesign(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
