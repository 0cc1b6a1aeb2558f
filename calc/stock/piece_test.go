package stock_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

const (
	deg  = units.Degree
	inch = units.Inch
)

func straight(id string, l units.Length) tube.Element { return tube.Element{ID: id, Straight: l} }

func bend(id string, turn, rotation units.Angle, clr units.Length) tube.Element {
	return tube.Element{ID: id, Bend: &tube.Bend{Turn: turn * deg, Rotation: rotation * deg, Radius: clr}}
}

// piece returns the only piece of one bend.
func piece(t *testing.T, od units.Length, e tube.Element) stock.Piece {
	t.Helper()
	ps, err := stock.Pieces("t1", tube.Section{OD: od, Wall: od / 30}, []tube.Element{e})
	if err != nil || len(ps) != 1 {
		t.Fatalf("%d pieces, %v, want 1", len(ps), err)
	}
	return ps[0]
}

func TestMarksAgainstPublished(t *testing.T) {
	check := func(what string, got, want, tol units.Length, from string) { // tol: half the last digit
		t.Helper()
		if !(math.Abs((got - want).MM()) <= tol.MM()) {
			t.Errorf("%s: got %v mm, want %v ± %v (%s)", what, got, want, tol, from)
		}
	}
	const worked = "own worked example, three decimals; closed form"
	p := piece(t, 44.45, bend("e1", 90, 30, 76.2))
	check("outside, 90° on CLR 76.2, OD 44.45", p.Outside, 154.606, 0.0005, worked)
	check("inside", p.Inside, 84.784, 0.0005, worked)
	check("centreline", p.Length, 119.695, 0.0005, worked)
	check("outside chord", p.OutsideChord, 139.194, 0.0005, worked)
	check("inside chord", p.InsideChord, 76.332, 0.0005, worked)
	check("clock arc of 30°", p.ClockArc, 11.637, 0.0005, worked)
	check("clock arc of −30°", piece(t, 44.45, bend("e1", 90, -30, 76.2)).ClockArc, -11.637, 0.0005, worked)

	const trade = "trade table, marks on 1.75 in OD per 90°, computed from geometry"
	for _, row := range []struct{ clr, outside, inside units.Length }{{3, 6.09, 3.34}, {2, 4.52, 1.77}, {4, 7.66, 4.91}} {
		p := piece(t, 1.75*inch, bend("e1", 90, 0, row.clr*inch))
		check("outside", p.Outside, row.outside*inch, 0.005*inch, trade)
		check("inside", p.Inside, row.inside*inch, 0.005*inch, trade)
	}
	const arcs = "trade table, arc length per 90°: angle × CLR × 0.01745, seen and computed"
	for _, row := range [][2]units.Length{{2, 3.14}, {2.5, 3.93}, {3, 4.71}, {4, 6.28}, {6, 9.42}} {
		check("centreline", piece(t, 1.75*inch, bend("e1", 90, 0, row[0]*inch)).Length, row[1]*inch, 0.005*inch, arcs)
	}
}

// Trade table, wall thinning at the outside, (Ro − R)/Ro: the formula is seen as a
// rule of thumb, the figures are computed from it.
func TestWallLeftAgainstPublished(t *testing.T) {
	od := 1.75 * inch
	for _, tt := range []struct{ d, thinner, tol float64 }{{1, 33, 0.5}, {1.5, 25, 0.5}, {2, 20, 0.5}, {2.5, 16.7, 0.05}, {3, 14.3, 0.05}} {
		s := tube.Section{OD: od, Wall: 0.065 * inch}
		if got := 100 * (1 - float64(stock.WallLeft(s, od*units.Length(tt.d))/s.Wall)); math.Abs(got-tt.thinner) > tt.tol {
			t.Errorf("%v D: %v %% thinner, want %v", tt.d, got, tt.thinner)
		}
	}
	for _, tt := range []struct{ wall, d, left units.Length }{{0.065, 1.5, 0.049}, {0.065, 2, 0.052}, {0.049, 1.5, 0.037}} {
		got := stock.WallLeft(tube.Section{OD: od, Wall: tt.wall * inch}, od*tt.d) / inch
		if math.Abs(float64(got-tt.left)) > 0.0005 {
			t.Errorf("wall %v at %v D: %v in left, want %v", tt.wall, tt.d, got, tt.left)
		}
	}
}

