// Package draw holds drawings and sheets in mm, and writes them as SVG; draw/pdf
// and draw/dxf write the same model for paper and for a cutter.
//
// A Drawing is a list of lines, arcs, circles, closed loops and texts on layers,
// x right and y up, in mm, at true size; its Origin says in words what 0, 0 is. A
// Sheet puts one Drawing under a title block. Angles are in rad, counter-clockwise
// from +x. There is no clock here: a date comes in as text. The same model gives
// the same bytes.
package draw
