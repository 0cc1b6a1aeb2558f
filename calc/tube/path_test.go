package tube_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// A path from start has its reference at the start, so that points read back
// give the rotations that went in.
func TestPointsAndBack(t *testing.T) {
	const seed = 2
	rnd := rand.New(rand.NewPCG(seed, 0))
	worst, over := 0.0, 0
	for i := range 10_000 {
		start, l := anywhere(t, rnd), path(rnd)
		back, err := tube.FromPoints(tube.XYZ(start, l), l.Radii(), start.N)
		if err != nil {
			t.Fatalf("seed %d case %d: %v: %v", seed, i, l, err)
		}
		for k, r := range back.Rows {
			if r.Turn > 180*deg {
				t.Fatalf("seed %d case %d: bend %d came back as %v°, more than a half turn", seed, i, k+1, r.Turn.Deg())
			}
			if r.Turn == 180*deg {
				over++
			}
		}
		d := differ(back, l)
		if worst = max(worst, d); d > 1e-8 {
			t.Fatalf("seed %d case %d: %v came back as %v, off by %v mm", seed, i, l, back, d)
		}
	}
	if over == 0 {
		t.Error("no half turn came back from points that are rounded, so that the limit was not tried")
	}
	t.Logf("10,000 paths, worst %.2g mm", worst)
}

// Moving and turning a job changes no length and no bender data, and carries
// every pose along.
func TestMovingChangesOnlyPoses(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 1000 {
		start, l := anywhere(t, rnd), path(rnd)
		m, err := geom.NewMove(geom.Vec{X: rnd.Float64() - 0.5, Y: rnd.Float64() - 0.5, Z: rnd.Float64()}, 6*rnd.Float64(), geom.Vec{X: 900 * rnd.Float64(), Y: -700 * rnd.Float64(), Z: 500 * rnd.Float64()})
		if err != nil {
			t.Fatal(err)
		}
		here, there := walk(t, start, l), walk(t, m.Frame(start), l)
		if here.Length != there.Length {
			t.Fatalf("seed %d case %d: length %v, moved %v", seed, i, here.Length, there.Length)
		}
		for k := range here.Ends {
			if d := apart(m.Frame(here.Ends[k]), there.Ends[k]); d > 1e-9 {
				t.Fatalf("seed %d case %d element %d: moved end is off by %v", seed, i, k, d)
			}
		}
		var moved []geom.Vec
		for _, p := range tube.XYZ(start, l) {
			moved = append(moved, m.Point(p))
		}
		back, err := tube.FromPoints(moved, l.Radii(), m.Dir(start.N))
		if err != nil || differ(back, l) > 1e-8 {
			t.Fatalf("seed %d case %d: moved points gave %v, %v, want %v", seed, i, back, err, l)
		}
	}
}

// A mirrored job has the same straights and turns, and every rotation negated.
func TestMirrorNegatesRotations(t *testing.T) {
	const seed = 4
	rnd := rand.New(rand.NewPCG(seed, 0))
	mirrored := func(v geom.Vec) geom.Vec { return geom.Vec{X: -v.X, Y: v.Y, Z: v.Z} }
	for i := range 1000 {
		start, l := anywhere(t, rnd), path(rnd)
		var pts []geom.Vec
		for _, p := range tube.XYZ(start, l) {
			pts = append(pts, mirrored(p))
		}
		got, err := tube.FromPoints(pts, l.Radii(), mirrored(start.N))
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		want := tube.LRA{Rows: append([]tube.Row(nil), l.Rows...), Last: l.Last}
		for k := range want.Rows {
			want.Rows[k].Rotation = -want.Rows[k].Rotation
		}
		if d := differ(got, want); d > 1e-8 {
			t.Fatalf("seed %d case %d: mirrored %v gave %v, off by %v mm", seed, i, l, got, d)
		}
	}
}

// The length is that of the curve which is walked, taken here as many short
// chords; the path has no kink, and every frame stays true.
func TestWalkIsSmoothAndAsLongAsItSays(t *testing.T) {
	const seed, steps = 5, 2000
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		start, l := anywhere(t, rnd), path(rnd)
		w := walk(t, start, l)
		f, length := start, 0.0
		for k, e := range l.Elements() {
			at := f.O
			if e.Bend != nil {
				f = f.Turn(float64(e.Bend.Rotation))
			}
			for s := range steps {
				part := float64(s+1) / steps
				next := f.Straight(part * e.Straight.MM())
				if e.Bend != nil {
					next = f.Arc(part*float64(e.Bend.Turn), e.Bend.Radius.MM())
				}
				length += next.O.Sub(at).Norm()
				at = next.O
				if s == 0 && next.T.Angle(f.T) > math.Pi/steps+1e-9 {
					t.Fatalf("seed %d case %d element %d: kink of %v rad", seed, i, k, next.T.Angle(f.T))
				}
				if s == steps-1 {
					f = next
				}
			}
			if d := apart(f, w.Ends[k]); d > 1e-9 {
				t.Fatalf("seed %d case %d element %d: end off by %v", seed, i, k, d)
			}
			if off := max(math.Abs(f.T.Norm()-1), math.Abs(f.N.Norm()-1), math.Abs(f.T.Dot(f.N))); off > 1e-15 {
				t.Fatalf("seed %d case %d element %d: frame off by %v", seed, i, k, off)
			}
		}
		// A chord over 1/2000 of a half turn is short by 1 part in 24·(2000/π)².
		if math.Abs(length-w.Length.MM()) > 1.1e-7*w.Length.MM() || math.Abs((w.Length-l.Length()).MM()) > 1e-9 {
			t.Fatalf("seed %d case %d: chords %v, walk %v, rows %v", seed, i, length, w.Length, l.Length())
		}
	}
}

