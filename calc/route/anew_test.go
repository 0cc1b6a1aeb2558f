package route_test

import (
	"math"
	"testing"

	"tubewright/calc/route"
)

// What is cut too short is cut anew, each piece once, and only as far as there is stock
// for it; closed form.
func TestPiecesAreCutAnew(t *testing.T) {
	// An L whose two straights are cut 10 and 15 mm short, with its bend tacked to the first.
	short := []route.Piece{piece(route.Cut, straight(40)), piece(route.Fixed, bend(90, 76.2, 0)), piece(route.Cut, straight(30))}
	target := route.Target{At: vec(0, 76.2+45, 50+76.2), Aim: vec(0, 1, 0), Within: 0.2, AimWithin: 0.2 * deg}
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: short}
	got := ask(t, route.Request{Chain: c, Target: target})
	if err := claims(c, target, got); err != nil {
		t.Error(err)
	}
	if len(got.Answers) == 0 || len(got.Answers[0].Changes) != 2 {
		t.Fatalf("got %+v", got.Answers)
	}
	for i, want := range []float64{10, 15} {
		ch := got.Answers[0].Changes[i]
		if ch.Kind != route.StraightAnew || ch.Piece != 2*i || math.Abs(ch.Length.MM()-want) > 0.11 {
			t.Errorf("got %+v, want piece %d anew, %v mm longer", ch, 2*i, want)
		}
	}
	if a := got.Answers[0]; a.Welds != 0 || math.Abs(a.Longer.MM()-25) > 0.2 {
		t.Errorf("%d welds more, %v mm longer", a.Welds, a.Longer)
	}
	for name, spoil := range map[string]func(*route.Piece){
		"no stock":        func(p *route.Piece) { p.NoStock = true },
		"stock too short": func(p *route.Piece) { p.Most = 40 },
	} {
		c.Pieces = append([]route.Piece{}, short...)
		spoil(&c.Pieces[2])
		got := ask(t, route.Request{Chain: c, Target: target})
		if err := claims(c, target, got); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for _, a := range got.Answers {
			if !has(a, route.NewStraight) && !has(a, route.NewBend) {
				t.Errorf("%s: %+v", name, a.Changes)
			}
		}
	}
	// Another bend has no more angle than its stock.
	bent := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{{State: route.Cut, Element: bend(84, 76.2, 0), MaxTurn: 88 * deg}}}
	target = route.Target{At: vec(0, 76.2, 76.2), Aim: vec(0, 1, 0), Within: 0.2, AimWithin: 0.2 * deg}
	for _, a := range ask(t, route.Request{Chain: bent, Target: target}).Answers {
		if !has(a, route.NewBend) {
			t.Errorf("a bend of more than its stock: %+v", a.Changes)
		}
	}
}

// What is too long is cut again, not anew, and a joint that does it alone comes before
// both.
func TestNothingIsCutAnewThatNeedNotBe(t *testing.T) {
	for _, p := range []route.Piece{piece(route.Cut, straight(110)), piece(route.Cut, bend(95, 76.2, 0))} {
		c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{p}}
		if p.Element.Bend != nil {
			c.Pieces[0].Element = bend(90, 76.2, 0)
		} else {
			c.Pieces[0].Element = straight(100)
		}
		target := ends(c, false)
		c.Pieces[0] = p
		got := ask(t, route.Request{Chain: c, Target: target})
		if len(got.Answers) == 0 || !has(got.Answers[0], route.Trim) && !has(got.Answers[0], route.Recut) {
			t.Errorf("got %+v", got.Answers)
		}
	}
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{piece(route.Fixed, straight(50)), piece(route.Cut, bend(90, 76.2, 15)), piece(route.Cut, straight(60))}}
	target := ends(c, false)
	c.Pieces[1].Element = bend(90, 76.2, 0)
	if got := ask(t, route.Request{Chain: c, Target: target}); len(got.Answers) == 0 || !has(got.Answers[0], route.Turn) || len(got.Answers[0].Changes) != 1 {
		t.Errorf("got %+v", got.Answers)
	}
}
