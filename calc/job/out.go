package job

import (
	"math"
	"strconv"

	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// out is a figure on its way out: written with six decimals (a nanometre, a
// millionth of a degree), which is finer than any use and coarser than what two
// machines can differ by. This is the one place where Plan rounds.
type out float64

func num(v float64) *out {
	o := out(v)
	return &o
}

func mmOf(l Opt[units.Length]) *out {
	if !l.Known {
		return nil
	}
	return num(l.V.MM())
}

// MarshalJSON writes at most six decimals and never a negative zero.
func (o out) MarshalJSON() ([]byte, error) { return appendFigure(nil, float64(o), 6), nil }

func appendFigure(b []byte, v float64, places int) []byte {
	scale := 1e6
	if places == 9 {
		scale = 1e9
	}
	r := math.Round(v*scale) / scale
	if r == 0 {
		r = 0 // drops the sign of -0
	}
	return strconv.AppendFloat(b, r, 'f', -1, 64)
}

// point is a place in mm.
type point geom.Vec

func (p point) MarshalJSON() ([]byte, error) { return appendTriple(geom.Vec(p), 6), nil }

// direction is a unit vector; nine decimals hold it to a millimetre in a thousand kilometres.
type direction geom.Vec

func (d direction) MarshalJSON() ([]byte, error) { return appendTriple(geom.Vec(d), 9), nil }

func appendTriple(v geom.Vec, places int) []byte {
	b := []byte{'['}
	for i, c := range []float64{v.X, v.Y, v.Z} {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendFigure(b, c, places)
	}
	return append(b, ']')
}
