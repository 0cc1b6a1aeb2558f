package flange

import (
	"math"

	"tubewright/calc/geom"
)

// Figures are the sizes of an outline, in mm and mm².
type Figures struct {
	Perimeter, Area float64
	Hydraulic       float64 // hydraulic diameter
	EqualArea       float64 // diameter of the round of the same area
	EqualPerimeter  float64 // diameter of the round of the same perimeter
}

// Measures returns the figures of an outline: with A its area and P its perimeter
//
//	Dh = 4A/P     √(4A/π)     P/π
//
// A and P are as good as geom has them. An empty outline has only zeros.
func Measures(o geom.Outline) Figures {
	per, area := o.Perimeter(), o.Area()
	if per == 0 {
		return Figures{}
	}
	return Figures{
		Perimeter: per, Area: area, Hydraulic: 4 * area / per,
		EqualArea: math.Sqrt(4 * area / math.Pi), EqualPerimeter: per / math.Pi,
	}
}
