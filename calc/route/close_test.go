package route_test

import (
	"math/rand/v2"
	"testing"

	"tubewright/calc/route"
)

// Errors that can be undone are undone: 200 random chains of 3 to 7 pieces with
// planted errors, and every claim is walked by separate code.
func TestPlantedErrorsClose(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	const cases = 200
	closed := 0
	changes := map[int]int{}
	for i := range cases {
		c := chain(rnd, 3+i%5)
		end, l := follow(c.Start, elems(c))
		target := route.Target{At: end.at(), Aim: end.aim()}
		if i%2 == 0 {
			target.Length, target.LengthWithin = mm(l), 6.35
		}
		c = spoil(rnd, c, false)
		got, err := route.Close(route.Request{Chain: c, Target: target})
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		for _, a := range got.Answers {
			if !a.Closes {
				t.Fatalf("seed %d case %d: an answer that does not close: %+v", seed, i, a)
			}
			if err := check(c, target, a); err != nil {
				t.Fatalf("seed %d case %d: %v", seed, i, err)
			}
		}
		if len(got.Answers) > 0 {
			closed++
			changes[len(got.Answers[0].Changes)]++
		} else {
			t.Logf("seed %d case %d: nothing closes; %d knobs; %+v", seed, i, got.Tried, got.Best)
		}
	}
	t.Logf("%d of %d closed; changes of the best answer: %v", closed, cases, changes)
	if closed*100 < cases*95 {
		t.Errorf("seed %d: %d of %d closed, want 95 %%", seed, closed, cases)
	}
}
