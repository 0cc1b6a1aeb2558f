package route_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/route"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Errors that can be undone are undone: 200 random chains of 3 to 7 pieces with
// planted errors, and every claim is walked by separate code.
func TestPlantedErrorsClose(t *testing.T) {
	const seed, cases = 1, 200
	rnd := rand.New(rand.NewPCG(seed, 0))
	closed := 0
	changes := map[int]int{}
	for i := range cases {
		c := chain(rnd, 3+i%5)
		target := ends(c, i%2 == 0)
		c = spoil(rnd, c, false)
		got := ask(t, route.Request{Chain: c, Target: target})
		if err := claims(c, target, got); err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		if len(got.Answers) == 0 {
			t.Logf("seed %d case %d: nothing closes", seed, i)
			continue
		}
		closed++
		changes[len(got.Answers[0].Changes)]++
	}
	t.Logf("%d of %d closed; changes of the best answer: %v", closed, cases, changes)
	if closed*100 < cases*95 {
		t.Errorf("seed %d: %d of %d closed, want 95 %%", seed, closed, cases)
	}
}

// With errors in what is tacked too, it is not known beforehand what closes; what is
// said to close does.
func TestClaimsHoldWhereNothingIsCertain(t *testing.T) {
	const seed, cases = 2, 200
	rnd := rand.New(rand.NewPCG(seed, 0))
	closed := 0
	for i := range cases {
		c := chain(rnd, 3+i%5)
		for k := range c.Pieces {
			c.Pieces[k].State = route.State(rnd.IntN(3)) // tacked in any order
		}
		target := ends(c, i%3 == 0)
		target.Deeper, target.Shorter = mm(float64(i%4)), mm(float64(i%5))
		c = spoil(rnd, c, true)
		got := ask(t, route.Request{Chain: c, Target: target, Radii: []units.Length{50.8, 76.2}})
		if err := claims(c, target, got); err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		if len(got.Answers) > 0 {
			closed++
		}
	}
	t.Logf("%d of %d closed", closed, cases)
}

// What cannot close by its making is never said to.
func TestNothingClosesThatCannot(t *testing.T) {
	const seed, cases = 3, 60
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range cases {
		c := chain(rnd, 3+i%5)
		target := ends(c, false)
		c = spoil(rnd, c, true)
		switch i % 3 {
		case 0: // out of reach, with the largest of slivers: 60 mm, or 45° on 88.9
			most := 0.0
			for k := range c.Pieces {
				p := &c.Pieces[k]
				if b := p.Element.Bend; b != nil {
					most += math.Pi * b.Radius.MM()
				} else {
					p.Most = p.Element.Straight + 30
					most += p.Most.MM()
				}
			}
			away, _ := target.At.Sub(c.Start.O).Unit()
			target.At = c.Start.O.Add(away.Scale(most + 75))
		case 1: // tacked to the last, and off by more than the tolerance; no sliver does it
			for k := range c.Pieces {
				c.Pieces[k].State = route.Fixed
			}
			target.At = target.At.Add(unit(rnd).Scale(200))
		case 2: // a straight alone cannot change its aim
			c.Pieces = []route.Piece{{Element: straight(80)}}
			target = ends(c, false)
			target.At, target.Aim = target.At.Add(c.Start.T.Scale(300)), c.Start.T.Add(c.Start.N.Scale(0.05))
		}
		got := ask(t, route.Request{Chain: c, Target: target})
		if err := claims(c, target, got); err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		if len(got.Answers) > 0 && i%3 != 2 {
			t.Fatalf("seed %d case %d: %+v is said to close what is out of reach", seed, i, got.Answers[0])
		}
		for _, a := range got.Answers { // the third kind needs a new bend
			if !has(a, route.NewBend) {
				t.Fatalf("seed %d case %d: %+v closes without a bend", seed, i, a.Changes)
			}
		}
		if len(got.Answers) == 0 && (got.Best == nil || got.Socket == nil || got.Best.Closes) {
			t.Fatalf("seed %d case %d: nothing closes, and nothing is said of it: %+v", seed, i, got)
		}
	}
}

