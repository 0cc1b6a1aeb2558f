// Package tube is the centreline of one tube: straights and bends in order from
// the port, the frame that walks along them, bender data (LRA), and intersection
// points (XYZ).
//
// # Signs
//
// A path starts at the port centre along the port's aim. A bend's rotation is
// about the direction of travel, right-hand positive, from the plane of the bend
// before it carried through that bend: 0° bends on the same way, 180° the other
// way. The first bend's rotation is from the bank's up, projected square to the
// aim: 0° bends up, 180° down. A mirrored path negates every rotation.
//
// # Which form is kept
//
// The elements are the truth; XYZ is a view. Near a half turn the intersection
// point runs away to infinity, so that rounding the points to 0.01 mm moves a
// straight by 0.012 mm at 90°, 0.06 mm at 170° and 0.65 mm at 179°; a bend over
// 150° is therefore written as two halves.
package tube
