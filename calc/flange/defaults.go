package flange

// What is usual where nobody entered it.
const (
	// UsualEdge is the metal round a bolt hole, in diameters of the hole: from the
	// hole's centre to the edge 1.5 of them, as plates are drilled. From memory.
	UsualEdge = 1.0
	// UsualWeb is the metal round an opening in mm: room for a fillet weld and as
	// much again for the gasket. Our own choice.
	UsualWeb = 8.0
	// UsualWeldLeg is in mm how far the weld round a tube reaches onto the flange,
	// twice the wall of a 16 gauge tube. From memory.
	UsualWeldLeg = 3.0
	// UsualBridge is the metal in mm that a saw cut leaves: enough to hold the flange
	// together while it is welded, little enough to give or to be sawn later. Our
	// own choice.
	UsualBridge = 6.0
	// LeastEdge and LeastWeb are what a flange is warned about: metal round a hole in
	// diameters of the hole, and between holes and openings in mm. From memory.
	LeastEdge = 0.5
	LeastWeb  = 3.0
)

// Default is a figure that a design rests on where nobody entered one, for people to
// read beside what follows from it.
type Default struct {
	Name  string // of the field, or of the rule
	Value float64
	Unit  string
	Grade string
	Text  string
}

const (
	fromMemory = "from memory"
	usualWay   = "common practice, no source"
	ownChoice  = "our own choice, no source"
)

// Defaults are all of them.
var Defaults = []Default{
	{"opening_gap", UsualGap, "mm", usualWay, "between the formed tube and the flange, on each side"},
	{"edge", UsualEdge, "hole diameters", fromMemory, "metal from the side of a bolt hole to the edge"},
	{"web", UsualWeb, "mm", ownChoice, "metal from an opening to the edge"},
	{"hot", UsualHot, "°C", fromMemory, "how hot the flange gets; the head's own growth is left out"},
	{"weld_leg", UsualWeldLeg, "mm", fromMemory, "how far the weld round a tube reaches onto the flange"},
	{"bridge", UsualBridge, "mm", ownChoice, "metal that a saw cut leaves"},
	{"slot_step", SlotStep, "mm", ownChoice, "slots are twice the growth long, rounded up to this"},
	{"slot_from", SlotFrom, "mm", ownChoice, "growth below this makes no slot"},
	{"flange-edge", LeastEdge, "hole diameters", fromMemory, "least metal round a bolt hole"},
	{"flange-web", LeastWeb, "mm", fromMemory, "least metal between holes and openings"},
	{"end-stretch", 100 * StretchWarn, "%", fromMemory, "opened by hand by more, a tube's end gets thin corners"},
	{"end-stretch-stop", 100 * StretchStop, "%", fromMemory, "opened by hand by more, a tube's end cracks"},
	{"end-wall-angle", 10, "°", fromMemory, "between the wall of a transition and the tube; beyond, the flow may leave the wall"},
	{"template", DevelopableEnough, "mm", ownChoice, "by more than this a template puckers too much to be cut"},
}
