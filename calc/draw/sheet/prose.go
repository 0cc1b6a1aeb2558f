package sheet

import (
	"unicode/utf8"

	"tubewright/calc/draw"
)

// Sizes of running text, in mm.
const (
	proseWide = 188.0 // what has room on an upright page of every paper
	textHigh  = 2.1   // of a capital
	textLine  = 1.85  // from base line to base line, over the height of a capital
	underText = 1.1   // below a paragraph or a row of a grid
	cellGap   = 3.0   // between the columns of a grid
)

// prose is text, grids and pictures below each other, to be dealt out on pages.
type prose struct{ strips []strip }

// strip is a part of a flow that is not cut: what is on it, from its top left corner, and
// how high it is.
type strip struct {
	list  []draw.Entity
	high  float64
	keep  bool    // on the page of the strip below it
	head  []strip // above it where it comes first on a page
	space bool    // left out at the top of a page
}

func (f *prose) add(list ...strip) { f.strips = append(f.strips, list...) }

// gap leaves room above what follows.
func (f *prose) gap(high float64) { f.add(strip{high: high, space: true, keep: true}) }

// section begins a part of the flow.
func (f *prose) section(name string) {
	const high = 3.2
	f.gap(5)
	f.add(strip{keep: true, high: high + 4.5, list: []draw.Entity{
		draw.Text{Layer: draw.Note, Height: high, Anchor: draw.TopLeft, Bold: true, Text: name},
		draw.Line{Layer: draw.Mark, From: draw.Pos{0, -high - 1.8}, To: draw.Pos{proseWide, -high - 1.8}},
	}})
}

// under is a smaller heading within a section.
func (f *prose) under(name string) {
	f.gap(2)
	f.add(kept(paragraph(name, 2.5, true, 0, proseWide))...)
}

// say adds a paragraph.
func (f *prose) say(text string) { f.add(paragraph(text, textHigh, false, 0, proseWide)...) }

// leads adds one that stands on the page of what follows it.
func (f *prose) leads(text string) { f.add(kept(paragraph(text, textHigh, false, 0, proseWide))...) }

// saysBold adds one that must not be overlooked.
func (f *prose) saysBold(text string) { f.add(paragraph(text, textHigh, true, 0, proseWide)...) }

// picture adds a drawing with its top left corner at the left, dx further in.
func (f *prose) picture(d draw.Drawing, dx float64) {
	b := d.Bounds()
	f.add(strip{list: d.Moved(dx-b.Min[0], -b.Max[1]).Entities, high: b.Height() + 2})
}

// beside adds drawings in rows from the left, as many as have room beside each other.
func (f *prose) beside(cells []draw.Drawing) {
	var row strip
	x := 0.0
	for _, c := range cells {
		b := c.Bounds()
		if x > 0 && x+b.Width() > proseWide {
			f.add(row)
			row, x = strip{}, 0
		}
		row.list = append(row.list, c.Moved(x-b.Min[0], -b.Max[1]).Entities...)
		row.high = max(row.high, b.Height()+4)
		x += b.Width() + between
	}
	if len(row.list) > 0 {
		f.add(row)
	}
}

// kept keeps strips on the page of what follows.
func kept(list []strip) []strip {
	for i := range list {
		list[i].keep = true
	}
	return list
}

// whole keeps strips together on one page.
func whole(list []strip) []strip {
	for i := range list {
		list[i].keep = i < len(list)-1
	}
	return list
}

// paragraph is a text in lines, a strip each, so that a long one may be cut by a page; its
// first and last two lines stay together.
func paragraph(text string, size float64, bold bool, x, width float64) []strip {
	var list []strip
	lines := fitted(text, size, bold, width)
	for i, line := range lines {
		list = append(list, strip{list: textAt(x, 0, size, bold, line), high: textLine * size, keep: i == 0 && len(lines) > 1 || i == len(lines)-2})
	}
	if n := len(list); n > 0 {
		list[n-1].high += underText
	}
	return list
}

