package wrap_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/fault"
	"tubewright/calc/units"
	"tubewright/calc/wrap"
)

const (
	deg  = units.Degree
	inch = units.Inch
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %v, want %v ± %v", what, got, want, tol)
	}
}

// Mitre rows of geometry.csv: fabrication formulas of pipe fitters, seen, each with the
// figure it was printed with.
func TestMitresAgainstPublished(t *testing.T) {
	found := 0
	for _, r := range calctest.Published(t, "geometry.csv") {
		if r["group"] != "mitre" {
			continue
		}
		found++
		want := calctest.Number(t, r["value"])
		four := wrap.PieCut{OD: 273, CLR: 381, Turn: 90 * deg, Welds: 4}
		if err := four.Check(); err != nil {
			t.Fatal(err)
		}
		cutback := func(od units.Length, cut units.Angle) float64 {
			c, err := wrap.Mitre(od, cut, 0)
			if err != nil {
				t.Fatal(err)
			}
			return c.At(0).MM()
		}
		switch key := r["quantity"] + ", " + r["inputs"]; key {
		case "cut angle, 90 deg, 3 welds (4 pieces)":
			p := wrap.PieCut{OD: 50, CLR: 75, Turn: 90 * deg, Welds: 3}
			near(t, key, p.Cut().Deg(), want, 1e-12)
			if n := len(p.Gores()); n != 4 {
				t.Errorf("%s: %d pieces", key, n)
			}
		case "spacing of cut lines L1, 90 deg, 4 cuts, E=381 mm":
			near(t, key, four.Gores()[1].Centreline.MM(), want, 1e-9)
			near(t, key+", as printed", four.Gores()[1].Centreline.MM(), 151.6, 0.05)
		case "end distance L2, same":
			near(t, key, four.Gores()[0].Centreline.MM(), want, 1e-9)
			near(t, key+", as printed", four.Gores()[4].Centreline.MM(), 75.8, 0.05)
		case "cutback, same, OD=273 mm":
			near(t, key, cutback(273, four.Cut()), want, 1e-9)
			near(t, key+", as printed", cutback(273, four.Cut()), 27.15, 0.005)
			near(t, key+", of the gore", (four.Gores()[0].Outside - four.Gores()[0].Centreline).MM(), want, 1e-9)
		case "cutback, OD=168 mm, 3 cuts":
			near(t, key, cutback(168, wrap.PieCut{Turn: 90 * deg, Welds: 3}.Cut()), want, 1e-9)
		default:
			t.Errorf("a row of mitres that is not compared: %s", key)
		}
	}
	if found != 5 {
		t.Errorf("%d rows of mitres, want 5", found)
	}
}

// template_saddle.csv: ordinates of branches from pipe fitters' notes, seen, and closed
// form. They count the line of the sharp side as 0 and take the branch's ID.
func TestSaddlesAgainstPublished(t *testing.T) {
	all := calctest.Published(t, "template_saddle.csv")
	if len(all) != 54 {
		t.Errorf("%d rows, want 54", len(all))
	}
	printed := 0
	for _, r := range all {
		s := wrap.Saddle{Branch: units.Length(calctest.Number(t, r["branch_diameter_mm"])), Tube: units.Length(calctest.Number(t, r["header_diameter_mm"])), Angle: units.Angle(calctest.Number(t, r["angle_deg"])) * deg}
		c, err := s.End(wrap.Bore)
		if err != nil {
			t.Fatal(err)
		}
		got := (c.At(0) - c.At(units.Angle(calctest.Number(t, r["line_deg"]))*deg)).MM()
		near(t, r["case"]+" at "+r["line_deg"], got, calctest.Number(t, r["cutback_exact_mm"]), 0.00005001)
		if p := r["cutback_published_mm"]; p != "" && r["note"] == "" {
			printed++
			near(t, r["case"]+" as printed at "+r["line_deg"], got, calctest.Number(t, p), 0.01) // they cut the third decimal off
		}
	}
	if printed != 11 {
		t.Errorf("%d printed figures compared, want 11", printed)
	}
	// geometry.csv, rows of saddles: equal tee of 273 with a branch ID of 263.
	c, err := wrap.Saddle{Branch: 263, Tube: 273, Angle: 90 * deg}.End(wrap.Bore)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "depth", (c.At(0) - c.At(90*deg)).MM(), 99.89398956455376, 1e-9)
	near(t, "45° line", (c.At(0) - c.At(45*deg)).MM(), 36.56939908116233, 1e-9)
}

