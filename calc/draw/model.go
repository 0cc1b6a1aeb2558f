package draw

import (
	"fmt"

	"tubewright/calc/geom"
)

// Drawing is a set of entities in mm, x right and y up, at true size.
type Drawing struct {
	Name     string // what it shows: "flange A"
	Origin   string // what 0, 0 is and how one looks at it, in words
	Entities []Entity
}

// Entity is a Line, Arc, Circle, Loop, Text or Picture.
type Entity interface {
	On() Layer
	Bounds() Box
	check() error
	moved(dx, dy float64) Entity
	mirrored() Entity
}

// Line is a straight line.
type Line struct {
	Layer    Layer
	From, To [2]float64
}

// Arc is a part of a circle from the angle Start in rad, which goes on by Sweep,
// counter-clockwise positive, −2π < Sweep < 2π.
type Arc struct {
	Layer                Layer
	Centre               [2]float64
	Radius, Start, Sweep float64
}

// Circle is a full circle.
type Circle struct {
	Layer  Layer
	Centre [2]float64
	Radius float64
}

// Loop is a closed line of straight pieces and arcs: each vertex bears the bulge of
// the piece that leads to the next one, tan(sweep/4), counter-clockwise positive,
// and the last leads back to the first. A filled loop is solid on paper, like the
// head of an arrow; never on the layer Cut.
type Loop struct {
	Layer    Layer
	Vertices []geom.Vertex
	Filled   bool
}

// Text is one line of text.
type Text struct {
	Layer  Layer
	At     [2]float64
	Height float64 // of a capital, in mm
	Anchor Anchor  // which place of the text stands at At
	Turn   float64 // of the line of text about At, in rad
	Bold   bool
	Text   string
}

// Add puts entities on the drawing.
func (d *Drawing) Add(list ...Entity) { d.Entities = append(d.Entities, list...) }

// Only returns the drawing with the entities of these layers.
func (d Drawing) Only(layers ...Layer) Drawing {
	var kept []Entity
	for _, e := range d.Entities {
		for _, l := range layers {
			if e.On() == l {
				kept = append(kept, e)
			}
		}
	}
	d.Entities = kept
	return d
}

// Moved returns the drawing moved by dx, dy mm. Origin is left as it says.
func (d Drawing) Moved(dx, dy float64) Drawing {
	list := make([]Entity, len(d.Entities))
	for i, e := range d.Entities {
		list[i] = e.moved(dx, dy)
	}
	d.Entities = list
	return d
}

// Mirrored returns the drawing as seen from the other side, x turned to −x. Text
// moves with what it names but stays readable. Name and Origin are left as they say.
func (d Drawing) Mirrored() Drawing {
	list := make([]Entity, len(d.Entities))
	for i, e := range d.Entities {
		list[i] = e.mirrored()
	}
	d.Entities = list
	return d
}

// Bounds returns the smallest box about all entities, text by the widths of
// TextWidth. It is empty without any.
func (d Drawing) Bounds() Box {
	b := Empty()
	for _, e := range d.Entities {
		b = b.And(e.Bounds())
	}
	return b
}

// Check returns an error for what cannot be drawn: a figure that is not finite or
// beyond 1e6 mm, a radius or a text height that is not positive, a loop of one
// vertex, a filled cut, a layer that there is not. Writers ask it first.
func (d Drawing) Check() error {
	for i, e := range d.Entities {
		if int(e.On()) >= len(layerNames) {
			return fmt.Errorf("draw %s: entity %d: no layer %d", d.Name, i, e.On())
		}
		if err := e.check(); err != nil {
			return fmt.Errorf("draw %s: entity %d, %T on layer %v: %w", d.Name, i, e, e.On(), err)
		}
	}
	return nil
}
