package job

import (
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/sizing"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Job is a checked job: every value in it is within its range. What has not been
// entered yet is an unknown Opt, never a zero.
type Job struct {
	Notes  Notes
	Engine Engine
	Target Target
	Shop   Shop
	Banks  []Bank
	Tubes  []Tube

	Collectors []Collector
	Ties       []Tie
	Points     []Point
	Neighbours []Neighbour
	Tools      []Tool
	Prints     []Print
	Stock      []Stock // its own, then the shop's

	Besides sizing.Inputs // what rules for size want beside engine and target
	TubeHot Opt[float64]  // °C
	Slips   []Slip
	Sensors []Sensor

	Fixture Fixture
	Weld    Welding

	elsewhere map[string]string // slots that were left open, and those that count in their place
}

// Notes are the texts about a job.
type Notes struct{ Name, Customer, Use, Due, Stage, Blocked string }

// Engine is what the tubes serve.
type Engine struct {
	Cylinders         Opt[float64]
	Bore, Stroke, Rod Opt[units.Length]
	FiringOrder       []int // empty when not entered
	Numbering         string
	TorqueRPM         Opt[float64]
	PowerRPM          Opt[float64]
	OpensBBDC         Opt[units.Angle] // exhaust valve, before bottom dead centre
	ClosesATDC        Opt[units.Angle] // exhaust valve, after top dead centre
	ValveToFace       Opt[units.Length]
	Roll              Opt[units.Angle]  // each way
	RollY, RollZ      Opt[units.Length] // of the axis, which runs along the first bank's x

	Compression     Opt[float64]
	FiringIntervals []units.Angle // after each of FiringOrder; none where they are all the same
	ExhaustValves   Opt[float64]  // a cylinder
	Throat          Opt[units.Length]
}

// Target is what is wanted.
type Target struct {
	Length    Opt[units.Length]
	From      string // "flange", "valve" or empty
	Tolerance Opt[units.Length]
	Gap       Opt[units.Length] // between tubes
	Style     string
	Sets      int // how many headers are made of one kind, 1 or more
	Decided   Decision
}

// Shop is how much metal a cut takes, and what is worth keeping.
type Shop struct {
	Kerf, Facing            Opt[units.Length]
	LeastPiece, LeastOffcut Opt[units.Angle]
}

// Bank is one flange: a frame of its own (x right, y up, z out of the head).
type Bank struct {
	ID           string
	Thickness    Opt[units.Length]
	Material     string
	Datum, Along string // bolt ids
	Bolts        []Bolt
	Ports        []Port
	Plugs        []Plug
	Making       Making
	Patterns     []Pattern
}

// Bolt is one hole of the flange.
type Bolt struct {
	ID, Title  string // "Bolt 1"
	X, Y, Hole Opt[units.Length]
}

// Port is one exhaust port, in the frame of its bank.
type Port struct {
	ID       string
	Title    string // "Port 3"
	Bank     string
	Cylinder Opt[float64]
	X, Y     Opt[units.Length]
	Aim      geom.Vec // unit length; straight out where none was entered
	Shape    string
	Outline  *geom.Outline // about its centre, turned as entered; nil until its dimensions are
	Rim      [][2]float64  // points that were measured of it, not turned
	Turn     units.Angle
}

// Tube is one primary tube from its port on.
type Tube struct {
	ID       string
	Title    string // "Tube 2"
	Number   int    // that it bears
	Port     string
	OD, Wall Opt[units.Length]
	Material string
	Path     []tube.Element
	Open     []string // slots of the path that are still to be entered

	Collector   string // the id of the one it ends in
	Socket      int    // 0 where not entered
	Marks       []Mark
	Crooks      []Crook
	SurveySigma units.Length
	Trust       Opt[Trust]
	Transition  Opt[units.Length] // over which its end is formed

	Made  map[string]Made // by element: what came out of the piece that begins with it
	Tacks []Tack
}

// Section returns the cross-section; ok is false until OD and wall are known.
func (t Tube) Section() (s tube.Section, ok bool) {
	return tube.Section{OD: t.OD.V, Wall: t.Wall.V}, t.OD.Known && t.Wall.Known
}

// SweptCC returns what one cylinder sweeps, in cm³:
//
//	V = π/4·bore²·stroke
//
// with bore and stroke in mm. Closed form. The intake shows it, since people
// know an engine's size and so see a mistyped bore at once.
func (e Engine) SweptCC() Opt[float64] {
	b, s := e.Bore.V.MM(), e.Stroke.V.MM()
	return Opt[float64]{math.Pi / 4 * b * b * s / 1000, e.Bore.Known && e.Stroke.Known}
}
