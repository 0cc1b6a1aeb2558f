// Package clear finds how near a tube comes to another, to itself, and to
// everything else in the car, standing still or moving, and says how sure that is.
//
// # What is certified
//
// A gap is measured between surfaces: the least distance of the tube's centreline
// from the other centreline, or from the core of a Set, less both radii. It is
// negative where they overlap. With the Gap and the Eps of a Result
//
//	Gap − Eps ≤ true least gap ≤ Gap
//
// and Gap is attained at the places named, at the arc lengths and at the positions
// of moving parts that are named with it. With Beyond set the true least gap is
// at least Gap, which then is the cut-off. Rounding is not in Eps; it stays below
// 1e-9 mm for parts within 10 m of the origin and below 1e-7 mm everywhere else.
//
// # How
//
// A straight or bend γ of curvature κ is walked from end to end, and d, the
// distance of γ(s) from a closed set, is asked for at a few places. For one point
// q of the set and the centre C of the bend
//
//	|γ(s) − q|² = |C − q|² + R² − 2R·(C − q)·N(s)
//
// whose second derivative is at most 2κ|C − q| ≤ 2(1 + κ·d), q being nearest to
// some γ(s); it is 2 on a straight. d² is the least of such functions, so on an
// interval of length h with the ends fa and fb it lies above its chord less a
// parabola:
//
//	d² ≥ (1−λ)·fa² + λ·fb² − K·λ(1−λ),   K = (1 + κ·(fa+fb+h)/2)·h²
//
// and d ≥ (fa + fb − h)/2, since it cannot change faster than s. An interval whose
// bound is not below the best by more than eps is done with, any other is cut in
// two near the least of its bound. A point that is turned about an axis walks an
// arc too: positions of moving parts are searched in the same way, and a gap over a
// whole range of motion is as certain as one of parts that stand still.
//
// Lines against lines, and everything against planes and spheres, have closed
// forms. Source of the bound: own derivation, above.
//
// # Units
//
// Points and directions are in mm in one frame, the caller's. Nothing here reads a
// clock; work is counted in evaluations of a distance.
package clear
