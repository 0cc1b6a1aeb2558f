package route

import (
	"math"

	"tubewright/calc/units"
)

// whole is how near a piece has to come to the angle of its stock to keep both legs.
const whole = 0.05 * units.Degree

// bought is one way to take a bend from stock: the legs it has then.
type bought struct {
	stock         int
	before, after units.Length
	turn          units.Angle // of the stock
}

// cut chooses the stock of a plan's bends so that legs give as many of its straights
// as they can, and counts what is left to be cut. Of equal choices that with the
// least stock angle counts, then the first.
//
// Only a piece at the end of a stock bend keeps a leg, at either side of the piece,
// since it can be flipped; one that uses all of the angle keeps both. A straight may
// come from two legs that meet.
func (f *filler) cut(p *Plan) {
	bends := make([]int, 0, 2)
	for i, e := range p.Elems {
		if e.Bend != nil {
			bends = append(bends, i)
		}
	}
	none := []bought{{stock: -1}}
	first, second := none, none
	if len(bends) > 0 {
		first = f.buys(p, bends[0])
	}
	if len(bends) > 1 {
		second = f.buys(p, bends[1])
	}
	least, angle := len(p.Elems)+1, math.Inf(1)
	for _, a := range first {
		for _, b := range second {
			stock, onLeg := make([]int, len(p.Elems)), make([]bool, len(p.Elems))
			pieces := len(p.Elems)
			for i := range p.Elems {
				stock[i] = -1
			}
			ways := []bought{a, b}
			for k, i := range bends {
				stock[i] = ways[k].stock
			}
			for i, e := range p.Elems {
				if e.Bend != nil {
					continue
				}
				leg := units.Length(0)
				for k, at := range bends {
					switch at {
					case i - 1:
						leg += ways[k].after
					case i + 1:
						leg += ways[k].before
					}
				}
				if onLeg[i] = e.Straight <= leg; onLeg[i] {
					pieces--
				}
			}
			if sum := float64(a.turn + b.turn); pieces < least || pieces == least && sum < angle {
				least, angle = pieces, sum
				p.Stock, p.OnLeg, p.Pieces, p.Welds = stock, onLeg, pieces, pieces+1
			}
		}
	}
}

// buys returns the ways to take the bend i of a plan from stock; one without stock
// where a CLR is only supposed.
func (f *filler) buys(p *Plan, i int) (list []bought) {
	b := p.Elems[i].Bend
	for k, s := range f.gap.Stock {
		if !contains([]units.Length{s.Radius}, b.Radius) || s.Turn < b.Turn-1e-9 {
			continue
		}
		if s.Turn-b.Turn < whole {
			list = append(list, bought{k, s.LegA, s.LegB, s.Turn}, bought{k, s.LegB, s.LegA, s.Turn})
			continue
		}
		leg := max(s.LegA, s.LegB) // the better end is cut first
		list = append(list, bought{k, leg, 0, s.Turn}, bought{k, 0, leg, s.Turn})
	}
	if list == nil {
		list = []bought{{stock: -1}}
	}
	return list
}
