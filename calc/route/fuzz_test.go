package route_test

import (
	"encoding/binary"
	"math"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/route"
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

func (n *numbers) vec() geom.Vec { return vec(n.next(), n.next(), n.next()) }

// target is a place, an aim, and what there is beside them.
func (n *numbers) target() route.Target {
	return route.Target{At: n.vec(), Aim: n.vec(), Within: mm(n.next()), AimWithin: units.Angle(n.next()) * deg,
		Deeper: mm(n.next()), Shorter: mm(n.next()), Length: mm(n.next()), LengthWithin: mm(n.next())}
}

// finite reports whether all that was said of an end is a number.
func finite(f geom.Frame, list ...float64) bool {
	for _, x := range list {
		if 0*x != 0 {
			return false
		}
	}
	return f.O.IsFinite() && f.T.IsFinite() && f.N.IsFinite()
}

// Whatever is not refused has answers that are numbers and that hold when they are
// walked by separate code.
func FuzzClose(f *testing.F) {
	f.Add([]byte{0})
	plain := []byte{0}
	put := func(list ...float64) {
		for _, x := range list {
			plain = binary.LittleEndian.AppendUint16(plain, uint16(int16(x*10)))
		}
	}
	put(0, 0, 0, 0, 0, 1, 0, 1, 0, 44.5)           // start, OD
	put(0, 76, 170, 0, 1, 0, 1.5, 0.5, 0, 0, 0, 0) // target
	for _, p := range [][5]float64{{0, 2, 40, 0, 0}, {1, 88, 76.2, 3, 0}, {0, 0, 50, 0, 0}} {
		put(p[:]...)
	}
	f.Add(plain)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) == 0 || len(data) > 400 {
			return
		}
		n := numbers{data[1:], data[0]&1 == 1}
		c := route.Chain{Start: geom.Frame{O: n.vec(), T: n.vec(), N: n.vec()}}
		if g, err := geom.NewFrame(c.Start.O, c.Start.T, c.Start.N); err == nil {
			c.Start = g
		}
		c.OD = mm(n.next())
		target := n.target()
		for len(n.data) > 0 && len(c.Pieces) < 6 {
			kind, a := n.next(), n.next()
			p := route.Piece{State: route.State(math.Mod(a, 3))}
			if int(kind)&1 == 1 {
				p.Element.Bend = &tube.Bend{Turn: units.Angle(a) * deg, Radius: mm(n.next()), Rotation: units.Angle(n.next()) * deg}
				p.MaxTurn = units.Angle(n.next()) * deg
			} else {
				p.Element.Straight = mm(n.next())
				p.Least, p.Most = mm(n.next()), mm(n.next())
			}
			c.Pieces = append(c.Pieces, p)
		}
		got, err := route.Close(route.Request{Chain: c, Target: target, Most: 3})
		if err != nil {
			return
		}
		if _, ok := target.Aim.Unit(); !ok {
			t.Fatal("an aim without direction was taken")
		}
		list := append([]route.Answer{got.AsIs}, got.Answers...)
		if got.Best != nil {
			list = append(list, *got.Best, got.Socket.Answer)
		}
		for _, a := range list {
			if !finite(a.End, a.Miss.MM(), float64(a.Aim), a.Length.MM(), a.Effort, a.Spread.Miss.MM(), float64(a.Spread.Aim), a.Spread.Likely) {
				t.Fatalf("not a number: %+v", a)
			}
		}
		if sane(c, target) {
			if err := claims(c, target, got); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// sane reports whether a chain lies within what a hand could mean, so that separate
// code comes to the same figures to the digits compared.
func sane(c route.Chain, t route.Target) bool {
	for _, p := range c.Pieces {
		if p.Element.Bend == nil && p.Least > p.Element.Straight || p.Element.Bend != nil &&
			(p.Element.Bend.Turn < route.LeastTurn || p.MaxTurn > 0 && p.Element.Bend.Turn > p.MaxTurn) {
			return false // is over its bounds before anything is changed
		}
		if p.Most > 0 && p.Most < p.Element.Straight {
			return false
		}
	}
	return c.Start.O.Norm() < 1e5 && t.At.Norm() < 1e5
}

// Whatever is not refused has plans that are numbers and that hold.
func FuzzClosingPiece(f *testing.F) {
	f.Add([]byte{0})
	plain := []byte{0}
	for _, x := range []float64{0, 0, 0, 0, 0, 1, 0, 1, 0, 44.5, 0, 76, 170, 0, 1, 0, 1.5, 0.5, 0, 0, 0, 0, 76.2, 180, 60, 60} {
		plain = binary.LittleEndian.AppendUint16(plain, uint16(int16(x*10)))
	}
	f.Add(plain)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) == 0 || len(data) > 300 {
			return
		}
		n := numbers{data[1:], data[0]&1 == 1}
		g := route.Gap{Start: geom.Frame{O: n.vec(), T: n.vec(), N: n.vec()}, Most: 3}
		if s, err := geom.NewFrame(g.Start.O, g.Start.T, g.Start.N); err == nil {
			g.Start = s
		}
		g.OD, g.Target = mm(n.next()), n.target()
		for len(n.data) > 0 && len(g.Stock) < 2 {
			g.Stock = append(g.Stock, route.StockBend{Radius: mm(n.next()), Turn: units.Angle(n.next()) * deg, LegA: mm(n.next()), LegB: mm(n.next())})
		}
		got, err := route.ClosingPiece(g)
		if err != nil {
			return
		}
		for _, p := range got.Plans {
			if !finite(p.End, p.Miss.MM(), float64(p.Aim), p.Length.MM()) {
				t.Fatalf("not a number: %+v", p)
			}
		}
		if g.Start.O.Norm() < 1e5 {
			if err := fills(g, got); err != nil {
				t.Fatal(err)
			}
		}
	})
}
