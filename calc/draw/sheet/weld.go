package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
)

// benchHigh is how high figures are that are read with the helmet up, in mm.
const benchHigh = 3.4

// welded is the weld plan of a job, as it is drawn.
type welded struct {
	maker
	job.WeldPlan
}

// weld is the sheet that hangs at the welder: joints in order with their settings, the
// purge, hold points to tick, and where it is all from.
func (m maker) weld() draft {
	d := draft{Entry: Entry{Key: "weld", Title: "Weld plan", Forms: []string{PDF, SVG}, Warnings: []string{}, NotToScale: true, Why: m.noWeld()}}
	d.make = func(made *Made) error {
		made.uncut = "Nothing of the weld plan is cut."
		s := welded{m, m.w.Weld()}
		made.Warnings = s.speaks()
		var f prose
		for _, part := range []func(*prose){s.order, s.purges, s.holds, s.pulls, s.grown, s.looks, s.sources} {
			part(&f)
		}
		made.Sheets = m.onPages(d, &f, made.Warnings, s.Cautions)
		return nil
	}
	return d
}

func (m maker) noWeld() string {
	for _, t := range m.w.Plan.Tubes {
		if len(t.Pieces) > 0 {
			return ""
		}
	}
	return "To enter first: a tube with its OD, wall and path."
}

// weldRests is all that the plan rests on; not how far a piece has come.
func (m maker) weldRests() []job.About {
	on := []job.About{{Kind: "weld", ID: job.Self}, {Kind: "hold", ID: job.Self}, {Kind: "target", ID: job.Self, Fields: []string{"tolerance"}}, {Kind: "sizing", ID: job.Self, Fields: []string{"tube_hot"}},
		{Kind: "fixture", ID: job.Self, Fields: []string{"base", "base_turn"}}}
	for _, k := range m.w.Job.Banks {
		on = append(on, job.About{Kind: "bank", ID: k.ID, Fields: []string{"material"}, With: []string{"port"}})
	}
	for _, c := range m.w.Job.Collectors {
		on = append(on, job.About{Kind: "collector", ID: c.ID})
	}
	for _, t := range m.w.Job.Tubes {
		on = append(on, m.path(t)...)
		on = append(on, job.About{Kind: "tube", ID: t.ID, Fields: []string{"material", "socket"}})
	}
	return on
}

// speaks is what stops and warns.
func (s welded) speaks() []string {
	list := []string{}
	for _, f := range s.Findings {
		if f.Severity != job.Note {
			list = append(list, f.Text)
		}
	}
	return list
}

// order are the joints, each with a box to tick.
func (s welded) order(f *prose) {
	f.section("Order: " + map[string]string{"tack-all": "tack all, then weld", "tube-by-tube": "each tube by itself, then to the flange", "own": "own order"}[s.Template])
	for _, text := range s.How {
		f.say(text)
	}
	g := grid{size: benchHigh, columns: []column{{head: "no", wide: 12, right: true}, {head: "joint", wide: 66}, {head: "amps; rule", wide: 36}, {head: "tungsten, filler", wide: 54}, {head: "done", wide: 20}}}
	for _, j := range s.Joints {
		name, amps, rod := j.Name, "", ""
		if j.Bench {
			name += ", on the bench first"
		}
		if a := j.Amps; a != nil {
			if amps = "; " + rounded(float64(a.Rule)); a.Low != nil {
				amps = rounded(float64(*a.Low)) + "-" + rounded(float64(*a.High)) + amps
			}
			rod = inchesOr(j.Tungsten) + ", " + inchesOr(j.Rod)
			if len(j.Filler) > 0 {
				rod += " " + j.Filler[0].Class
			}
		} else {
			amps = "slips in"
		}
		g.rows = append(g.rows, []string{strconv.Itoa(j.Order), name, amps, rod, ""})
	}
	strips := g.strips()
	for i := range strips { // a box in the last column of every joint
		if strips[i].head != nil {
			strips[i].list = append(strips[i].list, square(172, -benchHigh-0.6, benchHigh+0.6)...)
		}
	}
	f.add(strips...)
}

// square is an empty box to tick, from its lower left corner.
func square(x, y, side float64) []draw.Entity {
	a, b, c, d := draw.Pos{x, y}, draw.Pos{x + side, y}, draw.Pos{x + side, y + side}, draw.Pos{x, y + side}
	return []draw.Entity{draw.Line{Layer: draw.Mark, From: a, To: b}, draw.Line{Layer: draw.Mark, From: b, To: c}, draw.Line{Layer: draw.Mark, From: c, To: d}, draw.Line{Layer: draw.Mark, From: d, To: a}}
}

func inchesOr(list []string) string {
	if len(list) == 0 {
		return "no row"
	}
	return strings.Join(list, " or ") + " in"
}

// rounded is a figure with one decimal where it is no whole one. Half an ampere is no
// reason to round one way here and the other way elsewhere.
func rounded(v float64) string { return strings.TrimSuffix(few(v), ".0") }

