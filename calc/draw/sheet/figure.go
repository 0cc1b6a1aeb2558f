package sheet

import (
	"math"
	"strconv"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// length writes a length of mm in the unit of the sheet, without it.
func (m maker) length(mm float64) string {
	nm := units.Length(mm).NM()
	if m.o.Unit == "in" {
		return units.Inches(nm)
	}
	return units.MM(nm, 2)
}

// both writes a length that is marked by a tape or a rule: in inches as the nearest 1/64
// too.
func (m maker) both(mm float64) string {
	text := m.length(mm)
	if f := m.fraction(mm); f != "" && mm != 0 {
		text += " (" + f + ")"
	}
	return text
}

// with writes a length with its unit.
func (m maker) with(mm float64) string { return m.length(mm) + " " + string(m.o.Unit) }

// area writes an area of mm² in the square of the sheet's unit, with it.
func (m maker) area(mm2 float64) string { return m.square(mm2) + " " + m.squared() }

// square writes the same without the unit.
func (m maker) square(mm2 float64) string {
	if m.o.Unit == "in" {
		return decimals(mm2/(units.Inch.MM()*units.Inch.MM()), 3)
	}
	return decimals(mm2, 1)
}

func (m maker) squared() string { return string(m.o.Unit) + "²" }

func decimals(v float64, places int) string {
	text := strconv.FormatFloat(v, 'f', places, 64)
	if v, err := strconv.ParseFloat(text, 64); err == nil && v == 0 {
		return strconv.FormatFloat(0, 'f', places, 64) // no -0.0
	}
	return text
}

// degrees writes an angle of rad with one decimal and its sign.
func degrees(rad float64) string { return decimals(rad*180/math.Pi, 1) + "°" }

// loop takes a path of the plan as a loop.
func loop[C ~struct{ X, Y, Bulge float64 }](corners []C) []geom.Vertex {
	list := make([]geom.Vertex, len(corners))
	for i, c := range corners {
		list[i] = geom.Vertex(c)
	}
	return list
}

// note returns a line of text about the part.
func note(at draw.Pos, a draw.Anchor, high float64, bold bool, text string) draw.Text {
	return draw.Text{Layer: draw.Note, At: at, Anchor: a, Height: high, Bold: bold, Text: text}
}
