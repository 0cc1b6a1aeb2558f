package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
	"tubewright/calc/sorted"
	"tubewright/calc/units"
	"tubewright/calc/wrap"
)

// wheel is one CLR with one OD, and the pieces that are cut from such bends.
type wheel struct {
	clr, od float64
	pieces  []job.PiecePlan
	tubes   []string // ids
	paths   []string // ids of elements
	rests   []job.About
	wall    float64 // the thinnest
}

// wheels are the wheels of a job, the smallest CLR first: the lines by which a bend is
// cut square, with the marks of its pieces.
func (m maker) wheels() []draft {
	var all []*wheel
	for i, t := range m.w.Job.Tubes {
		tp := m.w.Plan.Tubes[i]
		for _, p := range tp.Pieces {
			if !isBend(p) {
				continue
			}
			clr, od := float64(*p.CLR), t.OD.V.MM()
			n := slices.IndexFunc(all, func(w *wheel) bool { return same(w.clr, clr) && same(w.od, od) })
			if n < 0 {
				n, all = len(all), append(all, &wheel{clr: clr, od: od, wall: math.Inf(1)})
			}
			w := all[n]
			w.pieces, w.wall = append(w.pieces, p), math.Min(w.wall, t.Wall.V.MM())
			if !slices.Contains(w.tubes, t.ID) {
				w.tubes, w.rests = append(w.tubes, t.ID), append(w.rests, m.path(t)...)
				for _, e := range t.Path {
					w.paths = append(w.paths, e.ID)
				}
			}
		}
	}
	sorted.By(all, func(a, b *wheel) int { return cmp.Or(cmp.Compare(a.clr, b.clr), cmp.Compare(a.od, b.od)) })
	var list []draft
	for _, w := range all {
		list = append(list, m.wheel(*w))
	}
	return list
}

// same tells whether two lengths in mm are the same but for rounding.
func same(a, b float64) bool { return math.Abs(a-b) < 0.005 }

// plain writes mm for a key, no more decimals than it needs.
func plain(mm float64) string { return strconv.FormatFloat(math.Round(mm*100)/100, 'f', -1, 64) }

// plainly writes a length without its unit, in mm with no more decimals than it needs.
func (m maker) plainly(mm float64) string {
	if m.o.Unit == "in" {
		return m.length(mm)
	}
	return plain(mm)
}

func (m maker) wheel(w wheel) draft {
	key := "wheel-" + plain(w.clr) + "x" + plain(w.od)
	d := draft{Entry: Entry{Key: key, Title: "Wheel for CLR " + m.plainly(w.clr) + ", OD " + m.with(w.od), Forms: []string{PDF, SVG}}}
	var disputed []string
	for _, p := range w.pieces {
		disputed = append(disputed, p.Disputed...)
	}
	d.Warnings = m.warnings(slices.Concat(w.tubes, w.paths), []string{"small", "tight"}, disputed)
	d.make = func(made *Made) error {
		made.uncut = "Nothing of a wheel is cut."
		drawing := draw.Drawing{Name: d.Title, Origin: "the centre of the bend, x along the tangent line"}
		m.wheelLines(&drawing, w)
		made.Sheets = []draw.Sheet{{Title: m.title(d.Entry, job.Bank{}), Warnings: d.Warnings, Cautions: cautions(), Drawing: drawing}}
		made.Lists = []draw.Table{m.wheelMarks(w), m.wheelMisses(w)}
		return nil
	}
	return d.resting(w.rests...)
}

// tick is how far lines that only mark their angle go into the tube, in mm.
const tick = 3.0

