package sorted_test

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"tubewright/calc/sorted"
)

func TestByIsTheStableOrderOfTheLibrary(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	type thing struct{ key, was int }
	byKey := func(a, b thing) int { return cmp.Compare(a.key, b.key) }
	for n := range 60 {
		got := make([]thing, n)
		for i := range got {
			got[i] = thing{rnd.IntN(9), i}
		}
		want := slices.Clone(got)
		slices.SortStableFunc(want, byKey)
		if sorted.By(got, byKey); !slices.Equal(got, want) {
			t.Fatalf("%v, want %v", got, want)
		}
	}
}
