package job

import (
	"fmt"

	"tubewright/calc/flange"
	"tubewright/calc/units"
)

// design looks at what the flange that is made has too little of.
func (s sayer) design(k Bank, d DesignPlan) []Finding {
	var fs []Finding
	add := func(rule string, l LeastPlan, limit float64, grade, text, help string) {
		ids := l.Between
		if l.At != "" {
			ids = []string{l.At}
		}
		fs = append(fs, Finding{Severity: Warn, Rule: rule, Where: append([]string{k.ID}, ids...), Slots: []string{}, Value: num(float64(l.Value)), Limit: num(limit), Unit: "mm", Grade: grade, Text: text, Help: help})
	}
	short := func(l *LeastPlan, limit float64) bool {
		return l != nil && float64(l.Value) < limit-slack.MM()
	}
	value := func(l *LeastPlan) string { return say(units.Length(l.Value)) }
	if l, limit, grade := d.Edge, flange.LeastEdge*d.diameter(d.Edge), memory; l != nil {
		if e := k.Making.Edge; e.Known && len(d.Cuts) == 0 {
			limit, grade = e.V.MM(), given
		}
		if short(l, limit-edgeSlack) {
			add("flange-edge", *l, limit, grade, fmt.Sprintf("The flange of bank %s has %s of metal beside the hole of %s; %s is wanted.", k.ID, value(l), lower(s.name(l.At)), say(units.Length(limit))),
				"Give the plate more metal round its holes, or move the cut.")
		}
	}
	if l := d.Web; short(l, flange.LeastWeb) {
		add("flange-web", *l, flange.LeastWeb, memory, fmt.Sprintf("Between %s and %s the flange of bank %s has %s; at least %s is wanted.", lower(s.name(l.Between[0])), lower(s.name(l.Between[1])), k.ID, metal(l), say(flange.LeastWeb)),
			"Take a closer hole class, a smaller gap round the tube, or let the tube butt on.")
	}
	if l := d.Washer; short(l, 0) {
		what := "the weld of " + lower(s.name(l.Between[0]))
		if s.isBolt(k, l.Between[0]) {
			what = "that of " + lower(s.name(l.Between[0]))
		}
		add("flange-washer", *l, 0, memory, fmt.Sprintf("The washer of %s stands %s onto %s.", lower(s.name(l.Between[1])), say(units.Length(-l.Value)), what),
			"Take a smaller washer or a flat on it, or weld that side from inside.")
	}
	if l := d.Socket; short(l, 0) && len(s.j.Tools) == 0 {
		add("flange-socket", *l, 0, memory, fmt.Sprintf("A socket does not get onto %s: it lacks %s beside the tube of %s.", lower(s.name(l.Between[1])), say(units.Length(-l.Value)), lower(s.name(l.Between[0]))),
			"Enter your own socket as a tool, use studs with nuts of a smaller hexagon, or form the tube closer.")
	}
	for _, o := range d.Overlaps {
		fs = append(fs, Finding{Severity: Warn, Rule: "flange-pieces-meet", Where: []string{k.ID, o.Ports[0], o.Ports[1]}, Slots: []string{Slot("bank", k.ID, "pieces")}, Value: num(float64(o.By)), Limit: num(0), Unit: "mm", Grade: fromGeometry,
			Text: fmt.Sprintf("The plates of %s and %s run into each other by %s.", lower(s.name(o.Ports[0])), lower(s.name(o.Ports[1])), say(units.Length(o.By))),
			Help: "Leave less metal round holes and openings, or make it in one piece with cuts."})
	}
	return fs
}

// edgeSlack is what the plate's outline may be short of the metal that was asked for,
// in mm: its arcs are laid out to that.
const edgeSlack = 0.01

// metal says how much metal is left, or that there is none.
func metal(l *LeastPlan) string {
	if l.Value <= 0 {
		return "no metal left"
	}
	return say(units.Length(l.Value)) + " of metal"
}

// diameter is that of the hole which is nearest to an edge, in mm.
func (d DesignPlan) diameter(l *LeastPlan) float64 {
	for _, h := range d.Holes {
		if l != nil && h.Bolt == l.At {
			return float64(h.Diameter)
		}
	}
	return 0
}

func (s sayer) isBolt(k Bank, id string) bool {
	for _, b := range k.Bolts {
		if b.ID == id {
			return true
		}
	}
	return false
}
