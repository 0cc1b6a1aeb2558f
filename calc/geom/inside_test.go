package geom_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
)

// winding of a polyline round p, by the sum of the angles.
func winding(pts [][2]float64, p [2]float64) int {
	sum := 0.0
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		x, y := [2]float64{a[0] - p[0], a[1] - p[1]}, [2]float64{b[0] - p[0], b[1] - p[1]}
		sum += math.Atan2(x[0]*y[1]-x[1]*y[0], x[0]*y[0]+x[1]*y[1])
	}
	return int(math.Round(sum / (2 * math.Pi)))
}

func TestContainsAndNearestAgainstAFinePolyline(t *testing.T) {
	const seed = 6
	rnd := rand.New(rand.NewPCG(seed, 0))
	for name, o := range shapes(t) {
		o = o.Turned(rnd.Float64())
		fine := o.Polyline(1e-4)
		low, high := o.Bounds()
		for i := range 400 {
			p := [2]float64{low[0] - 3 + (high[0]-low[0]+6)*rnd.Float64(), low[1] - 3 + (high[1]-low[1]+6)*rnd.Float64()}
			if i%4 == 0 { // level with a corner or an end, where a ray could count twice
				p[1] = o.Segments()[rnd.IntN(len(o.Segments()))].From[1]
			}
			want := math.Inf(1)
			for k, a := range fine {
				want = min(want, toChord(p, a, fine[(k+1)%len(fine)]))
			}
			d, at := o.Nearest(p)
			if math.Abs(d-want) > 1.1e-4 || math.Abs(dist(p, at)-d) > 1e-9 {
				t.Fatalf("seed %d, %s: %v is %v away at %v, the polyline %v", seed, name, p, d, at, want)
			}
			if off, _ := o.Nearest(at); off > 1e-9 {
				t.Fatalf("seed %d, %s: the nearest place %v is %v off the outline", seed, name, at, off)
			}
			if d > 2e-4 && o.Contains(p) != (winding(fine, p) == 1) {
				t.Fatalf("seed %d, %s: contains %v: %v, winding number %d", seed, name, p, o.Contains(p), winding(fine, p))
			}
		}
	}
}

func TestBoundsHoldTheOutline(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 20 {
		for name, o := range shapes(t) {
			o = o.Turned(6 * rnd.Float64())
			low, high := o.Bounds()
			l, h := [2]float64{1e9, 1e9}, [2]float64{-1e9, -1e9}
			for _, p := range o.Polyline(1e-4) {
				for k := range 2 {
					l[k], h[k] = min(l[k], p[k]), max(h[k], p[k])
				}
			}
			for k := range 2 {
				if l[k] < low[k]-1e-11 || h[k] > high[k]+1e-11 || l[k] > low[k]+1.1e-4 || h[k] < high[k]-1.1e-4 {
					t.Fatalf("seed %d, %s: bounds %v to %v, polyline %v to %v", seed, name, low, high, l, h)
				}
			}
		}
	}
}

func BenchmarkNearest(b *testing.B) {
	o, err := geom.Points(circle(16, false))
	if err != nil {
		b.Fatal(err)
	}
	i := 0.0
	for b.Loop() {
		i++
		o.Nearest([2]float64{20 * math.Cos(i), 30 * math.Sin(i)})
	}
}
