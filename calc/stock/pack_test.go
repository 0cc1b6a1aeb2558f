package stock_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

var s44 = tube.Section{OD: 44.45, Wall: 1.651}

func aBend(id string, turn units.Angle) stock.Need {
	return stock.Need{ID: id, Kind: stock.Bend, Section: s44, Turn: turn * deg, Radius: 76.2}
}

func aStraight(id string, l units.Length) stock.Need {
	return stock.Need{ID: id, Kind: stock.Straight, Section: s44, Length: l}
}

func uBend(legA, legB units.Length) stock.Item {
	return stock.Item{ID: "u", Kind: stock.BentTube, Section: s44, Angle: 180 * deg, CLR: 76.2, LegA: legA, LegB: legB, Price: 3000, Buy: true}
}

func lengths(l units.Length) stock.Item {
	return stock.Item{ID: "l", Kind: stock.Tubing, Section: s44, Length: l, Price: 2000, Buy: true}
}

var sawn = stock.Settings{Saw: stock.Saw{Kerf: 2, Facing: 0.5}}

func pack(t *testing.T, needs []stock.Need, items []stock.Item, set stock.Settings) stock.Plan {
	t.Helper()
	p, err := stock.Pack(needs, items, set, nil)
	if err != nil {
		t.Fatal(err)
	}
	holds(t, needs, items, set, p)
	return p
}

// Worked by hand: the loss at CLR 76.2, OD 44.45, kerf 2 and facing 0.5 is 2.4995°;
// the naive kerf over CLR would be 1.5°.
func TestLossAgainstWorkedExample(t *testing.T) {
	if got := stock.Loss(44.45, 76.2, sawn.Saw).Deg(); math.Abs(got-2.4995) > 0.00005 {
		t.Errorf("loss %v°, want 2.4995°", got)
	}
	if got := stock.Loss(44.45, 22, sawn.Saw); !math.IsNaN(float64(got)) {
		t.Errorf("loss %v of a bend without an inside", got)
	}
	if got := stock.MeasuredCLR(152.4); got != 76.2 {
		t.Errorf("CLR %v of 152.4 across, want 76.2", got)
	}
}

// 90 + 87.4 and a cut of 2.4995 fit in 180; 90 + 87.6 do not.
func TestLossDecidesWhatFits(t *testing.T) {
	for turn, bends := range map[units.Angle]int{87.4: 1, 87.6: 2} {
		p := pack(t, []stock.Need{aBend("a", 90), aBend("b", turn)}, []stock.Item{uBend(0, 0)}, sawn)
		if len(p.Uses) != bends || p.Cost != int64(bends)*3000 || p.Buy[0].Count != bends {
			t.Errorf("90° and %v°: %d bends, want %d: %+v", turn, len(p.Uses), bends, p)
		}
	}
	p := pack(t, []stock.Need{aBend("a", 60), aBend("b", 50)}, []stock.Item{uBend(0, 0)}, sawn)
	u := p.Uses[0]
	loss := stock.Loss(44.45, 76.2, sawn.Saw)
	want := []units.Angle{0, 60 * deg, 60*deg + loss, 110*deg + loss, 110*deg + 2*loss, 180 * deg}
	got := []units.Angle{u.Cuts[0].From, u.Cuts[0].To, u.Cuts[1].From, u.Cuts[1].To, u.Left[0].From, u.Left[0].To}
	for i := range want {
		if math.Abs(float64(got[i]-want[i])) > 1e-12 {
			t.Errorf("marks %v, want %v", got, want)
			break
		}
	}
	if !u.Left[0].Kept {
		t.Errorf("65° is worth keeping: %+v", u.Left)
	}
}

// A measured CLR that is tighter loses more at a cut.
func TestMeasuredCLRDecidesTheLoss(t *testing.T) {
	u := uBend(0, 0)
	u.TrueCLR = 70
	p := pack(t, []stock.Need{aBend("a", 90), aBend("b", 87.4)}, []stock.Item{u}, sawn)
	if len(p.Uses) != 2 {
		t.Errorf("%d bends, want 2: %+v", len(p.Uses), p)
	}
}

