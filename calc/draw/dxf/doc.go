// Package dxf reads and writes DXF, the drawings that suppliers send and cutters
// take.
//
// Read finds the outline, the holes and the openings of a flange in an ASCII DXF
// of any version: lines, arcs, circles, polylines with bulges, ellipses and
// splines, in blocks too. Write makes one of version R12, in millimetres, of
// nothing but lines, arcs, circles and closed polylines. Figures without a unit
// are never guessed: Read asks, Write refuses.
//
// The group codes are those of the format's public reference. A bulge is
// tan(sweep/4), counter-clockwise positive, and belongs to the piece that follows
// its vertex.
package dxf
