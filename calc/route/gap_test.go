package route_test

import (
	"math/rand/v2"
	"testing"

	"tubewright/calc/route"
)

func stockBends() []route.StockBend {
	return []route.StockBend{
		{ID: "u2", Radius: 50.8, Turn: 180 * deg, LegA: 50, LegB: 50},
		{ID: "u3", Radius: 76.2, Turn: 180 * deg, LegA: 100, LegB: 100},
		{ID: "q3", Radius: 76.2, Turn: 90 * deg, LegA: 60, LegB: 60},
	}
}

// A gap that two bends and three straights fill is filled.
func TestGapsThatCanBeFilledAre(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	filled := 0
	const cases = 100
	for i := range cases {
		radius := []float64{50.8, 76.2}
		c := route.Chain{Start: start(rnd), OD: 44.45, Pieces: []route.Piece{
			{Element: straight(between(rnd, 10, 120))}, {Element: bend(between(rnd, 12, 170), radius[rnd.IntN(2)], between(rnd, -180, 180))},
			{Element: straight(between(rnd, 10, 120))}, {Element: bend(between(rnd, 12, 170), radius[rnd.IntN(2)], between(rnd, -180, 180))},
			{Element: straight(between(rnd, 10, 120))},
		}}
		end, _ := follow(c.Start, elems(c))
		g := route.Gap{Start: c.Start, OD: c.OD, Target: route.Target{At: end.at(), Aim: end.aim()}, Stock: stockBends()}
		got, err := route.ClosingPiece(g)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Plans) > 0 {
			filled++
		} else {
			t.Logf("case %d: %v", i, got.Best)
		}
		if i < 3 {
			for _, p := range got.Plans {
				t.Logf("%d: welds %d pieces %d length %.1f miss %.2f", i, p.Welds, p.Pieces, p.Length.MM(), p.Miss.MM())
			}
		}
	}
	t.Logf("%d of %d", filled, cases)
}
