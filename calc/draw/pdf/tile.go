package pdf

import (
	"fmt"
	"math"

	"tubewright/calc/draw"
)

const (
	// Margin is what most printers leave white at the edges of a page, and then some,
	// in mm (common practice, no source).
	Margin = 10
	// Overlap is how much of the drawing two neighbouring pages share, in mm.
	Overlap = 10
	// MostPages is how many pages one sheet may have.
	MostPages = 100

	rulerLong  = 100.0
	rulerStrip = 9.0  // left of the drawing, for the upright ruler
	footStrip  = 13.0 // below the drawing, for the level ruler, the pages' order and a line of text
	listStrip  = 6.0  // the same on a sheet that is not to scale
	around     = 1.0  // white about the drawing
	cautionGap = 1.5  // between title block and cautions
	tileNote   = 2.0  // of a capital of a caution
)

// Tiling is how a sheet lies on its pages. Pages are numbered from the top left, row
// by row.
type Tiling struct {
	Paper         Paper
	Landscape     bool
	Columns, Rows int
	Window        draw.Box // of the drawing on each page, in mm from the page's lower left corner
	Scale         float64  // 1, or less for a sheet that is not to scale
	// First is the place of the drawing, in its own mm, that stands at the window's
	// lower left corner of the page at the bottom left.
	First [2]float64
}

// Pages returns how many pages there are.
func (t Tiling) Pages() int { return t.Columns * t.Rows }

// step returns how far the drawing moves from one page to the next.
func (t Tiling) step() (x, y float64) { return t.Window.Width() - Overlap, t.Window.Height() - Overlap }

// Shown returns what page i, from 0, shows of the drawing, in the drawing's mm.
func (t Tiling) Shown(i int) draw.Box {
	sx, sy := t.step()
	x := t.First[0] + float64(i%t.Columns)*sx
	y := t.First[1] + float64(t.Rows-1-i/t.Columns)*sy
	return draw.Box{Min: [2]float64{x, y},
		Max: [2]float64{x + t.Window.Width()/t.Scale, y + t.Window.Height()/t.Scale}}
}

// Tile returns how the sheet lies on pages of the paper: upright or across,
// whichever takes fewer pages, upright where they are the same. The error says how
// large the drawing is when it would take more than MostPages.
func Tile(s draw.Sheet, p Paper) (Tiling, error) {
	if err := s.Check(); err != nil {
		return Tiling{}, err
	}
	best := tile(s, p, false)
	if other := tile(s, p, true); better(other, best) {
		best = other
	}
	if best.Pages() > MostPages {
		b := s.Drawing.Bounds()
		return Tiling{}, fmt.Errorf("%s is %.0f × %.0f mm and would take %d pages of %s, more than %d", s.Drawing.Name, b.Width(), b.Height(), best.Pages(), p.Name, MostPages)
	}
	return best, nil
}

// better reports whether t is a better way than u: fewer pages, or less shrunk.
func better(t, u Tiling) bool {
	if t.Pages() != u.Pages() {
		return t.Pages() < u.Pages()
	}
	return t.Scale > u.Scale
}

func tile(s draw.Sheet, p Paper, landscape bool) Tiling {
	w, h := p.size(landscape)
	f := frame{sheet: s, width: w, height: h}
	t := Tiling{Paper: p, Landscape: landscape, Columns: 1, Rows: 1, Scale: 1, Window: f.window()}
	b := s.Drawing.Bounds()
	if b.IsEmpty() {
		b = draw.Box{}
	}
	b = b.Grown(around)
	have := [2]float64{t.Window.Width(), t.Window.Height()}
	want := [2]float64{b.Width(), b.Height()}
	if s.NotToScale {
		t.Scale = min(1, have[0]/want[0], have[1]/want[1])
		// Lists begin at the top left.
		t.First = [2]float64{b.Min[0], b.Max[1] - have[1]/t.Scale}
		return t
	}
	t.Columns, t.Rows = tiles(want[0], have[0]), tiles(want[1], have[1])
	sx, sy := t.step()
	// What is over is left white on both sides alike.
	t.First = [2]float64{
		b.Min[0] - (float64(t.Columns-1)*sx+have[0]-want[0])/2,
		b.Min[1] - (float64(t.Rows-1)*sy+have[1]-want[1])/2,
	}
	return t
}

// tiles returns how many windows of length have, overlapping, hold the length want.
func tiles(want, have float64) int {
	return max(1, int(math.Ceil((want-Overlap)/(have-Overlap)-1e-9)))
}

// letter is a place on the drawing that two or more pages show, and its name.
type letter struct {
	at   [2]float64
	name string
}

// joins returns the marks by which pages are laid together: on the middle of every
// overlap, two between each two neighbours.
func (t Tiling) joins() (list []letter) {
	sx, sy := t.step()
	add := func(x, y float64) { list = append(list, letter{[2]float64{x, y}, lettered(len(list))}) }
	for i := range t.Pages() {
		b := t.Shown(i)
		for _, part := range [2]float64{0.25, 0.75} {
			if i%t.Columns < t.Columns-1 {
				add(b.Min[0]+sx+Overlap/2, b.Max[1]-part*b.Height())
			}
		}
		for _, part := range [2]float64{0.25, 0.75} {
			if i/t.Columns < t.Rows-1 {
				add(b.Min[0]+part*b.Width(), b.Max[1]-sy-Overlap/2)
			}
		}
	}
	return list
}

// lettered counts A to Z, then AA, AB and so on, without I and O, which are read as
// figures.
func lettered(i int) string {
	const letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
	if i < len(letters) {
		return letters[i : i+1]
	}
	return lettered(i/len(letters)-1) + letters[i%len(letters):i%len(letters)+1]
}
