package tube_test

import (
	"encoding/binary"
	"math"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// values reads bytes as numbers: eight bytes any float64, or, so that paths come
// out that are nearly right, two bytes a tenth of a millimetre or degree.
func values(data []byte) (xs []float64) {
	if len(data) == 0 {
		return nil
	}
	wild := data[0]%2 == 1
	data = data[1:]
	for len(data) >= 2 {
		if !wild {
			xs = append(xs, float64(int16(binary.LittleEndian.Uint16(data)))/10)
			data = data[2:]
			continue
		}
		if len(data) < 8 {
			break
		}
		xs = append(xs, math.Float64frombits(binary.LittleEndian.Uint64(data)))
		data = data[8:]
	}
	return xs
}

func FuzzFromPoints(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 0, 0, 0, 232, 3, 0, 0, 0, 0, 232, 3, 208, 7, 0, 0}, uint16(762))
	f.Add([]byte{0}, uint16(1))
	f.Add(append([]byte{1}, make([]byte, 96)...), uint16(500))
	f.Add(append([]byte{1, 0, 0, 0, 0, 0, 0, 0xf8, 0x7f}, make([]byte, 88)...), uint16(500))
	f.Fuzz(func(t *testing.T, data []byte, tenths uint16) {
		xs := values(data)
		var pts []geom.Vec
		for i := 0; i+3 <= len(xs); i += 3 {
			pts = append(pts, geom.Vec{X: xs[i], Y: xs[i+1], Z: xs[i+2]})
		}
		var clr []units.Length
		for i := 2; i < len(pts); i++ {
			clr = append(clr, units.Length(tenths)/10)
		}
		for _, ref := range []geom.Vec{{}, {Y: 1}} {
			l, err := tube.FromPoints(pts, clr, ref)
			if err != nil {
				continue
			}
			// What was read can be walked, and is as long as it says.
			w, err := tube.Walk(alongX, l.Elements())
			if err != nil {
				t.Fatalf("%v with %v gave %v, which cannot be walked: %v", pts, clr, l, err)
			}
			if !w.End.O.IsFinite() || !w.End.T.IsFinite() || !(w.Length >= 0) || math.Abs((w.Length-l.Length()).MM()) > 1e-6 {
				t.Fatalf("%v with %v: walked to %v, %v mm; rows %v mm", pts, clr, w.End, w.Length, l.Length())
			}
			// The end is where the last point is.
			got, want := w.End.O.Norm(), pts[len(pts)-1].Sub(pts[0]).Norm()
			if math.Abs(got-want) > 1e-5*max(1, want) {
				t.Fatalf("%v with %v: end %v mm from the start, want %v", pts, clr, got, want)
			}
		}
	})
}

func FuzzWalk(f *testing.F) {
	f.Add([]byte{0, 100, 0, 0, 0, 0, 0, 0, 0, 132, 3, 250, 2, 10, 0})
	f.Add(append([]byte{1}, make([]byte, 64)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		xs := values(data)
		var elems []tube.Element
		for i := 0; i+4 <= len(xs); i += 4 {
			elems = append(elems, tube.Element{ID: "s", Straight: units.Length(xs[i])},
				tube.Element{ID: "b", Bend: &tube.Bend{Turn: units.Angle(xs[i+1]) * deg, Radius: units.Length(xs[i+2]), Rotation: units.Angle(xs[i+3]) * deg}})
		}
		w, err := tube.Walk(alongX, elems)
		if err != nil {
			return
		}
		for i, e := range w.Ends {
			if !e.O.IsFinite() || math.Abs(e.T.Norm()-1) > 1e-12 || math.Abs(e.N.Norm()-1) > 1e-12 || math.Abs(e.T.Dot(e.N)) > 1e-12 {
				t.Fatalf("%v: end %d is %v", elems, i, e)
			}
		}
		if l := tube.ToLRA(elems); math.Abs((l.Length()-w.Length).MM()) > 1e-12*math.Abs(w.Length.MM()) || !(w.Length >= 0) {
			t.Fatalf("%v: walked %v mm, rows %v", elems, w.Length, l.Length())
		}
		for _, p := range tube.XYZ(alongX, tube.ToLRA(elems)) {
			if !p.IsFinite() {
				t.Fatalf("%v: a point is %v", elems, p)
			}
		}
	})
}
