package flange_test

import (
	"math"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

func laid(t testing.TB, port geom.Outline, bore, length float64, aim geom.Vec) flange.Template {
	t.Helper()
	l, err := flange.NewLoft(port, bore, length, aim)
	if err != nil {
		t.Fatal(err)
	}
	flat, err := flange.NewTemplate(l)
	if err != nil {
		t.Fatal(err)
	}
	return flat
}

// A cylinder unrolls to a rectangle π·d wide (closed form); chords of 1° make it
// 2 µm narrower.
func TestTemplateOfACylinderIsARectangle(t *testing.T) {
	flat := laid(t, must(geom.Round(40)), 40, 44.45, straight)
	for i := range flat.Port {
		if math.Abs(flat.Port[i][1]) > 1e-9 || math.Abs(flat.Bore[i][1]-44.45) > 1e-9 || math.Abs(flat.Port[i][0]-flat.Bore[i][0]) > 1e-9 {
			t.Fatalf("line %d from %v to %v", i, flat.Port[i], flat.Bore[i])
		}
	}
	last := flat.Port[len(flat.Port)-1][0]
	if math.Abs(last-40*math.Pi) > 0.002 || !flat.Exact || flat.Error > 1e-9 {
		t.Errorf("%v mm wide, want %v; exact %v, error %v", last, 40*math.Pi, flat.Exact, flat.Error)
	}
	if o, err := flat.Outline(); err != nil || math.Abs(o.Area()-last*44.45) > 1e-6 {
		t.Errorf("outline of %v mm², %v", o.Area(), err)
	}
}

// A frustum unrolls to a part of a ring: α = atan((R−r)/h), radii R/sin α and
// r/sin α, over 2π·sin α (development of a right cone; closed form, in every
// drawing book of sheet metal work).
func TestTemplateOfAFrustumIsPartOfARing(t *testing.T) {
	const R, r, h = 26.0, 19.0, 44.45
	flat := laid(t, must(geom.Round(2*R)), 2*r, h, straight)
	sin := math.Sin(math.Atan((R - r) / h))
	apex := [2]float64{0, R / sin}
	for i := range flat.Port {
		p, q := flat.Port[i], flat.Bore[i]
		if math.Abs(math.Hypot(p[0]-apex[0], p[1]-apex[1])-R/sin) > 1e-3 || math.Abs(math.Hypot(q[0]-apex[0], q[1]-apex[1])-r/sin) > 1e-3 {
			t.Fatalf("line %d from %v to %v, apex %v", i, p, q, apex)
		}
	}
	last := flat.Port[len(flat.Port)-1]
	if over := math.Atan2(last[0], apex[1]-last[1]); math.Abs(over-2*math.Pi*sin) > 2e-5 {
		t.Errorf("over %v rad, want %v", over, 2*math.Pi*sin)
	}
}

// Square to round, as laid out by hand: four flat triangles, whose height is
// √(h² + (a/2 − r)²), and four parts of oblique cones from the corners, whose lines
// are √(h² + (a/2 − r·cos φ)² + (a/2 − r·sin φ)²). Closed forms; no handbook figure
// was at hand. The seam is down the middle of a side.
func TestTemplateOfSquareToRound(t *testing.T) {
	const a, r, h = 40.0, 15.0, 50.0
	flat := laid(t, must(geom.Rectangle(a, a, 0)), 2*r, h, straight)
	if !flat.Exact || flat.Error > 1e-9 {
		t.Errorf("exact %v, error %v", flat.Exact, flat.Error)
	}
	high := math.Hypot(h, a/2-r)
	if math.Abs(flat.Bore[0][1]-high) > 1e-9 || math.Abs(min(math.Abs(flat.Seam.From.X), math.Abs(flat.Seam.From.Y))) > 1e-9 {
		t.Errorf("seam of %v, want %v, at %v", flat.Bore[0][1], high, flat.Seam.From)
	}
	corner := func(phi float64) float64 {
		sin, cos := math.Sincos(phi)
		return math.Sqrt(h*h + (a/2-r*cos)*(a/2-r*cos) + (a/2-r*sin)*(a/2-r*sin))
	}
	// The first half side from the seam ends at a corner, whence 90 steps of 1°.
	i := 1
	if math.Abs(flat.Port[i][0]-a/2) > 1e-9 || math.Abs(flat.Port[i][1]) > 1e-9 || flat.Bore[i] != flat.Bore[0] {
		t.Fatalf("half a side ends at %v, the bore at %v", flat.Port[i], flat.Bore[i])
	}
	for n := 0; n <= 90; n, i = n+1, i+1 {
		if d := math.Hypot(flat.Bore[i][0]-flat.Port[i][0], flat.Bore[i][1]-flat.Port[i][1]); math.Abs(d-corner(float64(n)*math.Pi/180)) > 1e-9 {
			t.Fatalf("%d° round the corner the line is %v, want %v", n, d, corner(float64(n)*math.Pi/180))
		}
	}
	// Area: the triangles and, of the cones, ½∫|(p − corner) × dp|.
	want := 2 * a * high
	const steps = 20000
	for n := range steps {
		phi, next := float64(n)*math.Pi/2/steps, float64(n+1)*math.Pi/2/steps
		at := func(phi float64) geom.Vec {
			sin, cos := math.Sincos(phi)
			return geom.Vec{X: r*cos - a/2, Y: r*sin - a/2, Z: h}
		}
		want += 2 * at(phi).Cross(at(next)).Norm()
	}
	o, err := flat.Outline()
	if err != nil || math.Abs(o.Area()-want) > 5e-5*want {
		t.Errorf("flat of %v mm², want %v; %v", o.Area(), want, err)
	}
}

// Rolling up changes no length on a line, or along either edge, and the flat puckers
// nowhere.
func TestTemplateKeepsLengths(t *testing.T) {
	for name, port := range ports(t) {
		flat := laid(t, port, 38, 44.45, straight)
		if !flat.Exact || flat.Error > 1e-3 {
			t.Errorf("%s: exact %v, error %v", name, flat.Exact, flat.Error)
		}
		around, bore := 0.0, 0.0
		for i := 1; i < len(flat.Port); i++ {
			around += dist(flat.Port[i], flat.Port[i-1])
			bore += dist(flat.Bore[i], flat.Bore[i-1])
		}
		if p := port.Perimeter(); around > p*(1+1e-9) || around < p*(1-3e-5) {
			t.Errorf("%s: the edge is %v long, the port %v", name, around, p)
		}
		if p := 38 * math.Pi; bore > p*(1+1e-9) || bore < p*(1-3e-5) {
			t.Errorf("%s: the other edge is %v long, the bore %v", name, bore, p)
		}
		n := len(flat.Port) - 1
		if a, b := dist(flat.Port[0], flat.Bore[0]), dist(flat.Port[n], flat.Bore[n]); math.Abs(a-b) > 1e-9 {
			t.Errorf("%s: the seam is %v and %v long", name, a, b)
		}
		if o, err := flat.Outline(); err != nil || math.Abs(o.Perimeter()-around-bore-2*dist(flat.Port[0], flat.Bore[0])) > 1e-4 {
			t.Errorf("%s: outline of %v mm, %v", name, o.Perimeter(), err)
		}
	}
}

// A tube that leaves the face obliquely: the development of a cut cylinder, whose
// lines are L − r·tan λ·cos φ at φ round from the lean, r·φ apart (closed form, in
// every drawing book of sheet metal work).
func TestTemplateOfAnObliqueCylinder(t *testing.T) {
	const r, length = 20.0, 60.0
	for _, deg := range []float64{2, 10, 25} {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		flat := laid(t, must(geom.Oval(2*r/cos, 2*r)), 2*r, length, geom.Vec{X: sin, Z: cos})
		if !flat.Exact || flat.Error > 1e-3 {
			t.Errorf("%v°: exact %v, error %v", deg, flat.Exact, flat.Error)
		}
		// The shortest line is on the side to which it leans.
		for i := range flat.Port {
			phi := flat.Bore[i][0] / r
			long := length - r*sin/cos*math.Cos(phi)
			if d := dist(flat.Port[i], flat.Bore[i]); math.Abs(d-long) > 1e-3 || math.Abs(flat.Bore[i][1]-flat.Bore[0][1]) > 1e-3 || math.Abs(flat.Port[i][0]-flat.Bore[i][0]) > 1e-3 {
				t.Fatalf("%v°, line %d at %v rad: from %v to %v, want %v long", deg, i, phi, flat.Port[i], flat.Bore[i], long)
			}
		}
		if last := flat.Bore[len(flat.Bore)-1][0]; math.Abs(last-2*math.Pi*r) > 0.003 {
			t.Errorf("%v°: %v wide, want %v", deg, last, 2*math.Pi*r)
		}
	}
}

// Of leaning tubes the wall still lies flat: four sides of a square and cones from
// its corners, whatever the lean.
func TestTemplateOfLeaningTubes(t *testing.T) {
	for name, port := range ports(t) {
		for _, aim := range []geom.Vec{{X: 0.2, Z: 1}, {X: -0.1, Y: 0.3, Z: 1}} {
			flat := laid(t, port, 38, 44.45, aim)
			if !flat.Exact || flat.Error > 0.003 {
				t.Errorf("%s towards %v: exact %v, error %v", name, aim, flat.Exact, flat.Error)
			}
			n := len(flat.Port) - 1
			if a, b := dist(flat.Port[0], flat.Bore[0]), dist(flat.Port[n], flat.Bore[n]); math.Abs(a-b) > 1e-9 {
				t.Errorf("%s towards %v: the seam is %v and %v long", name, aim, a, b)
			}
		}
	}
}

// A port that is hollow, and a bore that dips into the face, have no such lines: the
// wall of the loft is laid flat, and the sheet is longer than it across. Mirroring
// changes nothing but the places of its lines.
func TestTemplateSaysWhatIsLost(t *testing.T) {
	hollow := must(geom.FromLoop([]geom.Vertex{{X: -25, Y: -15}, {X: 25, Y: -15, Bulge: 1}, {X: 25, Y: 15, Bulge: -0.2}, {X: -25, Y: 15, Bulge: 1}}))
	tests := []struct {
		name   string
		port   geom.Outline
		length float64
		aim    geom.Vec
	}{
		{"hollow", hollow, 44.45, straight},
		{"hollow and leaning", hollow, 44.45, geom.Vec{X: 0.2, Z: 1}},
		{"into the face", must(geom.Rectangle(40, 30, 6)), 10, geom.Vec{X: 1, Z: 1}},
	}
	for _, tt := range tests {
		flat := laid(t, tt.port, 38, tt.length, tt.aim)
		if flat.Exact || !(flat.Error > 0.01) {
			t.Errorf("%s: exact %v, error %v", tt.name, flat.Exact, flat.Error)
		}
		mirrored := laid(t, tt.port.Mirrored(), 38, tt.length, geom.Vec{X: -tt.aim.X, Y: tt.aim.Y, Z: tt.aim.Z})
		if math.Abs(mirrored.Error-flat.Error) > 0.02*flat.Error {
			t.Errorf("%s: error %v, mirrored %v", tt.name, flat.Error, mirrored.Error)
		}
	}
}

func dist(p, q [2]float64) float64 { return math.Hypot(p[0]-q[0], p[1]-q[1]) }

func BenchmarkTemplate(b *testing.B) {
	l, err := flange.NewLoft(ports(b)["rounded"], 41.15, 44.45, straight)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := flange.NewTemplate(l); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTemplateOutline(b *testing.B) {
	flat := laid(b, ports(b)["rounded"], 41.15, 44.45, straight)
	for b.Loop() {
		if _, err := flat.Outline(); err != nil {
			b.Fatal(err)
		}
	}
}

func FuzzTemplate(f *testing.F) {
	f.Add(50.0, 30.0, 5.0, 41.15, 44.45, 0.0, 0.0)
	f.Add(38.0, 38.0, 0.0, 60.0, 5.0, 0.5, -0.3)
	f.Fuzz(func(t *testing.T, w, h, corner, bore, length, x, y float64) {
		port, err := geom.Rectangle(w, h, corner)
		if err != nil {
			t.Skip()
		}
		l, err := flange.NewLoft(port, bore, length, geom.Vec{X: x, Y: y, Z: 1})
		if err != nil {
			return
		}
		flat, err := flange.NewTemplate(l)
		if err != nil {
			return
		}
		if len(flat.Port) != len(flat.Bore) || math.IsNaN(flat.Error) || flat.Error < 0 {
			t.Fatalf("%d and %d places, error %v", len(flat.Port), len(flat.Bore), flat.Error)
		}
		for i := range flat.Port {
			if s := flat.Port[i][0] + flat.Port[i][1] + flat.Bore[i][0] + flat.Bore[i][1]; math.IsNaN(s) || math.IsInf(s, 0) {
				t.Fatalf("line %d from %v to %v", i, flat.Port[i], flat.Bore[i])
			}
		}
	})
}
