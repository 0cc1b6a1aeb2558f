package sheet

import (
	"fmt"
	"slices"

	"tubewright/calc/draw"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// paperThick is how thick the paper is that wraps are drawn for, in mm: office paper of
// 80 g/m² (common practice, no source). It makes a wrap 0.3 mm wider.
const paperThick = 0.1

// bank is the bank on which a tube starts, empty where it starts on none.
func (m maker) bank(t job.Tube) job.Bank {
	for _, k := range m.w.Job.Banks {
		for _, p := range k.Ports {
			if p.ID == t.Port {
				return k
			}
		}
	}
	return job.Bank{}
}

// cylinder is the cylinder that a tube starts at, as words; empty where it is not known.
func (m maker) cylinder(t job.Tube) string {
	for _, p := range m.bank(t).Ports {
		if p.ID == t.Port && p.Cylinder.Known {
			return fmt.Sprintf("cylinder %g", p.Cylinder.V)
		}
	}
	return ""
}

// uncutTube says what a tube lacks before anything of it can be marked, a sentence.
func uncutTube(t job.Tube, tp job.TubePlan) string {
	switch {
	case len(tp.Pieces) > 0:
		return ""
	case !t.OD.Known || !t.Wall.Known:
		return "To enter first: OD and wall of " + within(t.Title) + "."
	case len(t.Open) > 0:
		return "To enter first: the rest of the path of " + within(t.Title) + "."
	case len(t.Path) == 0:
		return "To enter first: the path of " + within(t.Title) + "."
	}
	return "The path of " + within(t.Title) + " cannot be cut: look at its findings."
}

// onTube is a sheet about a whole tube.
func (m maker) onTube(key, what string, t job.Tube, tp job.TubePlan, forms ...string) draft {
	d := draft{Entry: Entry{Key: key + "-" + t.ID, Title: what + " of " + within(t.Title), Forms: forms, Warnings: []string{}, Why: uncutTube(t, tp)}}
	var disputed []string
	for _, p := range tp.Pieces {
		for _, slot := range p.Disputed {
			if !slices.Contains(disputed, slot) {
				disputed = append(disputed, slot)
			}
		}
	}
	ids := []string{t.ID}
	for _, e := range t.Path {
		ids = append(ids, e.ID)
	}
	d.Warnings = m.warnings(ids, []string{"small", "tight"}, disputed)
	return d
}

// isBend tells a bend from a straight.
func isBend(p job.PiecePlan) bool { return p.Angle != nil }

// joint is where two pieces of a tube meet: joint k is behind the k-th piece, and joint
// 0 before the first.
type joint struct {
	n             int
	before, after string // piece ids; "flange" before the first
	// bent is the bend whose outside line comes along the tube to the joint; empty
	// before the first bend.
	bent string
	// bend is the piece behind the joint where that is a bend; its outside line lies arc
	// mm, signed, from that of bent.
	bend     *job.PiecePlan
	arc      float64
	rotation float64 // rad, as entered
}

// joints are the joints of a tube in order from the flange.
func joints(tp job.TubePlan) []joint {
	var list []joint
	before, bent := "flange", ""
	for i, p := range tp.Pieces {
		j := joint{n: i, before: before, after: p.ID, bent: bent}
		if isBend(p) {
			j.bend, j.arc, j.rotation = &tp.Pieces[i], float64(*p.ClockArc), float64(*p.Rotation)*float64(units.Degree)
			bent = p.ID
		}
		before = p.ID
		list = append(list, j)
	}
	return list
}

// name is the joint with the pieces on both sides.
func (j joint) name() string { return fmt.Sprintf("joint %d: %s to %s", j.n, j.before, j.after) }

// from names the line from which the bend behind the joint is turned.
func (j joint) from() string {
	if j.bent == "" {
		return "opposite to up"
	}
	return "outside of " + j.bent
}

// line is the same within a sentence.
func (j joint) line() string {
	if j.bent == "" {
		return "the line opposite to up"
	}
	return "the outside line of " + j.bent
}

// fraction writes a length for a tape that has fractions, in a job in inches: "4 7/64".
func (m maker) fraction(mm float64) string {
	if m.o.Unit != "in" {
		return ""
	}
	text, _ := units.Sixtyfourths(units.Length(mm).NM())
	return text
}

// taped writes a length as a tape shows it, with its unit: in inches both ways.
func (m maker) taped(mm float64) string {
	if m.o.Unit == "in" {
		return m.both(mm) + " in"
	}
	return decimals(mm, 1) + " mm"
}

// signed writes a length with a sign before it.
func (m maker) signed(mm float64) string {
	text := m.length(mm)
	if mm > 0 && text[0] != '-' {
		text = "+" + text
	}
	return text
}

// tubeSheets lays cells about a tube out on sheets.
func (m maker) tubeSheets(d draft, t job.Tube, name, origin string, cells []draw.Drawing, cautions []string) []draw.Sheet {
	return paged(m.title(d.Entry, m.bank(t)), name, origin, d.Warnings, cautions, cells)
}