// few is a figure with one decimal.
func few(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

func (s welded) purges(f *prose) {
	f.section("Purge")
	f.say(fmt.Sprintf("%s volumes at %s L/min, in low and out high; %s to %s L/min while it is welded.", few(float64(s.Changes)), few(float64(s.Flow)), few(float64(s.While.Low)), few(float64(s.While.High))))
	g := grid{size: benchHigh, columns: []column{{head: "tube", wide: 36}, {head: "L", wide: 20, right: true}, {head: "min:s", wide: 24, right: true}, {head: "in; out", wide: 108}}}
	for _, p := range s.Purge {
		seconds := int(float64(p.Minutes)*60 + 0.999)
		g.rows = append(g.rows, []string{p.Name, strconv.FormatFloat(float64(p.Volume), 'f', 2, 64), fmt.Sprintf("%d:%02d", seconds/60, seconds%60), p.Feed + "; " + p.Vent})
	}
	f.add(g.strips()...)
}

func (s welded) holds(f *prose) {
	f.section("Hold points")
	g := grid{size: benchHigh, columns: []column{{wide: 60}, {wide: 84}, {wide: 44}}}
	for _, h := range s.Holds {
		state := "open"
		if h.State != "" {
			state = strings.Join(slices.DeleteFunc([]string{h.State, h.By, h.At[:min(10, len(h.At))]}, func(t string) bool { return t == "" }), ", ")
		}
		g.rows = append(g.rows, []string{h.Name, h.Text, state})
	}
	f.add(g.strips()...)
}

func (s welded) pulls(f *prose) {
	if len(s.Pull) == 0 {
		return
	}
	f.section("Pull of " + s.with(float64(s.PortPull)) + " across a port weld")
	g := grid{columns: []column{{head: "tube", wide: 50}, {head: "tilt", wide: 28, right: true}, {head: "end moves", wide: 36, right: true}, {head: "sideways", wide: 36, right: true}, {head: "slip, each side", wide: 38, right: true}}}
	for _, p := range s.Pull {
		slip := "none"
		if air, known := value(p.Slip); known {
			slip = s.with(air / 2)
		}
		g.rows = append(g.rows, []string{p.Name, strconv.FormatFloat(float64(p.Tilt), 'f', 2, 64) + "°", s.with(float64(p.Move)), s.with(float64(p.Sideways)), slip})
	}
	f.add(g.strips()...)
}

func (s welded) grown(f *prose) {
	if len(s.Between) == 0 {
		return
	}
	f.section("Growth of neighbours")
	g := grid{columns: []column{{head: "tubes", wide: 76}, {head: "differ, equally hot", wide: 56, right: true}, {head: fmt.Sprintf("one %s K hotter", rounded(float64(s.Between[0].By))), wide: 56, right: true}}}
	for _, b := range s.Between {
		g.rows = append(g.rows, []string{s.tubeTitle(b.A) + ", " + within(s.tubeTitle(b.B)), s.with(float64(b.Difference)), s.with(float64(b.Hotter))})
	}
	f.add(g.strips()...)
}

func (m maker) tubeTitle(id string) string {
	for _, t := range m.w.Job.Tubes {
		if t.ID == id {
			return t.Title
		}
	}
	return id
}

func (s welded) looks(f *prose) {
	if len(s.Findings) == 0 {
		return
	}
	f.section("To look at")
	for _, n := range s.Findings {
		f.say(n.Text + " " + n.Help + " (limit: " + n.Grade + ")")
	}
}

// sources are what every source says, once for each wall, form and material.
func (s welded) sources(f *prose) {
	f.section("Where it is from")
	said := map[string]bool{}
	once := func(text string) {
		if !said[text] {
			said[text] = true
			f.say(text)
		}
	}
	for _, j := range s.Joints {
		if j.Amps == nil {
			continue
		}
		var says []string
		for _, a := range j.Amps.Says {
			figure := rounded(float64(a.Low))
			if high := rounded(float64(a.High)); high != figure {
				figure += " to " + high
			}
			says = append(says, a.Name+" "+figure+" A")
		}
		once(fmt.Sprintf("Amps of a %s joint, wall %s, %s: %s.", j.Kind, s.with(float64(j.Wall)), strings.Join(j.Materials, " to "), strings.Join(says, "; ")))
	}
	for _, j := range s.Joints {
		if j.Amps != nil {
			for _, a := range j.Amps.Says {
				once(a.Name + ": " + a.Source.Text + " (" + a.Source.Grade + ").")
			}
			for _, r := range j.Filler {
				once("Filler " + r.Class + ": " + r.Source.Text + " (" + r.Source.Grade + ").")
			}
		}
	}
	if len(s.Purge) > 0 {
		for _, a := range s.Purge[0].Also {
			once("Purge, " + a.Name + ": " + a.Source.Text + " (" + a.Source.Grade + ").")
		}
	}
	once("Order: " + s.About.Text + " (" + s.About.Grade + "). Torch: " + s.Torch.Source.Text + " (" + s.Torch.Source.Grade + ").")
}
