package clear_test

import (
	"math/rand/v2"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

const (
	od  = units.Length(44.45)
	deg = units.Degree
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// elements makes elements from straight, rotation, turn and CLR in mm and degrees,
// row after row.
func elements(rows ...[4]float64) []tube.Element {
	var elems []tube.Element
	for _, r := range rows {
		elems = append(elems, tube.Element{Straight: units.Length(r[0])})
		if r[2] != 0 {
			elems = append(elems, tube.Element{Bend: &tube.Bend{Rotation: units.Angle(r[1]) * deg, Turn: units.Angle(r[2]) * deg, Radius: units.Length(r[3])}})
		}
	}
	return elems
}

// header returns eight tubes of an invented header: ports 81 to 101 mm apart, four
// or five bends each, all of them turning back and down past the block.
func header(seed uint64) []clear.Path {
	rnd := rand.New(rand.NewPCG(seed, 8))
	paths := make([]clear.Path, 8)
	x := 0.0
	for i := range paths {
		start := geom.Frame{O: geom.Vec{X: x}, T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}
		x += 81 + 20*rnd.Float64()
		clr := []float64{63.5, 76.2, 101.6}
		var rows [][4]float64
		rows = append(rows, [4]float64{30 + 20*rnd.Float64(), 180 + 40*(rnd.Float64()-0.5), 50 + 40*rnd.Float64(), clr[rnd.IntN(3)]})
		for range 3 + rnd.IntN(2) {
			rows = append(rows, [4]float64{80 * rnd.Float64(), 360*rnd.Float64() - 180, 20 + 50*rnd.Float64(), clr[rnd.IntN(3)]})
		}
		rows = append(rows, [4]float64{90})
		paths[i] = must(clear.NewPath(start, elements(rows...), od))
	}
	return paths
}

// bay returns twenty neighbours of the header, of every kind.
func bay(seed uint64) []clear.Body {
	rnd := rand.New(rand.NewPCG(seed, 20))
	at := func() geom.Vec {
		return geom.Vec{X: 800*rnd.Float64() - 50, Y: -500 + 450*rnd.Float64(), Z: 30 + 300*rnd.Float64()}
	}
	dir := func() geom.Vec {
		return geom.Vec{X: rnd.Float64() - 0.5, Y: rnd.Float64() - 0.5, Z: rnd.Float64() - 0.5}
	}
	var bodies []clear.Body
	add := func(s ...clear.Set) { bodies = append(bodies, clear.Body{Sets: s}) }
	add(must(clear.Plane(geom.Vec{Y: -420}, geom.Vec{Y: 1})))
	add(must(clear.Plane(geom.Vec{Z: -12}, geom.Vec{Z: 1})))
	for range 4 {
		add(must(clear.Ball(at(), 25)))
		a := at()
		add(must(clear.Rod(a, a.Add(dir().Scale(300)), 12)))
		add(must(clear.Box(at(), geom.Vec{X: 80, Y: 60, Z: 120}, dir(), dir())))
		add(must(clear.Cylinder(at(), dir(), 120, 10)))
	}
	for range 2 {
		p := []geom.Vec{at()}
		for range 4 {
			p = append(p, p[len(p)-1].Add(dir().Scale(150)))
		}
		add(must(clear.Sleeve(p, 8))...)
	}
	return bodies
}

func BenchmarkPairs(b *testing.B) {
	h := header(1)
	for _, c := range []struct {
		name string
		o    clear.Options
	}{{"full", clear.Options{}}, {"cutoff", clear.Options{Cutoff: 25}}, {"fine", clear.Options{Eps: 0.001}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			evals := 0
			for b.Loop() {
				evals = 0
				for i := range h {
					for j := range i {
						evals += clear.Between(h[i], h[j], c.o).Evaluations
					}
				}
			}
			b.ReportMetric(float64(evals)/28, "evals/pair")
		})
	}
}

func BenchmarkNeighbours(b *testing.B) {
	h, n := header(1), bay(1)
	roll := must(clear.Turning(geom.Vec{X: 300, Y: -200, Z: -150}, geom.Vec{X: 1}, -1.5*deg, 1.5*deg))
	for _, c := range []struct {
		name string
		o    clear.Options
	}{{"full", clear.Options{}}, {"cutoff", clear.Options{Cutoff: 40}}, {"roll", clear.Options{Roll: roll}}, {"roll-cutoff", clear.Options{Roll: roll, Cutoff: 40}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			evals := 0
			for b.Loop() {
				evals = 0
				for i := range h {
					for j := range n {
						evals += clear.To(h[i], n[j], c.o).Evaluations
					}
				}
			}
			b.ReportMetric(float64(evals)/160, "evals/pair")
		})
	}
}

func BenchmarkSelf(b *testing.B) {
	h := header(1)
	for _, c := range []struct {
		name string
		o    clear.Options
	}{{"full", clear.Options{}}, {"cutoff", clear.Options{Cutoff: 10}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			evals := 0
			for b.Loop() {
				evals = 0
				for i := range h {
					evals += clear.Self(h[i], c.o).Evaluations
				}
			}
			b.ReportMetric(float64(evals)/8, "evals/tube")
		})
	}
}