func TestLegServesEitherNeighbourAndSavesAWeld(t *testing.T) {
	needs := []stock.Need{aStraight("before", 80), aBend("bend", 60), aStraight("after", 120)}
	needs[1].Before, needs[1].After = "before", "after"
	for _, tt := range []struct {
		legA, legB units.Length
		leg        string
		welds      int
	}{{100, 0, "before", 1}, {0, 100, "before", 1}, {130, 0, "", 1}, {79.9, 0, "", 2}} {
		p := pack(t, needs, []stock.Item{uBend(tt.legA, tt.legB), lengths(1000)}, sawn)
		c := p.Uses[0].Cuts[0]
		if p.Welds != tt.welds || tt.leg != "" && c.LegA+c.LegB != tt.leg || p.Cost != 5000 || !p.Optimal || !p.FewestWelds {
			t.Errorf("legs %v and %v: %+v", tt.legA, tt.legB, p)
		}
	}
	// The whole bend as one piece keeps both.
	needs[1].Turn = 180 * deg
	p := pack(t, needs, []stock.Item{uBend(125, 100), lengths(1000)}, sawn)
	if c := p.Uses[0].Cuts[0]; p.Welds != 0 || c.LegA != "after" || c.LegB != "before" || !c.Flipped || p.Cost != 3000 {
		t.Errorf("a whole bend: %+v", p)
	}
}

// A leg costs more as tubing than a dearer bend has it for.
func TestMoneyForBendsAndTubingCountsTogether(t *testing.T) {
	needs := []stock.Need{aStraight("s", 80), aBend("b", 60)}
	needs[1].Before = "s"
	short := uBend(0, 0)
	short.ID, short.Price = "short", 2500
	p := pack(t, needs, []stock.Item{short, uBend(100, 100), lengths(1000)}, sawn)
	if p.Cost != 3000 || p.Bound != 3000 || !p.Optimal || p.Welds != 0 {
		t.Errorf("%+v, want the bend with legs and no tubing", p)
	}
}

func TestPieceLongerThanStockIsSplit(t *testing.T) {
	u := uBend(0, 0)
	u.Angle = 90 * deg
	p := pack(t, []stock.Need{aBend("t1-2", 120), aBend("t1-3", 30)}, []stock.Item{u}, sawn)
	if len(p.Splits) != 1 || p.Splits[0].Parts != [2]string{"t1-2a", "t1-2b"} || p.Splits[0].Turns[0] != 60*deg || p.Welds != 2 || p.Cost != 6000 && p.Cost != 9000 {
		t.Errorf("%+v", p)
	}
}

func TestWhatCannotBeCutIsNamed(t *testing.T) {
	tight := aBend("tight", 90)
	tight.Radius = 63.5
	few := uBend(0, 0)
	few.Buy, few.OnHand = false, 1
	for name, tt := range map[string]struct {
		need  stock.Need
		items []stock.Item
		says  string
	}{
		"another CLR":    {tight, []stock.Item{uBend(0, 0)}, "no stock bend of OD 44.45 mm (1.750 in), wall 1.65 mm (0.065 in), CLR 63.50 mm (2.500 in)"},
		"too small":      {aBend("p", 7), []stock.Item{uBend(0, 0)}, "no bend of less than 8° is cut"},
		"no tubing":      {aStraight("p", 50), []stock.Item{uBend(0, 0)}, "no length of OD 44.45 mm"},
		"too long":       {aStraight("p", 1200), []stock.Item{lengths(1000)}, "longest length"},
		"not that many":  {stock.Need{ID: "p", Kind: stock.Bend, Section: s44, Turn: 120 * deg, Radius: 76.2, Copies: 2}, []stock.Item{few}, "not enough stock"},
		"nothing at all": {aBend("p", 45), nil, "no stock bend"},
	} {
		p := pack(t, []stock.Need{tt.need}, tt.items, sawn)
		if len(p.Out) != 1 || p.Out[0].Piece != tt.need.ID || !strings.Contains(p.Out[0].Why, tt.says) {
			t.Errorf("%s: %+v, want %q", name, p.Out, tt.says)
		}
	}
}

