package flange_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

var straight = geom.Vec{Z: 1}

// Closed forms: a frustum of a cone L·π(R² + Rr + r²)/3, a cylinder, and a cone cut
// by an oblique face has no more than that.
func TestLoftOfRoundToRoundIsAFrustum(t *testing.T) {
	for _, tt := range []struct{ d, bore, length float64 }{{40, 40, 30}, {52, 38, 44.45}, {30, 41.15, 10}} {
		l, err := flange.NewLoft(must(geom.Round(tt.d)), tt.bore, tt.length, straight)
		if err != nil {
			t.Fatal(err)
		}
		R, r := tt.d/2, tt.bore/2
		volume := tt.length * math.Pi * (R*R + R*r + r*r) / 3
		wall := math.Atan(math.Abs(R-r) / tt.length)
		if math.Abs(l.Volume-volume) > 1e-9*volume || math.Abs(l.Wall-wall) > 1e-9 {
			t.Errorf("%+v: volume %v, want %v; wall %v, want %v", tt, l.Volume, volume, l.Wall, wall)
		}
		for k := 0.0; k <= 1; k += 0.125 {
			at := R + k*(r-R)
			if want := math.Pi * at * at; math.Abs(l.Area(k)-want) > 1e-9*want {
				t.Errorf("%+v: area at %v is %v, want %v", tt, k, l.Area(k), want)
			}
		}
		if least, greatest := l.Extremes(); math.Abs(least-math.Pi*min(R, r)*min(R, r)) > 1e-6 || math.Abs(greatest-math.Pi*max(R, r)*max(R, r)) > 1e-6 {
			t.Errorf("%+v: least %v, greatest %v", tt, least, greatest)
		}
	}
}

// A round port on a face that the tube leaves obliquely: closed form, the cylinder's
// part between two planes has the bore's area times the length of its axis. The
// port is then an ellipse, longer by 1/cos along the lean, and equal lengths round
// the two do not lie on one line, so the walls are the cylinder's to first order
// only; at 5° the volume is within 1e-4.
func TestObliqueLoftNearlyACylinder(t *testing.T) {
	const d, length = 40.0, 60.0
	lean := 5 * math.Pi / 180
	l, err := flange.NewLoft(must(geom.Oval(d/math.Cos(lean), d)), d, length, geom.Vec{X: math.Sin(lean), Z: math.Cos(lean)})
	if err != nil {
		t.Fatal(err)
	}
	area := math.Pi * d * d / 4
	if math.Abs(l.Port-area) > 1e-6*area || math.Abs(l.Volume-area*length) > 1e-4*area*length || l.Wall > 0.002 {
		t.Errorf("port %v, want %v; volume %v, want %v; wall %v", l.Port, area, l.Volume, area*length, l.Wall)
	}
}

// The same from polygons: the phase of all index shifts that makes the squares
// least, the areas of sections, and the volume between the two triangulations,
// whose mean is that of the ruled quadrilaterals. Polygons lie within what they
// stand for by 1/n².
func TestLoftAgainstPolygons(t *testing.T) {
	const n, tol = 2880, 1e-5
	rnd := rand.New(rand.NewPCG(4, 0))
	for name, port := range ports(t) {
		for _, lean := range []float64{0, 0.3} {
			aim := geom.Vec{X: lean * (rnd.Float64() - 0.5), Y: lean * (rnd.Float64() - 0.5), Z: 1}
			bore, length := 25+20*rnd.Float64(), 20+60*rnd.Float64()
			l, err := flange.NewLoft(port, bore, length, aim)
			if err != nil {
				t.Fatal(err)
			}
			lines := l.Lines(n)
			sum := func(shift int) (squares float64) {
				for i, r := range lines {
					d := lines[(i+shift)%n].To.Sub(r.From)
					squares += d.Dot(d)
				}
				return squares
			}
			own := sum(0)
			for shift := 1; shift < n; shift++ {
				if s := sum(shift); s < own*(1-1e-9) {
					t.Fatalf("%s: shifted by %d of %d the lines are shorter: %v, own %v", name, shift, n, s, own)
				}
			}
			w, _ := aim.Unit()
			for k := 0.0; k <= 1; k += 0.25 {
				if got, want := l.Area(k), shadow(lines, k, w); math.Abs(got-want) > tol*want {
					t.Errorf("%s lean %v: area at %v is %v, of the polygon %v", name, lean, k, got, want)
				}
			}
			if got, want := l.Volume, volume(lines); math.Abs(got-want) > tol*want {
				t.Errorf("%s lean %v: volume %v, of the polygons %v", name, lean, got, want)
			}
			if simpson := length * (l.Port + l.Middle + l.Bore) / 3; lean == 0 && math.Abs(l.Volume-simpson) > 1e-8*simpson {
				t.Errorf("%s: volume %v, by the areas %v", name, l.Volume, simpson)
			}
			steepest := 0.0
			for _, r := range lines {
				steepest = max(steepest, r.To.Sub(r.From).Angle(w))
			}
			if l.Wall > steepest*1.005 || l.Wall < steepest*0.99 {
				t.Errorf("%s lean %v: wall %v, of the lines %v", name, lean, l.Wall, steepest)
			}
			least, greatest := l.Extremes()
			for k := 0.0; k <= 1; k += 1.0 / 64 {
				if a := l.Area(k); a < least-1e-9 || a > greatest+1e-9 {
					t.Errorf("%s: area %v at %v outside %v to %v", name, a, k, least, greatest)
				}
			}
		}
	}
}

