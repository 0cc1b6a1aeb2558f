package clear_test

import (
	"encoding/binary"
	"math"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// numbers reads bytes as numbers: two bytes a tenth, or, where the first byte is
// odd, eight bytes any float64.
type numbers struct {
	data []byte
	wild bool
}

func (n *numbers) next() float64 {
	size := 2
	if n.wild {
		size = 8
	}
	if len(n.data) < size {
		n.data = nil
		return 0
	}
	defer func() { n.data = n.data[size:] }()
	if n.wild {
		return math.Float64frombits(binary.LittleEndian.Uint64(n.data))
	}
	return float64(int16(binary.LittleEndian.Uint16(n.data))) / 10
}

func (n *numbers) vec() geom.Vec { return geom.Vec{X: n.next(), Y: n.next(), Z: n.next()} }

func (n *numbers) path() (clear.Path, error) {
	f, err := geom.NewFrame(n.vec(), n.vec(), n.vec())
	if err != nil {
		return clear.Path{}, err
	}
	od := units.Length(n.next())
	var elems []tube.Element
	for range 3 {
		elems = append(elems, tube.Element{Straight: units.Length(n.next())})
		if turn := n.next(); turn != 0 {
			elems = append(elems, tube.Element{Bend: &tube.Bend{Turn: units.Angle(turn) * deg, Rotation: units.Angle(n.next()) * deg, Radius: units.Length(n.next())}})
		}
	}
	return clear.NewPath(f, elems, od)
}

// Whatever is not refused has a gap that is a number, attained at the places named,
// and an eps that is kept or owned up to.
func FuzzGaps(f *testing.F) {
	f.Add([]byte{0})
	f.Add([]byte{0, 0, 0, 0, 0, 0, 0, 10, 0, 0, 0, 0, 0, 0, 0, 10, 0, 0, 0, 144, 1, 232, 3, 132, 3, 0, 0, 250, 2, 200, 0, 132, 3, 0, 0, 250, 2,
		1, 1, 0, 0, 0, 0, 10, 0, 0, 0, 0, 0, 0, 0, 10, 0, 0, 0, 144, 1, 232, 3, 132, 3, 0, 0, 250, 2, 200, 0, 132, 3, 0, 0, 250, 2})
	f.Add(append([]byte{1}, make([]byte, 400)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) == 0 {
			return
		}
		n := &numbers{data: data[1:], wild: data[0]%2 == 1}
		a, err := n.path()
		if err != nil {
			return
		}
		var sets []clear.Set
		keep := func(s clear.Set, err error) {
			if err == nil {
				sets = append(sets, s)
			}
		}
		b, err := n.path()
		if err == nil {
			sets = append(sets, b.Sets()...)
		}
		keep(clear.Ball(n.vec(), units.Length(n.next())))
		keep(clear.Rod(n.vec(), n.vec(), units.Length(n.next())))
		keep(clear.Box(n.vec(), n.vec(), n.vec(), n.vec()))
		keep(clear.Cylinder(n.vec(), n.vec(), units.Length(n.next()), units.Length(n.next())))
		keep(clear.Plane(n.vec(), n.vec()))
		roll, err := clear.Turning(n.vec(), n.vec(), units.Angle(n.next())*deg, units.Angle(n.next())*deg)
		if err != nil {
			roll = clear.Motion{}
		}
		slide, err := clear.Sliding(n.vec(), units.Length(n.next()), units.Length(n.next()))
		if err != nil {
			slide = clear.Motion{}
		}
		// A coarse eps: fuzzing wants many inputs, not many evaluations.
		o := clear.Options{Eps: 1, Cutoff: units.Length(n.next())}
		rolled := o
		rolled.Roll = roll
		for what, r := range map[string]clear.Result{
			"between": clear.Between(a, b, o), "self": clear.Self(a, o),
			"to": clear.To(a, clear.Body{Sets: sets}, o), "moving": clear.To(a, clear.Body{Sets: sets, Moves: slide}, rolled),
		} {
			if math.IsNaN(r.Gap.MM()) || math.IsNaN(r.Eps.MM()) || r.Evaluations > 1<<20+1000 {
				t.Fatalf("%s: %+v", what, r)
			}
			if !r.Beyond && !(r.A.Axis.IsFinite() && r.B.Axis.IsFinite() && r.A.Surface.IsFinite() && r.B.Surface.IsFinite() && r.A.S >= 0 && r.A.S <= a.Length()+1e-6) {
				t.Fatalf("%s: places %+v and %+v", what, r.A, r.B)
			}
		}
	})
}
