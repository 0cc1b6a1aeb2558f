package job

import (
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// Making is how the flange of a bank is to be made. Words are empty where open.
type Making struct {
	BoltSize, HoleClass string
	Opening             string // "port", "tube" or empty
	OpeningGap          Opt[units.Length]
	Pieces              string
	Edge, Web           Opt[units.Length]
	Fixed               string       // id of the bolt whose hole stays round
	Hot                 Opt[float64] // °C
	Washer              Opt[units.Length]
	Revision            string
}

// Pattern is a flange or gasket to compare with the head, in a frame of its own: its
// origin and direction mean nothing, and seen from the head side x is mirrored.
type Pattern struct {
	ID, Title  string
	What, Name string
	Side       string        // "tubes", "head", or empty where nobody said
	Edge       *geom.Outline // nil where it was not drawn
	Holes      []Hole
	Openings   []Opening
}

// Hole is a bolt hole of a pattern.
type Hole struct {
	ID, Title      string
	X, Y, Diameter Opt[units.Length]
}

// Opening is what a pattern leaves free for a port. The outline lies about its own
// centre, turned as it was entered.
type Opening struct {
	ID, Title string
	X, Y      Opt[units.Length]
	Shape     string
	Outline   *geom.Outline // nil until its dimensions are entered
}

// Print is a printed sheet whose two rulers were measured.
type Print struct {
	ID, Title  string
	Sheet, Of  string
	Across, Up Opt[units.Length]
}
