package job

import (
	"strings"

	"tubewright/calc/ledger"
)

// CheckPhoto is a photo that shows something that is read where a header is inspected.
type CheckPhoto struct {
	ledger.Photo
	Slot    string
	Caption string // what it shows: "Tube 2: Length, as welded"
}

// CheckPhotos are the photos of what is read of a header, by slot. A job file has none.
func (w Worked) CheckPhotos() []CheckPhoto {
	var list []CheckPhoto
	for _, p := range w.photos {
		if isRead(p.Slot) {
			list = append(list, CheckPhoto{p.Photo, p.Slot, w.caption(p.Slot)})
		}
	}
	return list
}

// caption says what a slot is about. What differs between the slots of one place says
// nothing on a photo.
func (w Worked) caption(slot string) string {
	kind, id, name, _ := SplitSlot(slot)
	if kind == "gauge" {
		in := inspector{w.facts.usable(), w.Job, w.Plan, w.folded}
		if g, ok := in.gauge(id); ok {
			return "Gap, " + checked[g.At] + ": " + g.Name
		}
	}
	label := fieldOf(kind, name).Label
	for _, axis := range []string{", x", ", y", ", z"} {
		label = strings.TrimSuffix(label, axis)
	}
	if title := w.facts.title(kind, id); title != "" {
		return title + ": " + label
	}
	return label
}

// IsInspected tells whether anything was read of the header that was made.
func (w Worked) IsInspected() bool {
	for slot := range w.facts.Values {
		if _, _, name, _ := SplitSlot(slot); isRead(slot) && name != orderField {
			return true
		}
	}
	return false
}

// Checks is Inspection with the readings in use alone, for what only wants to know what
// stands: it takes no time.
func (w Worked) Checks() InspectionPlan {
	in := inspector{w.facts.usable(), w.Job, w.Plan, w.folded}
	p := in.plan()
	p.Findings = append(p.Findings, in.findings(p)...)
	return p
}
