package units

import "math"

// Length is a length in millimetres. The types exist so that the compiler, not
// the welder, finds degrees passed as radians.
type Length float64

const (
	Millimetre Length = 1
	Inch              = 25.4 * Millimetre // exact, international yard and pound agreement of 1959
	Foot              = 12 * Inch         // exact, 304.8 mm
)

// Angle is an angle in radians.
type Angle float64

// Degree is π/180 rad, rounded once to the nearest float64.
const Degree Angle = math.Pi / 180

// MM returns the length in mm as a plain number.
func (l Length) MM() float64 { return float64(l) }

// NM returns the length in whole nanometres, half away from zero. LengthNM(nm).NM()
// is nm for |nm| ≤ 2^51, about 2,250 km. Special cases:
//   - too long for an int64, and ±Inf: the largest or smallest int64
//   - NaN: the smallest int64, which no range accepts
func (l Length) NM() int64 {
	nm := math.Round(float64(l) * nmPerMM)
	switch {
	case nm >= math.MaxInt64: // the constant rounds up to 2^63, the first value too large
		return math.MaxInt64
	case nm > math.MinInt64:
		return int64(nm)
	}
	return math.MinInt64
}

// LengthNM returns a length of nm nanometres, to the nearest float64 of mm.
func LengthNM(nm int64) Length { return Length(float64(nm) / nmPerMM) }

const nmPerMM = 1_000_000

// Deg returns the angle in degrees, within 2 units in the last place.
func (a Angle) Deg() float64 { return float64(a) / float64(Degree) }