// wheelLines draws the wheel. A sector is drawn as far as the pieces need it, and never
// less than a quarter.
func (m maker) wheelLines(d *draw.Drawing, w wheel) {
	const (
		every = 5
		named = 15
		leg   = 25.0
		out   = 8.0 // rays over the outside
	)
	most := 90.0
	for _, p := range w.pieces {
		most = math.Max(most, float64(*p.Angle))
	}
	last := min(180, int(math.Ceil(most/named-1e-9))*named)
	r, sweep := w.od/2, float64(last)*math.Pi/180
	arc := func(l draw.Layer, radius float64) draw.Entity {
		return draw.Arc{Layer: l, Radius: radius, Sweep: sweep}
	}
	ray := func(l draw.Layer, deg, from, to float64) draw.Entity {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		return draw.Line{Layer: l, From: draw.Pos{from * cos, from * sin}, To: draw.Pos{to * cos, to * sin}}
	}
	d.Add(arc(draw.Mark, w.clr+r), arc(draw.Mark, w.clr-r), arc(draw.Centre, w.clr))
	// The leg below the tangent line, so that the bend is laid on square.
	for _, at := range []float64{w.clr - r, w.clr + r} {
		d.Add(draw.Line{Layer: draw.Reference, From: draw.Pos{at, 0}, To: draw.Pos{at, -leg}})
	}
	d.Add(draw.Line{Layer: draw.Centre, From: draw.Pos{w.clr, 0}, To: draw.Pos{w.clr, -leg}})
	for deg := 0; deg <= last; deg += every {
		if deg%named == 0 {
			d.Add(ray(draw.Mark, float64(deg), math.Min(4, 0.2*(w.clr-r)), w.clr+r+out))
		} else { // across both lines only: within the tube stand the pieces
			d.Add(ray(draw.Note, float64(deg), 0.45*(w.clr-r), w.clr-r+tick), ray(draw.Note, float64(deg), w.clr+r-tick, w.clr+r+out/2))
		}
		if deg%named == 0 {
			sin, cos := math.Sincos(float64(deg) * math.Pi / 180)
			at := w.clr + r + out + 5
			d.Add(draw.Text{Layer: draw.Note, At: draw.Pos{at * cos, at * sin}, Height: 2.8, Anchor: draw.MidMiddle, Bold: true, Text: fmt.Sprint(deg) + "°"})
		}
	}
	d.Add(draw.Circle{Layer: draw.Mark, Radius: 1}, draw.Line{Layer: draw.Mark, From: draw.Pos{-4, 0}, To: draw.Pos{4, 0}}, draw.Line{Layer: draw.Mark, From: draw.Pos{0, -4}, To: draw.Pos{0, 4}})
	d.Add(note(draw.Pos{0, -7}, draw.BaseMiddle, 2.2, false, "centre of the bend"))
	d.Add(note(draw.Pos{w.clr, -leg - 5}, draw.BaseMiddle, 2.5, true, "0° is the tangent line: the leg ends here"))
	d.Add(wheelPieces(w, named)...)
	for _, text := range []struct {
		at   float64
		says string
	}{{w.clr - r, "inside"}, {w.clr, "centreline"}, {w.clr + r, "outside"}} {
		d.Add(draw.Text{Layer: draw.Note, At: draw.Pos{text.at - 1, -leg / 2}, Height: 2.2, Anchor: draw.BaseMiddle, Turn: math.Pi / 2, Text: text.says})
	}
	miss := w.clr * math.Sin(float64(wrap.Squareness))
	d.Add(lines(draw.Pos{d.Bounds().Min[0] + d.Bounds().Width()/2, d.Bounds().Min[1] - 5},
		"Every cut goes through the centre: cut along a line of the wheel.",
		"Square within ½°: the saw misses the centre by no more than "+m.with(miss)+".",
		"inside line "+m.with(w.clr-r)+", centreline "+m.with(w.clr)+", outside line "+m.with(w.clr+r)+" from the centre",
		"Measure a bend's CLR before it is marked: (outside of one leg to inside of the other)/2, only at exactly 180°.")...)
}

