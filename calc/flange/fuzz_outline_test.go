package flange_test

import (
	"encoding/binary"
	"math"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// triples reads numbers, three to a vertex; short ones are taken from whole
// tenths, which meet and touch far more often than any numbers do.
func triples(data []byte) (loop []geom.Vertex) {
	for ; len(data) >= 6 && len(loop) < 24; data = data[6:] {
		v := func(i int) float64 { return float64(int16(binary.LittleEndian.Uint16(data[2*i:]))) / 10 }
		loop = append(loop, geom.Vertex{X: math.Mod(v(0), 100), Y: math.Mod(v(1), 100), Bulge: math.Mod(v(2), 3)})
	}
	return loop
}

func seeds(f *testing.F) {
	for _, loop := range [][]int16{
		{0, 0, 0, 400, 0, 0, 400, 300, 0, 0, 300, 0},
		{0, 0, 0, 400, 0, 0, 400, 300, 0, 260, 300, 0, 260, 100, 0, 140, 100, 0, 140, 300, 0, 0, 300, 0},
		{0, 0, 10, 400, 0, 10},
		{0, 0, 0, 300, 0, 0, 300, 200, -4, 200, 300, 0, 0, 300, 5},
	} {
		var b []byte
		for _, v := range loop {
			b = binary.LittleEndian.AppendUint16(b, uint16(v))
		}
		f.Add(b, int16(15), int16(0))
		f.Add(b, int16(-20), int16(30))
		f.Add(b, int16(60), int16(0))
	}
}

// An offset either keeps its distance or is refused; a shadow has a place on the
// edge and no more area than the port.
func FuzzOffsetAndShadow(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte, by, aside int16) {
		o, err := geom.FromLoop(triples(data))
		if err != nil {
			return
		}
		d := float64(by) / 10
		if d == 0 || math.Abs(d) > 300 {
			return
		}
		out, err := flange.Offset(o, d)
		if err != nil {
			if d > 0 {
				t.Fatalf("%v by %v: %v", o.Loop(1), d, err)
			}
			return
		}
		for _, s := range out.Segments() {
			p, _ := s.At(0.37)
			if got, _ := o.Nearest(p); math.Abs(got-math.Abs(d)) > 0.005 {
				t.Fatalf("%v by %v: %v is %v away", o.Loop(1), d, p, got)
			}
		}
		s, err := flange.Shadow(out.Moved(float64(aside)/10, 0), o)
		if err != nil {
			t.Fatal(err)
		}
		if !(s.Area >= 0 && s.Area <= o.Area()*(1+1e-6)+1e-6) || !(s.Depth >= 0 && s.Beyond >= 0 && s.Clear >= 0) {
			t.Fatalf("%v by %v, %v aside: %+v of %v", o.Loop(1), d, aside, s, o.Area())
		}
	})
}

// Whatever points are taken, there is an error or every figure is one.
func FuzzMeasured(f *testing.F) {
	var b []byte
	for i := range 16 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 8)
		for _, v := range [3]float64{200 * cos, 150 * sin, 0} {
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(v)))
		}
	}
	f.Add(b)
	f.Add(b[:60])
	f.Fuzz(func(t *testing.T, data []byte) {
		var pts [][2]float64
		for _, v := range triples(data) {
			pts = append(pts, [2]float64{v.X, v.Y})
		}
		m, err := flange.FromPoints(pts, 0.3)
		if err != nil {
			return
		}
		for _, v := range m.Fits {
			for _, x := range []float64{v.X, v.Y, v.Turn, v.Worst, v.Sigma, v.Outline.Area()} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("%v: %s has %v", pts, v.Shape, x)
				}
			}
		}
		if !(m.Short.AreaPercent > 0 && m.Short.PerimeterPercent > 0) || m.Offered >= 0 && m.Fits[m.Offered].Worst > flange.Near {
			t.Fatalf("%v: %+v, offered %d", pts, m.Short, m.Offered)
		}
	})
}
