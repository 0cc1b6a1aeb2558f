package sheet

import (
	"fmt"
	"math"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// Keys of the plates of a fixture.
const (
	baseKey    = "base"
	uprightKey = "base-upright"
)

// aPlate is one of the plates of a fixture, and how one looks at it.
type aPlate struct {
	key, title  string
	of          func(job.FixturePlan) *job.BasePlan
	face, words string
}

// bases are the plates of the fixture at true size: the one on which everything stands, and
// the upright that holds the flange where the header lies.
func (m maker) bases() []draft {
	list := []draft{m.base(aPlate{baseKey, "Fixture, base plate", func(p job.FixturePlan) *job.BasePlan { return p.Base }, "This face up", "Seen onto the face on which things stand"})}
	if m.w.Job.Fixture.Base == "lying" {
		list = append(list, m.base(aPlate{uprightKey, "Fixture, upright", func(p job.FixturePlan) *job.BasePlan { return p.Upright }, draw.FaceTubes, "Seen onto the face on which the flange lies"}))
	}
	return list
}

func (m maker) base(a aPlate) draft {
	d := draft{Entry: Entry{Key: a.key, Title: a.title, Forms: []string{PDF, SVG, DXF}, Warnings: []string{}, Why: m.noFixture()}}
	d.make = func(made *Made) error {
		f, err := m.fixed(d.Key)
		if err != nil {
			return err
		}
		plate := a.of(f.FixturePlan)
		if plate == nil {
			return &Unmade{d.Key, "This fixture has none."}
		}
		made.Revision = m.held().Making.Revision
		made.Warnings = f.stops()
		drawing, err := f.plate(plate, a)
		if err != nil {
			return err
		}
		title := m.title(d.Entry, m.held())
		title.Part = fmt.Sprintf("%s, %s thick", d.Title, m.with(float64(plate.Thickness)))
		title.Side = a.words
		made.Sheets = []draw.Sheet{{Title: title, Warnings: made.Warnings, Cautions: append(cautions(), clampCaution), Drawing: drawing}}
		made.Lists = []draw.Table{f.plateTable(plate, d.Title)}
		return nil
	}
	return d
}

// plate draws a plate: what is cut out of it, what is drilled, and where posts and flange
// stand on it, scribed.
func (f fixed) plate(plate *job.BasePlan, a aPlate) (draw.Drawing, error) {
	p := draw.Plate{Name: a.title, Datum: f.datum(), Pieces: []draw.Shape{{Loop: corners(plate.Outline)}}}
	for _, h := range plate.Holes {
		p.Holes = append(p.Holes, draw.Hole{ID: short(h.Name), At: draw.Pos(h.At), Diameter: float64(h.Diameter)})
	}
	if len(plate.Flange) > 2 {
		p.Behind = []draw.Shape{{Loop: corners(plate.Flange)}}
	}
	d, err := p.Drawing(draw.View{Face: a.face, Words: a.words, Figure: f.length})
	if err != nil {
		return d, err
	}
	var room draw.Room
	room.Take(d.Entities...)
	for _, foot := range plate.Feet {
		at, r := draw.Pos(foot.At), float64(foot.Diameter)/2
		list := append([]draw.Entity{draw.Circle{Layer: draw.Mark, Centre: at, Radius: r}}, draw.CentreMark(at, r+6)...)
		room.Take(list...)
		d.Add(list...)
	}
	for _, foot := range plate.Feet {
		text := f.footName(draw.Pos(foot.At), float64(foot.Diameter)/2, foot.Name, &room)
		room.Take(text)
		d.Add(text)
	}
	return d, d.Check()
}

// footName is the name of a station beside its post's foot, where it is least in the way.
func (f fixed) footName(at draw.Pos, r float64, name string, room *draw.Room) draw.Entity {
	text := draw.Text{Layer: draw.Note, Height: figuresHigh, Anchor: draw.MidMiddle, Bold: true, Text: name}
	best := text
	least := math.Inf(1)
	for _, reach := range [3]float64{5, 9, 14} {
		for i := range 16 {
			sin, cos := math.Sincos(math.Pi/4 + float64(i)*math.Pi/8)
			text.At = draw.Pos{at[0] + cos*(r+reach+text.Width()/2), at[1] + sin*(r+reach)}
			if cost := room.Cost(text.Bounds().Grown(0.8)) + 0.2*reach; cost < least {
				best, least = text, cost
			}
		}
	}
	return best
}

// datum says what 0, 0 of a plate is.
func (m maker) datum() string {
	k := m.held()
	for _, b := range k.Bolts {
		if b.ID == k.Datum {
			return "the centre of " + short(b.Title) + ", seen along the normal of the plate"
		}
	}
	return "0, 0 of the bank, seen along the normal of the plate"
}

// corners are those of an outline of straight lines.
func corners[P ~[2]float64](outline []P) []geom.Vertex {
	list := make([]geom.Vertex, len(outline))
	for i, p := range outline {
		list[i] = geom.Vertex{X: p[0], Y: p[1]}
	}
	return list
}

// plateTable is the drill table, and where the posts stand.
func (f fixed) plateTable(plate *job.BasePlan, name string) draw.Table {
	u := ", " + string(f.o.Unit)
	t := draw.Table{Name: name, Left: 2, Heads: []string{"what", "name", "x" + u, "y" + u, "Ø" + u}}
	add := func(what string, h job.BaseHole) {
		t.Rows = append(t.Rows, []string{what, h.Name, f.length(h.At[0]), f.length(h.At[1]), f.length(float64(h.Diameter))})
	}
	for _, h := range plate.Holes {
		add(h.Kind+" hole", h)
	}
	for _, h := range plate.Feet {
		add("post", h)
	}
	return t
}
