package geom

import (
	"encoding/json"
	"fmt"
	"math"
)

// Vec is a point in mm or a direction without unit, in whatever right-handed
// frame the caller says. In JSON it is [x,y,z].
type Vec struct{ X, Y, Z float64 }

// Add returns v + w.
func (v Vec) Add(w Vec) Vec { return Vec{v.X + w.X, v.Y + w.Y, v.Z + w.Z} }

// Sub returns v − w.
func (v Vec) Sub(w Vec) Vec { return Vec{v.X - w.X, v.Y - w.Y, v.Z - w.Z} }

// Scale returns v·k.
func (v Vec) Scale(k float64) Vec { return Vec{v.X * k, v.Y * k, v.Z * k} }

// Dot returns the scalar product. The conversions forbid a fused
// multiply-add, so that its sign, on which branches rest, is the same on every
// machine (Go specification, Floating-point operators).
func (v Vec) Dot(w Vec) float64 {
	return float64(v.X*w.X) + float64(v.Y*w.Y) + float64(v.Z*w.Z)
}

// Cross returns the vector product v × w, unfused for the same reason as Dot.
func (v Vec) Cross(w Vec) Vec {
	return Vec{
		float64(v.Y*w.Z) - float64(v.Z*w.Y),
		float64(v.Z*w.X) - float64(v.X*w.Z),
		float64(v.X*w.Y) - float64(v.Y*w.X),
	}
}

// Norm returns the length of v. It neither overflows nor underflows on the way.
func (v Vec) Norm() float64 { return math.Hypot(math.Hypot(v.X, v.Y), v.Z) }

// Unit returns the direction of v. It is false, and the zero vector, when v has
// no direction: not finite, or shorter than 1e-290, where the division would
// lose digits.
func (v Vec) Unit() (Vec, bool) {
	n := v.Norm()
	if !(n > 1e-290) || math.IsInf(n, 0) {
		return Vec{}, false
	}
	return Vec{v.X / n, v.Y / n, v.Z / n}, true
}

// IsFinite reports whether no component is NaN or infinite.
func (v Vec) IsFinite() bool {
	// 0·x is 0 for every finite x and NaN for all others.
	return 0*v.X == 0 && 0*v.Y == 0 && 0*v.Z == 0
}

// Angle returns the angle between v and w in rad, 0 to π:
//
//	A = atan2(|v×w|, v·w)
//
// It is good to rounding at every angle, where acos loses half the digits near
// 0 and π. A zero vector gives 0.
func (v Vec) Angle(w Vec) float64 { return math.Atan2(v.Cross(w).Norm(), v.Dot(w)) }

// MarshalJSON writes [x,y,z].
func (v Vec) MarshalJSON() ([]byte, error) { return json.Marshal([3]float64{v.X, v.Y, v.Z}) }

// UnmarshalJSON reads [x,y,z], exactly three numbers.
func (v *Vec) UnmarshalJSON(data []byte) error {
	var xyz []float64
	if err := json.Unmarshal(data, &xyz); err != nil {
		return fmt.Errorf("read point %s: %w", data, err)
	}
	if len(xyz) != 3 {
		return fmt.Errorf("read point %s: %d numbers, want 3", data, len(xyz))
	}
	*v = Vec{xyz[0], xyz[1], xyz[2]}
	return nil
}
