// Package geom holds what is true of points, directions and closed outlines,
// whoever uses them: vectors, frames that walk along a path, rigid moves, and
// port outlines with their perimeter and area.
//
// Lengths are plain float64 in mm, angles float64 in rad. Errors are plain and
// name the parameter; the caller knows which field of the job it came from.
package geom
