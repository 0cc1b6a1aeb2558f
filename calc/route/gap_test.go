package route_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/route"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

func stockBends() []route.StockBend {
	return []route.StockBend{
		{ID: "u2", Radius: 50.8, Turn: 180 * deg, LegA: 50, LegB: 50},
		{ID: "u3", Radius: 76.2, Turn: 180 * deg, LegA: 100, LegB: 100},
		{ID: "q3", Radius: 76.2, Turn: 90 * deg, LegA: 60, LegB: 60},
	}
}

func fill(t testing.TB, g route.Gap) route.Filled {
	t.Helper()
	got, err := route.ClosingPiece(g)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// fills walks the plans of a gap by separate code and holds them against its stock.
func fills(g route.Gap, got route.Filled) error {
	const hair = 1e-9
	list := got.Plans
	if got.Best != nil {
		list = append(list, *got.Best)
	}
	for i, p := range list {
		if p.Closes != (i < len(got.Plans)) {
			return errors.New("a plan that does not close, or a best that does")
		}
		if p.Short && !slices.ContainsFunc(p.Elems, func(e tube.Element) bool { return e.Bend == nil && e.Straight < 6 }) {
			return errors.New("no straight is too short")
		}
		a := route.Answer{Elems: p.Elems, Closes: p.Closes || p.Short, Miss: p.Miss, Aim: p.Aim, Length: p.Length}
		c := route.Chain{Start: g.Start, Before: g.Before, OD: g.OD}
		for _, e := range p.Elems {
			c.Pieces = append(c.Pieces, route.Piece{Element: e})
		}
		if err := check(c, g.Target, a); err != nil {
			return err
		}
		pieces := 0
		for k, e := range p.Elems {
			if e.Bend == nil {
				if e.Straight < 6 && i < len(got.Plans) {
					return errors.New("a straight that cannot be held")
				}
				if p.Stock[k] != -1 {
					return errors.New("a straight from a bend")
				}
				if !p.OnLeg[k] {
					pieces++
					continue
				}
				// As much as the legs of the bends beside it have.
				leg := units.Length(0)
				for _, n := range []int{k - 1, k + 1} {
					if n >= 0 && n < len(p.Elems) && p.Elems[n].Bend != nil {
						leg += max(g.Stock[p.Stock[n]].LegA, g.Stock[p.Stock[n]].LegB)
					}
				}
				if e.Straight > leg+hair {
					return errors.New("a straight longer than the legs beside it")
				}
				continue
			}
			pieces++
			s := g.Stock[p.Stock[k]]
			if math.Abs((s.Radius-e.Bend.Radius).MM()) > hair || e.Bend.Turn > s.Turn+hair || e.Bend.Turn < route.LeastTurn-hair {
				return errors.New("a bend that its stock does not give")
			}
		}
		if pieces != p.Pieces || p.Welds != pieces+1 {
			return errors.New("pieces are counted wrongly")
		}
	}
	return nil
}

// A gap that two bends and three straights of the stock fill is filled, and what is
// planned is walked by separate code.
func TestGapsThatCanBeFilledAre(t *testing.T) {
	const seed, cases = 5, 60
	rnd := rand.New(rand.NewPCG(seed, 0))
	filled := 0
	for i := range cases {
		clr := func() float64 { return []float64{50.8, 76.2}[rnd.IntN(2)] }
		c := route.Chain{Start: start(rnd), OD: 44.45, Pieces: []route.Piece{
			{Element: straight(between(rnd, 20, 120))}, {Element: bend(between(rnd, 12, 170), clr(), between(rnd, -180, 180))},
			{Element: straight(between(rnd, 10, 120))}, {Element: bend(between(rnd, 12, 170), clr(), between(rnd, -180, 180))},
			{Element: straight(between(rnd, 30, 120))},
		}}
		g := route.Gap{Start: c.Start, Before: 100, OD: c.OD, Target: ends(c, false), Stock: stockBends()}
		if i%2 == 0 {
			g.LeastFirst, g.LeastLast = 20, 30
		}
		if i%3 == 0 {
			_, l := follow(c.Start, elems(c))
			g.Target.Length, g.Target.LengthWithin = mm(l+100), 6.35
		}
		got := fill(t, g)
		if err := fills(g, got); err != nil {
			t.Fatalf("seed %d case %d: %v\n%+v", seed, i, err, got)
		}
		for k, p := range got.Plans {
			first, last := p.Elems[0], p.Elems[len(p.Elems)-1]
			if g.LeastFirst > 0 && (first.Bend != nil || first.Straight < g.LeastFirst || last.Bend != nil || last.Straight < g.LeastLast) {
				t.Fatalf("seed %d case %d: no room for a grip: %+v", seed, i, p.Elems)
			}
			if k > 0 && (p.Welds < got.Plans[k-1].Welds || p.Welds == got.Plans[k-1].Welds && p.Length < got.Plans[k-1].Length) {
				t.Fatalf("seed %d case %d: plans are not in order", seed, i)
			}
		}
		if len(got.Plans) > 0 {
			filled++
		}
		if i%10 == 0 {
			if again := fill(t, g); !reflect.DeepEqual(got, again) {
				t.Fatalf("seed %d case %d: two answers to one question", seed, i)
			}
		}
	}
	t.Logf("%d of %d filled", filled, cases)
	if filled*100 < 95*cases {
		t.Errorf("seed %d: %d of %d filled, want 95 %%", seed, filled, cases)
	}
}

// Gaps with a plain answer; closed form.
func TestPlainGaps(t *testing.T) {
	tests := []struct {
		name   string
		target route.Target
		stock  []route.StockBend
		pieces int
		length float64
	}{
		{"in line", route.Target{At: vec(0, 0, 300), Aim: vec(0, 0, 1)}, nil, 1, 300},
		{"a quarter on legs", route.Target{At: vec(0, 76.2+40, 76.2+50), Aim: vec(0, 1, 0)}, stockBends()[2:], 1, 90 + 76.2*math.Pi/2},
		{"a whole U", route.Target{At: vec(0, 101.6, 0), Aim: vec(0, 0, -1)}, stockBends()[:1], 1, 50.8 * math.Pi},
	}
	for _, tt := range tests {
		g := route.Gap{Start: port(t), OD: 44.45, Target: tt.target, Stock: tt.stock}
		g.Target.Within, g.Target.AimWithin = 0.3, 0.3*deg
		got := fill(t, g)
		if err := fills(g, got); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		if len(got.Plans) == 0 {
			t.Errorf("%s: no plan; best %+v", tt.name, got.Best)
			continue
		}
		p := got.Plans[0]
		if p.Pieces != tt.pieces || math.Abs(p.Length.MM()-tt.length) > 1 {
			t.Errorf("%s: %d pieces, %v mm, want %d, %v: %+v", tt.name, p.Pieces, p.Length, tt.pieces, tt.length, p.Elems)
		}
	}
}

// A bend that takes all of its stock keeps both legs, one that is cut from it one, at
// the end where it serves.
func TestLegsServe(t *testing.T) {
	for _, tt := range []struct {
		name       string
		stock      route.StockBend
		first, aft float64
		pieces     int
	}{
		{"both of a 90", route.StockBend{Radius: 76.2, Turn: 90 * deg, LegA: 60, LegB: 60}, 50, 40, 1},
		{"flipped", route.StockBend{Radius: 76.2, Turn: 90 * deg, LegA: 41, LegB: 60}, 55, 40, 1},
		{"flipped the other way", route.StockBend{Radius: 76.2, Turn: 90 * deg, LegA: 41, LegB: 60}, 40, 55, 1},
		{"one too short", route.StockBend{Radius: 76.2, Turn: 90 * deg, LegA: 41, LegB: 41}, 50, 40, 2},
		{"one of a U", route.StockBend{Radius: 76.2, Turn: 180 * deg, LegA: 60, LegB: 60}, 50, 40, 2},
		{"the longer of a U", route.StockBend{Radius: 76.2, Turn: 180 * deg, LegA: 30, LegB: 60}, 70, 50, 2},
		{"none", route.StockBend{Radius: 76.2, Turn: 180 * deg}, 50, 40, 3},
	} {
		g := route.Gap{Start: port(t), OD: 44.45, Most: 100, Stock: []route.StockBend{tt.stock},
			Target: route.Target{At: vec(0, 76.2+tt.aft, 76.2+tt.first), Aim: vec(0, 1, 0), Within: 0.2, AimWithin: 0.1 * deg}}
		got := fill(t, g)
		if err := fills(g, got); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		found := false
		for _, p := range got.Plans {
			if len(p.Elems) == 3 && p.Elems[1].Bend != nil && p.Elems[0].Bend == nil && p.Elems[2].Bend == nil {
				found = true
				if p.Pieces != tt.pieces {
					t.Errorf("%s: %d pieces, want %d: %v", tt.name, p.Pieces, tt.pieces, p.OnLeg)
				}
			}
		}
		if !found {
			t.Errorf("%s: no plan of one bend", tt.name)
		}
	}
}

// Stock of an odd angle gives no more than it has, where the nearest tenth would be more;
// so is what is cut anew, and what is made longer.
func TestNoPlanHasMoreThanItsStock(t *testing.T) {
	for _, turn := range []float64{84.96, 85.04, 84.951} {
		g := route.Gap{Start: port(t), OD: 44.45, Target: route.Target{At: vec(0, 76.2*(1-math.Cos(85*math.Pi/180)), 76.2*math.Sin(85*math.Pi/180)), Aim: vec(0, math.Sin(85*math.Pi/180), math.Cos(85*math.Pi/180)), Within: 0.3, AimWithin: 0.3 * deg},
			Stock: []route.StockBend{{Radius: 76.2, Turn: units.Angle(turn) * deg}}}
		got := fill(t, g)
		if err := fills(g, got); err != nil || len(got.Plans) == 0 {
			t.Errorf("%v°: %v, %d plans", turn, err, len(got.Plans))
		}
		c := route.Chain{Start: g.Start, OD: g.OD, Pieces: []route.Piece{{State: route.Cut, Element: bend(80, 76.2, 0), MaxTurn: units.Angle(turn) * deg}}}
		closed := ask(t, route.Request{Chain: c, Target: g.Target})
		if err := claims(c, g.Target, closed); err != nil || len(closed.Answers) == 0 {
			t.Errorf("%v°: %v, %d answers", turn, err, len(closed.Answers))
		}
	}
}

// What these CLRs do not reach is said, and by how much.
func TestWhatNoStockReaches(t *testing.T) {
	g := route.Gap{Start: port(t), OD: 30, Target: route.Target{At: vec(0, 40, 60), Aim: vec(0, 0, 1)}}
	g.Target.Within, g.Target.AimWithin = 0.2, 0.2*deg
	// Two equal arcs, closed form: step a over length l takes CLR (l² + a²)/(4a).
	most := (60.0*60 + 40*40) / (4 * 40)
	g.Stock = []route.StockBend{{Radius: mm(most * 1.3), Turn: 90 * deg}}
	got := fill(t, g)
	if err := fills(g, got); err != nil {
		t.Error(err)
	}
	if len(got.Plans) != 0 || got.Best == nil || !(got.Best.Miss > 0.2 || got.Best.Aim > 0.2*deg) {
		t.Fatalf("got %+v", got)
	}
	if r := got.Radius.MM(); !(r <= most*1.02 && r > most*0.9) {
		t.Errorf("CLR %v would do, want up to %v", r, most)
	}
	g.Stock[0].Radius = mm(most * 0.98)
	if got := fill(t, g); len(got.Plans) == 0 || got.Best != nil || got.Radius != 0 {
		t.Errorf("CLR %v does: %+v", g.Stock[0].Radius, got)
	}
	// No stock at all, and not in line.
	g.Stock = nil
	if got := fill(t, g); len(got.Plans) != 0 || got.Best == nil {
		t.Errorf("no stock: %+v", got)
	}
}

func TestGapVetoesAndStops(t *testing.T) {
	g := route.Gap{Start: port(t), OD: 44.45, Target: route.Target{At: vec(30, 100, 200), Aim: vec(0, 1, 1)}, Stock: stockBends()}
	plain := fill(t, g)
	if len(plain.Plans) != 6 {
		t.Fatalf("%d plans", len(plain.Plans))
	}
	g.Most = 2
	if got := fill(t, g); len(got.Plans) != 2 {
		t.Errorf("%d plans, want 2", len(got.Plans))
	}
	g.Most = 0
	g.Reject = func(list []tube.Element) (float64, string) {
		for _, e := range list {
			if e.Bend != nil && e.Bend.Radius == 50.8 {
				return 0, "too tight"
			}
		}
		return float64(len(list)), ""
	}
	got := fill(t, g)
	if got.Vetoed == 0 || len(got.Plans) == 0 || !reflect.DeepEqual(got.Why, []string{"too tight"}) {
		t.Fatalf("%d vetoed, %d plans", got.Vetoed, len(got.Plans))
	}
	for _, p := range got.Plans {
		if p.Cost != float64(len(p.Elems)) {
			t.Errorf("cost %v of %d elements", p.Cost, len(p.Elems))
		}
		for _, e := range p.Elems {
			if e.Bend != nil && e.Bend.Radius == 50.8 {
				t.Error("a plan that was turned down")
			}
		}
	}
	n := 0
	g.Step = func(done float64) bool { n++; return n < 3 && done >= 0 && done <= 1 }
	if _, err := route.ClosingPiece(g); !errors.Is(err, route.ErrStopped) || n != 3 {
		t.Errorf("stopped at 3: %v after %d", err, n)
	}
}

func TestGapsThatCannotBeAsked(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		field string
		spoil func(*route.Gap)
	}{
		{"OD", func(g *route.Gap) { g.OD = mm(nan) }},
		{"Start", func(g *route.Gap) { g.Start = geom.Frame{} }},
		{"CLR", func(g *route.Gap) { g.Stock[0].Radius = 5 }},
		{"Stock angle", func(g *route.Gap) { g.Stock[0].Turn = 5 * deg }},
		{"Leg", func(g *route.Gap) { g.Stock[0].LegB = -1 }},
		{"Leg", func(g *route.Gap) { g.Stock[0].LegA = mm(nan) }},
		{"Target aim", func(g *route.Gap) { g.Target.Aim = geom.Vec{} }},
		{"Least straight at the start", func(g *route.Gap) { g.LeastFirst = -1 }},
		{"Least straight between bends", func(g *route.Gap) { g.LeastBetween = mm(nan) }},
		{"Least straight at the end", func(g *route.Gap) { g.LeastLast = 20000 }},
		{"Answers wanted", func(g *route.Gap) { g.Most = -1 }},
		{"Centreline before", func(g *route.Gap) { g.Before = mm(nan) }},
		{"Stock bends", func(g *route.Gap) { g.Stock = make([]route.StockBend, 51) }},
	} {
		g := route.Gap{Start: port(t), OD: 44.45, Target: route.Target{At: vec(0, 0, 300), Aim: vec(0, 0, 1)}, Stock: stockBends()}
		tt.spoil(&g)
		got, err := route.ClosingPiece(g)
		if fields := fault.All(err); len(fields) == 0 || fields[0].Name != tt.field || len(got.Plans) > 0 {
			t.Errorf("%s: got %v", tt.field, err)
		}
	}
}
