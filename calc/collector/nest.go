package collector

import (
	"math"

	"tubewright/calc/geom"
)

// Ring returns the radius of the circle on which the centres of n sockets lie whose
// neighbours are pitch apart:
//
//	ρ = pitch / (2·sin(π/n))
//
// Closed form; 0 for a single socket. Round sockets that touch have their OD as
// pitch, and a bundle as wide as OD·(1 + 1/sin(π/n)).
func Ring(n int, pitch float64) float64 {
	if n < 2 {
		return 0
	}
	return pitch / (2 * math.Sin(math.Pi/float64(n)))
}

// InRing returns the mouths of n sockets in a ring, each in its middle and along the
// flow, with N outwards. Socket 1 lies along N of the collector's frame f.
func InRing(f geom.Frame, n int, pitch float64) []geom.Frame {
	r := Ring(n, pitch)
	mouths := make([]geom.Frame, n)
	for i := range mouths {
		m := f.Turn(2 * math.Pi * float64(i) / float64(n))
		m.O = m.O.Add(m.N.Scale(r))
		mouths[i] = m
	}
	return mouths
}

// InRow returns the mouths of n sockets side by side along N, the first farthest
// against it.
func InRow(f geom.Frame, n int, pitch float64) []geom.Frame {
	mouths := make([]geom.Frame, n)
	for i := range mouths {
		m := f
		m.O = m.O.Add(m.N.Scale(pitch * (float64(i) - float64(n-1)/2)))
		mouths[i] = m
	}
	return mouths
}

// Entry is how the end of a tube lies to the socket that it is meant for.
type Entry struct {
	Offset float64 // mm, of the end from the socket's axis
	Aim    float64 // rad, between the end's direction and the flow
	Insert float64 // mm that the end lies behind the mouth; below 0 it does not reach it
}

// Enter compares a tube's end, in the same frame as the mouth, with the socket.
func Enter(mouth, end geom.Frame) Entry {
	d := end.O.Sub(mouth.O)
	along := d.Dot(mouth.T)
	return Entry{
		Offset: d.Sub(mouth.T.Scale(along)).Norm(),
		Aim:    math.Atan2(mouth.T.Cross(end.T).Norm(), mouth.T.Dot(end.T)),
		Insert: along,
	}
}

// Lean returns by how many rad a round end of the given OD can lean in a socket of
// the given bore once it is depth mm inside: to first order the slack over the depth.
//
//	atan((bore − OD) / depth)
//
// It is 0 where the end does not go in, and a quarter turn at no depth.
func Lean(bore, od, depth float64) float64 {
	if bore <= od {
		return 0
	}
	return math.Atan2(bore-od, math.Max(depth, 0))
}
