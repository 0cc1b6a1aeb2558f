package clear_test

import (
	"fmt"
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

// route is where a tube starts and what it is made of.
type route struct {
	start geom.Frame
	elems []tube.Element
}

func (r route) path() clear.Path { return must(clear.NewPath(r.start, r.elems, od)) }

// routes returns eight tubes of an invented header: ports 81 to 101 mm apart, four
// or five bends each, all of them turning back and down past the block.
func routes(seed uint64) []route {
	rnd := rand.New(rand.NewPCG(seed, 8))
	list := make([]route, 8)
	x := 0.0
	for i := range list {
		list[i].start = geom.Frame{O: geom.Vec{X: x}, T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}
		x += 81 + 20*rnd.Float64()
		clr := []float64{63.5, 76.2, 101.6}
		var rows [][4]float64
		rows = append(rows, [4]float64{30 + 20*rnd.Float64(), 180 + 40*(rnd.Float64()-0.5), 50 + 40*rnd.Float64(), clr[rnd.IntN(3)]})
		for range 3 + rnd.IntN(2) {
			rows = append(rows, [4]float64{80 * rnd.Float64(), 360*rnd.Float64() - 180, 20 + 50*rnd.Float64(), clr[rnd.IntN(3)]})
		}
		list[i].elems = elements(append(rows, [4]float64{90})...)
	}
	return list
}

func header(seed uint64) []clear.Path {
	var paths []clear.Path
	for _, r := range routes(seed) {
		paths = append(paths, r.path())
	}
	return paths
}

// neighbour is a body and its core as the CAD kernel reads it (kernel_test.go).
type neighbour struct {
	clear.Body
	core string
}

func aBall(at geom.Vec, r units.Length) neighbour {
	return neighbour{clear.Body{Sets: []clear.Set{must(clear.Ball(at, r))}}, "point" + text(at)}
}

func aRod(a, b geom.Vec, r units.Length) neighbour {
	return neighbour{clear.Body{Sets: []clear.Set{must(clear.Rod(a, b, r))}}, "edge" + text(a, b)}
}

func aBox(at, size, x, y geom.Vec) neighbour {
	f := must(geom.NewFrame(at, x, y))
	z := f.T.Cross(f.N)
	corner := at.Sub(f.T.Scale(size.X / 2)).Sub(f.N.Scale(size.Y / 2)).Sub(z.Scale(size.Z / 2))
	return neighbour{clear.Body{Sets: []clear.Set{must(clear.Box(at, size, x, y))}}, "box" + text(corner, size, f.T, z)}
}

func aCylinder(from, dir geom.Vec, length, r units.Length) neighbour {
	return neighbour{clear.Body{Sets: []clear.Set{must(clear.Cylinder(from, dir, length, r))}}, "cylinder" + text(from, dir) + fmt.Sprint(" ", length.MM(), " ", r.MM())}
}

func aPlane(at, normal geom.Vec) neighbour {
	return neighbour{clear.Body{Sets: []clear.Set{must(clear.Plane(at, normal))}}, "plane" + text(at, normal)}
}

func aSleeve(p []geom.Vec, r units.Length) neighbour {
	core := fmt.Sprint("path ", len(p)-1)
	for i := range p[1:] {
		core += " line" + text(p[i], p[i+1])
	}
	return neighbour{clear.Body{Sets: must(clear.Sleeve(p, r))}, core}
}

func text(points ...geom.Vec) (s string) {
	for _, p := range points {
		s += fmt.Sprint(" ", p.X, " ", p.Y, " ", p.Z)
	}
	return s
}

// bay returns twenty neighbours of the header, of every kind.
func bay(seed uint64) []neighbour {
	rnd := rand.New(rand.NewPCG(seed, 20))
	at := func() geom.Vec {
		return geom.Vec{X: 800*rnd.Float64() - 50, Y: -500 + 450*rnd.Float64(), Z: 30 + 300*rnd.Float64()}
	}
	list := []neighbour{aPlane(geom.Vec{Y: -420}, geom.Vec{Y: 1}), aPlane(geom.Vec{Z: -12}, geom.Vec{Z: 1})}
	for range 4 {
		a := at()
		list = append(list, aBall(at(), 25), aRod(a, a.Add(randomDir(rnd).Scale(200)), 12),
			aBox(at(), geom.Vec{X: 80, Y: 60, Z: 120}, randomDir(rnd), randomDir(rnd)), aCylinder(at(), randomDir(rnd), 120, 10))
	}
	for range 2 {
		p := []geom.Vec{at()}
		for range 4 {
			p = append(p, p[len(p)-1].Add(randomDir(rnd).Scale(100)))
		}
		list = append(list, aSleeve(p, 8))
	}
	return list
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
						evals += clear.To(h[i], n[j].Body, c.o).Evaluations
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
