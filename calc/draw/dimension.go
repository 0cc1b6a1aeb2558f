package draw

import (
	"math"

	"tubewright/calc/geom"
)

// Sizes of what a dimension is made of, in mm (proportions as usual on drawings,
// ISO 129-1 from memory).
const (
	FigureHeight = 2.5 // of a capital of figures on dimensions and in tables
	arrowLong    = 3.0
	arrowWide    = 1.0
	gapToPart    = 1.0 // between the part and its extension line
	beyond       = 1.5 // an extension line past the dimension line
	gapToFigure  = 0.8
	gapToLeader  = 1.2 // clear of the leader's arrow, which may come down steeply beside the figure
)

// Linear returns a dimension of the distance between two points: the dimension line
// stands parallel to from→to, off mm to its left (off negative: to its right), with
// extension lines, two arrows, and the text beside its middle. Where the arrows do
// not fit between, they point from outside. The text is what the caller says.
func Linear(from, to [2]float64, off float64, text string) []Entity {
	return Along(from, to, math.Atan2(to[1]-from[1], to[0]-from[0]), off, text)
}

// Along returns a dimension of how far two points lie apart in the direction dir in
// rad, 0 for across and π/2 for up. off is the distance in mm of the dimension line
// from the point from, to the left of dir.
func Along(from, to [2]float64, dir, off float64, text string) []Entity {
	sin, cos := math.Sincos(dir)
	place := func(along, left float64) [2]float64 {
		return [2]float64{from[0] + along*cos - left*sin, from[1] + along*sin + left*cos}
	}
	dx, dy := to[0]-from[0], to[1]-from[1]
	long, lead := dx*cos+dy*sin, dy*cos-dx*sin // of to, along dir and left of it
	var list []Entity
	for _, end := range [2][2]float64{{0, 0}, {long, lead}} {
		side := math.Copysign(1, off-end[1])
		if reach := math.Abs(off - end[1]); reach > gapToPart {
			list = append(list, Line{Dimension, place(end[0], end[1]+side*gapToPart), place(end[0], off+side*beyond)})
		}
	}
	fwd := math.Copysign(1, long)
	a, b := place(0, off), place(long, off)
	sense := dir
	if fwd < 0 {
		sense += math.Pi
	}
	figure := Text{Layer: Dimension, Height: FigureHeight, Anchor: BaseMiddle, Turn: readable(dir), Text: text}
	tight := math.Abs(long) < 2*arrowLong+2
	if tight {
		list = append(list,
			Line{Dimension, place(-fwd*2*arrowLong, off), place(long+fwd*2*arrowLong, off)},
			arrow(a, sense), arrow(b, sense+math.Pi))
	} else {
		list = append(list, Line{Dimension, a, b}, arrow(a, sense+math.Pi), arrow(b, sense))
	}
	// Above the line as one reads it, which is left of dir unless the text was turned.
	up := gapToFigure
	if figure.Turn != wrap(dir) {
		up = -up
	}
	figure.At = place(long/2, off+up)
	if tight && figure.Width() > math.Abs(long) {
		figure.At = place(long+fwd*(2*arrowLong+1+figure.Width()/2), off+up)
	}
	return append(list, figure)
}

// Diameter returns a dimension of a circle: a leader from the circle in the
// direction dir in rad, then a short level line with the text on it, "Ø8.5" or what
// the caller says. reach is how far the leader goes past the circle, in mm.
func Diameter(centre [2]float64, diameter, dir, reach float64, text string) []Entity {
	return leader(centre, diameter/2, dir, reach, text)
}

// Radius returns the same for the radius of an arc, with a line from its centre.
func Radius(centre [2]float64, radius, dir, reach float64, text string) []Entity {
	sin, cos := math.Sincos(dir)
	list := leader(centre, radius, dir, reach, text)
	return append([]Entity{Line{Dimension, centre, [2]float64{centre[0] + radius*cos, centre[1] + radius*sin}}}, list...)
}

func leader(centre [2]float64, r, dir, reach float64, text string) []Entity {
	sin, cos := math.Sincos(dir)
	on := [2]float64{centre[0] + r*cos, centre[1] + r*sin}
	knee := [2]float64{centre[0] + (r+reach)*cos, centre[1] + (r+reach)*sin}
	figure := Text{Layer: Dimension, Height: FigureHeight, Anchor: BaseLeft, Text: text}
	side := 1.0
	if cos < -1e-9 {
		side, figure.Anchor = -1, BaseRight
	}
	end := shift(knee, side*(figure.Width()+gapToLeader+0.5), 0)
	figure.At = shift(knee, side*gapToLeader, gapToFigure)
	return []Entity{arrow(on, dir+math.Pi), Line{Dimension, on, knee}, Line{Dimension, knee, end}, figure}
}

// Arrow returns an arrow from one place to another, its head as long as fits.
func Arrow(l Layer, from, to [2]float64) []Entity {
	dx, dy := to[0]-from[0], to[1]-from[1]
	long := math.Hypot(dx, dy)
	if long == 0 {
		return nil
	}
	head := arrow(to, math.Atan2(dy, dx))
	head.Layer = l
	if k := long / arrowLong; k < 1 {
		for i, v := range head.Vertices {
			head.Vertices[i].X, head.Vertices[i].Y = to[0]+k*(v.X-to[0]), to[1]+k*(v.Y-to[1])
		}
	}
	return []Entity{Line{l, from, to}, head}
}

// arrow returns a filled head whose tip stands at tip and points in the direction dir.
func arrow(tip [2]float64, dir float64) Loop {
	sin, cos := math.Sincos(dir)
	at := func(along, left float64) geom.Vertex {
		return geom.Vertex{X: tip[0] + along*cos - left*sin, Y: tip[1] + along*sin + left*cos}
	}
	return Loop{Dimension, []geom.Vertex{{X: tip[0], Y: tip[1]}, at(-arrowLong, arrowWide/2), at(-arrowLong, -arrowWide/2)}, true}
}

// readable turns a direction so that text along it is read from below or from the
// right.
func readable(dir float64) float64 {
	dir = wrap(dir)
	if dir > math.Pi/2+1e-9 {
		return dir - math.Pi
	}
	if dir <= -math.Pi/2+1e-9 {
		return dir + math.Pi
	}
	return dir
}

// wrap brings an angle into −π to π.
func wrap(a float64) float64 {
	return a - 2*math.Pi*math.Round(a/(2*math.Pi))
}