func textAt(x, y, size float64, bold bool, text string) []draw.Entity {
	return []draw.Entity{draw.Text{Layer: draw.Note, At: draw.Pos{x, y}, Height: size, Anchor: draw.TopLeft, Bold: bold, Text: text}}
}

// fitted breaks a text into lines that have room, a word that is longer than a line too.
func fitted(text string, size float64, bold bool, width float64) []string {
	var list []string
	for _, line := range draw.Lines(text, width, size, bold) {
		for draw.TextWidth(line, size, bold) > width {
			n := len(line)
			for n > 0 && draw.TextWidth(line[:n], size, bold) > width {
				_, last := utf8.DecodeLastRuneInString(line[:n])
				n -= last
			}
			if n == 0 {
				break // not even one sign has room
			}
			list, line = append(list, line[:n]), line[n:]
		}
		list = append(list, line)
	}
	return list
}

// column is one of a grid.
type column struct {
	head  string
	wide  float64 // with the room to the next
	right bool    // figures
}

// grid is a list whose cells break into lines.
type grid struct {
	columns []column
	rows    [][]string
	bold    func(row int) bool // nil: none is
	size    float64            // of its text; 0: that of running text
}

// strips are those of the grid, each row one. Its heads stand again on every page.
func (g grid) strips() []strip {
	var head []strip
	heads := make([]string, len(g.columns))
	named := false
	for i, c := range g.columns {
		heads[i], named = c.head, named || c.head != ""
	}
	if named {
		h := g.row(heads, true, draw.Mark)
		h.list = append(h.list, draw.Line{Layer: draw.Mark, From: draw.Pos{0, 1.2}, To: draw.Pos{g.wide(), 1.2}})
		h.keep = true
		head = []strip{{high: 1.2}, h}
		head[0].keep = true
	}
	list := append([]strip(nil), head...)
	for i, r := range g.rows {
		s := g.row(r, g.bold != nil && g.bold(i), draw.Note)
		s.head = head
		list = append(list, s)
	}
	return list
}

func (g grid) wide() (sum float64) {
	for _, c := range g.columns {
		sum += c.wide
	}
	return sum
}

// row is one row with a line below it.
func (g grid) row(texts []string, bold bool, line draw.Layer) strip {
	var s strip
	x := 0.0
	size := g.size
	if size == 0 {
		size = textHigh
	}
	for i, c := range g.columns {
		lines := fitted(texts[i], size, bold, c.wide-cellGap)
		for n, text := range lines {
			t := draw.Text{Layer: draw.Note, At: draw.Pos{x, -float64(n) * textLine * size}, Height: size, Anchor: draw.TopLeft, Bold: bold, Text: text}
			if c.right {
				t.At[0], t.Anchor = x+c.wide-cellGap, draw.TopRight
			}
			s.list = append(s.list, t)
		}
		s.high = max(s.high, float64(len(lines))*textLine*size)
		x += c.wide
	}
	s.list = append(s.list, draw.Line{Layer: line, From: draw.Pos{0, -s.high + 0.6}, To: draw.Pos{x, -s.high + 0.6}})
	s.high += underText
	return s
}

// pages deals the flow out on pages of so many mm.
func (f *prose) pages(high float64) []draw.Drawing {
	pages := []draw.Drawing{{}}
	y := 0.0
	put := func(s strip) {
		on := &pages[len(pages)-1]
		on.Add(draw.Drawing{Entities: s.list}.Moved(0, -y).Entities...)
		y += s.high
	}
	for i := 0; i < len(f.strips); {
		end, tall := i+1, f.strips[i].high
		for ; end < len(f.strips) && f.strips[end-1].keep; end++ {
			tall += f.strips[end].high
		}
		if tall > high { // more than any page has: it is cut wherever one ends
			end, tall = i+1, f.strips[i].high
		}
		if y > 0 && y+tall > high {
			pages, y = append(pages, draw.Drawing{}), 0
			for _, h := range f.strips[i].head {
				put(h)
			}
		}
		for ; i < end; i++ {
			if y > 0 || !f.strips[i].space {
				put(f.strips[i])
			}
		}
	}
	return pages
}
