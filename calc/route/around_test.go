package route_test

import (
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/route"
	"tubewright/calc/tube"
)

// A chain that closes as it is and may not stay there is led another way: something
// stands where its third bend ends, and every answer keeps clear of it.
func TestWhatClosesIsLedAroundWhatIsInItsWay(t *testing.T) {
	r := freeBends()
	end, l := follow(r.Chain.Start, elems(r.Chain))
	r.Target = route.Target{At: end.at(), Aim: end.aim(), Length: mm(l), LengthWithin: 6.35}
	third, _ := follow(r.Chain.Start, elems(r.Chain)[:3])
	inTheWay := func(list []tube.Element) bool {
		at, _ := follow(r.Chain.Start, list[:3])
		return at.at().Sub(third.at()).Norm() < 10
	}
	r.Reject = func(list []tube.Element) (float64, string) {
		if inTheWay(list) {
			return 0, "touches the starter"
		}
		return 0, ""
	}
	got := ask(t, r)
	if err := claims(r.Chain, r.Target, got); err != nil {
		t.Error(err)
	}
	if !got.AsIs.Closes || !got.Around || len(got.Vetoed) == 0 || len(got.Vetoed[0].Changes) != 0 {
		t.Fatalf("closes %v, around %v, %d vetoed", got.AsIs.Closes, got.Around, len(got.Vetoed))
	}
	if len(got.Answers) < 3 {
		t.Fatalf("%d ways around, want 3", len(got.Answers))
	}
	for i, a := range got.Answers {
		if inTheWay(a.Elems) || len(a.Changes) == 0 || i > 0 && a.Effort < got.Answers[i-1].Effort {
			t.Errorf("%+v", a.Changes)
		}
	}
	// Without anything in its way it stays.
	r.Reject = nil
	if got := ask(t, r); got.Around || len(got.Answers) != 1 || len(got.Answers[0].Changes) != 0 {
		t.Errorf("around %v, %d answers", got.Around, len(got.Answers))
	}
}

// Likewise where what asks for the least is in the way, and not the chain as it is.
func TestAnswersAreLedAroundToo(t *testing.T) {
	r := freeBends()
	least := ask(t, r)
	places := []geom.Vec{}
	for _, a := range least.Answers {
		p, _ := follow(r.Chain.Start, a.Elems[:3])
		places = append(places, p.at())
	}
	r.Reject = func(list []tube.Element) (float64, string) {
		at, _ := follow(r.Chain.Start, list[:3])
		for _, p := range places {
			if at.at().Sub(p).Norm() < 100 {
				return 0, "touches the starter"
			}
		}
		return 0, ""
	}
	got := ask(t, r)
	if err := claims(r.Chain, r.Target, got); err != nil {
		t.Error(err)
	}
	if !got.Around || len(got.Answers) == 0 || got.Best != nil {
		t.Errorf("around %v, %d answers, best %v", got.Around, len(got.Answers), got.Best)
	}
}

// Where there is one way only, nothing is invented.
func TestOneWayOnlyIsSaid(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{piece(route.Uncut, straight(100)), piece(route.Fixed, bend(90, 76.2, 0))}}
	got := ask(t, route.Request{Chain: c, Target: ends(c, false), Reject: func([]tube.Element) (float64, string) { return 0, "touches the floor" }})
	if !got.Around || len(got.Answers) != 0 || len(got.Vetoed) == 0 || got.Best != nil {
		t.Errorf("%+v", got)
	}
}