// A bend cut into two that go on in the same plane ends where it ended.
func TestBendSplitKeepsEnd(t *testing.T) {
	const seed = 6
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 1000 {
		start := anywhere(t, rnd)
		whole := tube.Bend{Turn: units.Angle(0.1 + 3*rnd.Float64()), Radius: units.Length(30 + 100*rnd.Float64()), Rotation: units.Angle(6*rnd.Float64() - 3)}
		a, b := whole, whole
		a.Turn = whole.Turn * units.Angle(rnd.Float64())
		b.Turn, b.Rotation = whole.Turn-a.Turn, 0
		one, err1 := tube.Walk(start, []tube.Element{{Bend: &whole}})
		two, err2 := tube.Walk(start, []tube.Element{{Bend: &a}, {Bend: &b}})
		if err1 != nil || err2 != nil || apart(one.End, two.End) > 1e-9 {
			t.Fatalf("seed %d case %d: %v %v: whole ends at %v, parts at %v", seed, i, err1, err2, one.End, two.End)
		}
	}
}

func TestElementsAndRows(t *testing.T) {
	bend := func(turn float64) *tube.Bend { return &tube.Bend{Turn: units.Angle(turn) * deg, Radius: 76.2} }
	elems := []tube.Element{
		{ID: "e1", Straight: 10}, {ID: "e2"}, {ID: "e3", Straight: 5.5}, {ID: "e4", Bend: bend(30)},
		{ID: "e5", Bend: bend(40)}, {ID: "e6", Straight: 7}, {ID: "e7", Straight: 0.25},
	}
	l := tube.ToLRA(elems)
	want := tube.LRA{Rows: []tube.Row{row(15.5, 0, 30, 76.2), row(0, 0, 40, 76.2)}, Last: 7.25}
	if differ(l, want) != 0 {
		t.Errorf("got %v, want %v", l, want)
	}
	back := l.Elements()
	var ids string
	for _, e := range back {
		ids += e.ID + " "
	}
	if ids != "s1 b1 b2 s3 " || differ(tube.ToLRA(back), l) != 0 {
		t.Errorf("got %s(%v), want s1 b1 b2 s3 and the same rows", ids, back)
	}
	if l := tube.ToLRA(nil); l.Rows != nil || l.Last != 0 || len(l.Elements()) != 0 {
		t.Errorf("no elements gave %v", l)
	}
	if w, err := tube.Walk(alongX, nil); err != nil || w.End != alongX || w.Length != 0 || len(w.Ends) != 0 {
		t.Errorf("no elements walked to %v, %v", w, err)
	}
}

// path returns one to six bends: any turn, also over 150° and exactly 180°,
// some straights of 0.
func path(rnd *rand.Rand) tube.LRA {
	straight := func() units.Length {
		if rnd.IntN(5) == 0 {
			return 0
		}
		return units.Length(150 * rnd.Float64())
	}
	l := tube.LRA{Last: straight()}
	radii := []units.Length{38.1, 50.8, 63.5, 76.2, 101.6, 152.4}
	for range 1 + rnd.IntN(6) {
		turn := units.Angle(1+179*rnd.Float64()) * deg
		if rnd.IntN(10) == 0 {
			turn = []units.Angle{45 * deg, 90 * deg, 150 * deg, 180 * deg}[rnd.IntN(4)]
		}
		l.Rows = append(l.Rows, tube.Row{Length: straight(), Rotation: units.Angle(360*rnd.Float64()-180) * deg, Turn: turn, Radius: radii[rnd.IntN(len(radii))]})
	}
	return l
}

// anywhere returns a start within 1 m of the origin.
func anywhere(t *testing.T, rnd *rand.Rand) geom.Frame {
	t.Helper()
	some := func(k float64) geom.Vec {
		return geom.Vec{X: k * (2*rnd.Float64() - 1), Y: k * (2*rnd.Float64() - 1), Z: k * (2*rnd.Float64() - 1)}
	}
	f, err := geom.NewFrame(some(1000), some(1), some(1))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func walk(t *testing.T, start geom.Frame, l tube.LRA) tube.Walked {
	t.Helper()
	w, err := tube.Walk(start, l.Elements())
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// apart returns the largest difference of two frames, mm or unit vectors alike.
func apart(a, b geom.Frame) float64 {
	return max(a.O.Sub(b.O).Norm(), a.T.Sub(b.T).Norm(), a.N.Sub(b.N).Norm())
}
