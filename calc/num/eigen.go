package num

import "math"

// sweeps is how often Eigen goes over the matrix. Convergence is quadratic; six
// to ten are enough for the sizes used here.
const sweeps = 50

// Eigen returns the eigenvalues of a symmetric matrix, the largest first, and
// the unit eigenvectors, one a row. It is false when a number is not finite.
// Cyclic Jacobi rotations: the error of a value is a few units in the last place
// of the largest, and the vectors are square to each other to rounding, also
// where values are equal. Golub and Van Loan, Matrix Computations, section 8.5;
// from memory.
func (m Square) Eigen() (values []float64, vectors Square, ok bool) {
	n := m.N
	a, v := NewSquare(n), NewSquare(n)
	size := 0.0
	for i := range n {
		v.V[i*n+i] = 1
		for j := range i + 1 {
			x := m.At(i, j)
			if 0*x != 0 {
				return nil, Square{}, false
			}
			a.V[i*n+j], a.V[j*n+i] = x, x
			size = max(size, math.Abs(x))
		}
	}
	for range sweeps {
		off := 0.0
		for i := range n {
			for j := range i {
				off = max(off, math.Abs(a.At(i, j)))
				rotate(a, v, j, i)
			}
		}
		if off <= 1e-18*size {
			break
		}
	}
	values = make([]float64, n)
	for i := range values {
		values[i] = a.At(i, i)
	}
	for i := range values { // n is small: pick the largest that is left
		best := i
		for j := i + 1; j < n; j++ {
			if values[j] > values[best] {
				best = j
			}
		}
		values[i], values[best] = values[best], values[i]
		for k := range n {
			v.V[i*n+k], v.V[best*n+k] = v.V[best*n+k], v.V[i*n+k]
		}
	}
	return values, v, true
}

// rotate makes element p, q of a zero and takes the rows of v along.
func rotate(a, v Square, p, q int) {
	n := a.N
	apq := a.At(p, q)
	if apq == 0 {
		return
	}
	tau := (a.At(q, q) - a.At(p, p)) / (2 * apq)
	t := math.Copysign(1, tau) / (math.Abs(tau) + math.Hypot(1, tau))
	c := 1 / math.Hypot(1, t)
	s := t * c
	for k := range n {
		x, y := a.At(k, p), a.At(k, q)
		a.V[k*n+p], a.V[k*n+q] = c*x-s*y, s*x+c*y
	}
	for k := range n {
		x, y := a.At(p, k), a.At(q, k)
		a.V[p*n+k], a.V[q*n+k] = c*x-s*y, s*x+c*y
	}
	a.V[p*n+q], a.V[q*n+p] = 0, 0
	for k := range n {
		x, y := v.At(p, k), v.At(q, k)
		v.V[p*n+k], v.V[q*n+k] = c*x-s*y, s*x+c*y
	}
}
