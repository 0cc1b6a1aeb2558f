package num

import "math"

// Square is a square matrix, row by row. A symmetric one is read from its lower
// half only.
type Square struct {
	N int
	V []float64
}

// NewSquare returns an n × n matrix of zeros.
func NewSquare(n int) Square { return Square{n, make([]float64, n*n)} }

// At returns the element in row i and column j, counted from 0.
func (m Square) At(i, j int) float64 { return m.V[i*m.N+j] }

// Add adds x to the element in row i and column j.
func (m Square) Add(i, j int, x float64) { m.V[i*m.N+j] += x }

// Times returns m·b.
func (m Square) Times(b []float64) []float64 {
	out := make([]float64, m.N)
	for i := range out {
		for j, v := range m.V[i*m.N : (i+1)*m.N] {
			out[i] += v * b[j]
		}
	}
	return out
}

// loose is the least pivot, of a matrix scaled to a diagonal of ones, at which it
// still counts as definite. A pivot is 1 − r² of an unknown with those before it:
// below 1e-12 all but a millionth of it rests on them, and half of the digits of
// the answer are gone.
const loose = 1e-12

// Factor is a symmetric positive definite matrix, ready to be solved.
type Factor struct {
	lower Square
	scale []float64
}

// Cholesky returns the factor L of a symmetric positive definite matrix scaled to
// a diagonal of ones,
//
//	L·Lᵀ = D·A·D,  D = diag(1/√aᵢᵢ)
//
// so that unknowns in mm and in rad are measured alike. It is false for a matrix
// that is not definite, or is so by less than 1e-12 of its diagonal. Golub and
// Van Loan, Matrix Computations, algorithm 4.2.1; from memory.
func (m Square) Cholesky() (Factor, bool) {
	n := m.N
	f := Factor{NewSquare(n), make([]float64, n)}
	for i := range n {
		a := m.At(i, i)
		if !(a > 0 && a <= math.MaxFloat64) {
			return Factor{}, false
		}
		f.scale[i] = 1 / math.Sqrt(a)
	}
	l := f.lower.V
	for i := range n {
		row := l[i*n : i*n+i+1]
		for j := range i + 1 {
			sum := m.V[i*n+j] * f.scale[i] * f.scale[j]
			for k, x := range l[j*n : j*n+j] {
				sum -= row[k] * x
			}
			if i > j {
				row[j] = sum / l[j*n+j]
				continue
			}
			if !(sum > loose) {
				return Factor{}, false
			}
			row[j] = math.Sqrt(sum)
		}
	}
	return f, true
}

// Solve returns x with A·x = b.
func (f Factor) Solve(b []float64) []float64 {
	x := make([]float64, f.lower.N)
	for i := range x {
		x[i] = b[i] * f.scale[i]
	}
	f.forward(x, 0)
	f.back(x)
	for i := range x {
		x[i] *= f.scale[i]
	}
	return x
}

// Inverse returns A⁻¹, both halves alike.
func (f Factor) Inverse() Square {
	n := f.lower.N
	inv := NewSquare(n)
	col := make([]float64, n)
	for j := range n {
		clear(col)
		col[j] = 1
		f.forward(col, j)
		f.back(col)
		for i := j; i < n; i++ {
			x := col[i] * f.scale[i] * f.scale[j]
			inv.V[i*n+j], inv.V[j*n+i] = x, x
		}
	}
	return inv
}

// forward solves L·x = b in place; b is zero before from.
func (f Factor) forward(x []float64, from int) {
	n, l := f.lower.N, f.lower.V
	for i := from; i < n; i++ {
		sum := x[i]
		for k := from; k < i; k++ {
			sum -= l[i*n+k] * x[k]
		}
		x[i] = sum / l[i*n+i]
	}
}

// back solves Lᵀ·x = b in place.
func (f Factor) back(x []float64) {
	n, l := f.lower.N, f.lower.V
	for i := n - 1; i >= 0; i-- {
		x[i] /= l[i*n+i]
		for k := range i {
			x[k] -= l[i*n+k] * x[i]
		}
	}
}
