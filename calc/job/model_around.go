package job

import (
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// Collector is what tubes end in. Its pose is O in the middle of the socket mouths,
// T with the flow, and N towards socket 1 of a ring.
type Collector struct {
	ID, Title, Frame                       string
	Sockets                                int // 0 while it is not known
	Nest                                   string
	SocketID, SocketDepth, Pitch, OutletOD Opt[units.Length]
	Pose                                   Opt[geom.Frame]
}

// Tie is one point that was measured in two frames.
type Tie struct {
	ID, Title string
	A, B      string // frames
	InA, InB  Opt[geom.Vec]
}

// Point is a point that was measured directly, or by tapes from known ones.
type Point struct {
	ID, Title, Frame string
	Side             string // +x to −z, empty where not entered
	Sigma            units.Length
	At               Opt[geom.Vec] // measured directly
	Tapes            []Tape
}

// Tape is the distance of a point from a bolt, a port or another point.
type Tape struct {
	ID, From string
	Distance Opt[units.Length]
}

// Neighbour is something that the tubes must clear.
type Neighbour struct {
	ID, Title, What, Frame string
	OnEngine               bool // it rolls with the engine
	Gap                    Opt[units.Length]
	Motion                 Opt[Motion] // not known where it stays
	Parts                  []Part
	Open                   []string // slots that are still to be entered
}

// Motion is how a neighbour moves from where it was measured: about an axis through
// At, in rad, or along it, in mm.
type Motion struct {
	Turns     bool
	At, Axis  geom.Vec
	Low, High float64
}

// Part is one shape of a neighbour, in the neighbour's frame.
type Part struct {
	ID      string
	Shape   string
	At, To  Spot // To of a rod
	Radius  float64
	Size    geom.Vec // of a box, along its own axes
	X, Y    geom.Vec // of a box its own axes, of a plane X square to it, out of the solid
	Corners []Spot   // of a sleeve
}

// Spot is a place: a point of the job where one is named, otherwise At.
type Spot struct {
	Point string
	At    geom.Vec
}

// Plug is a spark plug with its socket, in the frame of its bank.
type Plug struct {
	ID, Title    string
	At, Out      Opt[geom.Vec]
	OD, Withdraw Opt[units.Length]
}

// Tool is a socket that has to reach the bolts of the flanges.
type Tool struct {
	ID, Title  string
	OD, Length Opt[units.Length]
}

// Mark is a centre point of a mock-up, in the frame of the tube's bank.
type Mark struct {
	ID       string
	Straight int // from 1
	At       geom.Vec
}

// Crook is a bend of a mock-up.
type Crook struct {
	ID    string
	After int // the straight before it, from 1
	CLR   units.Length
	Crown Opt[geom.Vec]
}

// Trust is how far off, 1 sigma, the typed values of a path may be.
type Trust struct {
	Length         units.Length
	Turn, Rotation units.Angle
}
