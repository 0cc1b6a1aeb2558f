package flange_test

import (
	"errors"
	"math"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// The end of a tube is formed to any port, or there is an error: never a figure that is
// none. The wall stands outside of the port by its thickness, the opening outside of the
// wall by the gap, and the longer the port's perimeter, the more it is stretched.
func FuzzForm(f *testing.F) {
	loops := [][]byte{
		{0, 0, 0, 0, 10, 0, 144, 1, 0, 0, 10, 0},                                       // a round
		{0, 0, 0, 0, 0, 0, 144, 1, 0, 0, 0, 0, 144, 1, 44, 1, 0, 0, 0, 0, 44, 1, 0, 0}, // a rectangle
	}
	for _, loop := range loops {
		f.Add(loop, 44.45, 1.651, true, 0.4)
		f.Add(loop, 38.1, 1.2, false, 0.0)
		f.Add(loop, 1000.0, 499.0, true, 20.0)
		f.Add(loop, math.NaN(), 1.0, true, math.Inf(1))
	}
	f.Fuzz(func(t *testing.T, data []byte, od, wall float64, isThrough bool, gap float64) {
		port, err := geom.FromLoop(triples(data))
		if err != nil {
			return
		}
		e, err := flange.Form(port, od, wall, isThrough, gap)
		isTube, isGap := od >= 1 && od <= 1000 && wall > 0 && wall < od/2, !isThrough || gap >= 0 && gap <= 20
		if err != nil {
			if named := new(fault.Field); errors.As(err, &named) == (isTube && isGap) {
				t.Fatalf("%v × %v mm, through %v, gap %v: %v", od, wall, isThrough, gap, err)
			}
			return
		}
		if !isTube || !isGap {
			t.Fatalf("a tube of %v × %v mm, through %v with a gap of %v, is formed", od, wall, isThrough, gap)
		}
		for _, v := range []float64{e.PerimeterTube, e.PerimeterPort, e.Stretch, e.Strain, e.Die.Perimeter, e.Die.Clearance, e.Outside.Area(), e.Opening.Area()} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%v by %v × %v mm: %+v", port.Loop(1), od, wall, e)
			}
		}
		if want := port.Perimeter()/(math.Pi*(od-wall)) + wall/(od-wall) - 1; math.Abs(e.Stretch-want) > 1e-9*(1+want) || math.Abs(math.Exp(e.Strain)-1-e.Stretch) > 1e-9*(1+want) {
			t.Fatalf("%v by %v × %v mm: stretch %v, strain %v, want %v", port.Loop(1), od, wall, e.Stretch, e.Strain, want)
		}
		clearance := 0.0
		if isThrough {
			clearance = wall + gap
		}
		if e.Die.Clearance != clearance {
			t.Fatalf("clearance %v, want %v", e.Die.Clearance, clearance)
		}
		for _, o := range []struct {
			of  geom.Outline
			off float64
		}{{e.Outside, wall}, {e.Opening, clearance}} {
			for _, s := range o.of.Segments() {
				p, _ := s.At(0.37)
				if got, _ := port.Nearest(p); math.Abs(got-o.off) > 0.005+1e-6*od {
					t.Fatalf("%v by %v × %v mm: %v is %v from the port, want %v", port.Loop(1), od, wall, p, got, o.off)
				}
			}
		}
	})
}