// A joint that is off by up to half a turn is beyond what small steps find.
func TestLargeTurnsAreFound(t *testing.T) {
	const seed, cases = 4, 60
	rnd := rand.New(rand.NewPCG(seed, 0))
	closed := 0
	for i := range cases {
		c := chain(rnd, 4+i%4)
		for k := range c.Pieces {
			c.Pieces[k].State = route.Cut
		}
		target := ends(c, false)
		c = spoil(rnd, c, false)
		for k := range c.Pieces {
			if b := c.Pieces[k].Element.Bend; b != nil {
				b.Rotation += units.Angle(between(rnd, -180, 180)) * deg
				b.Rotation = units.Angle(math.Remainder(float64(b.Rotation), 2*math.Pi))
			}
		}
		got := ask(t, route.Request{Chain: c, Target: target})
		if err := claims(c, target, got); err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		if len(got.Answers) > 0 {
			closed++
		}
	}
	t.Logf("%d of %d closed", closed, cases)
	if closed*100 < 95*cases {
		t.Errorf("seed %d: %d of %d closed, want 95 %%", seed, closed, cases)
	}
}

// Where the best answer has two changes or more, no single change would have done:
// held against every tenth of a mm and of a degree of every single one.
func TestNoSingleChangeIsOverlooked(t *testing.T) {
	const seed, cases = 5, 60
	rnd := rand.New(rand.NewPCG(seed, 0))
	looked := 0
	for i := range cases {
		c := chain(rnd, 3+i%3)
		target := ends(c, false)
		spoiled := spoil(rnd, c, false)
		if i%2 == 0 { // one error alone, which one change undoes
			k := rnd.IntN(len(c.Pieces))
			one := append([]route.Piece(nil), c.Pieces...)
			one[k] = spoiled.Pieces[k]
			spoiled.Pieces = one
		}
		got := ask(t, route.Request{Chain: spoiled, Target: target})
		if len(got.Answers) == 0 || len(got.Answers[0].Changes) < 2 {
			continue
		}
		looked++
		for k, p := range spoiled.Pieces {
			for x := -400; x <= 400; x++ {
				for _, kind := range kindsOf(p) {
					ch := route.Change{Kind: kind, Piece: k, Joint: k, Turn: units.Angle(x) * deg / 10, Angle: units.Angle(x) * deg / 40, Length: units.Length(x) / 10}
					ch.Arc = spoiled.OD / 2 * units.Length(ch.Turn)
					list, err := done(spoiled, route.Answer{Changes: []route.Change{ch}})
					if err != nil {
						continue
					}
					end, _ := follow(spoiled.Start, list)
					if end.at().Sub(target.At).Norm() < 1.49 && end.aim().Angle(target.Aim) < 0.49*float64(deg) && effort(ch) < got.Answers[0].Effort {
						t.Fatalf("seed %d case %d: %+v does it alone, with effort %v; the best found is %+v", seed, i, ch, effort(ch), got.Answers[0])
					}
				}
			}
		}
	}
	t.Logf("%d looked at", looked)
}

func kindsOf(p route.Piece) []route.Kind {
	switch bend := p.Element.Bend != nil; {
	case p.State == route.Fixed:
		return nil
	case p.State == route.Cut && bend:
		return []route.Kind{route.Turn, route.Recut, route.BendAnew}
	case p.State == route.Cut:
		return []route.Kind{route.Trim, route.StraightAnew}
	case bend:
		return []route.Kind{route.Turn, route.Bend}
	}
	return []route.Kind{route.Straight}
}

