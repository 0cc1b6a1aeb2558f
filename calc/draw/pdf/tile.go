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
	Joins []Join
}

// Pages returns how many pages there are.
func (t Tiling) Pages() int { return t.Columns * t.Rows }

// legible leaves out of a drawing the texts that page i would cut off and another page
// shows whole: half a figure is read as another one.
func (t Tiling) legible(d draw.Drawing, i int) draw.Drawing {
	list := make([]draw.Entity, 0, len(d.Entities))
	for _, e := range d.Entities {
		if text, ok := e.(draw.Text); ok && !t.holds(i, text.Bounds()) && t.isWhole(text.Bounds()) {
			continue
		}
		list = append(list, e)
	}
	d.Entities = list
	return d
}

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
// large the drawing is when it would take more than MostPages, and when cautions leave
// less than the rulers need.
func Tile(s draw.Sheet, p Paper) (Tiling, error) {
	if err := s.Check(); err != nil {
		return Tiling{}, err
	}
	best := tile(s, p, false)
	if other := tile(s, p, true); !best.hasRoom() || other.hasRoom() && better(other, best) {
		best = other
	}
	if !best.hasRoom() {
		return Tiling{}, fmt.Errorf("%s: title and cautions leave no room for the drawing on %s", s.Drawing.Name, p.Name)
	}
	if best.Pages() > MostPages {
		b := s.Drawing.Bounds()
		return Tiling{}, fmt.Errorf("%s is %.0f × %.0f mm and would take %d pages of %s, more than %d", s.Drawing.Name, b.Width(), b.Height(), best.Pages(), p.Name, MostPages)
	}
	best.Joins = best.joined(s.Drawing)
	return best, nil
}

// ListRoom returns the width and height in mm that a sheet which is not to scale may
// have on an upright page before it is made smaller; draw.Table.Pages cuts by it.
func ListRoom(s draw.Sheet, p Paper) (width, height float64) {
	s.NotToScale = true
	w := frame{s, p.Width, p.Height}.window()
	return w.Width() - 2*around, w.Height() - 2*around
}

// hasRoom reports whether both rulers fit beside the window.
func (t Tiling) hasRoom() bool {
	return t.Window.Max[0]-t.Window.Min[0] > rulerLong && t.Window.Max[1]-t.Window.Min[1] > rulerLong
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

// Join is a place on the drawing that two or more pages show, marked by a cross and
// letters.
type Join struct {
	At   [2]float64 // in the drawing's mm
	Name string
}

// armLong is half the length of a cross in mm, less than half the overlap, so that
// both pages show all of it.
const armLong = 4.0

// joined returns the marks by which pages are laid together: on the middle of every
// overlap, two between each two neighbours, one in each half of their common side,
// where the drawing leaves room.
func (t Tiling) joined(d draw.Drawing) (list []Join) {
	if t.Pages() == 1 {
		return nil
	}
	var room draw.Room
	room.Take(d.Entities...)
	// add puts a mark on the way from a to b, each mm of which counts the same.
	add := func(a, b [2]float64) {
		const tries = 12
		j := Join{Name: lettered(len(list))}
		least := math.Inf(1)
		for i := range tries + 1 {
			part := float64(i) / tries
			at := [2]float64{a[0] + part*(b[0]-a[0]), a[1] + part*(b[1]-a[1])}
			if cost := room.Cost(markBox(at)); cost < least {
				j.At, least = at, cost
			}
		}
		room.Take(j.mark()...)
		list = append(list, j)
	}
	sx, sy := t.step()
	for i := range t.Pages() {
		b := t.Shown(i)
		// Clear of the corners, which other joins pass.
		x0, x1 := b.Min[0]+2*Overlap, b.Max[0]-2*Overlap
		y0, y1 := b.Min[1]+2*Overlap, b.Max[1]-2*Overlap
		if i%t.Columns < t.Columns-1 {
			x, mid := b.Min[0]+sx+Overlap/2, (y0+y1)/2
			add([2]float64{x, y1}, [2]float64{x, mid + Overlap})
			add([2]float64{x, y0}, [2]float64{x, mid - Overlap})
		}
		if i/t.Columns < t.Rows-1 {
			y, mid := b.Max[1]-sy-Overlap/2, (x0+x1)/2
			add([2]float64{x0, y}, [2]float64{mid - Overlap, y})
			add([2]float64{x1, y}, [2]float64{mid + Overlap, y})
		}
	}
	return list
}

// mark returns the cross, its ring and its letters.
func (j Join) mark() []draw.Entity {
	line := func(dx, dy float64) draw.Entity {
		return draw.Line{Layer: draw.Note, From: [2]float64{j.At[0] - dx, j.At[1] - dy}, To: [2]float64{j.At[0] + dx, j.At[1] + dy}}
	}
	return []draw.Entity{line(armLong, 0), line(0, armLong),
		draw.Circle{Layer: draw.Note, Centre: j.At, Radius: 2},
		draw.Text{Layer: draw.Note, At: [2]float64{j.At[0] + 2, j.At[1] + 2}, Height: 2.2, Bold: true, Text: j.Name}}
}

// markBox is the box that a mark at the place needs.
func markBox(at [2]float64) draw.Box {
	return draw.Box{Min: at, Max: at}.Grown(armLong + 1)
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
