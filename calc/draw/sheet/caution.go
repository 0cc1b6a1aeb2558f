package sheet

import (
	"fmt"
	"slices"
	"strings"

	"tubewright/calc/job"
)

// What a person must not overlook on a sheet by which metal is cut.
const (
	startCaution = "Computed values are starting values: a person checks them on the head and on the car before metal is cut."
	cutCaution   = "Cutting and grinding: guard on, eyes, ears and lungs covered, sparks away from fuel and people; stainless dust and fume hold chromium(VI) (29 CFR 1910.1026). Local codes and licensed practice come first."
	edgeCaution  = "Cut edges are sharp: break them before the part is handled. Cut, ground or welded metal stays hot for longer than it looks."
)

func cautions() []string { return []string{startCaution, cutCaution, edgeCaution} }

// mostWarnings is how many findings a sheet has room for beside its drawing.
const mostWarnings = 5

// warnings are the findings that a sheet bears: those that stop something about one of
// the ids, and those of one of the rules' families, "flange" for flange-web; which way
// round comes first. disputed are the slots whose readings differ.
func (m maker) warnings(ids []string, families []string, disputed []string) []string {
	var first, stops, rest []string
	for _, f := range m.w.Plan.Findings {
		family, _, _ := strings.Cut(f.Rule, "-")
		text := f.Text + " " + f.Help
		switch {
		case family == "disputed": // one that concerns something else of the bank is none of this sheet
			if len(f.Slots) > 0 && slices.Contains(disputed, f.Slots[0]) {
				stops = append(stops, "Do not cut. "+text)
			}
		case len(f.Where) == 0 || !slices.Contains(ids, f.Where[0]): // the first is what it is about
		case f.Severity == job.Stop:
			stops = append(stops, "Do not cut. "+text)
		case f.Rule == "flange-way-round" && slices.Contains(families, family):
			first = append(first, text)
		case f.Severity == job.Warn && slices.Contains(families, family):
			rest = append(rest, text)
		}
	}
	list := slices.Concat(stops, first, rest)
	if more := len(list) - mostWarnings; more > 0 {
		list = append(list[:mostWarnings:mostWarnings], fmt.Sprintf("And %d more: look at the findings of the job.", more))
	}
	return append([]string{}, list...)
}

// about are the ids of a bank and what is on it.
func about(k job.Bank) []string {
	ids := []string{k.ID}
	for _, b := range k.Bolts {
		ids = append(ids, b.ID)
	}
	for _, p := range k.Ports {
		ids = append(ids, p.ID)
	}
	return ids
}
