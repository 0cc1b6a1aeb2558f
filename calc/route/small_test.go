package route_test

import (
	"math"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/route"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// port is a start at the origin along z, with y for its reference.
func port(t testing.TB) geom.Frame {
	t.Helper()
	f, err := tube.Start(geom.Vec{}, vec(0, 0, 1))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func piece(s route.State, e tube.Element) route.Piece { return route.Piece{State: s, Element: e} }

// Chains small enough that the answer is plain; closed form.
func TestPlainCases(t *testing.T) {
	half := 1 / math.Sqrt2
	const r = 76.2
	tests := []struct {
		name   string
		pieces []route.Piece
		target route.Target
		want   route.Change
		effort float64
	}{
		{"an uncut straight 13.4 mm short", []route.Piece{piece(route.Uncut, straight(100))},
			route.Target{At: vec(0, 0, 113.4), Aim: vec(0, 0, 1)},
			route.Change{Kind: route.Straight, Joint: -1, Piece: 0, Length: 13.4}, 1.5 + 13.4/20},
		{"a cut straight 12.4 mm long", []route.Piece{piece(route.Cut, straight(100))},
			route.Target{At: vec(0, 0, 87.6), Aim: vec(0, 0, 2)},
			route.Change{Kind: route.Trim, Joint: -1, Piece: 0, Length: -12.4}, 5 + 1.24},
		{"a bend cut 45° that should be 40°", []route.Piece{piece(route.Cut, bend(45, r, 0))},
			route.Target{At: vec(0, r*(1-math.Cos(40*math.Pi/180)), r*math.Sin(40*math.Pi/180)), Aim: vec(0, math.Sin(40*math.Pi/180), math.Cos(40*math.Pi/180))},
			route.Change{Kind: route.Recut, Joint: -1, Piece: 0, Angle: -5 * deg}, 5},
		{"a bend to be cut at 90°, drawn at 80°", []route.Piece{piece(route.Uncut, bend(80, r, 0))},
			route.Target{At: vec(0, r, r), Aim: vec(0, 1, 0)},
			route.Change{Kind: route.Bend, Joint: -1, Piece: 0, Angle: 10 * deg}, 3},
		// Rotation about +z turns +y towards −x.
		{"a joint 30° off", []route.Piece{piece(route.Fixed, straight(50)), piece(route.Cut, bend(90, r, 15))},
			route.Target{At: vec(-r*half, r*half, 50+r), Aim: vec(-half, half, 0)},
			route.Change{Kind: route.Turn, Joint: 1, Piece: 1, Turn: 30 * deg, Arc: units.Length(44.45 / 2 * math.Pi / 6)}, 1 + 1.5},
		{"a joint that is turned the short way, over half a turn", []route.Piece{piece(route.Cut, bend(90, r, 170))},
			route.Target{At: vec(r*math.Sin(10*math.Pi/180), -r*math.Cos(10*math.Pi/180), r), Aim: vec(math.Sin(10*math.Pi/180), -math.Cos(10*math.Pi/180), 0)},
			route.Change{Kind: route.Turn, Joint: 0, Piece: 0, Turn: 20 * deg, Arc: units.Length(44.45 / 2 * math.Pi / 9)}, 2},
		// No small step leads away from there: the end moves square to where it should go.
		{"a joint half a turn off", []route.Piece{piece(route.Fixed, straight(50)), piece(route.Cut, bend(60, r, 180))},
			route.Target{At: vec(0, r/2, 50+r*math.Sqrt(3)/2), Aim: vec(0, math.Sqrt(3)/2, 0.5)},
			route.Change{Kind: route.Turn, Joint: 1, Piece: 1, Turn: 180 * deg, Arc: units.Length(44.45 / 2 * math.Pi)}, 1 + 9},
		{"a bend tacked to a straight that is not: its joint turns both", []route.Piece{piece(route.Cut, straight(50)), piece(route.Fixed, bend(90, r, 0))},
			route.Target{At: vec(-r*half, r*half, 50+r), Aim: vec(-half, half, 0)},
			route.Change{Kind: route.Turn, Joint: 0, Piece: 1, Turn: 45 * deg, Arc: units.Length(44.45 / 2 * math.Pi / 4)}, 1 + 45.0/20},
		{"a straight cut 3.4 mm short", []route.Piece{piece(route.Cut, straight(96.6))},
			route.Target{At: vec(0, 0, 100), Aim: vec(0, 0, 1)},
			route.Change{Kind: route.StraightAnew, Joint: -1, Piece: 0, Length: 3.4}, 7 + 3.4/20},
		{"a bend cut 84° that should be 90°", []route.Piece{piece(route.Cut, bend(84, r, 0))},
			route.Target{At: vec(0, r, r), Aim: vec(0, 1, 0)},
			route.Change{Kind: route.BendAnew, Joint: -1, Piece: 0, Angle: 6 * deg}, 9 + 0.6},
		{"tacked to the end, 25 mm short of the socket", []route.Piece{piece(route.Fixed, straight(50))},
			route.Target{At: vec(0, 0, 75), Aim: vec(0, 0, 1)},
			route.Change{Kind: route.NewStraight, Joint: 1, Piece: -1, Length: 25}, 10 + 1.25},
		{"tacked to the end, aimed 20° off", []route.Piece{piece(route.Fixed, bend(70, r, 0))},
			route.Target{At: vec(0, r, r), Aim: vec(0, 1, 0)},
			route.Change{Kind: route.NewBend, Joint: 1, Piece: -1, Angle: 20 * deg, Radius: r}, 12 + 1},
	}
	for _, tt := range tests {
		c := route.Chain{Start: port(t), OD: 44.45, Pieces: tt.pieces}
		// The least misses are at the exact figures; a hundredth of a tolerance is what
		// the pull may move them.
		tt.target.Within, tt.target.AimWithin = 0.2, 0.2*deg
		got := ask(t, route.Request{Chain: c, Target: tt.target})
		if err := claims(c, tt.target, got); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		if len(got.Answers) == 0 || len(got.Answers[0].Changes) != 1 {
			t.Errorf("%s: got %+v, want one change", tt.name, got.Answers)
			continue
		}
		a := got.Answers[0]
		ch := a.Changes[0]
		if ch.Kind != tt.want.Kind || ch.Joint != tt.want.Joint || ch.Piece != tt.want.Piece || ch.Radius != tt.want.Radius ||
			math.Abs(math.Remainder(ch.Turn.Deg()-tt.want.Turn.Deg(), 360)) > 0.11 || math.Abs(ch.Angle.Deg()-tt.want.Angle.Deg()) > 0.11 ||
			math.Abs((ch.Length-tt.want.Length).MM()) > 0.11 || math.Abs(math.Remainder((ch.Arc-tt.want.Arc).MM(), 44.45*math.Pi)) > 0.05 {
			t.Errorf("%s: got %+v, want %+v", tt.name, ch, tt.want)
		}
		if math.Abs(a.Effort-tt.effort) > 0.03 || math.Abs(ch.Effort-a.Effort) > 1e-9 {
			t.Errorf("%s: effort %v, want %v", tt.name, a.Effort, tt.effort)
		}
		longer := ch.Length
		if e := tt.pieces[max(0, ch.Piece)].Element.Bend; e != nil {
			longer += e.Radius * units.Length(ch.Angle)
		}
		if math.Abs((a.Longer - longer).MM()) > 1e-9 {
			t.Errorf("%s: %v mm longer, want %v", tt.name, a.Longer, longer)
		}
		welds := 0
		if ch.Piece < 0 {
			welds = 1
		}
		if a.Welds != welds {
			t.Errorf("%s: %d new welds, want %d", tt.name, a.Welds, welds)
		}
	}
}

// Two joints and a trim, as a bench has it: the errors that were put in come out.
func TestTwoJointsAndATrim(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{
		piece(route.Fixed, straight(40)), piece(route.Cut, bend(60, 76.2, 200)), piece(route.Uncut, straight(80)),
		piece(route.Cut, bend(75, 63.5, -70)), piece(route.Fixed, straight(30)),
	}}
	target := ends(c, false)
	target.Within, target.AimWithin = 0.1, 0.05*deg
	c.Pieces[1].Element.Bend.Rotation -= 3.5 * deg
	c.Pieces[3].Element.Bend.Rotation += 4 * deg
	c.Pieces[2].Element.Straight += 4.6
	got := ask(t, route.Request{Chain: c, Target: target})
	if len(got.Answers) == 0 || len(got.Answers[0].Changes) != 3 {
		t.Fatalf("got %+v", got.Answers)
	}
	ch := got.Answers[0].Changes
	if ch[0].Joint != 1 || math.Abs(ch[0].Turn.Deg()-3.5) > 0.06 || ch[1].Piece != 2 || math.Abs(ch[1].Length.MM()+4.6) > 0.06 || ch[2].Joint != 3 || math.Abs(ch[2].Turn.Deg()+4) > 0.06 {
		t.Errorf("got %+v, want joint 1 +3.5°, joint 3 −4.0°, trim 4.6", ch)
	}
}

// What fits needs nothing, and a socket has slip.
func TestWhatClosesIsLeftAlone(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Before: 200, Pieces: []route.Piece{piece(route.Uncut, straight(100))}}
	for _, tt := range []struct {
		z, deeper, shorter float64
		length, within     units.Length
		closes             bool
		slip               float64
	}{
		{101.4, 0, 0, 0, 0, true, 0}, {101.6, 0, 0, 0, 0, false, 0},
		{110, 0, 12, 0, 0, true, -10}, {90, 12, 0, 0, 0, true, 10}, {110, 12, 0, 0, 0, false, 0}, {113.4, 0, 12, 0, 0, true, -12}, {113.6, 0, 12, 0, 0, false, -12},
		{100, 0, 0, 304, 5, true, 0}, {100, 0, 0, 306, 5, false, 0},
	} {
		target := route.Target{At: vec(0, 0, tt.z), Aim: vec(0, 0, 1), Deeper: mm(tt.deeper), Shorter: mm(tt.shorter), Length: tt.length, LengthWithin: tt.within}
		got := ask(t, route.Request{Chain: c, Target: target})
		if err := claims(c, target, got); err != nil {
			t.Errorf("%+v: %v", tt, err)
		}
		if got.AsIs.Closes != tt.closes || math.Abs(got.AsIs.Slip.MM()-tt.slip) > 1e-9 {
			t.Errorf("%+v: closes %v, slip %v", tt, got.AsIs.Closes, got.AsIs.Slip)
		}
		if tt.closes && (len(got.Answers) != 1 || len(got.Answers[0].Changes) != 0 || got.Answers[0].Effort != 0 || !got.Complete) {
			t.Errorf("%+v: %+v", tt, got.Answers)
		}
		if got.AsIs.Length != 300 {
			t.Errorf("length %v, want 300 with what is before", got.AsIs.Length)
		}
	}
}

