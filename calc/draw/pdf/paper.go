package pdf

import "fmt"

// Paper is a size of page in mm, upright.
type Paper struct {
	Name          string // as it is chosen: "a4"
	Width, Height float64
}

// The papers there are: ISO 216, and the North American sizes 8½ × 11 in and
// 11 × 17 in (ANSI/ASME Y14.1 A and B), which are exact.
var (
	A4      = Paper{"a4", 210, 297}
	A3      = Paper{"a3", 297, 420}
	Letter  = Paper{"letter", 215.9, 279.4}
	Tabloid = Paper{"tabloid", 279.4, 431.8}
)

// Papers are all papers, in the order in which they are offered.
var Papers = []Paper{A4, Letter, A3, Tabloid}

// PaperOf returns the paper of that name.
func PaperOf(name string) (Paper, error) {
	for _, p := range Papers {
		if p.Name == name {
			return p, nil
		}
	}
	return Paper{}, fmt.Errorf("paper %q: want a4, letter, a3 or tabloid", name)
}

// size returns width and height of a page of this paper in mm.
func (p Paper) size(landscape bool) (w, h float64) {
	if landscape {
		return p.Height, p.Width
	}
	return p.Width, p.Height
}
