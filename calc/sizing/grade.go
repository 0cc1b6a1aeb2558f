package sizing

// Grade says how well a figure is founded. The words are those of findings.
type Grade string

const (
	Published Grade = "published"                  // read in the source that is named
	Practice  Grade = "common practice, no source" // in the trade's mouth: builders' pages and forums
	Memory    Grade = "from memory"                // of a book that is not at hand; to be checked there
	Computed  Grade = "own arithmetic"             // closed form from what is named
	Study     Grade = "own study, computed, not measured"
	Own       Grade = "own choice"
)

// Source is where something is from, and what it says there.
type Source struct {
	Text  string
	Grade Grade
}

// What the rules rest on. A book's row stays "from memory" until somebody has held it
// to a copy.
var (
	book = Source{"A. Graham Bell, Four-Stroke Performance Tuning (Haynes; earlier Performance Tuning in Theory and Practice: Four Strokes, 1981), exhaust chapter", Memory}

	areaArticle   = Source{"magazine article on header size: rpm of peak torque = primary area × 88,200 / displacement of one cylinder, from a mean gas speed of 240 to 260 ft/s", Published}
	speedArticle  = Source{"magazine series on torque peak and passage size: mean gas speed on the order of 245 ft/s (360 × 245 = 88,200)", Published}
	speedColumn   = Source{"column on engines (J. McFarland): mean gas speed at peak torque about 240 to 260 ft/s in an exhaust or intake passage", Published}
	areaForum     = Source{"forum derivation: d = √(rpm·stroke·bore²/X), X from 86,400 (stock) to 108,000 (race), which is 240 to 300 ft/s", Practice}
	lengthArticle = Source{"articles for builders: length in inches = 850 × ED / rpm, counted from the valve head", Practice}
	lengthMetric  = Source{"articles for builders: length in cm from the valve = 13,000 × open degrees / (6 × rpm)", Practice}
	soundForum    = Source{"forum note: sound in exhaust gas at about 1,700 ft/s; 850 is half of that", Practice}
	ownWave       = Source{"closed form: there and back at the speed of sound", Computed}
	nasa          = Source{"speed of sound by NASA TM-4513 (McBride, Gordon and Reno, 1993) and the burnt mixture", Computed}
	study         = Source{"own gas-dynamic study of three invented engines, calculated and not measured", Study}
	levine        = Source{"H. Levine and J. Schwinger, Phys. Rev. 73 (1948) 383: 0.6133 radii for a pipe that ends in the open", Published}
	dalmont       = Source{"J.-P. Dalmont, C.J. Nederveen and N. Joly, J. Sound Vib. 244 (2001) 505: 0.8216 radii in a wide wall (0.8217 is often quoted)", Published}
	columns       = Source{"study note on air columns: a pipe closed at one end has odd harmonics, one open at both has all", Published}
)
