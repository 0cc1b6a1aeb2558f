package sizing_test

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

func firing(t testing.TB, order []int, intervals ...float64) sizing.Firing {
	t.Helper()
	var list []units.Angle
	for _, d := range intervals {
		list = append(list, units.Angle(d)*deg)
	}
	f, err := sizing.NewFiring(order, list)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func layout(t testing.TB, numbering string, n int) sizing.Layout {
	t.Helper()
	l, err := sizing.LayoutOf(numbering, n)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// say writes a grouping as people do: "1+4 2+3, least 360".
func say(g sizing.Grouping) string {
	var parts []string
	for _, k := range g.Groups {
		parts = append(parts, strings.Trim(strings.ReplaceAll(fmt.Sprint(slices.Sorted(slices.Values(k.Cylinders))), " ", "+"), "[]"))
	}
	return fmt.Sprintf("%s, least %.0f", strings.Join(parts, " "), g.Least.Deg())
}

func saysAll(list []sizing.Grouping) string {
	parts := make([]string, len(list))
	for i, g := range list {
		parts[i] = say(g)
	}
	return strings.Join(parts, "; ")
}

func gaps(g sizing.Group) string {
	var parts []string
	for _, a := range g.Gaps {
		parts = append(parts, fmt.Sprintf("%.0f", a.Deg()))
	}
	return strings.Join(parts, "/")
}

func pairs(t testing.TB, f sizing.Firing, l sizing.Layout, style string) []sizing.Pairing {
	t.Helper()
	list, err := sizing.Pair(f, l, style)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// Inline four, 1-3-4-2. A cylinder fires every 720/4 = 180°: 1 at 0, 3 at 180, 4 at 360,
// 2 at 540. 1 and 4 are 360 apart either way, so are 3 and 2; nothing can be farther
// apart in a cycle of 720. Neighbours in the row, 1+2 and 3+4, are 540 − 0 = 180 apart
// the short way round, 1+3 and 2+4 180 as well.
func TestInlineFour(t *testing.T) {
	f, l := firing(t, []int{1, 3, 4, 2}), layout(t, "inline", 4)
	for cyl, want := range map[int]float64{1: 0, 3: 180, 4: 360, 2: 540} {
		near(t, fmt.Sprint("cylinder ", cyl), f.At(cyl).Deg(), want, 1e-9)
	}
	p := pairs(t, f, l, "4-2-1")
	if len(p) != 1 || len(p[0].Inner) != 1 {
		t.Fatalf("%+v", p)
	}
	s := p[0].Inner[0]
	if s.Tried != 3 || s.Ties != 1 || say(s.Best[0]) != "1+4 2+3, least 360" || !s.Best[0].Even {
		t.Errorf("%+v", s)
	}
	// Both other ways come after it and are as good as each other.
	if got := saysAll(s.Next); got != "1+2 3+4, least 180; 1+3 2+4, least 180" || say(s.Worst)[9:] != "least 180" {
		t.Errorf("next %s, worst %+v", got, s.Worst)
	}
	for _, g := range [][]int{{1, 2}, {3, 4}, {1, 3}, {2, 4}} {
		if got := f.Group(g); got.Least.Deg() != 180 || got.Even {
			t.Errorf("%v: %+v", g, got)
		}
	}
	// All four in one collector: even, and round it in firing order.
	whole := pairs(t, f, l, "4-1")[0].Sets.Best[0].Groups[0]
	if gaps(whole) != "180/180/180/180" || !slices.Equal(whole.Cylinders, []int{1, 3, 4, 2}) {
		t.Errorf("%+v", whole)
	}
}

// Inline six, 1-5-3-6-2-4, every 120°: 1 at 0, 5 at 120, 3 at 240, 6 at 360, 2 at 480, 4
// at 600. Every other one is 240 from the next: 1, 3, 2 and 5, 6, 4. Three in 720 cannot
// be farther apart than 240, so the front three and the rear three share a collector.
// Pairs 360 apart: 1+6, 5+2, 3+4.
func TestInlineSix(t *testing.T) {
	f, l := firing(t, []int{1, 5, 3, 6, 2, 4}), layout(t, "inline", 6)
	s := pairs(t, f, l, "3-1")[0].Sets
	if s.Tried != 10 || s.Ties != 1 || say(s.Best[0]) != "1+2+3 4+5+6, least 240" || !s.Best[0].Even {
		t.Errorf("%+v", s)
	}
	if got := s.Best[0].Groups[0].Cylinders; !slices.Equal(got, []int{1, 3, 2}) {
		t.Errorf("round the collector %v, want 1 3 2", got)
	}
	if s := pairs(t, f, l, "6-3-1")[0].Inner[0]; s.Tried != 15 || say(s.Best[0]) != "1+6 2+5 3+4, least 360" {
		t.Errorf("%+v", s)
	}
	if s := pairs(t, f, l, "6-2-1")[0].Inner[0]; say(s.Best[0]) != "1+2+3 4+5+6, least 240" {
		t.Errorf("%+v", s)
	}
}

// A V8 with a crank of crossed throws, 1-8-4-3-6-5-7-2, a cylinder every 90°:
// 1 at 0, 8 at 90, 4 at 180, 3 at 270, 6 at 360, 5 at 450, 7 at 540, 2 at 630.
//
// The same text under two makers' numbering is two engines.
//
// Odd and even banks: A has 1 3 5 7 at 0, 270, 450, 540, B has 2 4 6 8 at 630, 180, 360,
// 90. In A 1+5 are 450/270 and 3+7 270/450, least 270; 1+3 are 270/450 but leave 5+7 at
// 90; 1+7 and 3+5 are 180. So 1+5 3+7. In B 2+4 are 270 (630 to 180) and 6+8 270; 2+6 are
// 270 and 4+8 90; 2+8 180 and 4+6 180. So 2+4 6+8.
//
// Banks 1-4 and 5-8: A has 1 2 3 4 at 0, 630, 270, 180, B 5 6 7 8 at 450, 360, 540, 90. In
// A 1+3 are 270 and 2+4 630 − 180 = 450, 270 the other way: least 270. 1+2 are 90. 1+4 are
// 180. So 1+3 2+4. In B 5+8 are 360 and 6+7 180: least 180; 5+6 are 90 and so are 5+7.
// So 5+8 6+7.
//
// What comes after: on A with odd and even banks 1+7 and 3+5 are both 180 apart, 1+3 270
// but 5+7 90; on B 2+8 and 4+6 180, 4+8 90. With 1-4 and 5-8 on A 1+4 is 180 and 2+3 360,
// 1+2 and 3+4 are 90; on B 5+6 and 5+7 are both 90, and 7+8 is 270 as 6+8 is.
func TestSameOrderUnderAnotherNumberingIsAnotherAnswer(t *testing.T) {
	f := firing(t, []int{1, 8, 4, 3, 6, 5, 7, 2})
	for numbering, want := range map[string][2][2]string{
		"odd-even": {{"1+5 3+7, least 270", "1+7 3+5, least 180; 1+3 5+7, least 90"}, {"2+4 6+8, least 270", "2+8 4+6, least 180; 2+6 4+8, least 90"}},
		"1-4/5-8":  {{"1+3 2+4, least 270", "1+4 2+3, least 180; 1+2 3+4, least 90"}, {"5+8 6+7, least 180", "5+6 7+8, least 90; 5+7 6+8, least 90"}},
	} {
		p := pairs(t, f, layout(t, numbering, 8), "4-2-1")
		if len(p) != 2 || p[0].Bank != "A" || p[1].Bank != "B" {
			t.Fatalf("%s: %+v", numbering, p)
		}
		for i := range p {
			if s := p[i].Inner[0]; s.Ties != 1 || say(s.Best[0]) != want[i][0] || saysAll(s.Next) != want[i][1] {
				t.Errorf("%s, bank %s: %d best, %s, then %s, want %s", numbering, p[i].Bank, s.Ties, say(s.Best[0]), saysAll(s.Next), want[i])
			}
		}
	}
	// One bank in one collector has two pulses 90° apart: 5 and 7.
	if g := pairs(t, f, layout(t, "odd-even", 8), "4-1")[0].Sets.Best[0].Groups[0]; gaps(g) != "270/180/90/180" || g.Least.Deg() != 90 || g.Even {
		t.Errorf("%s, %+v", gaps(g), g)
	}
}

// The 180-degree header of that V8. Even pulses, 180° apart, are every other cylinder of
// the order: 1 4 6 7 and 8 3 5 2. With odd and even banks 1 and 7 stay on A, the ends,
// and 3 and 5, the inner two, cross; of B the inner two, 4 and 6, cross the other way:
// what builders do. With banks 1-4 and 5-8: 1, 4 | 6, 7 and 2, 3 | 5, 8: on A 1 and 4
// stay, 2 and 3 cross, the inner two as well; on B 5 and 8 stay.
func TestCrossover(t *testing.T) {
	f := firing(t, []int{1, 8, 4, 3, 6, 5, 7, 2})
	for numbering, want := range map[string]struct{ a, b, cross []int }{
		"odd-even": {[]int{1, 4, 6, 7}, []int{2, 8, 3, 5}, []int{3, 4, 5, 6}},
		"1-4/5-8":  {[]int{1, 4, 6, 7}, []int{2, 8, 3, 5}, []int{2, 3, 6, 7}},
	} {
		l := layout(t, numbering, 8)
		c, err := sizing.Crossover(f, l)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(c.Cross, want.cross) || !c.Even || len(c.Sides) != 2 {
			t.Errorf("%s: %v cross, want %v: %+v", numbering, c.Cross, want.cross, c)
			continue
		}
		for i, side := range c.Sides {
			if gaps(side.Group) != "180/180/180/180" || !slices.Equal(side.Group.Cylinders, [][]int{want.a, want.b}[i]) {
				t.Errorf("%s, side %s: %v %s", numbering, side.Bank, side.Group.Cylinders, gaps(side.Group))
			}
		}
		// They are the inner two of their bank.
		for _, cyl := range c.Cross {
			if _, pos := l.Place(cyl); pos != 2 && pos != 3 {
				t.Errorf("%s: cylinder %d at place %d crosses", numbering, cyl, pos)
			}
		}
	}
	// A flat crank, 1-8-3-6-4-5-2-7 with banks 1-4 and 5-8: the banks take turns, and
	// nothing has to cross.
	c, err := sizing.Crossover(firing(t, []int{1, 8, 3, 6, 4, 5, 2, 7}), layout(t, "1-4/5-8", 8))
	if err != nil || len(c.Cross) != 0 || !c.Even {
		t.Errorf("flat crank: %+v, %v", c, err)
	}
	// Fewest across comes before nearest to the middle: of these twelve the ends of both
	// banks cross, four tubes, and not the inner eight.
	c, err = sizing.Crossover(firing(t, []int{2, 1, 3, 6, 4, 8, 5, 9, 7, 10, 12, 11}), layout(t, "1-6/7-12", 12))
	if err != nil || !slices.Equal(c.Cross, []int{1, 6, 7, 12}) {
		t.Errorf("%+v, %v", c, err)
	}
	if _, err := sizing.Crossover(firing(t, []int{1, 3, 4, 2}), layout(t, "inline", 4)); err == nil {
		t.Error("one bank: no error")
	}
}

// A 90° V6 with three throws fires unevenly: 1-6-5-4-3-2 at 90 and 150° by turns. 1 at 0,
// 6 at 90, 5 at 240, 4 at 330, 3 at 480, 2 at 570. The odd bank has 1, 5, 3 at 0, 240, 480,
// the even one 6, 4, 2 at 90, 330, 570: each bank is even, 240, though the engine is not.
func TestUnevenVSix(t *testing.T) {
	f := firing(t, []int{1, 6, 5, 4, 3, 2}, 90, 150, 90, 150, 90, 150)
	for i, p := range pairs(t, f, layout(t, "odd-even", 6), "3-1") {
		g := p.Sets.Best[0].Groups[0]
		if gaps(g) != "240/240/240" || !g.Even || !slices.Equal(g.Cylinders, [][]int{{1, 5, 3}, {2, 6, 4}}[i]) {
			t.Errorf("bank %s: %v %s", p.Bank, g.Cylinders, gaps(g))
		}
	}
	// Six in one collector are not even.
	if g := f.Group([]int{1, 2, 3, 4, 5, 6}); g.Even || gaps(g) != "90/150/90/150/90/150" {
		t.Errorf("%s", gaps(g))
	}
}

// A V-twin of 45° on one throw: the second fires 360 − 45 = 315° after the first, and the
// first 405 after the second. A boxer four, 1-3-2-4: a bank has 1 and 3 next to each
// other, 180 apart; both banks together give 1+2 and 3+4 at 360.
func TestTwinAndBoxer(t *testing.T) {
	twin := firing(t, []int{1, 2}, 315, 405)
	if g := twin.Group([]int{2, 1}); gaps(g) != "315/405" || g.Least.Deg() != 315 || g.Even {
		t.Errorf("%s %+v", gaps(g), g)
	}
	if p := pairs(t, twin, layout(t, "odd-even", 2), "2-1"); len(p) != 1 || p[0].Bank != "" || gaps(p[0].Sets.Best[0].Groups[0]) != "315/405" {
		t.Errorf("%+v", p)
	}
	// Both at once, as some twins do.
	if g := firing(t, []int{2, 1}, 0, 720).Group([]int{1, 2}); gaps(g) != "720/0" || g.Least != 0 {
		t.Errorf("%s %+v", gaps(g), g)
	}
	boxer, l := firing(t, []int{1, 3, 2, 4}), layout(t, "boxer", 4)
	if g := boxer.Group([]int{1, 3}); g.Least.Deg() != 180 {
		t.Errorf("%+v", g)
	}
	p := pairs(t, boxer, l, "4-2-1")
	if len(p) != 1 || p[0].Bank != "" || say(p[0].Inner[0].Best[0]) != "1+2 3+4, least 360" {
		t.Errorf("%+v", p)
	}
	// The same engine by the crank angle of each cylinder.
	at, err := sizing.FiringAt([]units.Angle{0, 360 * deg, 180 * deg, 540 * deg})
	if err != nil || !slices.Equal(at.Order(), []int{1, 3, 2, 4}) || at.At(2) != boxer.At(2) {
		t.Errorf("%+v, %v", at, err)
	}
}

// A V12 of two sixes, 1-12-5-8-3-10-6-7-2-11-4-9, banks 1-6 and 7-12: each is an inline
// six, 1-5-3-6-2-4 and 12-8-10-7-11-9, so its threes are 1+2+3 4+5+6 and, by 12 at 60, 8
// at 180, 10 at 300, 7 at 420, 11 at 540, 9 at 660, 12+10+11 and 8+7+9. An inline five,
// 1-2-4-5-3, every 144°: no pair is farther apart than 288.
func TestTwelveAndFive(t *testing.T) {
	f := firing(t, []int{1, 12, 5, 8, 3, 10, 6, 7, 2, 11, 4, 9})
	for i, p := range pairs(t, f, layout(t, "1-6/7-12", 12), "3-1") {
		if want := []string{"1+2+3 4+5+6, least 240", "7+8+9 10+11+12, least 240"}[i]; say(p.Sets.Best[0]) != want {
			t.Errorf("bank %s: %s, want %s", p.Bank, say(p.Sets.Best[0]), want)
		}
	}
	all, err := f.Best(f.Order(), []int{2, 2, 2, 2, 2, 2})
	if err != nil || all.Tried != 10395 || all.Ties != 1 || say(all.Best[0]) != "1+6 2+5 3+4 7+12 8+11 9+10, least 360" {
		t.Errorf("%d tried, %d best, %s; %v", all.Tried, all.Ties, say(all.Best[0]), err)
	}
	five := firing(t, []int{1, 2, 4, 5, 3})
	s, err := five.Best([]int{1, 2, 3, 4, 5}, []int{2, 3})
	if err != nil || s.Tried != 10 {
		t.Fatalf("%+v, %v", s, err)
	}
	// Two 288 apart leave three with 288/144/288, least 144; any three of five slots have
	// two neighbours, so 144 is the best least, and 288 the best pair.
	if g := s.Best[0]; g.Least.Deg() != 144 || f2(g.Groups, 2).Least.Deg() != 288 {
		t.Errorf("%s", say(g))
	}
}

// f2 returns the group of that size.
func f2(groups []sizing.Group, size int) sizing.Group {
	for _, g := range groups {
		if len(g.Cylinders) == size {
			return g
		}
	}
	return sizing.Group{}
}

func TestLayouts(t *testing.T) {
	for _, tt := range []struct {
		numbering string
		n         int
		want      string
	}{
		{"inline", 4, "[{A [1 2 3 4]}]"}, {"odd-even", 8, "[{A [1 3 5 7]} {B [2 4 6 8]}]"},
		{"1-4/5-8", 8, "[{A [1 2 3 4]} {B [5 6 7 8]}]"}, {"1-3/4-6", 6, "[{A [1 2 3]} {B [4 5 6]}]"},
		{"1-4/5-8", 6, "[{A [1 2 3]} {B [4 5 6]}]"}, {"boxer", 4, "[{A [1 3]} {B [2 4]}]"},
		{"odd-even", 5, "[{A [1 3 5]} {B [2 4]}]"}, {"", 6, "[{A [1 2 3 4 5 6]}]"},
	} {
		if got := fmt.Sprint(layout(t, tt.numbering, tt.n).Banks); got != tt.want {
			t.Errorf("%s of %d: %s, want %s", tt.numbering, tt.n, got, tt.want)
		}
	}
	own := sizing.Layout{Banks: []sizing.Bank{{"left", []int{2, 4}}, {"right", []int{3, 1}}}}
	if err := own.Check(4); err != nil {
		t.Error(err)
	}
	if bank, pos := own.Place(1); bank != "right" || pos != 2 {
		t.Errorf("%s %d", bank, pos)
	}
	if bank, pos := own.Place(9); bank != "" || pos != 0 {
		t.Errorf("%s %d", bank, pos)
	}
	for _, bad := range []sizing.Layout{{}, {Banks: []sizing.Bank{{"A", []int{1, 2}}}}, {Banks: []sizing.Bank{{"A", []int{1, 2, 3}}, {"B", []int{3}}}}, {Banks: []sizing.Bank{{"A", []int{0, 1, 2, 3}}}}} {
		if bad.Check(4) == nil {
			t.Errorf("%+v: no error", bad)
		}
	}
	for _, bad := range []struct {
		numbering string
		n         int
	}{{"1-4/5-8", 5}, {"boxer", 3}, {"clockwise", 4}, {"inline", 0}, {"inline", 17}} {
		if _, err := sizing.LayoutOf(bad.numbering, bad.n); len(fault.All(err)) == 0 {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// In firing order round the collector, whichever way, starting anywhere.
func TestRoundTheCollector(t *testing.T) {
	f := firing(t, []int{1, 3, 4, 2})
	for _, tt := range []struct {
		sockets []int
		want    bool
	}{
		{[]int{1, 3, 4, 2}, true}, {[]int{4, 2, 1, 3}, true}, {[]int{1, 2, 4, 3}, true}, {[]int{1, 2, 3, 4}, false}, {[]int{1, 4, 3, 2}, false},
		{[]int{1, 3, 4}, true}, {[]int{2, 1}, true}, {nil, true}, {[]int{1, 1, 2, 3}, false}, {[]int{1, 3, 9, 2}, false},
		{[]int{1, 3, 4, 2, 2}, false}, {[]int{1, 3, 9}, false},
	} {
		if got := f.Rotates(tt.sockets); got != tt.want {
			t.Errorf("%v: %v, want %v", tt.sockets, got, tt.want)
		}
	}
}

// On the crank's circle: where the throw of each cylinder that fires stands, and in which
// of the two turns.
func TestCircle(t *testing.T) {
	spots := firing(t, []int{1, 3, 4, 2}).Circle()
	want := []sizing.Spot{{Cylinder: 1, Turn: 1}, {Cylinder: 3, Cycle: 180 * deg, Crank: 180 * deg, Turn: 1}, {Cylinder: 4, Cycle: 360 * deg, Turn: 2}, {Cylinder: 2, Cycle: 540 * deg, Crank: 180 * deg, Turn: 2}}
	for i, s := range spots {
		w := want[i]
		if s.Cylinder != w.Cylinder || s.Turn != w.Turn || math.Abs(float64(s.Cycle-w.Cycle)) > 1e-12 || math.Abs(float64(s.Crank-w.Crank)) > 1e-12 {
			t.Errorf("%d: %+v, want %+v", i, s, w)
		}
	}
}

func TestFiringRefuses(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		order     []int
		intervals []float64
	}{
		{nil, nil}, {[]int{1, 3}, nil}, {[]int{1, 1}, nil}, {[]int{0, 1}, nil}, {[]int{1, 2}, []float64{360}},
		{[]int{1, 2}, []float64{360, 361}}, {[]int{1, 2}, []float64{-1, 721}}, {[]int{1, 2}, []float64{nan, 360}}, {make([]int, 17), nil},
	} {
		var list []units.Angle
		for _, d := range tt.intervals {
			list = append(list, units.Angle(d)*deg)
		}
		if _, err := sizing.NewFiring(tt.order, list); len(fault.All(err)) == 0 {
			t.Errorf("%v %v: %v", tt.order, tt.intervals, err)
		}
	}
	for _, at := range [][]units.Angle{nil, {-1}, {0, 721 * deg}, {units.Angle(nan)}} {
		if _, err := sizing.FiringAt(at); len(fault.All(err)) == 0 {
			t.Errorf("%v: %v", at, err)
		}
	}
	f := firing(t, []int{1, 3, 4, 2})
	for _, tt := range []struct{ cyl, sizes []int }{
		{[]int{1, 2}, []int{3}}, {[]int{1, 2}, []int{2, 0}}, {[]int{1, 5}, []int{2}}, {[]int{1, 1}, []int{2}}, {nil, nil}, {[]int{1}, []int{-1, 2}},
	} {
		if _, err := f.Best(tt.cyl, tt.sizes); len(fault.All(err)) == 0 {
			t.Errorf("%+v: no error", tt)
		}
	}
	long := firing(t, []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13})
	if _, err := long.Best(long.Order(), []int{13}); len(fault.All(err)) == 0 {
		t.Errorf("13 at once: %v", err)
	}
	l := layout(t, "inline", 4)
	for _, style := range []string{"", "4", "4-2", "4-3-1", "x-1", "5-1", "3-1", "2-4-1", "4--1", "-1", "0-1", "log", "1-1"} {
		if _, err := sizing.Pair(f, l, style); len(fault.All(err)) == 0 {
			t.Errorf("style %q: no error", style)
		}
	}
	if _, err := sizing.Pair(f, layout(t, "inline", 6), "4-1"); len(fault.All(err)) == 0 {
		t.Error("six in the layout, four fire: no error")
	}
	var none sizing.Firing
	if _, err := sizing.Pair(none, l, "4-1"); err == nil {
		t.Error("nothing fires: no error")
	}
}

// The search is held to plain trying of every order: for random engines of up to six
// cylinders the best least gap over all ways to deal cylinders out is what Best finds.
func TestBestIsBest(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		n := 2 + rnd.IntN(5)
		order := rnd.Perm(n)
		intervals := make([]float64, n)
		left := 720
		for k := range n {
			order[k]++
			if k < n-1 {
				intervals[k] = float64(rnd.IntN(left / 2))
				left -= int(intervals[k])
			}
		}
		intervals[n-1] = float64(left)
		f := firing(t, order, intervals...)
		var sizes []int
		for rest := n; rest > 0; {
			k := 1 + rnd.IntN(rest)
			sizes, rest = append(sizes, k), rest-k
		}
		cylinders := rnd.Perm(n)
		for k := range cylinders {
			cylinders[k]++
		}
		s, err := f.Best(cylinders, sizes)
		if err != nil {
			t.Fatal(err)
		}
		best := -1.0
		ways := map[string][2]float64{} // least gap, and squares of all summed
		permute(cylinders, func(p []int) {
			least, squares, at := 720.0, 0.0, 0
			var names []string
			for _, k := range sizes {
				g := f.Group(p[at : at+k])
				least, at = min(least, g.Least.Deg()), at+k
				for _, gap := range g.Gaps {
					squares += gap.Deg() * gap.Deg()
				}
				names = append(names, fmt.Sprint(g.Cylinders))
			}
			slices.Sort(names)
			ways[strings.Join(names, " ")] = [2]float64{least, squares}
			best = max(best, least)
		})
		if math.Abs(s.Best[0].Least.Deg()-best) > 1e-6 || s.Tried != len(ways) {
			t.Fatalf("seed %d case %d: order %v at %v in %v: %s of %d, want least %v of %d", seed, i, order, intervals, sizes, say(s.Best[0]), s.Tried, best, len(ways))
		}
		for _, g := range s.Best {
			if g.Least != s.Best[0].Least {
				t.Fatalf("seed %d case %d: not as good as the first: %s", seed, i, say(g))
			}
		}
		if s.Worst.Least > s.Best[0].Least {
			t.Fatalf("seed %d case %d: better than the best", seed, i)
		}
		// Those after the best are those after it when all ways are put in order.
		ranked := slices.SortedFunc(maps.Values(ways), func(a, b [2]float64) int {
			if math.Abs(a[0]-b[0]) > 1e-6 {
				return cmp.Compare(b[0], a[0])
			}
			return cmp.Compare(a[1], b[1])
		})
		if want := min(3, len(ranked)-s.Ties); len(s.Next) != want {
			t.Fatalf("seed %d case %d: %d after the best, want %d", seed, i, len(s.Next), want)
		}
		for k, g := range s.Next {
			squares := 0.0
			for _, group := range g.Groups {
				for _, gap := range group.Gaps {
					squares += gap.Deg() * gap.Deg()
				}
			}
			if want := ranked[s.Ties+k]; math.Abs(g.Least.Deg()-want[0]) > 1e-6 || math.Abs(squares-want[1]) > 1e-3 {
				t.Fatalf("seed %d case %d: place %d after the best %s with squares %v, want %v", seed, i, k, say(g), squares, want)
			}
		}
	}
}

func permute(list []int, use func([]int)) {
	p := slices.Clone(list)
	var walk func(k int)
	walk = func(k int) {
		if k == len(p) {
			use(p)
			return
		}
		for i := k; i < len(p); i++ {
			p[k], p[i] = p[i], p[k]
			walk(k + 1)
			p[k], p[i] = p[i], p[k]
		}
	}
	walk(0)
}

// Gaps of a group go once round: they sum to 720°, and turning the whole engine or
// counting from another cylinder changes nothing.
func TestGapsGoRoundOnce(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		n := 1 + rnd.IntN(16)
		order := rnd.Perm(n)
		for k := range order {
			order[k]++
		}
		f := firing(t, order)
		turned := firing(t, append(slices.Clone(order[n/2:]), order[:n/2]...))
		cylinders := rnd.Perm(n)[:1+rnd.IntN(n)]
		for k := range cylinders {
			cylinders[k]++
		}
		g, h := f.Group(cylinders), turned.Group(cylinders)
		sum := units.Angle(0)
		for _, a := range g.Gaps {
			sum += a
		}
		if math.Abs(sum.Deg()-720) > 1e-9 || len(g.Gaps) != len(cylinders) {
			t.Fatalf("seed %d case %d: %v of %v: %v", seed, i, cylinders, order, g.Gaps)
		}
		if !slices.Equal(g.Cylinders, h.Cylinders) || g.Least != h.Least || g.Even != h.Even {
			t.Fatalf("seed %d case %d: %+v and, turned, %+v", seed, i, g, h)
		}
	}
}

func FuzzPair(f *testing.F) {
	f.Add([]byte{1, 3, 4, 2}, []byte{}, "4-2-1", "inline")
	f.Add([]byte{1, 6, 5, 4, 3, 2}, []byte{90, 150, 90, 150, 90, 150}, "3-1", "odd-even")
	f.Add([]byte{1, 8, 4, 3, 6, 5, 7, 2}, []byte{}, "180-degree", "1-4/5-8")
	f.Fuzz(func(t *testing.T, orderBytes, gapBytes []byte, style, numbering string) {
		order := make([]int, len(orderBytes))
		for i, b := range orderBytes {
			order[i] = int(b)
		}
		var intervals []units.Angle
		for _, b := range gapBytes {
			intervals = append(intervals, units.Angle(b)*deg)
		}
		fi, err := sizing.NewFiring(order, intervals)
		if err != nil {
			if len(fault.All(err)) == 0 {
				t.Fatal(err)
			}
			return
		}
		l, err := sizing.LayoutOf(numbering, len(order))
		if err != nil {
			return
		}
		_, err1 := sizing.Pair(fi, l, style)
		_, err2 := sizing.Crossover(fi, l)
		for _, err := range []error{err1, err2} {
			var field *fault.Field
			if err != nil && !errors.As(err, &field) {
				t.Fatal(err)
			}
		}
	})
}

func BenchmarkPairEight(b *testing.B) {
	f, l := firing(b, []int{1, 8, 4, 3, 6, 5, 7, 2}), layout(b, "odd-even", 8)
	for b.Loop() {
		pairs(b, f, l, "4-2-1")
		if _, err := sizing.Crossover(f, l); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPairTwelve(b *testing.B) {
	f := firing(b, []int{1, 12, 5, 8, 3, 10, 6, 7, 2, 11, 4, 9})
	for b.Loop() {
		if _, err := f.Best(f.Order(), []int{2, 2, 2, 2, 2, 2}); err != nil {
			b.Fatal(err)
		}
	}
}
