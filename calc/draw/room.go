package draw

import "math"

// Room knows where a drawing is busy, so that what is added stands where it is least in
// the way. The zero value is an empty drawing.
type Room struct {
	texts []Box                   // taken by texts; nothing else may stand there
	ink   map[[2]int][][2]float64 // points of lines, 1 mm apart, by square: better not there
}

// square is the side in mm of the squares by which ink is kept.
const square = 5.0

func squareOf(p [2]float64) [2]int {
	return [2]int{int(math.Floor(p[0] / square)), int(math.Floor(p[1] / square))}
}

func (r *Room) dot(p [2]float64) {
	if r.ink == nil {
		r.ink = map[[2]int][][2]float64{}
	}
	s := squareOf(p)
	r.ink[s] = append(r.ink[s], p)
}

// dots returns into how many steps a line is cut, 1 mm each unless it is very long.
func dots(length float64) int { return 1 + int(min(length, 5000)) }

// Take says that these are drawn.
func (r *Room) Take(list ...Entity) {
	for _, e := range list {
		switch e := e.(type) {
		case Line:
			n := dots(math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1]))
			for i := range n + 1 {
				t := float64(i) / float64(n)
				r.dot([2]float64{e.From[0] + t*(e.To[0]-e.From[0]), e.From[1] + t*(e.To[1]-e.From[1])})
			}
		case Arc:
			n := dots(e.Radius * math.Abs(e.Sweep))
			for i := range n + 1 {
				r.dot(e.At(float64(i) / float64(n)))
			}
		case Circle:
			r.Take(Arc{Centre: e.Centre, Radius: e.Radius, Sweep: 2 * math.Pi})
		case Loop:
			r.Take(e.Pieces()...)
		case Text, Picture:
			r.texts = append(r.texts, e.Bounds())
		}
	}
}

// Cost is how much something in the box would stand in the way: about 1 for each mm of
// line in it, and 20 and more for each text that it touches; 0 where nothing is. The box is
// that of a label, not of a drawing: its time goes with its area.
func (r *Room) Cost(b Box) float64 {
	cost := 0.0
	for _, t := range r.texts {
		w := min(b.Max[0], t.Max[0]) - max(b.Min[0], t.Min[0])
		h := min(b.Max[1], t.Max[1]) - max(b.Min[1], t.Min[1])
		if w > 0 && h > 0 {
			cost += 20 + 10*w*h
		}
	}
	low, high := squareOf(b.Min), squareOf(b.Max)
	for x := low[0]; x <= high[0]; x++ {
		for y := low[1]; y <= high[1]; y++ {
			for _, p := range r.ink[[2]int{x, y}] {
				if p[0] > b.Min[0] && p[0] < b.Max[0] && p[1] > b.Min[1] && p[1] < b.Max[1] {
					cost++
				}
			}
		}
	}
	return cost
}

// label returns a leader from a circle with a text where it is least in the way: 16
// directions at four reaches are tried, the wished direction and short leaders first.
func (r *Room) label(centre [2]float64, radius, wish float64, text string) []Entity {
	var best []Entity
	least := math.Inf(1)
	for _, reach := range [4]float64{4, 7, 11, 16} {
		for i := range 16 {
			// Alternately to both sides of the wish.
			off := float64((i+1)/2) * math.Pi / 8
			if i%2 == 1 {
				off = -off
			}
			list := leader(centre, radius, wish+off, reach, text)
			cost := 0.3*reach + math.Abs(off)
			for _, e := range list {
				switch e := e.(type) {
				case Text:
					cost += 1.5 * r.Cost(e.Bounds().Grown(0.5))
				case Line:
					// A leader across a text cannot be told from a stroke of it.
					for j := range 9 {
						t := float64(j) / 8
						p := [2]float64{e.From[0] + t*(e.To[0]-e.From[0]), e.From[1] + t*(e.To[1]-e.From[1])}
						cost += 0.2 * r.Cost(Box{p, p}.Grown(0.4))
					}
				}
			}
			if cost < least {
				best, least = list, cost
			}
		}
	}
	r.Take(best...)
	return best
}
