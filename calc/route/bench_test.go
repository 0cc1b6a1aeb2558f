package route_test

import (
	"math/rand/v2"
	"testing"

	"tubewright/calc/route"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// sixPieces is a bench day: two pieces tacked, one cut a degree long, one joint two
// degrees off, the rest not begun.
func sixPieces() route.Request {
	c := route.Chain{OD: 44.45}
	c.Start, _ = tube.Start(vec(40, 28, 0), vec(0, 0, 1))
	for i, e := range []tube.Element{straight(38.1), bend(72, 76.2, 180), straight(86.36), bend(45, 76.2, 30), straight(60), bend(60, 76.2, 200)} {
		p := route.Piece{Element: e, MaxTurn: 90 * deg}
		switch {
		case i < 2:
			p.State = route.Fixed
		case i < 4:
			p.State = route.Cut
		}
		if e.Bend != nil && p.State != route.Uncut {
			p.MaxTurn = 0
		}
		c.Pieces = append(c.Pieces, p)
	}
	end, l := follow(c.Start, elems(c))
	t := route.Target{At: end.at(), Aim: end.aim(), Length: mm(l), LengthWithin: 6.35}
	b := c.Pieces[1].Element.Bend
	b.Turn += 1 * deg
	b.Rotation += 2 * deg
	return route.Request{Chain: c, Target: t}
}

// freeBends is the most that six pieces can leave open: six bends, nothing cut.
func freeBends() route.Request {
	rnd := rand.New(rand.NewPCG(3, 0))
	c := route.Chain{Start: start(rnd), OD: 44.45}
	for range 6 {
		c.Pieces = append(c.Pieces, route.Piece{Element: bend(between(rnd, 20, 100), 76.2, between(rnd, -180, 180))})
	}
	end, l := follow(c.Start, elems(c))
	return route.Request{
		Chain:  spoil(rnd, c, true),
		Target: route.Target{At: end.at(), Aim: end.aim(), Length: mm(l), LengthWithin: 3},
	}
}

// nothingCloses leaves only what comes nearest, slivers and other CLRs to be tried.
func nothingCloses() route.Request {
	r := sixPieces()
	r.Target.At.X += 400
	r.Radii = []units.Length{50.8, 63.5, 101.6}
	for i := range r.Chain.Pieces {
		if p := &r.Chain.Pieces[i]; p.Element.Bend == nil {
			p.Most = p.Element.Straight + 20
		}
	}
	return r
}

func BenchmarkClose(b *testing.B) {
	for name, r := range map[string]route.Request{"two tacked": sixPieces(), "six free bends": freeBends(), "nothing closes": nothingCloses()} {
		b.Run(name, func(b *testing.B) {
			var got route.Closing
			for b.Loop() {
				var err error
				if got, err = route.Close(r); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(got.Tried), "sets")
			b.ReportMetric(float64(len(got.Answers)), "answers")
		})
	}
}

func BenchmarkClosingPiece(b *testing.B) {
	g := route.Gap{OD: 44.45, Target: route.Target{At: vec(30, 100, 200), Aim: vec(0, 1, 1)}, Stock: stockBends()}
	g.Start, _ = tube.Start(vec(0, 0, 0), vec(0, 0, 1))
	for b.Loop() {
		if _, err := route.ClosingPiece(g); err != nil {
			b.Fatal(err)
		}
	}
}
