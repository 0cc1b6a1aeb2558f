package flange_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

var draw = flag.Bool("draw", false, "print the table of the simulation, 1,000 draws each")

// drawn returns n points measured on an outline, of which the even points are
// given: at even distances, each out of place along it by up to a quarter of that,
// and off by a normal error.
func drawn(rnd *rand.Rand, even [][2]float64, n int, noise float64) [][2]float64 {
	fine := len(even)
	first := rnd.Float64()
	pts := make([][2]float64, n)
	for i := range pts {
		at := (first + float64(i) + rnd.Float64()/2 - 0.25) / float64(n)
		at -= math.Floor(at)
		p := even[int(at*float64(fine))%fine]
		pts[i] = [2]float64{p[0] + noise*rnd.NormFloat64(), p[1] + noise*rnd.NormFloat64()}
	}
	return pts
}

// finely is how many even points a measured point is taken from.
const finely = 4000

// costs is the root-mean-square error of area and perimeter in percent, of the
// worst of five shapes.
func costs(t *testing.T, rnd *rand.Rand, n int, noise float64, draws int) (area, perimeter float64) {
	t.Helper()
	ok := made(t)
	for _, o := range []geom.Outline{ok(geom.Rectangle(40, 32, 6)), ok(geom.Stadium(50, 30)), ok(geom.Oval(44, 33)), ok(geom.D(22, 12, 5)), ok(geom.Round(41))} {
		var a, p float64
		good, even := 0, o.Evenly(finely)
		for range draws {
			c, err := geom.Points(drawn(rnd, even, n, noise))
			if err != nil {
				continue // many points and much noise: the curve crosses itself and is refused
			}
			good++
			a += sq(c.Area()/o.Area() - 1)
			p += sq(c.Perimeter()/o.Perimeter() - 1)
		}
		if good < draws/4 {
			t.Fatalf("%d points, noise %v: only %d of %d draws are outlines", n, noise, good, draws)
		}
		area = max(area, 100*math.Sqrt(a/float64(good)))
		perimeter = max(perimeter, 100*math.Sqrt(p/float64(good)))
	}
	return area, perimeter
}

func sq(x float64) float64 { return x * x }

func TestShortfallIsWhatASimulationSays(t *testing.T) {
	const seed = 21
	rnd := rand.New(rand.NewPCG(seed, 0))
	draws := 60
	if *draw {
		draws = 1000
	}
	for _, n := range []int{8, 10, 12, 14, 16, 20, 24, 36, 60} {
		var row strings.Builder
		for _, noise := range []float64{0, 0.1, 0.2, 0.3, 0.5} {
			if !*draw && (n > 24 || noise == 0.2) {
				continue // the rest is enough, and quick
			}
			a, p := costs(t, rnd, n, noise, draws)
			fmt.Fprintf(&row, "{%.2f, %.2f}, ", a, p)
			got := flange.ShortfallOf(n, noise, 41)
			// Of 60 draws a root-mean-square is known within a tenth; the worst of five
			// within a little more.
			if !*draw && (math.Abs(got.AreaPercent-a) > 0.35*a+0.02 || math.Abs(got.PerimeterPercent-p) > 0.35*p+0.02) {
				t.Errorf("seed %d: %d points, noise %v mm: %v, drawn again %.2f and %.2f", seed, n, noise, got, a, p)
			}
		}
		if *draw {
			t.Logf("{%s}, // %d", strings.TrimSuffix(row.String(), ", "), n)
		}
	}
}
