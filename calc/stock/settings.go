package stock

import "tubewright/calc/units"

// Saw is what a cut takes.
type Saw struct {
	Kerf   units.Length // width of the cut
	Facing units.Length // dressed off per cut, along the centreline
}

// Settings say how to cut.
type Settings struct {
	Saw Saw
	// Smallest is the least angle that is cut as a piece; 0 counts as 8°, the least
	// that can be held in a saw. Common practice, no source.
	Smallest units.Angle
	// Keep and KeepLength are the least off-cut of a bend and of a length that goes
	// back to stock; 0 counts as 20° and 150 mm. Common practice, no source.
	Keep       units.Angle
	KeepLength units.Length
	// Nodes is how far a search goes before the best found so far has to do, in
	// steps, which are the same on every machine; 0 counts as 2,000,000, one to two
	// seconds of a server's processor and three times that of a tablet's.
	Nodes int
}

func (s Settings) filled() Settings {
	if s.Smallest == 0 {
		s.Smallest = 8 * units.Degree
	}
	if s.Keep == 0 {
		s.Keep = 20 * units.Degree
	}
	if s.KeepLength == 0 {
		s.KeepLength = 150
	}
	if s.Nodes == 0 {
		s.Nodes = 2_000_000
	}
	return s
}

// Progress is how far packing has come.
type Progress struct {
	Done  float64 // 0 to 1, of the search at its longest: most end early
	Cost  int64   // cents, of the best plan so far
	Bound int64   // cents; no plan costs less
}
