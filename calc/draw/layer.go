package draw

// Layer says what a line is for. It decides weight and dash on paper, the class in
// SVG and the layer in a DXF; there are no colours in the model.
type Layer uint8

const (
	Cut       Layer = iota // what a laser or a saw cuts, and nothing else
	Mark                   // scribed, punched or engraved: it stays on the part
	Centre                 // centre lines, cross hairs, axes
	Dimension              // dimension and leader lines, arrows and their figures
	Note                   // text, tables and frames about the part
	Reference              // what is there but not made: the port behind the flange, a tube
)

// Layers are all layers in the order in which they are drawn, the cut last and so
// on top.
var Layers = []Layer{Reference, Note, Dimension, Centre, Mark, Cut}

var layerNames = [...]string{"cut", "mark", "centre", "dimension", "note", "reference"}

// String returns the lower-case name.
func (l Layer) String() string {
	if int(l) < len(layerNames) {
		return layerNames[l]
	}
	return "unknown"
}

// Weight returns the line's width on paper in mm: the wide and narrow line of the
// group 0.35 of ISO 128-2 (0.35 and 0.18; from memory). The line's middle is the
// true place.
func (l Layer) Weight() float64 {
	if l == Cut || l == Mark {
		return 0.35
	}
	return 0.18
}

// Dash returns dash and gap lengths in mm by turns, nil for a full line: chain for
// centres, dashes for what is not made (ISO 128-2 line types 04 and 02; the lengths
// are ours).
func (l Layer) Dash() []float64 {
	switch l {
	case Centre:
		return []float64{6, 1, 1, 1}
	case Reference:
		return []float64{3, 1}
	}
	return nil
}