// A line that is cast along the branch until it is within the tube stops where the curve
// says: steps and halving, no formula, with tube and branch anywhere in space.
func TestBranchEndsWhereRaysHitTheTube(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		s := randomSaddle(rnd)
		a := anywhere(rnd)
		// Flow along a.x through a.at, the branch up along a.z and leaning to a.x; so a.y is
		// to the left, and the offset goes against it.
		sin, cos := math.Sincos(float64(s.Angle))
		axis := add(scale(a.x, cos), scale(a.z, sin))
		sharp := add(scale(a.x, sin), scale(a.z, -cos)) // square to the branch, over the tube
		foot := sub(a.at, scale(a.y, s.Offset.MM()))
		for contact, rho := range map[wrap.Contact]float64{wrap.Bore: s.Branch.MM()/2 - s.Wall.MM(), wrap.Outer: s.Branch.MM() / 2} {
			c, err := s.End(contact)
			if err != nil {
				t.Fatalf("seed %d case %d: %+v: %v", seed, i, s, err)
			}
			for range 12 {
				phi := 2 * math.Pi * rnd.Float64()
				line := add(foot, add(scale(sharp, rho*math.Cos(phi)), scale(a.y, rho*math.Sin(phi))))
				within := func(along float64) bool {
					p := sub(add(line, scale(axis, along)), a.at)
					return norm(sub(p, scale(a.x, dot(p, a.x)))) < s.Tube.MM()/2
				}
				far := 4.2 * s.Tube.MM() // beyond 1/sin 15° of the tube nothing meets
				for !within(far) && far > -4.2*s.Tube.MM() {
					far -= s.Tube.MM() / 400
				}
				low, high := far, far+s.Tube.MM()/400
				for range 50 {
					if mid := (low + high) / 2; within(mid) {
						low = mid
					} else {
						high = mid
					}
				}
				// Where the ray all but grazes the tube, steps may pass between; those are few.
				if far <= -4.2*s.Tube.MM() {
					if math.Abs(rho*math.Sin(phi)-s.Offset.MM()) < 0.99*s.Tube.MM()/2 {
						t.Fatalf("seed %d case %d: %+v: the ray missed", seed, i, s)
					}
					continue
				}
				if got := c.At(units.Angle(phi)).MM(); math.Abs(got-low) > 1e-6 {
					t.Fatalf("seed %d case %d: %+v contact %v at %v: got %v, the ray stops at %v", seed, i, s, contact, phi, got, low)
				}
			}
		}
	}
}

// Rolled up, every point of the hole lies on the tube and on the branch.
func TestHoleLiesOnBoth(t *testing.T) {
	const seed = 8
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		s := randomSaddle(rnd)
		s.Wall = max(s.Wall, 0.5)
		for _, through := range []bool{false, true} {
			list, err := s.Hole(through, 90, 0)
			if err != nil {
				t.Fatal(err)
			}
			want, r := s.Branch.MM()/2, s.Tube.MM()/2
			if !through {
				want -= s.Wall.MM()
			}
			for _, p := range list {
				// x flow, z up: to the right, flow × up, is −y.
				at := [3]float64{p[1], -r * math.Sin(p[0]/r), r * math.Cos(p[0]/r)}
				sin, cos := math.Sincos(float64(s.Angle))
				axis := [3]float64{cos, 0, sin}
				d := sub(at, [3]float64{0, -s.Offset.MM(), 0})
				if off := norm(sub(d, scale(axis, dot(d, axis)))); math.Abs(off-want) > 1e-6*want+1e-7 {
					t.Fatalf("seed %d case %d: %+v through %v: %v from the branch's axis, want %v", seed, i, s, through, off, want)
				}
			}
		}
	}
	if _, err := (wrap.Saddle{Branch: 12, Tube: 40, Angle: 90 * deg}).Hole(false, 36, 0); err == nil {
		t.Error("a rod has a bore")
	}
}