func TestStraightsMergeAndNothingIsNoPiece(t *testing.T) {
	elems := []tube.Element{
		straight("e1", 0), straight("e2", 20), straight("e3", 18.1),
		bend("e4", 72, 180, 76.2), straight("e5", 0), bend("e6", 45, 30, 63.5), bend("e7", 30, 0, 63.5),
		straight("e8", 50), straight("e9", 0), straight("e10", 36.36),
	}
	ps, err := stock.Pieces("t1", tube.Section{OD: 44.45, Wall: 1.651}, elems)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		id, kind, element string
		length            units.Length
	}{
		{"t1-1", stock.Straight, "e2", 38.1},
		{"t1-2", stock.Bend, "e4", 76.2 * 72 * math.Pi / 180},
		{"t1-3", stock.Bend, "e6", 63.5 * 45 * math.Pi / 180},
		{"t1-4", stock.Bend, "e7", 63.5 * 30 * math.Pi / 180},
		{"t1-5", stock.Straight, "e8", 86.36},
	}
	if len(ps) != len(want) {
		t.Fatalf("%d pieces, want %d: %+v", len(ps), len(want), ps)
	}
	for i, w := range want {
		if p := ps[i]; p.ID != w.id || p.Kind != w.kind || p.Element != w.element || math.Abs((p.Length-w.length).MM()) > 1e-12 {
			t.Errorf("piece %d: got %+v, want %+v", i+1, p, w)
		}
	}
	if p := ps[0]; p.Outside != 0 || p.ClockArc != 0 || p.Turn != 0 {
		t.Errorf("a straight has marks of a bend: %+v", p)
	}
	if ps, err := stock.Pieces("t1", tube.Section{OD: 44.45, Wall: 1.651}, nil); err != nil || len(ps) != 0 {
		t.Errorf("no elements: %v, %v", ps, err)
	}
	total := stock.Total(ps)
	if total.Bends != 3 || total.Straights != 2 || math.Abs(total.Turned.Deg()-147) > 1e-12 || math.Abs((total.Straight-124.46).MM()) > 1e-12 {
		t.Errorf("total %+v, want 3 bends of 147° and 2 straights of 124.46 mm", total)
	}
}

// The pieces add up to the path, bends are all there, ids are all different, and
// no two straights touch.
func TestPiecesAddUpToThePath(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 1000 {
		var elems []tube.Element
		bends := 0
		for range rnd.IntN(14) {
			switch rnd.IntN(4) {
			case 0:
				bends++
				elems = append(elems, bend("b", units.Angle(1+179*rnd.Float64()), units.Angle(360*rnd.Float64()-180), units.Length(30+100*rnd.Float64())))
			case 1:
				elems = append(elems, straight("z", 0))
			default:
				elems = append(elems, straight("s", units.Length(200*rnd.Float64())))
			}
		}
		ps, err := stock.Pieces("t7", tube.Section{OD: 44.45, Wall: 1.651}, elems)
		if err != nil {
			t.Fatal(err)
		}
		var sum units.Length
		ids := map[string]bool{}
		for k, p := range ps {
			sum += p.Length
			ids[p.ID] = true
			if !(p.Length > 0) || k > 0 && p.Kind == stock.Straight && ps[k-1].Kind == stock.Straight {
				t.Fatalf("seed %d case %d: piece %+v after %+v", seed, i, p, ps[max(k-1, 0)])
			}
			if p.Kind == stock.Bend && (!(p.Inside < p.Length) || !(p.Length < p.Outside) || math.Abs((p.Inside+p.Outside-2*p.Length).MM()) > 1e-9 || !(p.InsideChord < p.Inside) || !(p.OutsideChord < p.Outside)) {
				t.Fatalf("seed %d case %d: marks of %+v", seed, i, p)
			}
		}
		path, total := tube.ToLRA(elems).Length(), stock.Total(ps)
		if math.Abs((sum-path).MM()) > 1e-9 || math.Abs((total.Centreline-path).MM()) > 1e-9 || total.Bends != bends || total.Bends+total.Straights != len(ps) || len(ids) != len(ps) {
			t.Fatalf("seed %d case %d: pieces %v mm, total %+v, path %v mm with %d bends", seed, i, sum, total, path, bends)
		}
	}
}