// effort of a single change, as the kinds' comments say.
func effort(c route.Change) float64 {
	switch c.Kind {
	case route.Turn:
		return 1 + math.Abs(c.Turn.Deg())/20
	case route.Straight:
		return 1.5 + math.Abs(c.Length.MM())/20
	case route.Bend:
		return 2 + math.Abs(c.Angle.Deg())/10
	case route.Recut:
		return 4 + math.Abs(c.Angle.Deg())/5
	case route.Trim:
		return 5 + math.Abs(c.Length.MM())/10
	case route.StraightAnew:
		return 7 + c.Length.MM()/20
	case route.BendAnew:
		return 9 + c.Angle.Deg()/10
	case route.NewStraight:
		return 10 + c.Length.MM()/20
	case route.NewBend:
		return 12 + c.Angle.Deg()/20
	}
	return math.NaN()
}

// Where a chain lies and how its start is turned changes no answer, and the same
// question gets the same one.
func TestAnswersMoveWithTheChain(t *testing.T) {
	const seed = 6
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 30 {
		c := chain(rnd, 3+i%5)
		target := ends(c, i%2 == 0)
		c = spoil(rnd, c, false)
		a := ask(t, route.Request{Chain: c, Target: target})
		if again := ask(t, route.Request{Chain: c, Target: target}); !reflect.DeepEqual(a, again) {
			t.Fatalf("seed %d case %d: two answers to one question", seed, i)
		}
		move, err := geom.NewMove(unit(rnd), between(rnd, 0, 3), unit(rnd).Scale(300))
		if err != nil {
			t.Fatal(err)
		}
		c.Start = move.Frame(c.Start)
		target.At, target.Aim = move.Point(target.At), move.Dir(target.Aim)
		b := ask(t, route.Request{Chain: c, Target: target})
		if len(a.Answers) != len(b.Answers) {
			t.Fatalf("seed %d case %d: %d answers, moved %d", seed, i, len(a.Answers), len(b.Answers))
		}
		for k := range a.Answers {
			x, y := a.Answers[k], b.Answers[k]
			if math.Abs(x.Effort-y.Effort) > 0.02 || math.Abs(x.Spread.Likely-y.Spread.Likely) > 0.03 {
				t.Fatalf("seed %d case %d answer %d: effort %v, likely %v; moved %v, %v\n%+v\n%+v", seed, i, k, x.Effort, x.Spread.Likely, y.Effort, y.Spread.Likely, x, y)
			}
		}
	}
}

func TestCostsAndVetoesAreHeeded(t *testing.T) {
	r := freeBends()
	plain := ask(t, r)
	best := plain.Answers[0]
	asked := 0
	// What turns joint 1 is not wanted.
	r.Reject = func(list []tube.Element) (float64, string) {
		asked++
		if math.Abs(float64(list[1].Bend.Rotation-r.Chain.Pieces[1].Element.Bend.Rotation)) > 1e-9 {
			return 0, "too near to the starter"
		}
		return 3, ""
	}
	got := ask(t, r)
	if !has(best, route.Turn) || len(got.Vetoed) == 0 || len(got.Answers) == 0 || asked == 0 {
		t.Fatalf("asked %d times, %d vetoed, %d left", asked, len(got.Vetoed), len(got.Answers))
	}
	for _, v := range got.Vetoed {
		if v.Reason != "too near to the starter" || !v.Closes {
			t.Errorf("vetoed %+v", v)
		}
	}
	for _, a := range got.Answers {
		sum := 0.0
		for _, c := range a.Changes {
			sum += c.Effort
			if math.Abs(effort(c)-c.Effort) > 1e-9 {
				t.Errorf("effort of %+v: want %v", c, effort(c))
			}
			if c.Kind == route.Turn && c.Joint == 1 {
				t.Errorf("%+v was turned down", a.Changes)
			}
		}
		if a.Cost != 3 || math.Abs(a.Effort-sum-3) > 1e-9 {
			t.Errorf("cost %v, effort %v of changes %v", a.Cost, a.Effort, sum)
		}
	}
	r.Reject = func([]tube.Element) (float64, string) { return 0, "no" }
	if got := ask(t, r); len(got.Answers) != 0 || len(got.Vetoed) == 0 || got.Best != nil {
		t.Errorf("all is turned down, and %d answers are left, best %v", len(got.Answers), got.Best)
	}
	r.Reject = func([]tube.Element) (float64, string) { return math.NaN(), "" }
	if got := ask(t, r); len(got.Answers) == 0 || got.Answers[0].Cost != 0 {
		t.Error("a cost that is no number counts")
	}
}

