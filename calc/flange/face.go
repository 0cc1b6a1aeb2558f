package flange

import (
	"fmt"
	"math"

	"tubewright/calc/geom"
)

// Face is what has to come together where a flange sits: bolt holes and ports, of
// a head or of a flange or gasket, in one frame, x right and y up as seen facing
// the port.
type Face struct {
	Holes []Hole
	Ports []Port
}

// Hole is a bolt hole. Diameter is its own, Bolt that of the bolt it takes, in
// mm, 0 where unknown.
type Hole struct {
	ID             string
	At             [2]float64
	Diameter, Bolt float64
}

// Port is an opening, its outline where it lies in the frame of the face. An
// empty outline is not compared.
type Port struct {
	ID      string
	Outline geom.Outline
}

const (
	farthest  = 1e5 // mm from the origin; keeps squares and sums finite
	mostHoles = 64  // of one face; a head has about 16
	mostPorts = 64
)

func (f Face) check() error {
	if len(f.Holes) > mostHoles {
		return fmt.Errorf("%d holes: want at most %d", len(f.Holes), mostHoles)
	}
	if len(f.Ports) > mostPorts {
		return fmt.Errorf("%d ports: want at most %d", len(f.Ports), mostPorts)
	}
	for i, h := range f.Holes {
		for _, v := range []struct {
			name string
			got  float64
			low  float64
		}{{"x", h.At[0], -farthest}, {"y", h.At[1], -farthest}, {"diameter", h.Diameter, 0}, {"bolt diameter", h.Bolt, 0}} {
			if !(v.got >= v.low && v.got <= farthest) {
				return fmt.Errorf("hole %d (%s): %s %v mm: want %v to %v", i+1, h.ID, v.name, v.got, v.low, float64(farthest))
			}
		}
	}
	for i, p := range f.Ports {
		for _, s := range p.Outline.Segments() {
			for k := range 2 {
				if !(math.Abs(s.From[k]) <= farthest) {
					return fmt.Errorf("port %d (%s): outline at %v, %v mm: want at most %v from the origin", i+1, p.ID, s.From[0], s.From[1], float64(farthest))
				}
			}
		}
	}
	return nil
}

func (f Face) places() [][2]float64 {
	at := make([][2]float64, len(f.Holes))
	for i, h := range f.Holes {
		at[i] = h.At
	}
	return at
}

// play returns by how much a bolt may stand off the centre of a hole, in mm. It is
// false where one of the diameters is unknown.
func play(hole, bolt float64) (float64, bool) {
	return (hole - bolt) / 2, hole > 0 && bolt > 0
}

// sameSize is what two holes drilled for the same bolt may differ in diameter, in
// mm, where the bolts are unknown. Neighbouring sizes differ by 1.2 mm and more.
const sameSize = 0.5

// kinds returns a number for each hole, the same for holes that may change places:
// those for the same bolt, whatever they were drilled to, as the play is reckoned
// hole by hole; where the bolt is unknown, those of about the same diameter.
func kinds(holes []Hole) []int {
	kind := make([]int, len(holes))
	next := 0
	for i := range holes {
		kind[i] = -1
	}
	// Sizes chain: what lies between two sizes joins them.
	var join func(i int)
	join = func(i int) {
		kind[i] = next
		for j, h := range holes {
			if kind[j] < 0 && alike(holes[i], h) {
				join(j)
			}
		}
	}
	for i := range holes {
		if kind[i] < 0 {
			join(i)
			next++
		}
	}
	return kind
}

func alike(g, h Hole) bool {
	if g.Bolt > 0 && h.Bolt > 0 {
		return math.Abs(g.Bolt-h.Bolt) < sameSize/2
	}
	if g.Bolt > 0 || h.Bolt > 0 || g.Diameter == 0 || h.Diameter == 0 {
		return g.Bolt == h.Bolt && g.Diameter == h.Diameter
	}
	return math.Abs(g.Diameter-h.Diameter) <= sameSize
}