func TestPiecesRefuseWhatCheckRefuses(t *testing.T) {
	for name, tt := range map[string]struct {
		s     tube.Section
		elem  tube.Element
		field string
		where string
	}{
		"no OD":        {tube.Section{Wall: 1}, straight("e1", 10), "OD", ""},
		"tight bend":   {tube.Section{OD: 44.45, Wall: 1.65}, bend("e1", 90, 0, 22), "CLR", "element e1"},
		"past half":    {tube.Section{OD: 44.45, Wall: 1.65}, bend("e1", 181, 0, 76.2), "Bent through", "element e1"},
		"negative":     {tube.Section{OD: 44.45, Wall: 1.65}, straight("e1", -1), "Straight", "element e1"},
		"not a number": {tube.Section{OD: 44.45, Wall: 1.65}, straight("e1", units.Length(math.NaN())), "Straight", "element e1"},
	} {
		ps, err := stock.Pieces("t1", tt.s, []tube.Element{tt.elem})
		var f *fault.Field
		if !errors.As(err, &f) || f.Name != tt.field || f.Where != tt.where || ps != nil {
			t.Errorf("%s: got %v, %v, want a fault of %q at %q", name, ps, err, tt.field, tt.where)
		}
	}
}

// A hand marks the short way round: 270° one way is 90° the other.
func TestClockArcGoesTheShortWay(t *testing.T) {
	s := tube.Section{OD: 40, Wall: 1.5}
	quarter := 40 / 2 * math.Pi / 2 // closed form, OD/2·90° in rad
	for rotation, want := range map[units.Angle]float64{0: 0, 90: quarter, 180: 2 * quarter, -180: 2 * quarter, 270: -quarter, -270: quarter, 360: 0, -360: 0} {
		pieces, err := stock.Pieces("t1", s, []tube.Element{{Bend: &tube.Bend{Turn: 45 * units.Degree, Radius: 60, Rotation: rotation * units.Degree}}})
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(pieces[0].ClockArc); math.Abs(got-want) > 1e-9 {
			t.Errorf("rotation %v°: arc %v, want %v", rotation, got, want)
		}
	}
}

// What is chalked on metal stays true when the path is changed.
func TestPieceNumbersSurviveEdits(t *testing.T) {
	s := tube.Section{OD: 44.45, Wall: 1.651}
	numbered := func(n int, e tube.Element) tube.Element { e.Number = n; return e }
	ids := func(elems ...tube.Element) string {
		ps, err := stock.Pieces("t1", s, elems)
		if err != nil {
			t.Fatal(err)
		}
		var text []string
		for _, p := range ps {
			text = append(text, p.ID+" "+p.Element)
		}
		return strings.Join(text, ", ")
	}
	a, b, c := numbered(1, straight("a", 40)), numbered(2, bend("b", 90, 0, 76.2)), numbered(3, straight("c", 60))
	d := numbered(4, bend("d", 30, 0, 76.2))
	for _, tt := range []struct{ what, got, want string }{
		{"as made", ids(a, b, c), "t1-1 a, t1-2 b, t1-3 c"},
		{"one put before", ids(d, a, b, c), "t1-4 d, t1-1 a, t1-2 b, t1-3 c"},
		{"one taken out", ids(a, c), "t1-1 a"}, // the straights are one piece now, and 3 is in it
		{"one of no length", ids(numbered(1, straight("a", 0)), b, c), "t1-2 b, t1-3 c"},
		{"of straights in a row the first that is not 0", ids(numbered(5, straight("z", 0)), c, a, b), "t1-3 c, t1-2 b"},
		{"a file without numbers", ids(straight("a", 40), bend("b", 90, 0, 76.2), straight("c", 60)), "t1-1 a, t1-2 b, t1-3 c"},
		{"some without", ids(straight("x", 40), b, straight("y", 20), bend("w", 9, 0, 76.2)), "t1-1 x, t1-2 b, t1-3 y, t1-4 w"},
		{"a number that an element of no length has is not free", ids(numbered(1, straight("a", 0)), bend("b", 90, 0, 76.2)), "t1-2 b"},
		{"two tablets gave one number", ids(a, b, numbered(2, bend("e", 10, 0, 76.2))), "t1-1 a, t1-2 b, t1-3 e"},
	} {
		if tt.got != tt.want {
			t.Errorf("%s: %s, want %s", tt.what, tt.got, tt.want)
		}
	}
}
