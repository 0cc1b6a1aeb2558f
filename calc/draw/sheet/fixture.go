package sheet

import (
	"fmt"
	"math"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// Cautions of what is clamped, cut and tacked on a fixture.
const (
	clampCaution = "Clamp the plate down before anything is bent or driven on it. Edges of posts and plate are sharp until they are broken; what is tacked or welded stays hot in its clamp."
	hotCaution   = "Tacking near the car is hot work: battery off, fuel, lines and trim out of reach of sparks or shielded, extinguisher at hand, somebody watches afterwards (29 CFR 1910.252(a)). Local rules come first."
)

// fixed is the plan of a fixture as it is drawn.
type fixed struct {
	maker
	job.FixturePlan
	pitch float64 // of its rows, mm
}

// fixture is the station sheet: what is looked at all the time while the header is set up
// and tacked, so that its figures are read at arm's length.
func (m maker) fixture() draft {
	d := draft{Entry: Entry{Key: "fixture", Title: "Fixture, stations", Forms: []string{PDF, SVG}, Warnings: []string{}, NotToScale: true, Why: m.noFixture()}}
	d.make = func(made *Made) error {
		made.uncut = "Nothing of the list of stations is cut: the plate has a sheet of its own."
		f, err := m.fixed(d.Key)
		if err != nil {
			return err
		}
		if len(f.Stations) == 0 {
			return &Unmade{d.Key, "No station has room on any tube."}
		}
		made.Revision = m.held().Making.Revision
		made.Warnings = f.stops()
		made.Sheets = f.onPages(d, made.Warnings)
		return nil
	}
	return d
}

// fixed works the fixture out.
func (m maker) fixed(key string) (fixed, error) {
	if m.o.Fixture == nil {
		return fixed{}, &Unmade{key, "The fixture is not worked out here."}
	}
	f := fixed{maker: m, FixturePlan: m.o.Fixture()}
	if f.Base == nil {
		return f, &Unmade{key, noTubeYet}
	}
	return f, nil
}

const noTubeYet = "To enter first: a bank, and a tube with its OD and its path."

// noFixture says why there can be none.
func (m maker) noFixture() string {
	for _, t := range m.w.Plan.Tubes {
		if len(t.Path) > 0 {
			return ""
		}
	}
	return noTubeYet
}

// stops are what speaks against the fixture.
func (f fixed) stops() []string {
	list := []string{}
	for _, severity := range []job.Severity{job.Stop, job.Warn} {
		for _, one := range f.Findings {
			if one.Severity == severity {
				list = append(list, one.Text)
			}
		}
	}
	if more := len(list) - mostWarnings; more > 0 {
		list = append(list[:mostWarnings:mostWarnings], fmt.Sprintf("And %d more: look at the fixture's page.", more))
	}
	return list
}

// fixtureRests is what a fixture rests on: not what was checked or clamped, nor how far a
// piece has come.
func (m maker) fixtureRests() []job.About {
	on := []job.About{{Kind: "fixture", ID: job.Self}}
	for _, s := range m.w.Job.Fixture.Stations {
		on = append(on, job.About{Kind: "station", ID: s.ID, Fields: []string{"on", "along", "opening", "wrap", "arm", "arm_angle", "removable", "leave_out", "number"}})
	}
	for _, k := range m.w.Job.Banks {
		on = append(on, job.About{Kind: "bank", ID: k.ID, With: []string{"bolt", "port"}})
	}
	for _, c := range m.w.Job.Collectors {
		on = append(on, job.About{Kind: "collector", ID: c.ID})
	}
	for _, t := range m.w.Job.Tubes {
		on = append(on, m.path(t)...)
		on = append(on, job.About{Kind: "tube", ID: t.ID, Fields: []string{"socket"}, With: []string{"mark", "crook"}})
	}
	return on
}

const (
	// figuresHigh is how high figures are that are read at arm's length, in mm.
	figuresHigh = 5.0
	namesWide   = 27.0 // beside a picture for names
	namesHigh   = 36.0 // above and below it
	leastSide   = 62.0 // that pictures have, however many rows there are
)

// pitches are how far rows may be apart, in mm: closer where that brings all of them onto
// one page.
var pitches = [...]float64{9.2, 8.3, 7.4}

// onPages lays pictures and rows out on pages that have room for them unshrunk.
func (f fixed) onPages(d draft, warnings []string) []draw.Sheet {
	sheet := draw.Sheet{Title: f.title(d.Entry, f.held()), Warnings: warnings, Cautions: []string{startCaution, clampCaution, hotCaution}, NotToScale: true}
	room := leastHigh - listEdge
	_, high := sheet.Block(draw.Pos{}, leastWide)
	room -= high
	_, high = sheet.Warned(draw.Pos{}, leastWide)
	room -= high
	for _, c := range sheet.Cautions {
		_, high = draw.Paragraph(c, draw.Pos{}, leastWide, 2)
		room -= high
	}
	var p prose
	below, left := f.below(room, pitches[0])
	for _, pitch := range pitches[1:] {
		if left >= leastSide {
			break
		}
		if closer, more := f.below(room, pitch); more >= leastSide {
			below, left = closer, more
		}
	}
	f.sides(&p, left)
	p.add(below.strips...)
	var sheets []draw.Sheet
	for _, page := range p.pages(room) {
		page.Name, page.Origin = d.Title, "top left, not to scale"
		one := sheet
		one.Drawing = page
		sheets = append(sheets, one)
	}
	return sheets
}

// below is what stands below the pictures, with rows so far apart, and what of the room of
// a page is left for those.
func (f fixed) below(room, pitch float64) (p prose, left float64) {
	f.pitch = pitch
	f.ways(&p)
	f.rows(&p)
	for _, s := range p.strips {
		room -= s.high
	}
	return p, room
}

// sides are the header on its posts, seen along both edges of the plate, to one scale.
func (f fixed) sides(p *prose, left float64) {
	up := geom.Vec(f.Base.Normal)
	sights := []sight{{right: geom.Vec(f.Base.X), up: up, scale: 1}, {right: geom.Vec(f.Base.Y), up: up, scale: 1}}
	wide, high := 0.0, 0.0
	for i, s := range sights {
		sights[i].out = s.right.Cross(s.up)
		b := f.scene(sights[i]).Bounds()
		wide, high = wide+b.Width(), max(high, b.Height())
	}
	left = max(left, leastSide)
	across := (proseWide - float64(len(sights))*namesWide) / max(wide, 1)
	row := f.beside(sights, min(across, (left-namesHigh)/max(high, 1)))
	if over := row.high - left; over > 0 { // names that stand farther off than usual
		row = f.beside(sights, min(across, (left-namesHigh-over)/max(high, 1)))
	}
	p.add(row)
}

// beside are the pictures in one row.
func (f fixed) beside(sights []sight, scale float64) (row strip) {
	for i, s := range sights {
		s.scale = scale
		d := f.side(s, []string{"x", "y"}[i])
		b := d.Bounds()
		x := 0.0
		if i > 0 {
			x = proseWide - b.Width()
		}
		row.list = append(row.list, d.Moved(x-b.Min[0], -b.Max[1]).Entities...)
		row.high = max(row.high, b.Height()+4)
	}
	return row
}

// side is the picture from one side; axis is the one of the plate that runs to the right.
func (f fixed) side(s sight, axis string) draw.Drawing {
	d := f.scene(s)
	b := d.Bounds()
	var room draw.Room
	room.Take(d.Entities...)
	for _, st := range f.Stations {
		list := f.marked(s, st, &room)
		room.Take(list...)
		d.Add(list...)
	}
	d.Add(f.outward(s, draw.Pos{b.Min[0] - 6, b.Max[1] + 4})...)
	at := draw.Pos{(b.Min[0] + b.Max[0]) / 2, d.Bounds().Min[1] - 6}
	d.Add(note(at, draw.BaseMiddle, 2.6, false, axis+" of the plate to the right"))
	return d
}

// scene is what stands there.
func (f fixed) scene(s sight) draw.Drawing {
	var d draw.Drawing
	for _, plate := range []*job.BasePlan{f.Base, f.Upright} {
		if plate == nil {
			continue
		}
		d.Add(s.hull(draw.Reference, slab(plate, plate.Outline, -float64(plate.Thickness)))...)
		if thick := f.held().Thickness; len(plate.Flange) > 0 && thick.Known {
			d.Add(s.hull(draw.Mark, slab(plate, plate.Flange, thick.V.MM()))...)
		}
	}
	var all []strand
	for i, t := range f.w.Plan.Tubes {
		if od := f.w.Job.Tubes[i].OD; od.Known && len(t.Path) > 0 {
			all = append(all, stretched(draw.Mark, od.V.MM()/2, t.Path))
		}
	}
	for _, c := range f.w.Plan.Collectors {
		if c.SocketID == nil || c.Depth == nil {
			continue
		}
		for _, at := range c.Sockets {
			from := geom.Vec(at.At)
			all = append(all, rodOf(draw.Mark, float64(*c.SocketID)/2+1.5, from, from.Add(geom.Vec(at.Dir).Scale(float64(*c.Depth)))))
		}
	}
	post := f.w.Job.Fixture.Post.MM() / 2
	for _, st := range f.Stations {
		all = append(all, rodOf(draw.Note, post, geom.Vec(st.FootAt), geom.Vec(st.Top)))
		if st.ArmTo != nil && st.Arm > 0 {
			all = append(all, rodOf(draw.Note, post/2, geom.Vec(st.Top), geom.Vec(*st.ArmTo)))
		}
	}
	d.Add(s.outlines(all)...)
	return d
}

// held is the bank whose flange is held.
func (m maker) held() job.Bank {
	for _, k := range m.w.Job.Banks {
		if m.w.Job.Fixture.Bank == "" || k.ID == m.w.Job.Fixture.Bank {
			return k
		}
	}
	return job.Bank{}
}

// slab are the corners of an outline on a plate, on its face and thick mm off it.
func slab[P ~[2]float64](plate *job.BasePlan, outline []P, thick float64) []geom.Vec {
	var list []geom.Vec
	for _, c := range outline {
		at := onPlate(plate, c)
		list = append(list, at, at.Add(geom.Vec(plate.Normal).Scale(thick)))
	}
	return list
}

// onPlate is a place on a plate.
func onPlate[P ~[2]float64](plate *job.BasePlan, p P) geom.Vec {
	return geom.Vec(plate.At).Add(geom.Vec(plate.X).Scale(p[0])).Add(geom.Vec(plate.Y).Scale(p[1]))
}

// marked is the mark of a station across its tube and its name beside it, framed where it
// comes off.
func (f fixed) marked(s sight, st job.StationPlan, room *draw.Room) []draw.Entity {
	at, r := geom.Vec(st.At), float64(st.OD)/2+2/s.scale
	var list []draw.Entity
	if off, ok := s.aside(geom.Vec(st.Dir)); ok {
		list = append(list, draw.Line{Layer: draw.Mark, From: s.on(at.Add(off.Scale(r))), To: s.on(at.Sub(off.Scale(r)))})
	} else {
		list = append(list, draw.Circle{Layer: draw.Mark, Centre: s.on(at), Radius: s.scale * r})
	}
	list = append(list, dot(s.on(at)))
	text := draw.Text{Layer: draw.Note, Height: figuresHigh, Anchor: draw.MidMiddle, Bold: true, Text: st.Name}
	var best []draw.Entity
	least := math.Inf(1)
	for _, reach := range [5]float64{9, 13, 18, 24, 31} {
		for i := range 16 {
			sin, cos := math.Sincos(math.Pi/2 + float64(i)*math.Pi/8)
			from := s.on(at)
			text.At = draw.Pos{from[0] + cos*(reach+text.Width()/2), from[1] + sin*reach}
			b := text.Bounds().Grown(1.2)
			cost := room.Cost(b) + 0.4*reach
			knee := draw.Pos{from[0] + cos*(reach-2), from[1] + sin*(reach-3.5)}
			for j := range 6 {
				k := 0.3 + 0.14*float64(j)
				p := draw.Pos{from[0] + k*(knee[0]-from[0]), from[1] + k*(knee[1]-from[1])}
				cost += 0.15 * room.Cost(draw.Box{Min: p, Max: p}.Grown(0.5))
			}
			if cost < least {
				least = cost
				best = []draw.Entity{draw.Line{Layer: draw.Dimension, From: from, To: knee}, text}
				if st.Removable {
					best = append(best, box(draw.Mark, b.Min[0], b.Min[1], b.Max[0], b.Max[1]))
				}
			}
		}
	}
	return append(list, best...)
}

// dot is a small filled round.
func dot(at draw.Pos) draw.Entity {
	const r = 0.9
	return draw.Loop{Layer: draw.Note, Filled: true, Vertices: []geom.Vertex{{X: at[0] - r, Y: at[1], Bulge: 1}, {X: at[0] + r, Y: at[1], Bulge: 1}}}
}

// outward is the way out as an arrow, or as its point or its feathers where it leads
// towards the eye or away from it.
func (f fixed) outward(s sight, at draw.Pos) []draw.Entity {
	way := f.Release.Header
	if way == nil || !way.Free {
		return nil
	}
	const long = 16.0
	dir := geom.Vec(way.Dir)
	by := draw.Pos{dir.Dot(s.right), dir.Dot(s.up)}
	says := note(draw.Pos{at[0] + 5, at[1]}, draw.MidLeft, 3, true, "out")
	if seen := math.Hypot(by[0], by[1]); seen > 0.35 {
		from := draw.Pos{at[0] - by[0]/seen*long/2, at[1] - by[1]/seen*long/2}
		to := draw.Pos{at[0] + by[0]/seen*long/2, at[1] + by[1]/seen*long/2}
		says.At[0] = max(from[0], to[0]) + 2
		return append(draw.Arrow(draw.Mark, from, to), says)
	}
	list := []draw.Entity{draw.Circle{Layer: draw.Mark, Centre: at, Radius: 3}, says}
	if dir.Dot(s.out) > 0 {
		return append(list, dot(at))
	}
	const c = 2.1
	return append(list, draw.Line{Layer: draw.Mark, From: draw.Pos{at[0] - c, at[1] - c}, To: draw.Pos{at[0] + c, at[1] + c}}, draw.Line{Layer: draw.Mark, From: draw.Pos{at[0] - c, at[1] + c}, To: draw.Pos{at[0] + c, at[1] - c}})
}

// ways say how header and mock-up come out.
func (f fixed) ways(p *prose) {
	for _, one := range []struct {
		what string
		way  *job.WayOutPlan
	}{{"Header", f.Release.Header}, {"Mock-up", f.Release.MockUp}} {
		if text := f.wayOut(one.what, one.way); text != "" {
			p.add(kept(paragraph(text, 3.4, true, 0, proseWide))...)
		}
	}
	p.gap(2)
}

func (f fixed) wayOut(what string, way *job.WayOutPlan) string {
	switch {
	case way == nil:
		return ""
	case !way.Free:
		return what + ": no way out was found."
	}
	text := what + " comes out: "
	if len(way.Remove) > 0 {
		text += "take off " + strings.Join(f.names(way.Remove), ", ") + ", then "
	}
	var steps []string
	for _, s := range way.Steps {
		steps = append(steps, s.Name)
	}
	return text + strings.Join(steps, ", then ") + "."
}

// names are those of stations.
func (f fixed) names(ids []string) []string {
	list := append([]string(nil), ids...)
	for i, id := range ids {
		for _, st := range f.Stations {
			if st.ID == id {
				list[i] = st.Name
			}
		}
	}
	return list
}

// short writes a length that is set by a rule: mm to 0.1, inches to 0.001.
func (m maker) short(mm float64) string {
	if m.o.Unit == "in" {
		return m.length(mm)
	}
	return units.MM(units.Length(mm).NM(), 1)
}
