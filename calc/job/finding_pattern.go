package job

import (
	"fmt"
	"math"
	"strings"

	"tubewright/calc/units"
)

// pattern looks at how a bought or drawn flange or a gasket fits the head.
func (s sayer) pattern(k Bank, pt Pattern, p PatternPlan) []Finding {
	var fs []Finding
	add := func(f Finding) {
		f.Where = append([]string{pt.ID}, f.Where...)
		if f.Slots == nil {
			f.Slots = []string{}
		}
		fs = append(fs, f)
	}
	if p.Laid == nil {
		add(Finding{Severity: Note, Rule: "pattern-open", Grade: fromGeometry, Text: fmt.Sprintf("%s cannot be laid over the head yet: %s.", pt.Title, trimStop(p.Why)), Help: "Measure its holes."})
		return fs
	}
	if f, found := s.patternHoles(pt, p); found {
		add(f)
	}
	for _, o := range p.Openings {
		if o.ShadePlan != nil && float64(o.Shadow) > shades {
			add(s.shadow(pt, o))
		}
	}
	if f, found := s.tooSmall(pt, p); found {
		add(f)
	}
	if pt.Side != "" && p.Mirrored != pt.fromHead() {
		add(Finding{Severity: Warn, Rule: "pattern-way-round", Slots: []string{Slot("pattern", pt.ID, "side")}, Grade: fromGeometry,
			Text: fmt.Sprintf("%s fits only %s.", pt.Title, p.How), Help: "Look from which side it was measured or drawn; otherwise it is for the other bank or another head."})
	}
	var lacks []string
	for _, b := range k.Bolts {
		for _, id := range p.Unmatched {
			if id == b.ID {
				lacks = append(lacks, lower(b.Title))
			}
		}
	}
	if len(lacks) > 0 {
		add(Finding{Severity: Stop, Rule: "pattern-no-hole", Value: num(float64(len(lacks))), Limit: num(0), Grade: fromGeometry,
			Text: fmt.Sprintf("%s has no hole for %s.", pt.Title, strings.Join(lacks, ", ")), Help: "Look whether it is for this head; otherwise drill it."})
	}
	return fs
}

// shades is how far, in mm, a pattern stands into a port before it is said: less is
// lost in how it was measured and laid on. Own choice.
const shades = 0.1

func (s sayer) shadow(pt Pattern, o OpeningPlan) Finding {
	return Finding{Severity: Warn, Rule: "pattern-shadows-port", Where: []string{o.ID, o.Port}, Slots: []string{Slot("opening", o.ID, "x"), Slot("opening", o.ID, "y")}, Value: num(float64(o.Shadow)), Limit: num(shades), Unit: "mm", Grade: ownChoice,
		Text: fmt.Sprintf("%s stands %s into %s and covers %.0f mm² of it.", pt.Title, say(units.Length(o.Shadow)), lower(s.name(o.Port)), float64(o.Area)),
		Help: "Open it up to the port, or take another one. Look whether it was laid on the right way round."}
}

// tooSmall says which openings the tubes do not go through.
func (s sayer) tooSmall(pt Pattern, p PatternPlan) (Finding, bool) {
	f := Finding{Severity: Warn, Rule: "pattern-too-small", Limit: num(shades), Unit: "mm", Grade: ownChoice,
		Help: "Open them up, ask for a smaller gap round the tube, or let the tubes butt on."}
	var ports []string
	worst, at := out(0), ""
	for _, o := range p.Openings {
		if o.OpenBy == nil || float64(*o.OpenBy) <= shades {
			continue
		}
		ports, f.Where = append(ports, lower(s.name(o.Port))), append(f.Where, o.ID, o.Port)
		if *o.OpenBy > worst {
			worst, at = *o.OpenBy, lower(s.name(o.Port))
		}
	}
	f.Value = num(float64(worst))
	f.Text = fmt.Sprintf("%s is too small for the tube of %s with the gap round it, by %s on one side.", pt.Title, at, say(units.Length(worst)))
	if len(ports) > 1 {
		f.Text = fmt.Sprintf("%s is too small for the tubes of %s with the gap round them, by up to %s on one side, at %s.", pt.Title, strings.Join(ports, ", "), say(units.Length(worst)), at)
	}
	return f, len(ports) > 0
}

// patternHoles says whether the bolts go in, and which hole is off.
func (s sayer) patternHoles(pt Pattern, p PatternPlan) (Finding, bool) {
	f := Finding{Severity: Warn, Rule: "pattern-hole-off", Unit: "mm", Grade: fromGeometry}
	off := ""
	for _, h := range p.Holes {
		if h.ID == p.Worst && h.Miss != nil {
			off = fmt.Sprintf("%s is %s off, %s", s.hole(pt, h.ID), say(units.Length(*h.Miss)), where(*h.Off))
			f.Where, f.Value = []string{h.ID, h.Bolt}, num(float64(*h.Miss))
			f.Slots = []string{Slot("hole", h.ID, "x"), Slot("hole", h.ID, "y")}
		}
	}
	switch {
	case p.BoltsGoIn != nil && !*p.BoltsGoIn:
		f.Severity, f.Value, f.Limit = Stop, num(float64(*p.Room)), num(0)
		f.Text = fmt.Sprintf("%s does not go on: its bolts lack %s.", pt.Title, say(units.Length(-*p.Room)))
		if off != "" {
			f.Text = fmt.Sprintf("%s does not go on: its bolts lack %s. Its %s.", pt.Title, say(units.Length(-*p.Room)), off)
		}
		f.Help = "Open the hole to a slot, or send it back. Check the head's own bolt first."
	case !p.Certain:
		return f, false
	case p.BoltsGoIn != nil:
		f.Text = fmt.Sprintf("%s: its %s. The bolts go in, with %s left at the tightest.", pt.Title, off, say(units.Length(*p.Room)))
		f.Help = "Tell the supplier, or open the hole. Check the head's own bolt first."
	default:
		f.Text = fmt.Sprintf("%s: its %s. With %s of play on each side the bolts go in.", pt.Title, off, say(units.Length(p.Minimax)))
		f.Help = "Enter the bolt size; then it is told whether they do."
	}
	return f, true
}

// hole is what a hole of a pattern is called beside the pattern itself.
func (s sayer) hole(pt Pattern, id string) string {
	for _, h := range pt.Holes {
		if h.ID == id {
			return strings.TrimPrefix(h.Title, pt.Title+", ")
		}
	}
	return "hole"
}

// where says in words to which side something is off, seen from the tubes.
func where(off onFace) string {
	var parts []string
	for i, word := range [2][2]string{{"to the left", "to the right"}, {"down", "up"}} {
		mm := off[i]
		if math.Abs(mm) < 0.005 {
			continue
		}
		side := word[1]
		if mm < 0 {
			side = word[0]
		}
		parts = append(parts, fmt.Sprintf("%.2f mm %s", math.Abs(mm), side))
	}
	return strings.Join(parts, " and ")
}