// wheelPieces draws where the pieces end: dashed through the tube, their ids along the
// line, where there is room between it and the next. Pieces of the same angle share a
// line; rays stand every so many degrees.
func wheelPieces(w wheel, every int) []draw.Entity {
	const high, off, places = 2.2, 0.6, 4
	names := map[float64][]string{}
	var angles, lines []float64
	for _, p := range w.pieces {
		a := math.Round(float64(*p.Angle)*10) / 10
		if names[a] == nil {
			angles = append(angles, a)
		}
		names[a] = append(names[a], p.ID)
	}
	sorted.By(angles, cmp.Compare[float64])
	for deg := 0; deg <= 180; deg += every {
		lines = append(lines, float64(deg))
	}
	lines = append(lines, angles...)
	var list []draw.Entity
	var taken []span
	inside := w.clr - w.od/2
	for _, a := range angles {
		sin, cos := math.Sincos(a * math.Pi / 180)
		list = append(list, draw.Line{Layer: draw.Reference, From: draw.Pos{inside * cos, inside * sin}, To: draw.Pos{(w.clr + w.od/2) * cos, (w.clr + w.od/2) * sin}})
		text := draw.Text{Layer: draw.Note, Height: high, Anchor: draw.BaseMiddle, Turn: a * math.Pi / 180, Bold: true, Text: draw.Shortened(strings.Join(names[a], ", "), high, true, w.od-2*tick)}
		wide := text.Width()
		best, least := span{}, math.Inf(1)
		for i := range 2 * places {
			from := inside + tick + (w.od-2*tick-wide)*(1-float64(i/2)/(places-1))
			s := span{from: from, to: from + wide}
			deg := func(mm float64) float64 { return mm / from * 180 / math.Pi } // widest at its inner end
			if s.beyond = i%2 == 0; s.beyond {
				s.low, s.high = a+deg(off/2), a+deg(off+high)
			} else {
				s.low, s.high = a-deg(off+high), a-deg(off/2)
			}
			if cost := s.cost(lines, taken); cost < least {
				best, least = s, cost
			}
		}
		taken = append(taken, best)
		// Of its line the side of the larger angles is above the text that is read from the
		// centre outwards.
		at, up := (best.from+best.to)/2, off
		if !best.beyond {
			up = -off - high
		}
		if a > 90 {
			text.Turn -= math.Pi
			if up += high; !best.beyond {
				up = -off
			}
		}
		text.At = draw.Pos{at*cos - up*sin, at*sin + up*cos}
		list = append(list, text)
	}
	return list
}

// span is a part of a ring, in mm from the centre and degrees; beyond is on the side of
// the larger angles of its line.
type span struct {
	from, to, low, high float64
	beyond              bool
}

// cost is how many lines run through the span, and ten times how many others it meets.
func (s span) cost(lines []float64, taken []span) (n float64) {
	for _, a := range lines {
		if a > s.low && a < s.high {
			n++
		}
	}
	for _, t := range taken {
		if s.from < t.to && t.from < s.to && s.low < t.high && t.low < s.high {
			n += 10
		}
	}
	return n
}

// wheelMarks are the marks of the pieces, for a tape, a rule and an angle gauge.
func (m maker) wheelMarks(w wheel) draw.Table {
	u := ", " + string(m.o.Unit)
	t := draw.Table{Name: "Marks from the tangent line, square cut to square cut", Left: 1, Heads: []string{"piece", "bent through", "outside" + u, "inside" + u, "centreline" + u, "chord outside" + u, "chord inside" + u, "wall left outside" + u}}
	for _, p := range w.pieces {
		chord := func(radius float64) string {
			return m.both(2 * radius * math.Sin(float64(*p.Angle)*math.Pi/360))
		}
		t.Rows = append(t.Rows, []string{p.ID, decimals(float64(*p.Angle), 1) + "°", m.both(float64(*p.Outside)), m.both(float64(*p.Inside)), m.both(float64(p.Length)), chord(w.clr + w.od/2), chord(w.clr - w.od/2), m.length(float64(*p.WallLeft))})
	}
	return t
}

// wheelMisses is what a cut beside the centre leaves: how far the face leans and how it
// stands against a round end.
func (m maker) wheelMisses(w wheel) draw.Table {
	u := ", " + string(m.o.Unit)
	t := draw.Table{Name: "Where the cut misses the centre", Heads: []string{"misses by" + u, "out of square", "face is wide" + u, "ovality", "greatest step" + u, "within ½°"}}
	for _, off := range []float64{0.5, 1, 2, 3, 5, 8} {
		face, err := wrap.Miss(units.Length(w.od), units.Length(w.clr), units.Length(off))
		if err != nil {
			break // beyond, the cut runs out
		}
		good := "yes"
		if face.Lean > wrap.Squareness {
			good = "no"
		}
		t.Rows = append(t.Rows, []string{m.length(off), decimals(face.Lean.Deg(), 2) + "°", m.length(face.Wide.MM()), decimals(100*face.Ovality, 2) + " %", m.length(face.Step.MM()), good})
	}
	return t
}
