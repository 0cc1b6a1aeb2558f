package gas

import (
	"math"

	"tubewright/calc/fault"
)

// Choking returns from which ratio of pressures on, ahead over behind, the flow through
// a valve is at the speed of sound in its narrowest place and no longer cares what is
// behind:
//
//	((γ + 1)/2)^(γ/(γ − 1))
//
// γ = cp/cv from 1.05 to 1.67; the error is a *fault.Field. Ideal gas, no losses:
// closed form, to 10 units in the last place.
func Choking(gamma float64) (float64, error) {
	if err := fault.Within("Ratio of specific heats", gamma, 1.05, 1.67, ""); err != nil {
		return 0, err
	}
	return power((gamma+1)/2, gamma/(gamma-1)), nil
}

// power returns x^y for x > 0 and a result from 1 to 10⁶, by its logarithm, since
// math.Pow gives other last bits on other machines.
func power(x, y float64) float64 { return exponential(y * math.Log(x)) }

// Halves of ln 2: the first has 32 zeros at its end, so that a small whole number of
// them is exact (Cody and Waite; the constants of FreeBSD's e_exp.c).
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
)

// exponential returns e^x for |x| ≤ 30 within 2 units in the last place. x is taken to
// k·ln 2 + r with |r| ≤ ½·ln 2, and e^r to its Taylor series, whose rest after r¹⁵ is
// below 2·10⁻²¹.
func exponential(x float64) float64 {
	k := math.Round(x / math.Ln2)
	r := x - float64(k*ln2High) - float64(k*ln2Low)
	sum := 1.0
	for n := 15; n >= 1; n-- {
		sum = 1 + float64(r*sum)/float64(n)
	}
	return math.Ldexp(sum, int(k))
}
