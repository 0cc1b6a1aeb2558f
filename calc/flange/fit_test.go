package flange

import (
	"math"
	"math/rand/v2"
	"testing"
)

// lowest returns where f is least between a and b, f falling and then rising, by
// golden section to 1e-7.
func lowest(a, b float64, f func(float64) float64) float64 {
	const cut = 0.6180339887498949
	c, d := b-cut*(b-a), a+cut*(b-a)
	fc, fd := f(c), f(d)
	for b-a > 1e-7 {
		if fc < fd {
			b, d, fd = d, c, fc
			c = b - cut*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + cut*(b-a)
			fd = f(d)
		}
	}
	return (a + b) / 2
}

// dense returns the least that worth has over turns and shifts near start. At a
// given turn both worths are convex in the shift, so that one search inside
// another is sure; the turn is scanned first. Independent of the methods tested.
func dense(p pairs, start lay, worth func(lay) float64) float64 {
	const around = 6 // mm at the arm and of shift
	pivot, arm := p.middle(start), p.arm(start)
	at := func(a, dx, dy float64) float64 { return worth(start.nudged(a/arm, pivot, dx, dy)) }
	turned := func(a float64) float64 {
		across := func(dx float64) float64 {
			return at(a, dx, lowest(-around, around, func(dy float64) float64 { return at(a, dx, dy) }))
		}
		return across(lowest(-around, around, across))
	}
	best, least := 0.0, math.Inf(1)
	const step = around / 5.0
	for a := -around * 1.0; a <= around; a += step {
		if w := turned(a); w < least {
			best, least = a, w
		}
	}
	return turned(lowest(best-step, best+step, turned))
}

func (p pairs) worthMost(allow []float64) func(lay) float64 {
	return func(l lay) float64 {
		most := math.Inf(-1)
		for i := range p.from {
			most = max(most, distance(l.at(p.from[i]), p.to[i])-allow[i])
		}
		return most
	}
}

func (p pairs) sum(l lay) (s float64) {
	for i := range p.from {
		s += distance(l.at(p.from[i]), p.to[i])
	}
	return s
}

// scattered returns n pairs that lie on each other to about off mm.
func scattered(rnd *rand.Rand, n int, off float64) (pairs, lay) {
	var p pairs
	flip := float64(1 - 2*rnd.IntN(2))
	truth := lay{flip: flip, cos: 1}.nudged(2*math.Pi*rnd.Float64(), [2]float64{}, 100*rnd.Float64(), 100*rnd.Float64())
	for range n {
		q := [2]float64{400 * rnd.Float64(), 120 * rnd.Float64()}
		to := truth.at(q)
		p.add(q, [2]float64{to[0] + off*(2*rnd.Float64()-1), to[1] + off*(2*rnd.Float64()-1)})
	}
	start, _ := p.leastSquares(flip)
	return p, start
}

func TestLeastMostAndLeastSumAgainstDenseSearch(t *testing.T) {
	const seed = 2
	rnd := rand.New(rand.NewPCG(seed, 0))
	worstMost, worstSum := 0.0, 0.0
	for i := range 18 {
		n := 2 + rnd.IntN(15)
		off := []float64{0.02, 0.3, 3}[i%3]
		p, start := scattered(rnd, n, off)
		allow := make([]float64, n)
		for k := range allow {
			if i%2 == 1 {
				allow[k] = rnd.Float64()
			}
		}
		l, got := p.leastMost(start, allow)
		worth := p.worthMost(allow)
		if math.Abs(worth(l)-got) > 1e-12 {
			t.Fatalf("seed %d case %d: says %v, is %v", seed, i, got, worth(l))
		}
		if want := dense(p, start, worth); math.Abs(got-want) > precision {
			t.Errorf("seed %d case %d: %d pairs off by %v: greatest excess %v, dense search %v", seed, i, n, off, got, want)
		} else {
			worstMost = max(worstMost, math.Abs(got-want))
		}
		got = p.sum(p.leastSum(start))
		if want := dense(p, start, p.sum); math.Abs(got-want) > precision {
			t.Errorf("seed %d case %d: %d pairs off by %v: sum %v, dense search %v", seed, i, n, off, got, want)
		} else {
			worstSum = max(worstSum, math.Abs(got-want))
		}
	}
	t.Logf("from dense search by at most %.2g mm (most), %.2g mm (sum)", worstMost, worstSum)
}

func BenchmarkLeastMost(b *testing.B) {
	p, start := scattered(rand.New(rand.NewPCG(3, 0)), 16, 0.3)
	allow := make([]float64, 16)
	for b.Loop() {
		p.leastMost(start, allow)
	}
}

func BenchmarkLeastSum(b *testing.B) {
	p, start := scattered(rand.New(rand.NewPCG(3, 0)), 16, 0.3)
	for b.Loop() {
		p.leastSum(start)
	}
}
