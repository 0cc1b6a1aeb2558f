package route_test

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/route"
)

// A chain as it stands is what Close says of it before anything is changed, and what
// cannot be asked is refused likewise.
func TestStandIsTheChainAsItIs(t *testing.T) {
	const seed = 9
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 40 {
		c := chain(rnd, 3+i%5)
		r := route.Request{Chain: c, Target: ends(c, i%2 == 0)}
		r.Chain = spoil(rnd, c, true)
		got, err := route.Stand(r)
		if err != nil {
			t.Fatal(err)
		}
		if err := check(r.Chain, r.Target, got); err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		if want := ask(t, r).AsIs; !reflect.DeepEqual(got, want) || !(got.Spread.Miss > 0) {
			t.Fatalf("seed %d case %d: got %+v, want %+v", seed, i, got, want)
		}
	}
	if _, err := route.Stand(route.Request{}); len(fault.All(err)) == 0 {
		t.Errorf("no chain: %v", err)
	}
}
