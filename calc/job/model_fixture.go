package job

import "tubewright/calc/units"

// Fixture is how a header is held while it is tacked. Words are empty where open.
type Fixture struct {
	Bank               string // the first where none is entered
	Base               string // "standing" or "lying"
	Turn               units.Angle
	Below              Opt[units.Length]
	MockUpOD           Opt[units.Length]
	Conducts           bool // the mock-up does
	Post, Clamp, Torch units.Length
	Wrap               units.Angle
	Clearance          units.Length
	Held               string // "studs" or "bolts"
	Stud               units.Length
	Thickness, Margin  units.Length
	Earth              string // id of what the clamp sits on, or "plate"
	Stations           []Station
}

// Station is a place where a tube or a collector is held, as a person has it.
type Station struct {
	ID, Title string
	On        string            // id of a tube or a collector
	Along     Opt[units.Length] // from the port face, or from the socket mouths
	Opening   Opt[units.Angle]
	Wrap      Opt[units.Angle]
	Arm       Opt[units.Length]
	ArmAngle  Opt[units.Angle]
	Removable Opt[bool]
	LeftOut   bool // there is none here
	ClampedAt Opt[units.Length]
	Checked   bool
}