// Turned over, a saddle is the mirror image; one that stands square without offset is
// the same on all four sides; a larger branch goes deeper.
func TestSaddleSymmetries(t *testing.T) {
	const seed = 9
	rnd := rand.New(rand.NewPCG(seed, 0))
	at := func(s wrap.Saddle, c wrap.Contact, phi float64) float64 {
		curve, err := s.End(c)
		if err != nil {
			t.Fatal(err)
		}
		return curve.At(units.Angle(phi)).MM()
	}
	for range 500 {
		s, phi := randomSaddle(rnd), 7*rnd.Float64()
		m := s
		m.Offset = -s.Offset
		near(t, "offset the other way", at(m, wrap.Outer, -phi), at(s, wrap.Outer, phi), 1e-9)
		near(t, "the nearer of both", at(s, wrap.Whole, phi), math.Max(at(s, wrap.Bore, phi), at(s, wrap.Outer, phi)), 0)
		up := s
		up.Angle, up.Offset = 90*deg, 0
		near(t, "over there", at(up, wrap.Outer, math.Pi+phi), at(up, wrap.Outer, phi), 1e-9)
		near(t, "beside", at(up, wrap.Outer, -phi), at(up, wrap.Outer, phi), 1e-9)
		if at(up, wrap.Outer, phi) > at(up, wrap.Bore, phi)+1e-9 {
			t.Errorf("%+v: square on it the outer edge touches before the bore", up)
		}
	}
}

// Gores laid one behind the other meet all round: the end of each, carried to the weld,
// is the start of the next, and the whole turns and ends as the drawn bend does.
func TestGoresMeetInTheWelds(t *testing.T) {
	const seed = 10
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		p := wrap.PieCut{OD: units.Length(20 + 80*rnd.Float64()), Turn: units.Angle(5+175*rnd.Float64()) * deg}
		p.CLR = p.OD * units.Length(0.55+3*rnd.Float64())
		p.Welds = wrap.FewestWelds(p.Turn, 45*deg) + rnd.IntN(6)
		if err := p.Check(); err != nil {
			t.Fatalf("seed %d case %d: %+v: %v", seed, i, p, err)
		}
		gores := p.Gores()
		// A walk in the plane of the bend: the middle of a gore, its heading, outside to the left of it.
		x, y, heading, sum := 0.0, 0.0, 0.0, 0.0
		var before []([3]float64)
		for k, g := range gores {
			sin, cos := math.Sincos(heading)
			low, high := p.Ends(k)
			// The zero of the curves: the middle, of half gores the square end.
			start := g.Centreline.MM() / 2
			switch k {
			case 0:
				start = 0
			case p.Welds:
				start = g.Centreline.MM()
			}
			zx, zy := x+start*cos, y+start*sin
			rim := func(c wrap.Curve) (list [][3]float64) {
				for n := range 24 {
					phi := 2 * math.Pi * float64(n) / 24
					along, out, side := c.At(units.Angle(phi)).MM(), p.OD.MM()/2*math.Cos(phi), p.OD.MM()/2*math.Sin(phi)
					list = append(list, [3]float64{zx + along*cos - out*sin, zy + along*sin + out*cos, side})
				}
				return list
			}
			if k > 0 {
				for n, q := range rim(low) {
					if d := norm(sub(q, before[n])); d > 1e-9*p.CLR.MM() {
						t.Fatalf("seed %d case %d: %+v: gore %d stands %v mm off the one before", seed, i, p, k, d)
					}
				}
			}
			near(t, "outside", (high.At(0) - low.At(0)).MM(), g.Outside.MM(), 1e-9*p.CLR.MM())
			near(t, "inside", (high.At(180*deg) - low.At(180*deg)).MM(), g.Inside.MM(), 1e-9*p.CLR.MM())
			before = rim(high)
			x, y, sum = x+g.Centreline.MM()*cos, y+g.Centreline.MM()*sin, sum+g.Centreline.MM()
			if k < p.Welds {
				heading -= 2 * float64(p.Cut()) // towards the inside
			}
		}
		r, a := p.CLR.MM(), float64(p.Turn)
		near(t, "turn", -heading, a, 1e-12)
		near(t, "end across", y, -r*(1-math.Cos(a)), 1e-9*r)
		near(t, "end along", x, r*math.Sin(a), 1e-9*r)
		near(t, "centreline", p.Centreline().MM(), sum, 1e-9*r)
		near(t, "tube", (p.Tube(2) - p.Centreline()).MM(), 2*float64(p.Welds)/math.Cos(float64(p.Cut())), 1e-9)
		if !(p.Centreline() > p.CLR*units.Length(a)) || !(p.Corner() > p.CLR) {
			t.Errorf("%+v: no longer than the arc", p)
		}
		if p.Welds > 1 {
			clr, od, err := wrap.RealCLR(p.Cut(), gores[1].Outside, gores[1].Inside)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "real CLR", clr.MM(), r, 1e-9*r)
			near(t, "OD of the lengths", od.MM(), p.OD.MM(), 1e-9*r)
		}
	}
}

