package survey

import (
	"errors"
	"fmt"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// MockUp is a tube that was measured where it stands: its straights in the order
// of travel, and the bend between each two.
type MockUp struct {
	Straights []Straight
	Bends     []Bend
	Sigma     units.Length // of every coordinate of every point
	Up        geom.Vec     // what the first rotation is from; with the zero vector it is 0
	Start     *Cut         // where the tube begins and ends: nil for square at
	End       *Cut         // the first and the last point measured
}

// Bend is what is known of a bend before the survey. A bend near a half turn
// needs one of the two points: its axes are parallel and cross nowhere, so that
// only a point can say how far along them the bend sits.
type Bend struct {
	CLR      units.Length
	CLRSigma units.Length // 0: exact
	Middle   *geom.Vec    // a point on the centreline within a sixth of a turn of the middle of the bend
	Centre   *geom.Vec    // the point that the bend is bent about
}

// Cut is a plane that ends a tube: the face of the flange, the mouth of a socket.
type Cut struct {
	At     geom.Vec
	Normal geom.Vec     // either way
	Sigma  units.Length // of the place of the plane; 0: exact
}

// Fit is the best estimate of a mock-up. Points of the bends and straights are
// numbered from 1 in everything that is read by people.
type Fit struct {
	Start       geom.Frame // walking LRA from here gives the tube
	LRA         tube.LRA
	Sigmas      []RowSigma // one a row of LRA
	LastSigma   units.Length
	Length      units.Length // centreline, all of it
	LengthSigma units.Length
	Corners     []geom.Vec // the free start, where the axes cross, the free end; a bend with a point of its own has two

	Chi2    float64
	DOF     int
	Scatter units.Length // sigma of a coordinate as the residuals show it, σ·√(Chi2/DOF); 0 without redundancy
	Joints  []Joint
	Points  []Reading
	Tests   Tests

	crowns []crossing
}

// RowSigma is how well a row of bender data is known. The sigma of the CLR is
// the one that went in.
type RowSigma struct {
	Length   units.Length
	Rotation units.Angle // of the first row 0 when it was measured from nothing
	Turn     units.Angle
}

// Joint is how two straights that follow each other meet, before any fit: axes
// of a real tube cross, measured ones miss.
type Joint struct {
	Bend   int          // number of the bend between them
	Miss   units.Length // length of the common perpendicular
	Sigma  units.Length // of Miss, as the points let expect
	Failed bool         // Miss > 3 Sigma
	Middle geom.Vec     // of the common perpendicular
}

const (
	mostStraights = 40
	mostPoints    = 200 // of a straight

	// inLine is the turn in rad below which two straights count as one: rotations
	// mean nothing there, 9° off for 0.01 mm at 0.1°, own calculation.
	inLine = 1.0 * float64(units.Degree)
	// nearHalf is how near a half turn, in rad, a bend needs a point of its own: at
	// 10° a point 0.5 mm off moves the bend along its axes by 3 mm.
	nearHalf = 10 * float64(units.Degree)
	// helped is the least turn at which a point in the bend is taken.
	helped = 90 * float64(units.Degree)
)

// check returns what cannot be used, as joined *fault.Field.
func (m MockUp) check() error {
	faults := []error{fault.Within("Sigma", m.Sigma.MM(), finest, coarsest, "mm")}
	if n := len(m.Straights); n < 1 || n > mostStraights {
		faults = append(faults, fault.Within("Straights", float64(n), 1, mostStraights, ""))
	} else if len(m.Bends) != n-1 {
		faults = append(faults, fault.Refuse("Bends", fmt.Sprintf("%d given for %d straights; there is one bend between each two", len(m.Bends), n)))
	}
	for i, s := range m.Straights {
		if len(s.Points) > mostPoints {
			faults = append(faults, fault.Within(fmt.Sprintf("Points of straight %d", i+1), float64(len(s.Points)), 1, mostPoints, ""))
			continue
		}
		faults = append(faults, fault.At(errors.Join(s.check()...), whereStraight(i)))
	}
	for i, b := range m.Bends {
		faults = append(faults, fault.At(errors.Join(b.check()...), whereBend(i)))
	}
	for k, c := range []*Cut{m.Start, m.End} {
		if c != nil {
			faults = append(faults, fault.At(errors.Join(c.check()...), fault.Field{Where: [2]string{"start", "end"}[k]}))
		}
	}
	if !m.Up.IsFinite() {
		faults = append(faults, fault.Refuse("Reference", "every part has to be a finite number"))
	}
	return errors.Join(faults...)
}

func (b Bend) check() (faults []error) {
	faults = append(faults, within("CLR", b.CLR.MM(), 0, longest, "mm"), fault.Within("Sigma of the CLR", b.CLRSigma.MM(), 0, coarsest, "mm"))
	if b.Middle != nil {
		faults = append(faults, placed("Point in the bend", *b.Middle)...)
	}
	if b.Centre != nil {
		faults = append(faults, placed("Bend centre", *b.Centre)...)
	}
	if b.Middle != nil && b.Centre != nil {
		faults = append(faults, fault.Refuse("Bend centre", "a point in the bend is given already; leave one of the two out"))
	}
	return faults
}

func (c Cut) check() (faults []error) {
	faults = append(placed("Point of the plane", c.At), fault.Within("Sigma of the plane", c.Sigma.MM(), 0, coarsest, "mm"))
	if _, ok := c.Normal.Unit(); !ok {
		faults = append(faults, fault.Refuse("Normal of the plane", "it needs a finite length above zero"))
	}
	return faults
}

func whereStraight(i int) fault.Field { return fault.Field{Where: fmt.Sprintf("straight %d", i+1)} }
func whereBend(i int) fault.Field     { return fault.Field{Where: fmt.Sprintf("bend %d", i+1)} }
