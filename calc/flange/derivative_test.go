package flange

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The distances are those of the outlines, and their derivatives, by place and by
// size, those of the distances.
func TestShapesKnowTheirDistance(t *testing.T) {
	const seed, h = 31, 1e-6
	rnd := rand.New(rand.NewPCG(seed, 0))
	for _, p := range shapeKinds {
		for i := range 400 {
			size := [3]float64{20 + 30*rnd.Float64(), 20 + 30*rnd.Float64(), 0}
			switch p.name {
			case "rectangle":
				size[2] = rnd.Float64() * min(size[0], size[1]) / 2
			case "d":
				size[1] = size[0] * (1.8*rnd.Float64() - 0.9)
				size[2] = rnd.Float64() * (size[0] + size[1]) / 2
			}
			o, err := p.outline(size)
			if err != nil {
				t.Fatal(err)
			}
			// Near the outline, where points are; deep inside the nearest place jumps.
			segs := o.Segments()
			q, _ := segs[rnd.IntN(len(segs))].At(rnd.Float64())
			q[0] += rnd.Float64() - 0.5
			q[1] += rnd.Float64() - 0.5
			r, n, by := p.off(size, q)
			want, _ := o.Nearest(q)
			if o.Contains(q) {
				want = -want
			}
			if math.Abs(r-want) > 2e-6 { // an oval of cubics is that good
				t.Fatalf("seed %d case %d, %s %v: %v is %v away, want %v", seed, i, p.name, size, q, r, want)
			}
			for k := range 2 + p.sizes {
				a, b, s1, s2 := q, q, size, size
				got := 0.0
				if k < 2 {
					a[k], b[k] = a[k]+h, b[k]-h
					got = n[k]
				} else {
					s1[k-2], s2[k-2] = s1[k-2]+h, s2[k-2]-h
					got = by[k-2]
				}
				up, nu, _ := p.off(s1, a)
				down, nd, _ := p.off(s2, b)
				if math.Abs(nu[0]-nd[0])+math.Abs(nu[1]-nd[1]) > 1e-3 {
					continue // across a corner
				}
				if math.Abs((up-down)/(2*h)-got) > 2e-4 {
					t.Fatalf("seed %d case %d, %s %v at %v: derivative %d is %v, by differences %v", seed, i, p.name, size, q, k, got, (up-down)/(2*h))
				}
			}
		}
	}
}