func TestPackRefuses(t *testing.T) {
	nan := units.Length(math.NaN())
	ok := aBend("p", 45)
	for name, tt := range map[string]struct {
		needs []stock.Need
		items []stock.Item
		set   stock.Settings
		field string
		where string
	}{
		"CLR of OD/2":        {[]stock.Need{{ID: "p", Kind: stock.Bend, Section: s44, Turn: 1, Radius: 22.225}}, nil, sawn, "CLR", "piece p"},
		"no turn":            {[]stock.Need{aBend("p", 0)}, nil, sawn, "Bent through", "piece p"},
		"twice":              {[]stock.Need{ok, ok}, nil, sawn, "Piece", "piece p"},
		"no such straight":   {[]stock.Need{{ID: "p", Kind: stock.Bend, Section: s44, Turn: 1, Radius: 76.2, Before: "x"}}, nil, sawn, "Straight before", "piece p"},
		"copies":             {[]stock.Need{{ID: "p", Kind: stock.Bend, Section: s44, Turn: 1, Radius: 76.2, Copies: -1}}, nil, sawn, "Copies", "piece p"},
		"neither":            {[]stock.Need{{ID: "p", Section: s44}}, nil, sawn, "Piece", "piece p"},
		"straight of 0":      {[]stock.Need{aStraight("p", 0)}, nil, sawn, "Straight", "piece p"},
		"kerf":               {nil, nil, stock.Settings{Saw: stock.Saw{Kerf: nan}}, "Kerf", ""},
		"stock CLR of OD/2":  {nil, []stock.Item{{ID: "u", Kind: stock.BentTube, Section: s44, Angle: 1, CLR: 20}}, sawn, "CLR", "stock u"},
		"kerf past inside":   {nil, []stock.Item{{ID: "u", Kind: stock.BentTube, Section: s44, Angle: 1, CLR: 23}}, sawn, "Kerf", "stock u"},
		"negative leg":       {nil, []stock.Item{uBend(-1, 0)}, sawn, "Leg A", "stock u"},
		"length of nothing":  {nil, []stock.Item{lengths(0)}, sawn, "Length", "stock l"},
		"length not known":   {nil, []stock.Item{lengths(nan)}, sawn, "Length", "stock l"},
		"what is it":         {nil, []stock.Item{{ID: "x", Section: s44}}, sawn, "Stock", "stock x"},
		"negative on hand":   {nil, []stock.Item{{ID: "l", Kind: stock.Tubing, Section: s44, Length: 10, OnHand: -1}}, sawn, "On hand", "stock l"},
		"price past belief":  {nil, []stock.Item{{ID: "l", Kind: stock.Tubing, Section: s44, Length: 10, Price: 1 << 60}}, sawn, "Price", "stock l"},
		"smallest off-cut":   {nil, nil, stock.Settings{Keep: 4}, "Smallest off-cut", ""},
		"stock without wall": {nil, []stock.Item{{ID: "l", Kind: stock.Tubing, Section: tube.Section{OD: 40}, Length: 10}}, sawn, "Wall", "stock l"},
	} {
		p, err := stock.Pack(tt.needs, tt.items, tt.set, nil)
		var f *fault.Field
		if !errors.As(err, &f) || f.Name != tt.field || f.Where != tt.where || p.Uses != nil {
			t.Errorf("%s: %v, want a fault of %q at %q", name, err, tt.field, tt.where)
		}
	}
}

// The order of the items and of the tubes decides nothing but ties, and the same
// input gives the same plan.
func TestPackIsTheSameEveryTime(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 60 {
		needs, items, set := madeUp(rnd, 1+rnd.IntN(5))
		a, b := pack(t, needs, items, set), pack(t, needs, items, set)
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("seed %d case %d: %+v, then %+v", seed, i, a, b)
		}
		turned := slices.Clone(items)
		slices.Reverse(turned)
		if c := pack(t, needs, turned, set); c.Cost != a.Cost || c.Welds != a.Welds || len(c.Out) != len(a.Out) {
			t.Fatalf("seed %d case %d: items turned round cost %d with %d welds, before %d with %d", seed, i, c.Cost, c.Welds, a.Cost, a.Welds)
		}
	}
}

// A search that is stopped returns a plan that can be cut, with a bound.
func TestPackStops(t *testing.T) {
	needs, items, set := header(1, 24, true)
	asked := 0
	p, err := stock.Pack(needs, items, set, func(stock.Progress) bool { asked++; return asked < 3 })
	if err != nil || asked < 3 || asked > 100 {
		t.Fatalf("asked %d times, %v", asked, err)
	}
	holds(t, needs, items, set, p)
	if !p.Stopped || p.FewestWelds || p.Bound <= 0 || len(p.Out) > 0 {
		t.Errorf("stopped %v, fewest %v, cost %d, bound %d, out %v", p.Stopped, p.FewestWelds, p.Cost, p.Bound, p.Out)
	}
	set.Nodes = 1000
	if p, err = stock.Pack(needs, items, set, nil); err != nil || !p.Stopped {
		t.Errorf("1000 steps: stopped %v, %v", p.Stopped, err)
	}
	holds(t, needs, items, set, p)
}

