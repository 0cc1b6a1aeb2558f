package dxf

// Limits keep a file that is broken, or made to do harm, from taking the tablet
// with it. A supplier's flange has some hundred entities.
const (
	mostBytes    = 20 << 20
	mostEntities = 100_000 // drawn ones, those in blocks each time that they are inserted
	mostVertices = 200_000 // of what is drawn, once flattened
	mostLoops    = 2_000
	mostDepth    = 16 // of blocks in blocks
	mostDegree   = 10 // of a spline

	largest = 1e12 // of a number in the file
	widest  = 1e6  // of a coordinate in mm, as in geom
)