// All tacked and nothing to be added: the socket would have to move to the end.
func TestSocketMovesToTheEnd(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{piece(route.Fixed, straight(50)), piece(route.Fixed, bend(90, 76.2, 0))}}
	target := route.Target{At: vec(130, 76.2+7, 126.2-130), Aim: vec(0, 1, 0), Shorter: 5}
	got := ask(t, route.Request{Chain: c, Target: target})
	if err := claims(c, target, got); err != nil {
		t.Error(err)
	}
	// 7 mm short of it, of which 5 are slip.
	if len(got.Answers) != 0 || got.Socket == nil || got.Socket.Move.Sub(vec(-130, -2, 130)).Norm() > 1e-9 || got.Socket.Tilt != 0 {
		t.Fatalf("got %+v, %+v", got.Answers, got.Socket)
	}
	if b := got.Best; b == nil || len(b.Changes) != 0 || math.Abs(b.Miss.MM()-math.Hypot(130*math.Sqrt2, 2)) > 1e-9 {
		t.Errorf("best %+v", b)
	}
	target.Aim = vec(1, 0, 0)
	if got := ask(t, route.Request{Chain: c, Target: target}); got.Socket == nil || math.Abs(got.Socket.Tilt.Deg()-90) > 1e-9 {
		t.Errorf("a socket square to the end: %+v", got.Socket)
	}
}

