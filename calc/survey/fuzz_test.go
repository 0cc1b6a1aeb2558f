package survey_test

import (
	"encoding/binary"
	"math"
	"reflect"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// feed hands out numbers read from bytes: eight bytes any float64, or, so that
// surveys come out that are nearly right, two bytes a tenth of a millimetre.
type feed struct {
	data []byte
	wild bool
}

func newFeed(data []byte) *feed {
	if len(data) == 0 {
		return &feed{}
	}
	return &feed{data[1:], data[0]%2 == 1}
}

func (f *feed) number() float64 {
	if f.wild && len(f.data) >= 8 {
		x := math.Float64frombits(binary.LittleEndian.Uint64(f.data))
		f.data = f.data[8:]
		return x
	}
	if !f.wild && len(f.data) >= 2 {
		x := float64(int16(binary.LittleEndian.Uint16(f.data))) / 10
		f.data = f.data[2:]
		return x
	}
	f.data = nil
	return 0
}

func (f *feed) count(most int) int {
	return int(uint16(int64(math.Abs(f.number())*10)) % uint16(most+1))
}
func (f *feed) vec() geom.Vec { return geom.Vec{X: f.number(), Y: f.number(), Z: f.number()} }
func (f *feed) length() units.Length {
	return units.Length(f.number())
}

// sane fails on any number in v that is not finite, exported or not.
func sane(t *testing.T, v any) {
	t.Helper()
	var walk func(v reflect.Value, at string)
	walk = func(v reflect.Value, at string) {
		switch v.Kind() {
		case reflect.Float64:
			if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%s is %v", at, x)
			}
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i), at+"."+v.Type().Field(i).Name)
			}
		case reflect.Slice, reflect.Array:
			for i := range v.Len() {
				walk(v.Index(i), at+"[]")
			}
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem(), at)
			}
		}
	}
	walk(reflect.ValueOf(v), reflect.TypeOf(v).String())
}

func bytesOf(xs ...float64) []byte {
	out := []byte{0}
	for _, x := range xs {
		out = binary.LittleEndian.AppendUint16(out, uint16(int16(math.Round(x*10))))
	}
	return out
}

func FuzzFit(f *testing.F) {
	// Two straights of three points at a right angle, then one with a bend point.
	f.Add(bytesOf(0.1, 0.5, 0.3, 0, 0, 0, 50, 0, 0, 100, 0, 0, 0.3, 200, 100, 0, 200, 150, 1, 200, 200, 0, 50, 0, 0))
	f.Add(bytesOf(0.1, 0.5, 0.2, 0, 0, 0, 100, 0, 0, 0.2, 100, 100, 0, 0, 100, 0, 50, 0, 0.1, 170, 50, 0))
	f.Add(append([]byte{1}, make([]byte, 200)...))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		in := newFeed(data)
		straights := 1 + in.count(4)
		m := survey.MockUp{Sigma: in.length()}
		for range straights {
			var s survey.Straight
			for range in.count(4) {
				s.Points = append(s.Points, in.vec())
			}
			m.Straights = append(m.Straights, s)
		}
		for range straights - 1 {
			b := survey.Bend{CLR: in.length(), CLRSigma: in.length()}
			switch p := in.count(2); p {
			case 1:
				v := in.vec()
				b.Middle = &v
			case 2:
				v := in.vec()
				b.Centre = &v
			}
			m.Bends = append(m.Bends, b)
		}
		if in.count(1) == 1 {
			m.Start = &survey.Cut{At: in.vec(), Normal: in.vec(), Sigma: in.length()}
			m.Straights[0].Dir, m.Straights[0].DirSigma = in.vec(), units.Angle(in.number())
			m.Up = in.vec()
		}
		fit, err := m.Fit()
		if err != nil {
			_ = err.Error()
			return
		}
		sane(t, fit)
		w, err := tube.Walk(fit.Start, fit.LRA.Elements())
		if err != nil {
			t.Fatalf("%+v gave %v, which cannot be walked: %v", m, fit.LRA, err)
		}
		if !(math.Abs((w.Length - fit.Length).MM()) < 0.1*max(1, fit.LengthSigma.MM())) {
			t.Fatalf("%+v: walked %v mm, said %v ± %v", m, w.Length, fit.Length, fit.LengthSigma)
		}
	})
}

func FuzzLocate(f *testing.F) {
	f.Add(bytesOf(0.3, 0, 0, 1, 300, 0, 0, 500, 1, -300, 0, 0, 500, 1, 0, 300, 0, 500, 1))
	f.Add(append([]byte{1}, make([]byte, 160)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		in := newFeed(data)
		n, side := in.count(6), in.vec()
		var tapes []survey.Tape
		for range n {
			tapes = append(tapes, survey.Tape{From: in.vec(), Distance: in.length(), Sigma: in.length()})
		}
		fix, err := survey.Locate(tapes, side)
		if err != nil {
			_ = err.Error()
			return
		}
		sane(t, fix)
		list, err := fix.Better()
		if err != nil && fix.At.Norm() < 1e5 {
			t.Fatal(err)
		}
		sane(t, list)
	})
}

func FuzzRegister(f *testing.F) {
	f.Add(bytesOf(0.4, 0.5, 0, 0, 0, 10, 10, 10, 300, 0, 0, 310, 10, 10, 0, 100, 0, 10, 110, 10, 300, 100, 0, 310, 110, 10))
	f.Add(append([]byte{1}, make([]byte, 160)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		in := newFeed(data)
		n, sigma := in.count(6), in.length()
		var pairs []survey.Pair
		for range n {
			pairs = append(pairs, survey.Pair{From: in.vec(), To: in.vec()})
		}
		tie, err := survey.Register(pairs, sigma)
		if err != nil {
			_ = err.Error()
			return
		}
		sane(t, tie)
		e, err := tie.Target(geom.Vec{X: 100, Y: 200, Z: 300})
		if err != nil {
			t.Fatal(err)
		}
		sane(t, e)
	})
}

func FuzzClose(f *testing.F) {
	f.Add(bytesOf(0.1, 100, 0, 1, 76, 1, 0, 0.1, 0.1, 50, 1, 180, 80, 0, 1.5, 0, 1, 0, 0.1))
	f.Add(append([]byte{1}, make([]byte, 300)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		in := newFeed(data)
		start, err := geom.NewFrame(geom.Vec{}, geom.Vec{X: 1}, geom.Vec{Y: 1})
		if err != nil {
			t.Fatal(err)
		}
		tr := survey.Traverse{Start: start}
		for range in.count(4) {
			tr.Rows = append(tr.Rows, survey.TraverseRow{Row: tube.Row{Length: in.length(), Rotation: units.Angle(in.number()), Turn: units.Angle(in.number()), Radius: in.length()},
				LengthSigma: in.length(), CLRSigma: in.length(), RotationSigma: units.Angle(in.number()), TurnSigma: units.Angle(in.number())})
		}
		tr.Last, tr.LastSigma = in.length(), in.length()
		tr.End = survey.Socket{At: in.vec(), Sigma: in.length(), Dir: in.vec(), DirSigma: units.Angle(in.number()), Ref: in.vec(), RefSigma: units.Angle(in.number())}
		c, err := tr.Close()
		if err != nil {
			_ = err.Error()
			return
		}
		sane(t, c)
	})
}
