package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
)

// flange is the flange of a bank, as seen from the tubes or from the head.
func (m maker) flange(k job.Bank, f job.FlangePlan, fromHead bool) draft {
	d := draft{isFlange: true, isMirrored: fromHead}
	d.Key, d.Title = "flange-"+k.ID, fmt.Sprintf("Flange %s, seen from the tubes", k.ID)
	if fromHead {
		d.Key, d.Title = d.Key+"-head", fmt.Sprintf("Flange %s, seen from the head", k.ID)
	}
	d.Forms, d.Warnings = []string{PDF, SVG, DXF}, []string{}
	if f.Design == nil {
		d.Why = noFlange(k)
		return d
	}
	d.Warnings = m.warnings(about(k), []string{"flange"}, f.Design.Disputed)
	if len(f.Design.Overlaps) > 0 {
		d.Forms = []string{PDF, SVG}
	}
	v := draw.View{Face: draw.FaceTubes, Figure: m.length}
	if fromHead {
		v.FromHead, v.Face = true, draw.FaceHead
	}
	d.make = func(made *Made) error {
		p := m.plate(k, f)
		drawing, err := p.Drawing(v)
		if err != nil {
			return err
		}
		made.Revision = k.Making.Revision
		if len(f.Design.Overlaps) > 0 {
			made.uncut = "Its plates run into each other, so they cannot be cut as they lie."
		}
		title := m.title(d.Entry, k)
		title.Part, title.Side = strings.TrimSpace(fmt.Sprintf("Flange %s, %s", k.ID, pieces(f.Design))), v.Side()
		made.Sheets = []draw.Sheet{{Title: title, Warnings: d.Warnings, Cautions: cautions(), Drawing: drawing}}
		made.Lists = []draw.Table{m.flangeFacts(k, f), p.Table(v, string(m.o.Unit))}
		if t, ok := m.saws(k, f); ok {
			made.Lists = append(made.Lists, t)
		}
		return nil
	}
	return d
}

func pieces(d *job.DesignPlan) string {
	switch n := len(d.Pieces); {
	case n > 1:
		return fmt.Sprintf("%d pieces", n)
	case len(d.Cuts) > 0:
		return "one piece, sawn"
	}
	return "one piece"
}

// plate is the flange that is made as plain geometry.
func (m maker) plate(k job.Bank, f job.FlangePlan) draw.Plate {
	p := draw.Plate{Name: "Flange " + k.ID, Datum: "0, 0 of the bank"}
	bolts := map[string]string{}
	for _, b := range k.Bolts {
		bolts[b.ID] = short(b.Title)
		if b.ID == k.Datum {
			p.Datum = "the centre of " + short(b.Title)
		}
	}
	for _, of := range f.Design.Pieces {
		p.Pieces = append(p.Pieces, draw.Shape{Loop: loop(of.Loop)})
	}
	for _, o := range f.Design.Openings {
		s := draw.Shape{ID: o.Port, Loop: loop(o.Loop)}
		for _, port := range k.Ports {
			if port.ID == o.Port {
				s.ID, s.At = short(port.Title), draw.Pos{port.X.V.MM(), port.Y.V.MM()}
			}
		}
		p.Cut = append(p.Cut, s)
		if i := slices.IndexFunc(f.Ports, func(q job.PortPlan) bool { return q.ID == o.Port }); i >= 0 && o.From != "port" {
			p.Behind = append(p.Behind, draw.Shape{At: s.At, Loop: loop(f.Ports[i].Loop)})
		}
	}
	for _, h := range f.Design.Holes {
		p.Holes = append(p.Holes, draw.Hole{ID: bolts[h.Bolt], At: draw.Pos(h.At), Diameter: float64(h.Diameter), Slot: float64(h.Slot), Turn: along(h.Dir)})
	}
	for _, c := range f.Design.Cuts {
		p.Saws = append(p.Saws, [2]draw.Pos{draw.Pos(c.From), draw.Pos(c.To)})
	}
	return p
}

// along is the direction of a slot, which has no front, from −90° to 90°.
func along(dir [2]float64) float64 {
	if dir[0] < 0 {
		dir = [2]float64{-dir[0], -dir[1]}
	}
	return math.Atan2(dir[1], dir[0])
}