// A bend of too small a CLR between straights that are tacked.
func TestAnotherRadiusIsNamed(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{
		piece(route.Fixed, straight(40)), piece(route.Uncut, bend(88, 101.6, 0)), piece(route.Fixed, straight(100))}}
	target := ends(c, false)
	c.Pieces[1].Element.Bend.Radius = 63.5
	got := ask(t, route.Request{Chain: c, Target: target, Radii: []units.Length{50.8, 63.5, 101.6}})
	if err := claims(c, target, got); err != nil {
		t.Error(err)
	}
	if len(got.Answers) != 0 || len(got.Radii) != 1 || got.Radii[0].Piece != 1 || got.Radii[0].Radius != 101.6 || !got.Radii[0].Answer.Closes {
		t.Fatalf("got %+v, %+v", got.Answers, got.Radii)
	}
	want := (101.6 - 63.5) * 88 * math.Pi / 180
	if l := got.Radii[0].Answer.Longer.MM(); math.Abs(l-want) > 0.5 {
		t.Errorf("%v mm longer, want about %v", l, want)
	}
}

// Bounds are kept: a bend does not get more angle than its stock has, nor less than
// can be held, and a straight keeps its least.
func TestBoundsAreKept(t *testing.T) {
	for _, tt := range []struct {
		name  string
		piece route.Piece
		at    geom.Vec
	}{
		{"least", route.Piece{Element: straight(50), Least: 45}, vec(0, 0, 30)},
		{"most", route.Piece{Element: straight(50), Most: 60}, vec(0, 0, 62)},
	} {
		c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{tt.piece}}
		target := route.Target{At: tt.at, Aim: vec(0, 0, 1)}
		if got := ask(t, route.Request{Chain: c, Target: target}); len(got.Answers) > 0 {
			t.Errorf("%s: %+v", tt.name, got.Answers[0].Changes)
		}
	}
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{{Element: bend(80, 76.2, 0), MaxTurn: 85 * deg}}}
	target := route.Target{At: vec(0, 76.2, 76.2), Aim: vec(0, 1, 0)}
	got := ask(t, route.Request{Chain: c, Target: target})
	if err := claims(c, target, got); err != nil {
		t.Error(err)
	}
	for _, a := range got.Answers {
		if !has(a, route.NewBend) {
			t.Errorf("a bend of more than its stock: %+v", a.Changes)
		}
	}
}

