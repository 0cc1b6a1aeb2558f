package tube_test

import (
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Floors of an earlier trial on a shared amd64 server: 1.3 µs from points to
// rows, 5 µs a walk; asked for are 20 µs.

func fiveBends() tube.LRA {
	l := tube.LRA{Last: 40}
	rnd := rand.New(rand.NewPCG(7, 0))
	for range 5 {
		l.Rows = append(l.Rows, row(30+100*rnd.Float64(), 360*rnd.Float64()-180, 20+100*rnd.Float64(), 76.2))
	}
	return l
}

func BenchmarkFromPoints(b *testing.B) {
	l := fiveBends()
	pts, clr := tube.XYZ(alongX, l), l.Radii()
	for b.Loop() {
		if _, err := tube.FromPoints(pts, clr, alongX.N); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkXYZ(b *testing.B) {
	l := fiveBends()
	var pts []geom.Vec
	for b.Loop() {
		pts = tube.XYZ(alongX, l)
	}
	_ = pts
}

func BenchmarkWalk(b *testing.B) {
	elems := fiveBends().Elements()
	var length units.Length
	for b.Loop() {
		w, err := tube.Walk(alongX, elems)
		if err != nil {
			b.Fatal(err)
		}
		length = w.Length
	}
	_ = length
}
