// Package gas knows what burnt gas is and how fast sound runs in it.
//
// A gas is a mixture of ideal gases whose heat capacities depend on temperature, by
// the polynomials of NASA TM-4513; products of burning are worked out from fuel and
// air-fuel ratio. What breaks up above some 1,800 K is not counted as broken up.
//
// Temperatures are K, pressures Pa, ratios by mass where nothing else is said. Nothing
// here uses a function whose last bit differs between machines, and no sum of products
// is left to a compiler to fuse.
package gas