// No bend is cut to less than can be held in a saw.
func TestBendsKeepWhatCanBeHeld(t *testing.T) {
	for _, state := range []route.State{route.Uncut, route.Cut} {
		c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{{Element: bend(14, 76.2, 0), State: state}}}
		for _, turn := range []float64{5, 7, 9} {
			sin, cos := math.Sincos(turn * math.Pi / 180)
			target := route.Target{At: vec(0, 76.2*(1-cos), 76.2*sin), Aim: vec(0, sin, cos), Within: 0.3, AimWithin: 0.3 * deg}
			got := ask(t, route.Request{Chain: c, Target: target})
			if err := claims(c, target, got); err != nil {
				t.Errorf("%v°: %v", turn, err)
			}
			if (len(got.Answers) > 0) != (turn > 8) {
				t.Errorf("%v°: %+v", turn, got.Answers)
			}
		}
	}
}

// Nor is a ring put in that cannot be held.
func TestSliversCanBeHeld(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{piece(route.Fixed, straight(50))}}
	for _, short := range []float64{3, 5, 7, 59, 62} {
		target := route.Target{At: vec(0, 0, 50+short), Aim: vec(0, 0, 1), Within: 0.5}
		got := ask(t, route.Request{Chain: c, Target: target})
		if err := claims(c, target, got); err != nil {
			t.Errorf("%v mm: %v", short, err)
		}
		if (len(got.Answers) > 0) != (short > 6 && short < 60) {
			t.Errorf("%v mm: %+v", short, got.Answers)
		}
	}
}

// A bend that is tacked to a bend has no turn of its own: what turns them both is not
// said to turn it alone.
func TestTackedBendsTurnTogether(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{
		piece(route.Cut, bend(50, 76.2, 0)), piece(route.Fixed, bend(60, 76.2, 90)), piece(route.Fixed, straight(120))}}
	target := ends(c, false)
	c.Pieces[1].Element.Bend.Rotation += 6 * deg
	got := ask(t, route.Request{Chain: c, Target: target})
	if err := claims(c, target, got); err != nil {
		t.Error(err)
	}
	for _, a := range got.Answers {
		if !has(a, route.NewStraight) && !has(a, route.NewBend) {
			t.Errorf("%+v", a.Changes)
		}
	}
}

// What is said can be marked: whole tenths, or hundredths where tenths do not close.
func TestFiguresCanBeMarked(t *testing.T) {
	whole := func(x float64) bool { return math.Abs(x-math.Round(x)) < 1e-6 }
	for _, within := range []float64{1.5, 0.03} {
		r := freeBends()
		r.Target.Within, r.Target.AimWithin = mm(within), units.Angle(within)*deg
		got := ask(t, r)
		if len(got.Answers) == 0 {
			t.Fatalf("nothing closes within %v mm", within)
		}
		fine := 0
		for _, a := range got.Answers {
			tenths := true
			for _, c := range a.Changes {
				for _, x := range []float64{c.Turn.Deg(), c.Angle.Deg(), c.Length.MM()} {
					if !whole(100 * x) {
						t.Errorf("%v in %+v cannot be marked", x, c)
					}
					tenths = tenths && whole(10*x)
				}
			}
			if !tenths {
				fine++
			}
		}
		if within < 0.1 && fine == 0 {
			t.Error("tenths come within 0.03 mm, which this test was to be too fine for")
		}
		if within > 1 && fine > 2 {
			t.Errorf("%d of %d answers in hundredths", fine, len(got.Answers))
		}
	}
}

func TestFreeEnd(t *testing.T) {
	walked := port(t).Straight(100)
	f, err := route.FreeEnd(walked, vec(1, 2, 99), vec(0, 0.1, 3))
	if err != nil || f.O != vec(1, 2, 99) || f.T.Angle(vec(0, 0.1, 3)) > 1e-15 || math.Abs(f.N.Dot(f.T)) > 1e-15 || f.N.Y < 0.99 {
		t.Errorf("got %+v, %v", f, err)
	}
	for _, aim := range []geom.Vec{{}, vec(0, 1, 0), vec(0, 0, -1), vec(math.NaN(), 0, 1)} {
		if _, err := route.FreeEnd(walked, vec(0, 0, 0), aim); err == nil {
			t.Errorf("aim %v was taken", aim)
		}
	}
}