func TestStepsThatASawForces(t *testing.T) {
	for _, tt := range []struct {
		turn, cut units.Angle
		want      int
	}{{90, 15, 3}, {90, 11.25, 4}, {45, 7.5, 3}, {15, 7.5, 1}, {180, 45, 2}, {45.04, 7.5, 3}} {
		if got, err := wrap.InSteps(tt.turn*deg, tt.cut*deg); err != nil || got != tt.want {
			t.Errorf("%v° by cuts of %v°: %d, %v, want %d", tt.turn, tt.cut, got, err, tt.want)
		}
	}
	for turn, limits := range map[units.Angle][2]float64{40: {30, 45}, 7: {15, 15}, 89: {75, 90}} {
		_, err := wrap.InSteps(turn*deg, 7.5*deg)
		var f *fault.Field
		if !errors.As(err, &f) || math.Abs(f.Low-limits[0]) > 1e-9 || math.Abs(f.High-limits[1]) > 1e-9 || !strings.Contains(f.Why, "15°") {
			t.Errorf("%v°: %+v, want %v", turn, f, limits)
		}
	}
	for turn, want := range map[units.Angle]int{90: 3, 91: 4, 30: 1, 10: 1, 180: 6} {
		if got := wrap.FewestWelds(turn*deg, 15*deg); got != want {
			t.Errorf("%v° by at most 15°: %d welds, want %d", turn, got, want)
		}
	}
}

// The face of an off-centre cut against points that are on the torus and in the saw's
// plane, found by halving, and its step against all places of a round end on a grid.
func TestMissedCentreAgainstSearch(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 120 {
		od := 20 + 80*rnd.Float64()
		clr := od * (0.8 + 2.5*rnd.Float64())
		off := (2*rnd.Float64() - 1) * 0.6 * (clr - od/2)
		m, err := wrap.Miss(units.Length(od), units.Length(clr), units.Length(off))
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		// How far a place is from the torus' core, less the tube's half: plainly in space.
		outside := func(x, z float64) bool {
			core := [3]float64{x, off, 0}
			core = scale(core, clr/norm(core))
			return norm(sub([3]float64{x, off, z}, core)) > od/2
		}
		edge := func(in, out, z float64, vary func(v, z float64) bool) float64 {
			for range 50 {
				if mid := (in + out) / 2; vary(mid, z) {
					out = mid
				} else {
					in = mid
				}
			}
			return in
		}
		mid := math.Sqrt(clr*clr - off*off)
		low, high := edge(mid, 0, 0, outside), edge(mid, mid+2*od+clr, 0, outside)
		near(t, "wide", m.Wide.MM(), high-low, 1e-6)
		top := 0.0
		for k := range 200 {
			x := low + (high-low)*float64(k)/200
			top = math.Max(top, edge(0, od, x, func(z, x float64) bool { return outside(x, z) }))
		}
		near(t, "high", m.High.MM(), 2*top, 1e-3*od)
		near(t, "ovality", m.Ovality, (high-low-od)/od, 1e-9)
		// The tangent of the centreline there, against the face.
		near(t, "lean", math.Sin(float64(m.Lean)), math.Abs(off)/clr, 1e-12)
		if i%10 > 0 {
			continue
		}
		least := math.Inf(1)
		for k := range 101 {
			at := low + (high-low)*(0.4+0.2*float64(k)/100)
			worst := 0.0
			for n := range 120 {
				// Along a ray from the round end's middle.
				sin, cos := math.Sincos(2 * math.Pi * float64(n) / 120)
				d := edge(0, od/2+math.Min(0.45*od, low), 0, func(v, _ float64) bool { return outside(at+v*cos, v*sin) })
				worst = math.Max(worst, math.Abs(d-od/2))
			}
			least = math.Min(least, worst)
		}
		// The step is taken to the nearest of the circle, the rays go from its middle: the same.
		near(t, "step", m.Step.MM(), least, 0.003*od)
	}
	m, err := wrap.Miss(44.45, 76.2, 0)
	if err != nil || m.Step > 1e-6 || math.Abs(m.Ovality) > 1e-12 || m.Lean != 0 {
		t.Errorf("through the centre: %+v, %v", m, err)
	}
}