func TestAnswersDifferInKind(t *testing.T) {
	got := ask(t, freeBends())
	kinds := map[string]int{}
	for i, a := range got.Answers {
		seen := map[route.Kind]bool{}
		text := ""
		for _, k := range []route.Kind{route.Turn, route.Straight, route.Bend, route.Recut, route.Trim, route.StraightAnew, route.BendAnew, route.NewStraight, route.NewBend} {
			if has(a, k) && !seen[k] {
				seen[k] = true
				text += string(k) + " "
			}
		}
		if kinds[text]++; kinds[text] > 2 {
			t.Errorf("%d answers ask for %s", kinds[text], text)
		}
		if i > 0 && a.Effort < got.Answers[i-1].Effort {
			t.Errorf("answer %d has less effort than the one before", i)
		}
	}
	if len(got.Answers) != 6 || len(kinds) < 3 || !got.Complete {
		t.Errorf("%d answers of %d kinds, complete %v; want 6 of 3", len(got.Answers), len(kinds), got.Complete)
	}
	r := freeBends()
	r.Most = 1
	if one := ask(t, r); len(one.Answers) != 1 || one.Answers[0].Effort != got.Answers[0].Effort {
		t.Errorf("one answer is asked for: %d", len(one.Answers))
	}
}

func TestSearchStopsWhenTold(t *testing.T) {
	for name, r := range map[string]route.Request{"closes": freeBends(), "does not": nothingCloses()} {
		steps, last := 0, 0.0
		r.Step = func(done float64) bool {
			steps++
			if !(done >= 0 && done <= 1) {
				t.Errorf("%s: %v done", name, done)
			}
			if done < last {
				t.Errorf("%s: %v done after %v", name, done, last)
			}
			last = done
			return true
		}
		if _, err := route.Close(r); err != nil || steps == 0 {
			t.Errorf("%s: %v after %d steps, %v done", name, err, steps, last)
		}
		for stop := 1; stop <= steps; stop++ {
			n := 0
			r.Step = func(float64) bool { n++; return n < stop }
			got, err := route.Close(r)
			if !errors.Is(err, route.ErrStopped) || n != stop || got.Complete && name == "closes" {
				t.Errorf("%s: stopped at step %d: %v after %d", name, stop, err, n)
			}
			if err := claims(r.Chain, r.Target, got); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

func TestQuestionsThatCannotBeAsked(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		name, field string
		spoil       func(*route.Request)
	}{
		{"no pieces", "Pieces", func(r *route.Request) { r.Chain.Pieces = nil }},
		{"many pieces", "Pieces", func(r *route.Request) { r.Chain.Pieces = make([]route.Piece, 21) }},
		{"no OD", "OD", func(r *route.Request) { r.Chain.OD = 0 }},
		{"no start", "Start", func(r *route.Request) { r.Chain.Start = geom.Frame{} }},
		{"tight", "CLR", func(r *route.Request) { r.Chain.Pieces[1].Element = bend(20, 20, 0) }},
		{"negative", "Straight", func(r *route.Request) { r.Chain.Pieces[0].Element = straight(-1) }},
		{"state", "State", func(r *route.Request) { r.Chain.Pieces[0].State = 3 }},
		{"stock", "Stock angle", func(r *route.Request) { r.Chain.Pieces[5].MaxTurn = 181 * deg }},
		{"least", "Least straight", func(r *route.Request) { r.Chain.Pieces[0].Least = mm(nan) }},
		{"most", "Longest straight", func(r *route.Request) { r.Chain.Pieces[0].Most = mm(inf) }},
		{"before", "Centreline before", func(r *route.Request) { r.Chain.Before = -1 }},
		{"target", "Target", func(r *route.Request) { r.Target.At.X = nan }},
		{"aim", "Target aim", func(r *route.Request) { r.Target.Aim = geom.Vec{} }},
		{"within", "Tolerance of the end", func(r *route.Request) { r.Target.Within = -1 }},
		{"aim within", "Tolerance of the aim", func(r *route.Request) { r.Target.AimWithin = units.Angle(nan) }},
		{"length", "Target length", func(r *route.Request) { r.Target.Length = -5 }},
		{"length within", "Tolerance of the length", func(r *route.Request) { r.Target.LengthWithin = mm(nan) }},
		{"slip", "Slip deeper", func(r *route.Request) { r.Target.Deeper = -1 }},
		{"slip", "Slip shorter", func(r *route.Request) { r.Target.Shorter = 501 }},
		{"answers", "Answers wanted", func(r *route.Request) { r.Most = -1 }},
		{"radii", "CLR", func(r *route.Request) { r.Radii = []units.Length{10} }},
		{"sigma", "Sigma of a cut angle", func(r *route.Request) { r.Sigmas = &route.Sigmas{Turn: units.Angle(nan)} }},
		{"sigma", "Sigma of the start", func(r *route.Request) { r.Sigmas = &route.Sigmas{Start: -1} }},
	}
	for _, tt := range tests {
		r := sixPieces()
		tt.spoil(&r)
		got, err := route.Close(r)
		fields := fault.All(err)
		if len(fields) == 0 || fields[0].Name != tt.field || len(got.Answers) > 0 {
			t.Errorf("%s: got %v, want %s named", tt.name, err, tt.field)
		}
	}
}

func ask(t testing.TB, r route.Request) route.Closing {
	t.Helper()
	got, err := route.Close(r)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// ends is a target where a chain ends now.
func ends(c route.Chain, length bool) route.Target {
	end, l := follow(c.Start, elems(c))
	target := route.Target{At: end.at(), Aim: end.aim()}
	if length {
		target.Length, target.LengthWithin = mm(l), 6.35
	}
	return target
}

func has(a route.Answer, k route.Kind) bool {
	for _, c := range a.Changes {
		if c.Kind == k {
			return true
		}
	}
	return false
}

// claims walks all that was said.
func claims(c route.Chain, t route.Target, got route.Closing) error {
	list := append([]route.Answer{got.AsIs}, got.Answers...)
	for _, a := range got.Answers {
		if !a.Closes {
			return errors.New("an answer that does not close")
		}
	}
	for _, v := range got.Vetoed {
		list = append(list, v.Answer)
	}
	if got.Best != nil {
		list = append(list, *got.Best)
	}
	if s := got.Socket; s != nil {
		list = append(list, s.Answer)
		moved := t
		moved.At = moved.At.Add(s.Move)
		end, _ := follow(c.Start, s.Answer.Elems)
		to, _ := t.Aim.Unit()
		d := end.at().Sub(moved.At)
		if d.Sub(to.Scale(d.Dot(to))).Norm() > 1e-6 || d.Dot(to) > t.Deeper.MM()+1e-6 || -d.Dot(to) > t.Shorter.MM()+1e-6 {
			return errors.New("the end does not lie where the socket would have to be")
		}
	}
	for _, a := range list {
		if err := check(c, t, a); err != nil {
			return err
		}
	}
	for _, o := range got.Radii {
		other := c
		other.Pieces = append([]route.Piece(nil), c.Pieces...)
		b := *other.Pieces[o.Piece].Element.Bend
		b.Radius = o.Radius
		other.Pieces[o.Piece].Element.Bend = &b
		if err := check(other, t, o.Answer); err != nil || !o.Answer.Closes {
			return errors.Join(err, errors.New("of another CLR"))
		}
	}
	return nil
}
