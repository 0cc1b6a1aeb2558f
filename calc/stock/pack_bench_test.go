package stock_test

import (
	"math/rand/v2"
	"strconv"
	"testing"

	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// header returns bends of one CLR as a header has them, tubes of four bends with
// straights between, and usual stock for it with legs.
func header(seed uint64, bends int, straights bool) (needs []stock.Need, items []stock.Item, set stock.Settings) {
	rnd := rand.New(rand.NewPCG(seed, 7))
	s := tube.Section{OD: 44.45, Wall: 1.651}
	for i := 0; i < bends; i += 4 {
		var elems []tube.Element
		for k := range min(4, bends-i) {
			if straights && rnd.IntN(4) > 0 {
				elems = append(elems, straight("s"+strconv.Itoa(k), units.Length(20+130*rnd.Float64())))
			}
			elems = append(elems, bend("b"+strconv.Itoa(k), units.Angle(12+78*rnd.Float64()), 0, 76.2))
		}
		id := "t" + strconv.Itoa(i/4+1)
		ps, err := stock.Pieces(id, s, elems)
		if err != nil {
			panic(err)
		}
		needs = append(needs, stock.Needs(id, s, "304", ps, 1)...)
	}
	items = []stock.Item{
		{ID: "u", Kind: stock.BentTube, Angle: 180 * deg, LegA: 101.6, LegB: 101.6, Price: 3000},
		{ID: "j", Kind: stock.BentTube, Angle: 180 * deg, LegA: 152.4, LegB: 50.8, Price: 2800},
		{ID: "90", Kind: stock.BentTube, Angle: 90 * deg, LegA: 101.6, LegB: 101.6, Price: 1800},
		{ID: "45", Kind: stock.BentTube, Angle: 45 * deg, LegA: 101.6, LegB: 101.6, Price: 1300},
		{ID: "l", Kind: stock.Tubing, Length: 1000, Price: 2200},
	}
	for i := range items {
		it := &items[i]
		it.Section, it.Material, it.Buy = s, "304", true
		if it.Kind == stock.BentTube {
			it.CLR = 76.2
			if !straights {
				it.LegA, it.LegB = 0, 0
			}
		}
	}
	return needs, items, stock.Settings{Saw: stock.Saw{Kerf: 2, Facing: 0.5}}
}

func BenchmarkPack(b *testing.B) {
	for _, size := range []int{8, 16, 24, 32, 40} {
		for _, legs := range []bool{false, true} {
			name := strconv.Itoa(size) + " bends"
			if legs {
				name += " with straights"
			}
			b.Run(name, func(b *testing.B) {
				proven, fewest, n := 0, 0, 0
				for b.Loop() {
					needs, items, set := header(uint64(n%20), size, legs)
					p, err := stock.Pack(needs, items, set, nil)
					if err != nil {
						b.Fatal(err)
					}
					n++
					if p.Optimal {
						proven++
					}
					if p.FewestWelds {
						fewest++
					}
				}
				b.ReportMetric(100*float64(proven)/float64(n), "%proven")
				b.ReportMetric(100*float64(fewest)/float64(n), "%fewest")
			})
		}
	}
}