// Off-cuts and what is on hand go first where they are paid for.
func TestOffcutsGoFirst(t *testing.T) {
	off := stock.Item{ID: "off", Kind: stock.BentTube, Section: s44, Angle: 50 * deg, CLR: 76.2, OnHand: 1, Offcut: true}
	p := pack(t, []stock.Need{aBend("a", 45)}, []stock.Item{uBend(0, 0), off}, sawn)
	if p.Cost != 0 || p.Uses[0].Item != "off" || !p.Uses[0].OnHand || len(p.Buy) != 0 {
		t.Errorf("%+v", p)
	}
}

// Two bends of 90 and two of 45 from three U-bends on hand: what is left over lies
// together.
func TestLeftOverLiesTogether(t *testing.T) {
	u := uBend(0, 0)
	p := pack(t, []stock.Need{aBend("a", 100), aBend("b", 90), aBend("c", 40)}, []stock.Item{u}, sawn)
	most := units.Angle(0)
	for _, use := range p.Uses {
		for _, l := range use.Left {
			most = max(most, l.Angle())
		}
	}
	// 90 alone leaves 87.5 beside 100 + 40; 100 alone would leave 77.5.
	if want := 180*deg - 90*deg - stock.Loss(44.45, 76.2, sawn.Saw); math.Abs(float64(most-want)) > 1e-9 {
		t.Errorf("largest off-cut %v°, want %v°", most.Deg(), want.Deg())
	}
}

func TestWhatHasNoPriceIsSaid(t *testing.T) {
	u := uBend(0, 0)
	u.Price = 0
	p := pack(t, []stock.Need{aBend("a", 100)}, []stock.Item{u}, sawn)
	if len(p.Unpriced) != 1 || p.Unpriced[0] != "u" || p.Cost != 180 {
		t.Errorf("%+v", p)
	}
}

// Whatever is asked, Pack refuses or answers with a plan that can be cut.
func FuzzPack(f *testing.F) {
	f.Add(uint64(1), 40.0, 90.0, 80.0, 100.0, 2.0, byte(3))
	f.Add(uint64(2), 180.0, 180.0, 0.0, 50.0, 0.0, byte(0))
	f.Fuzz(func(t *testing.T, seed uint64, a, b, leg, long, kerf float64, n byte) {
		rnd := rand.New(rand.NewPCG(seed, 0))
		needs, items, set := madeUp(rnd, 1+int(n%4))
		for i := range needs {
			if needs[i].Kind == stock.Bend && rnd.IntN(2) == 0 {
				needs[i].Turn = units.Angle(a) * deg
			} else if needs[i].Kind == stock.Straight && rnd.IntN(2) == 0 {
				needs[i].Length = units.Length(long)
			}
		}
		items[0].Angle, items[0].LegA, items[0].OnHand = units.Angle(b)*deg, units.Length(leg), int(n)-1
		set.Saw.Kerf = units.Length(kerf)
		set.Nodes = 20_000
		p, err := stock.Pack(needs, items, set, nil)
		if err != nil {
			if len(fault.All(err)) == 0 {
				t.Fatalf("an error without a field: %v", err)
			}
			return
		}
		holds(t, needs, items, set, p)
	})
}

// In 180°, 90 + 84 and two cuts leave 1.0° between the pieces, so that both keep
// their leg and no tubing is bought; 90 + 86 leave room for one cut and 1.5°, which can only lie at an end.
func TestLeftOverBetweenPiecesTakesACut(t *testing.T) {
	for turn, served := range map[units.Angle]int{84: 2, 86: 1} {
		a, b := aBend("a", 90), aBend("b", turn)
		a.Before, b.After = "s", "t"
		p := pack(t, []stock.Need{aStraight("s", 80), a, b, aStraight("t", 80)}, []stock.Item{uBend(100, 100), lengths(1000)}, sawn)
		if want := int64(3000 + 2000*(2-served)); p.Cost != want || servedBy(p) != served {
			t.Errorf("90° and %v°: %d legs, want %d: %+v", turn, servedBy(p), served, p)
		}
	}
}