// Closed form: 44.45 OD on CLR 76.2, 10 mm off: asin(10/76.2) = 7.541°, √(98.425² − 10²)
// − √(53.975² − 10²) = 44.8756 mm.
func TestMissedCentreWorked(t *testing.T) {
	m, err := wrap.Miss(44.45, 76.2, 10)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lean", m.Lean.Deg(), 7.541, 0.0005)
	near(t, "wide", m.Wide.MM(), 44.8756, 0.0005)
	near(t, "out of square by ½°", wrap.OutOfSquare(44.45, wrap.Squareness).MM(), 0.3879, 0.00005) // 44.45·tan 0.5°
	near(t, "lean of 0.3879", wrap.Lean(44.45, 0.3879).Deg(), 0.5, 0.0001)
}

// What is on paper: π·(OD + paper) from seam to seam, the outside line in the middle,
// and the curve at the angle that its place stands for.
func TestPointsGoOnceRound(t *testing.T) {
	c, err := wrap.Mitre(50, 30*deg, 0)
	if err != nil {
		t.Fatal(err)
	}
	list := c.Points(360, 0.1)
	width, err := wrap.Width(50, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "width", list[360][0]-list[0][0], width.MM(), 1e-12)
	near(t, "width, π·50.1", width.MM(), 157.3938, 0.00005)
	near(t, "outside line", list[180][0], 0, 1e-12)
	near(t, "long there", list[180][1], 25*math.Tan(math.Pi/6), 1e-12)
	near(t, "seam", list[0][1], -25*math.Tan(math.Pi/6), 1e-9)
	for _, p := range list {
		near(t, "curve", p[1], c.At(units.Angle(p[0]/25.05)).MM(), 1e-9)
	}
	if c, err := wrap.Square(50); err != nil || c.At(1) != 0 {
		t.Errorf("a square cut lies at %v, %v", c.At(1), err)
	}
	if c, err := wrap.Mitre(50, 30*deg, 90*deg); err != nil || math.Abs(c.At(90*deg).MM()-25*math.Tan(math.Pi/6)) > 1e-12 {
		t.Errorf("the long side is not where it was asked for: %v", err)
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := units.Length(math.NaN()), units.Length(math.Inf(1))
	good := wrap.Saddle{Branch: 28, Wall: 2, Tube: 50, Angle: 60 * deg, Offset: 5}
	saddle := func(edit func(*wrap.Saddle)) error {
		s := good
		edit(&s)
		_, err := s.End(wrap.Whole)
		if _, err2 := s.Hole(true, 36, 0); (err == nil) != (err2 == nil) {
			t.Errorf("%+v: end %v, hole %v", s, err, err2)
		}
		return err
	}
	pie := func(od, clr units.Length, turn units.Angle, welds int) error {
		return wrap.PieCut{OD: od, CLR: clr, Turn: turn * deg, Welds: welds}.Check()
	}
	miss := func(od, clr, off units.Length) error { _, err := wrap.Miss(od, clr, off); return err }
	mitre := func(od units.Length, cut, long units.Angle) error {
		_, err := wrap.Mitre(od, cut*deg, long*deg)
		return err
	}
	width := func(od, paper units.Length) error { _, err := wrap.Width(od, paper); return err }
	real := func(cut units.Angle, outside, inside units.Length) error {
		_, _, err := wrap.RealCLR(cut*deg, outside, inside)
		return err
	}
	for name, tt := range map[string]struct {
		err   error
		field string
	}{
		"no branch":            {saddle(func(s *wrap.Saddle) { s.Branch = 0 }), "Branch OD"},
		"branch NaN":           {saddle(func(s *wrap.Saddle) { s.Branch = nan }), "Branch OD"},
		"branch wider":         {saddle(func(s *wrap.Saddle) { s.Branch, s.Offset = 50.1, 0 }), "Branch OD"},
		"no tube":              {saddle(func(s *wrap.Saddle) { s.Tube = -1 }), "Tube OD"},
		"tube beyond":          {saddle(func(s *wrap.Saddle) { s.Tube = inf }), "Tube OD"},
		"wall fills":           {saddle(func(s *wrap.Saddle) { s.Wall = 14 }), "Branch wall"},
		"wall NaN":             {saddle(func(s *wrap.Saddle) { s.Wall = nan }), "Branch wall"},
		"too flat":             {saddle(func(s *wrap.Saddle) { s.Angle = 14.9 * deg }), "Angle"},
		"leans back":           {saddle(func(s *wrap.Saddle) { s.Angle = 90.1 * deg }), "Angle"},
		"angle NaN":            {saddle(func(s *wrap.Saddle) { s.Angle = units.Angle(nan) }), "Angle"},
		"off the tube":         {saddle(func(s *wrap.Saddle) { s.Offset = 11.01 }), "Offset"},
		"off the other way":    {saddle(func(s *wrap.Saddle) { s.Offset = -11.01 }), "Offset"},
		"offset NaN":           {saddle(func(s *wrap.Saddle) { s.Offset = nan }), "Offset"},
		"gores without inside": {pie(50, 25, 90, 3), "CLR"},
		"gores, no OD":         {pie(nan, 75, 90, 3), "OD"},
		"gores, no turn":       {pie(50, 75, 0, 3), "Bent through"},
		"gores, past half":     {pie(50, 75, 180.1, 6), "Bent through"},
		"no weld":              {pie(50, 75, 90, 0), "Welds"},
		"many welds":           {pie(50, 75, 90, 25), "Welds"},
		"few welds":            {pie(50, 75, 100, 1), "Welds"},
		"cut runs out":         {miss(50, 75, 50), "Miss of the centre"},
		"miss NaN":             {miss(50, 75, nan), "Miss of the centre"},
		"miss, tight":          {miss(50, 25, 1), "CLR"},
		"mitre beyond":         {mitre(50, 61, 0), "Cut angle"},
		"mitre, no OD":         {mitre(0, 30, 0), "OD"},
		"mitre, long NaN":      {mitre(50, 30, units.Angle(nan)), "Long side"},
		"thick paper":          {width(50, 1.1), "Paper thickness"},
		"square, no OD":        {func() error { _, err := wrap.Square(501); return err }(), "OD"},
		"gore inside out":      {real(10, 20, 30), "Outside length"},
		"gore, no cut":         {real(0, 30, 20), "Cut angle"},
	} {
		var f *fault.Field
		if !errors.As(tt.err, &f) || f.Name != tt.field {
			t.Errorf("%s: %v, want a fault of %q", name, tt.err, tt.field)
		}
	}
	for name, err := range map[string]error{
		"as good": saddle(func(*wrap.Saddle) {}), "to the edge": saddle(func(s *wrap.Saddle) { s.Offset = 11 }), "equal": saddle(func(s *wrap.Saddle) { s.Branch, s.Offset = 50, 0 }),
		"a quarter by one": pie(50, 75, 90, 1), "a half by two": pie(50, 26, 180, 2), "just within": miss(50, 75, 49.9),
	} {
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := good.End(7); err == nil {
		t.Error("there is no seventh contact")
	}
}

// Whatever is accepted gives finite figures, and what is not, a fault with a sentence.
func FuzzWraps(f *testing.F) {
	f.Add(28.0, 2.0, 50.0, 60.0, 5.0, 3)
	f.Add(50.0, 0.0, 50.0, 90.0, 0.0, 1)
	f.Add(44.45, 1.6, 76.2, 15.0, -3.0, 12)
	f.Fuzz(func(t *testing.T, branch, wall, tube, angle, offset float64, n int) {
		finite := func(list [][2]float64) {
			for _, p := range list {
				if !(math.Abs(p[0]) < 1e5 && math.Abs(p[1]) < 1e5) {
					t.Fatalf("%v", p)
				}
			}
		}
		said := func(err error) {
			if len(fault.All(err)) == 0 || err.Error() == "" {
				t.Fatalf("%v is no fault", err)
			}
		}
		s := wrap.Saddle{Branch: units.Length(branch), Wall: units.Length(wall), Tube: units.Length(tube), Angle: units.Angle(angle) * deg, Offset: units.Length(offset)}
		if c, err := s.End(wrap.Whole); err != nil {
			said(err)
		} else {
			finite(c.Points(72, 0.1))
			hole, err := s.Hole(true, 72, 0.1)
			if err != nil {
				t.Fatal(err)
			}
			finite(hole)
		}
		p := wrap.PieCut{OD: s.Branch, CLR: s.Tube, Turn: s.Angle, Welds: n}
		if err := p.Check(); err != nil {
			said(err)
		} else {
			for i := range p.Gores() {
				low, high := p.Ends(i)
				finite(low.Points(36, 0.1))
				finite(high.Points(36, 0.1))
				if !(high.At(180*deg) > low.At(180*deg)) {
					t.Fatalf("%+v: gore %d has no inside", p, i)
				}
			}
		}
		if m, err := wrap.Miss(s.Branch, s.Tube, s.Offset); err != nil {
			said(err)
		} else if !(m.Step >= 0 && m.Step < s.Branch+s.Tube && m.Wide >= m.High-1e-6) {
			t.Fatalf("%+v", m)
		}
		if _, err := wrap.InSteps(s.Angle, units.Angle(wall)*deg); err != nil {
			said(err)
		}
	})
}

func randomSaddle(rnd *rand.Rand) wrap.Saddle {
	s := wrap.Saddle{Tube: units.Length(25 + 75*rnd.Float64()), Angle: units.Angle(15+75*rnd.Float64()) * deg}
	s.Branch = s.Tube * units.Length(0.2+0.8*rnd.Float64())
	s.Wall = s.Branch * units.Length(0.2*rnd.Float64())
	s.Offset = (s.Tube - s.Branch) / 2 * units.Length(2*rnd.Float64()-1)
	return s
}

// place is three directions at right angles somewhere.
type place struct{ at, x, y, z [3]float64 }

func anywhere(rnd *rand.Rand) (p place) {
	random := func() [3]float64 { return [3]float64{2*rnd.Float64() - 1, 2*rnd.Float64() - 1, 2*rnd.Float64() - 1} }
	p.at = scale(random(), 100)
	p.x = random()
	p.x = scale(p.x, 1/norm(p.x))
	y := random()
	y = sub(y, scale(p.x, dot(y, p.x)))
	p.y = scale(y, 1/norm(y))
	p.z = [3]float64{p.x[1]*p.y[2] - p.x[2]*p.y[1], p.x[2]*p.y[0] - p.x[0]*p.y[2], p.x[0]*p.y[1] - p.x[1]*p.y[0]}
	return p
}

func add(a, b [3]float64) [3]float64           { return [3]float64{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func sub(a, b [3]float64) [3]float64           { return add(a, scale(b, -1)) }
func scale(a [3]float64, k float64) [3]float64 { return [3]float64{k * a[0], k * a[1], k * a[2]} }
func dot(a, b [3]float64) float64              { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func norm(a [3]float64) float64                { return math.Sqrt(dot(a, a)) }
