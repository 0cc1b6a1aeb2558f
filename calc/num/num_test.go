package num_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/num"
)

// spd returns B·Bᵀ + I/10, definite whatever B is.
func spd(rnd *rand.Rand, n int) num.Square {
	b, m := num.NewSquare(n), num.NewSquare(n)
	for i := range b.V {
		b.V[i] = 2*rnd.Float64() - 1
	}
	for i := range n {
		m.Add(i, i, 0.1)
		for j := range n {
			for k := range n {
				m.Add(i, j, b.At(i, k)*b.At(j, k))
			}
		}
	}
	return m
}

func TestSolveAndInverseUndoTheMatrix(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		n := 1 + rnd.IntN(24)
		m := spd(rnd, n)
		for k := range n { // unknowns in units as far apart as mm and rad
			s := math.Ldexp(1, rnd.IntN(40)-20)
			for j := range n {
				m.V[k*n+j] *= s
				m.V[j*n+k] *= s
			}
		}
		f, ok := m.Cholesky()
		if !ok {
			t.Fatalf("seed %d case %d: a definite matrix was refused", seed, i)
		}
		want := make([]float64, n)
		for k := range want {
			want[k] = 2*rnd.Float64() - 1
		}
		inv, b := f.Inverse(), m.Times(want)
		for name, got := range map[string][]float64{"solve": f.Solve(b), "inverse": inv.Times(b)} {
			for k := range got {
				scaled := math.Sqrt(m.At(k, k)) * (got[k] - want[k])
				most := 0.0
				for j := range n {
					most = max(most, math.Sqrt(m.At(j, j)))
				}
				if !(math.Abs(scaled) <= 1e-10*most) {
					t.Fatalf("seed %d case %d: %s: unknown %d is %v, want %v", seed, i, name, k, got[k], want[k])
				}
			}
		}
	}
}

// Hilbert's matrix of order 5 and its inverse, whole numbers; closed form,
// Choi, Tricks or Treats with the Hilbert Matrix, 1983; from memory.
func TestHilbertInverse(t *testing.T) {
	want := []float64{
		25, -300, 1050, -1400, 630,
		-300, 4800, -18900, 26880, -12600,
		1050, -18900, 79380, -117600, 56700,
		-1400, 26880, -117600, 179200, -88200,
		630, -12600, 56700, -88200, 44100,
	}
	m := num.NewSquare(5)
	for i := range 5 {
		for j := range 5 {
			m.Add(i, j, 1/float64(i+j+1))
		}
	}
	f, ok := m.Cholesky()
	if !ok {
		t.Fatal("refused")
	}
	for i, got := range f.Inverse().V {
		if math.Abs(got-want[i]) > 1e-9*179200 {
			t.Errorf("element %d: %v, want %v", i, got, want[i])
		}
	}
}

func TestWhatIsNotDefiniteIsRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, v := range [][]float64{
		{0, 0, 0, 1}, {1, 1, 1, 1}, {1, 2, 2, 1}, {-1, 0, 0, 1}, {nan, 0, 0, 1}, {1, nan, nan, 1},
		{inf, 0, 0, 1}, {1, inf, inf, 1}, {1e300, 1e300, 1e300, 1e300},
	} {
		if _, ok := (num.Square{N: 2, V: v}).Cholesky(); ok {
			t.Errorf("%v was taken as definite", v)
		}
	}
}

func TestEigen(t *testing.T) {
	// 2 and −1 neighbours: 2 − 2 cos(kπ/(n+1)); closed form.
	const n = 6
	m := num.NewSquare(n)
	for i := range n {
		m.Add(i, i, 2)
		if i > 0 {
			m.Add(i, i-1, -1)
			m.Add(i-1, i, -1)
		}
	}
	values, _, ok := m.Eigen()
	if !ok {
		t.Fatal("refused")
	}
	for k, got := range values {
		if want := 2 - 2*math.Cos(float64(n-k)*math.Pi/(n+1)); math.Abs(got-want) > 1e-14 {
			t.Errorf("value %d: %v, want %v", k, got, want)
		}
	}
	if _, _, ok := (num.Square{N: 2, V: []float64{1, 0, math.NaN(), 1}}).Eigen(); ok {
		t.Error("a NaN was taken")
	}
}

func TestEigenvectorsRebuildTheMatrix(t *testing.T) {
	const seed = 2
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		n := 1 + rnd.IntN(7)
		m := spd(rnd, n)
		if i%3 == 0 { // equal values, and some that are zero
			m = num.NewSquare(n)
			for k := range n {
				m.Add(k, k, float64(k%2))
			}
		}
		values, v, ok := m.Eigen()
		if !ok {
			t.Fatalf("seed %d case %d: refused", seed, i)
		}
		for a := range n {
			if a > 0 && values[a] > values[a-1] {
				t.Fatalf("seed %d case %d: %v are not in order", seed, i, values)
			}
			for b := range n {
				back, square := 0.0, 0.0
				for k := range n {
					back += values[k] * v.At(k, a) * v.At(k, b)
					square += v.At(a, k) * v.At(b, k)
				}
				if a == b {
					square--
				}
				if math.Abs(back-m.At(a, b)) > 1e-13*float64(n) || math.Abs(square) > 1e-14*float64(n) {
					t.Fatalf("seed %d case %d: element %d %d: %v, want %v; vectors off by %v", seed, i, a, b, back, m.At(a, b), square)
				}
			}
		}
	}
}