// shadow is the area inside a section as seen along w.
func shadow(lines []flange.Ruling, k float64, w geom.Vec) float64 {
	at := func(r flange.Ruling) geom.Vec { return r.From.Scale(1 - k).Add(r.To.Scale(k)) }
	var sum geom.Vec
	for i, r := range lines {
		sum = sum.Add(at(r).Cross(at(lines[(i+1)%len(lines)])))
	}
	return sum.Dot(w) / 2
}

// volume is that of the body between two polygons and ruled quadrilaterals.
func volume(lines []flange.Ruling) float64 {
	sum, n := 0.0, len(lines)
	tetra := func(a, b, c geom.Vec) float64 { return a.Dot(b.Cross(c)) / 6 }
	var mid geom.Vec
	for _, r := range lines {
		mid = mid.Add(r.To.Scale(1 / float64(n)))
	}
	for i, r := range lines {
		s := lines[(i+1)%n]
		a, b, c, d := r.From, s.From, s.To, r.To
		sum += (tetra(a, b, c) + tetra(a, c, d) + tetra(a, b, d) + tetra(b, c, d)) / 2
		sum += tetra(mid, d, c)
	}
	return sum
}

// Turning the port turns its best phase along with it and changes nothing else.
func TestLoftTurnsWithThePort(t *testing.T) {
	for name, port := range ports(t) {
		a, err := flange.NewLoft(port, 38, 44, straight)
		if err != nil {
			t.Fatal(err)
		}
		b, err := flange.NewLoft(port.Turned(1), 38, 44, straight)
		if err != nil {
			t.Fatal(err)
		}
		turned := math.Remainder(b.Phase-a.Phase-1, 2*math.Pi)
		if math.Abs(a.Volume-b.Volume) > 1e-9*a.Volume || math.Abs(a.Wall-b.Wall) > 1e-9 || math.Abs(turned) > 1e-9 {
			t.Errorf("%s: volume %v and %v, wall %v and %v, phase off by %v", name, a.Volume, b.Volume, a.Wall, b.Wall, turned)
		}
	}
}

func TestLoftRefuses(t *testing.T) {
	port := must(geom.Round(40))
	tests := []struct {
		name         string
		port         geom.Outline
		bore, length float64
		aim          geom.Vec
	}{
		{"no bore", port, 0, 30, straight}, {"bore no number", port, math.NaN(), 30, straight},
		{"no length", port, 40, 0, straight}, {"endless", port, 40, math.Inf(1), straight},
		{"no port", geom.Outline{}, 40, 30, straight}, {"no aim", port, 40, 30, geom.Vec{}},
		{"along the face", port, 40, 30, geom.Vec{X: 1}}, {"into the head", port, 40, 30, geom.Vec{Z: -1}},
		{"aim no number", port, 40, 30, geom.Vec{X: math.NaN(), Z: 1}},
	}
	for _, tt := range tests {
		if l, err := flange.NewLoft(tt.port, tt.bore, tt.length, tt.aim); err == nil {
			t.Errorf("%s: got %+v, want an error", tt.name, l)
		}
	}
}

func FuzzLoft(f *testing.F) {
	f.Add(50.0, 30.0, 5.0, 41.15, 44.45, 0.0, 0.0)
	f.Add(30.0, 30.0, 0.0, 60.0, 1.0, 0.5, -0.3)
	f.Fuzz(func(t *testing.T, w, h, corner, bore, length, x, y float64) {
		port, err := geom.Rectangle(w, h, corner)
		if err != nil {
			t.Skip()
		}
		l, err := flange.NewLoft(port, bore, length, geom.Vec{X: x, Y: y, Z: 1})
		if err != nil {
			return
		}
		least, greatest := l.Extremes()
		for _, v := range []float64{l.Phase, l.Port, l.Middle, l.Bore, l.Volume, l.Wall, least, greatest} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%v × %v r %v on %v over %v: %+v", w, h, corner, bore, length, l)
			}
		}
		if !(least <= greatest) {
			t.Fatalf("least %v, greatest %v", least, greatest)
		}
	})
}

func BenchmarkLoft(b *testing.B) {
	for _, name := range []string{"rounded", "points"} {
		port := ports(b)[name]
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := flange.NewLoft(port, 41.15, 44.45, straight); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func must(o geom.Outline, err error) geom.Outline {
	if err != nil {
		panic(fmt.Sprint("test outline: ", err))
	}
	return o
}

// ports are outlines of every shape, some with sharp corners, one of measured points.
func ports(t testing.TB) map[string]geom.Outline {
	t.Helper()
	rnd := rand.New(rand.NewPCG(5, 0))
	pts := make([][2]float64, 16)
	for i := range pts {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 16)
		pts[i] = [2]float64{24*cos + 0.3*rnd.Float64(), 16*sin + 0.3*rnd.Float64()}
	}
	return map[string]geom.Outline{
		"round":     must(geom.Round(42)),
		"stadium":   must(geom.Stadium(50, 30)),
		"oval":      must(geom.Oval(50, 30)),
		"square":    must(geom.Rectangle(38, 38, 0)),
		"rounded":   must(geom.Rectangle(39.4, 35.1, 6.35)),
		"D":         must(geom.D(24, 8, 5)),
		"off D":     must(geom.D(24, 8, 5)).Moved(3, -4),
		"points":    must(geom.Points(pts)),
		"turned":    must(geom.Stadium(50, 30)).Turned(0.7),
		"deep oval": must(geom.Oval(60, 20)),
	}
}
