// Package flange is the head flange and what belongs to it: ports measured and
// drawn, their size, how far one outline stands into another, outlines wider by a
// wall, which ways round the flange bolts up, the formed end of a tube, and the
// drawing of the flange to be cut.
//
// Lengths are plain float64 in mm, areas in mm², angles in rad, in the plane of
// the port face as package geom has it: x right, y up, seen facing the port.
// Errors are plain and name the parameter; the caller knows which field of the
// job it came from.
package flange
