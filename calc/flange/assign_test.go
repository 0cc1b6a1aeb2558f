package flange

import (
	"math"
	"math/rand/v2"
	"testing"
)

// permutations calls f with every way to choose columns for rows, each once.
func permutations(rows, columns int, f func([]int)) {
	chosen, used := make([]int, rows), make([]bool, columns)
	var choose func(i int)
	choose = func(i int) {
		if i == rows {
			f(chosen)
			return
		}
		for j := range columns {
			if !used[j] {
				used[j], chosen[i] = true, j
				choose(i + 1)
				used[j] = false
			}
		}
	}
	choose(0)
}

func TestAssignIsTheBestOfAllPermutations(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 2000 {
		columns := 1 + rnd.IntN(7)
		rows := 1 + rnd.IntN(columns)
		cost := make([]float64, rows*columns)
		for k := range cost {
			cost[k] = rnd.Float64()
			if i%3 == 0 { // ties
				cost[k] = float64(rnd.IntN(4))
			}
		}
		sum := func(chosen []int) (s float64) {
			for r, c := range chosen {
				s += cost[r*columns+c]
			}
			return s
		}
		want := math.Inf(1)
		permutations(rows, columns, func(c []int) { want = min(want, sum(c)) })
		got := assign(cost, rows, columns)
		used := map[int]bool{}
		for _, c := range got {
			if c < 0 || c >= columns || used[c] {
				t.Fatalf("seed %d case %d: %d by %d: columns %v", seed, i, rows, columns, got)
			}
			used[c] = true
		}
		if s := sum(got); math.Abs(s-want) > 1e-12 {
			t.Fatalf("seed %d case %d: %d by %d: got %v, best of all permutations %v", seed, i, rows, columns, s, want)
		}
	}
}

// What has no mate within reach is left alone, and does not take another's.
func TestPairUpLeavesOutWhatIsFar(t *testing.T) {
	a, b := []float64{0, 10, 30}, []float64{10.5, 0.2}
	cost := func(i, j int) float64 { return (a[i] - b[j]) * (a[i] - b[j]) }
	var d desk
	got := d.pairUp(3, 2, cost, 25)
	if got[0] != 1 || got[1] != 0 || got[2] != -1 {
		t.Errorf("got %v, want [1 0 -1]", got)
	}
	// Two want the same: the one that would lose more gets it.
	a, b = []float64{0, 1}, []float64{0.4, 4}
	if got := d.pairUp(2, 2, cost, 25); got[0] != 0 || got[1] != 1 {
		t.Errorf("got %v, want [0 1]", got)
	}
}