// flangeFacts is what else there is to say of the flange.
func (m maker) flangeFacts(k job.Bank, f job.FlangePlan) draw.Table {
	d := f.Design
	t := draw.Table{Name: "Flange " + k.ID, Heads: []string{"what", "value"}, Left: 2}
	add := func(what, value string) {
		if value != "" {
			t.Rows = append(t.Rows, []string{what, value})
		}
	}
	add("thickness", m.with(float64(d.Thickness)))
	add("material", k.Material)
	if d.Mass != nil {
		add("mass", decimals(float64(*d.Mass), 2)+" kg")
	}
	add("made of", pieces(d))
	if k.Making.BoltSize != "" && len(d.Holes) > 0 {
		add("bolts", k.Making.BoltSize)
		add("holes", d.Holes[0].Rule)
	}
	for _, b := range k.Bolts {
		if b.ID == k.Making.Fixed {
			add("hole that stays round", short(b.Title))
		}
	}
	if g := float64(d.Growth); g > 0 {
		add("growth when hot, at most", m.with(g))
	}
	name := namesOf(k)
	least := func(what string, l *job.LeastPlan) {
		if l == nil {
			return
		}
		var ids []string
		for _, id := range append([]string{l.At}, l.Between...) {
			if id != "" {
				ids = append(ids, name[id])
			}
		}
		add(what, m.with(float64(l.Value))+", at "+strings.Join(ids, " and "))
	}
	least("least metal beside a hole", d.Edge)
	least("least metal between holes and openings", d.Web)
	least("least room of a washer", d.Washer)
	least("least room of a socket", d.Socket)
	return t
}

func namesOf(k job.Bank) map[string]string {
	names := map[string]string{}
	for _, b := range k.Bolts {
		names[b.ID] = short(b.Title)
	}
	for _, p := range k.Ports {
		names[p.ID] = short(p.Title)
	}
	return names
}

// saws lists the saw cuts, of a flange that is sawn.
func (m maker) saws(k job.Bank, f job.FlangePlan) (draw.Table, bool) {
	u, name := ", "+string(m.o.Unit), namesOf(k)
	t := draw.Table{Name: "Saw cuts, after the plate is cut out", Left: 1, Heads: []string{"between", "from x" + u, "from y" + u, "to x" + u, "to y" + u, "metal left" + u}}
	for _, c := range f.Design.Cuts {
		t.Rows = append(t.Rows, []string{name[c.Between[0]] + " and " + name[c.Between[1]], m.length(c.From[0]), m.length(c.From[1]), m.length(c.To[0]), m.length(c.To[1]), m.length(float64(c.Bridge))})
	}
	return t, len(t.Rows) > 0
}

// noFlange says what a flange lacks.
func noFlange(k job.Bank) string {
	var lacks []string
	if !k.Thickness.Known {
		lacks = append(lacks, "the flange's thickness")
	}
	if len(k.Bolts) == 0 {
		lacks = append(lacks, "the bolts")
	}
	for _, b := range k.Bolts {
		switch {
		case !b.X.Known || !b.Y.Known:
			lacks = append(lacks, "where "+within(b.Title)+" is")
		case k.Making.BoltSize == "" && !b.Hole.Known:
			lacks = append(lacks, "the hole of "+within(b.Title)+" or the bolt size")
		}
	}
	if len(k.Ports) == 0 {
		lacks = append(lacks, "the ports")
	}
	for _, p := range k.Ports {
		switch {
		case p.Outline == nil:
			lacks = append(lacks, "the outline of "+within(p.Title))
		case !p.X.Known || !p.Y.Known:
			lacks = append(lacks, "where "+within(p.Title)+" is")
		}
	}
	if len(lacks) == 0 {
		return "The flange cannot be laid out round these bolts and ports: look at their places and outlines."
	}
	return "To enter first: " + listed(lacks) + "."
}

// listed joins names, and counts those behind the fourth.
func listed(names []string) string {
	const most = 4
	if more := len(names) - most; more > 0 {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, ", ")
}
