package flange

// On is the own bolt or port that a hole or an opening of another face lies on, by its
// id; empty where it lies on none.
type On struct{ Bolt, Port string }

// Lies tells of each hole and opening of another face what of the own it lies on, with
// the other laid down in the first of the ways of Compare: on a port where its middle
// is within the port's outline, else on a bolt within 5 mm. It is a guess to show
// somebody who knows what was drawn, so that holes may be holes and openings mixed;
// nothing where the other cannot be laid down.
func Lies(own, other Face) (holes, openings []On) {
	holes, openings = make([]On, len(other.Holes)), make([]On, len(other.Ports))
	ways, err := Compare(own, other)
	if err != nil || len(ways) == 0 {
		return holes, openings
	}
	lay := ways[0].Placement
	for i, h := range other.Holes {
		holes[i] = own.on(lay.Point(h.At))
	}
	for i, p := range other.Ports {
		x, y := p.Outline.Centroid()
		openings[i] = own.on(lay.Point([2]float64{x, y}))
	}
	return holes, openings
}

func (f Face) on(at [2]float64) On {
	for _, p := range f.Ports {
		if p.Outline.Contains(at) {
			return On{Port: p.ID}
		}
	}
	nearest, off := "", float64(widestMiss)
	for _, h := range f.Holes {
		if d := distance(h.At, at); d <= off {
			nearest, off = h.ID, d
		}
	}
	return On{Bolt: nearest}
}
