package job

import (
	"fmt"
	"math"
	"slices"

	"tubewright/calc/stock"
	"tubewright/calc/units"
)

const (
	// sameCLR is how far two CLRs may differ and still be called one, as in stock.Item.
	sameCLR = 0.05 * units.Millimetre
	// sameSize is the same for OD and wall, which are nominal. Own choice.
	sameSize = 0.05 * units.Millimetre
	// trueCLRWithin is how far a measured CLR may be off before marks have to be made
	// by it: a bend of 90° is 0.8 mm longer or shorter then. Own choice.
	trueCLRWithin = 0.5 * units.Millimetre
)

// fits tells whether bends of a tube can be cut from the item, whatever its CLR.
func (s Stock) fits(t Tube) bool {
	return s.isOf(t) && s.Type != "length"
}

// isOf tells whether the item is of a tube's size and material.
func (s Stock) isOf(t Tube) bool { return s.isSizeOf(t) && s.Material == t.Material }

// isSizeOf tells whether the item has the OD and the wall of a tube.
func (s Stock) isSizeOf(t Tube) bool {
	return len(s.Open) == 0 &&
		math.Abs((s.OD.V-t.OD.V).MM()) <= sameSize.MM() && math.Abs((s.Wall.V-t.Wall.V).MM()) <= sameSize.MM()
}

// materialOpen says of a straight of a tube, or of a bend of a CLR, for which there is no
// stock of the tube's material that there is some of its size, and that the material of one
// of the two is not entered: nobody would look for the reason there.
func (j Job) materialOpen(t Tube, kind string, clr units.Length, severity Severity) (f Finding, found bool) {
	f = Finding{Severity: severity, Rule: "material-open", Where: []string{t.ID}, Grade: given}
	isFor := func(s Stock) bool {
		if kind == stock.Straight {
			return s.Type == "length"
		}
		return s.Type != "length" && s.has(clr)
	}
	for _, s := range j.Stock {
		switch {
		case !s.isSizeOf(t) || !isFor(s):
		case s.Material == t.Material:
			return Finding{}, false
		case found:
		case t.Material == "":
			found = true
			f.Slots = []string{Slot("tube", t.ID, "material")}
			f.Text = fmt.Sprintf("%s: its material is not entered, so no stock fits it; %s would do, of %s.", t.Title, s.Title, s.Material)
			f.Help = "Choose the material of the tube."
		case s.Material == "":
			found = true
			f.Slots = []string{Slot("stock", s.ID, "material")}
			f.Text = fmt.Sprintf("%s is of %s; %s would do, but the material of that is not entered.", t.Title, t.Material, s.Title)
			f.Help = "Choose the material of the stock."
		}
	}
	return f, found
}

// has tells whether the item is sold with a CLR.
func (s Stock) has(clr units.Length) bool {
	return s.CLR.Known && math.Abs((s.CLR.V-clr).MM()) <= sameCLR.MM()
}

// stockFindings looks whether there is stock for the bends of a tube. Where no stock
// is entered at all nothing can be said. They are notes, and so not counted in lists
// of jobs, which are made without the shop's stock: what they come to at the saw is
// said by the plan of cuts.
func stockFindings(j Job, t Tube, p TubePlan) []Finding {
	if len(j.Stock) == 0 {
		return nil
	}
	var fs []Finding
	var told []units.Length
	for _, pc := range p.Pieces {
		if pc.Kind != stock.Bend {
			continue
		}
		clr := units.Length(*pc.CLR)
		most, found := j.largest(t, clr)
		slots := []string{Slot("element", pc.Element, "clr"), Slot("tube", t.ID, "od"), Slot("tube", t.ID, "wall")}
		switch turn := float64(*pc.Angle); {
		case !found && !slices.ContainsFunc(told, func(o units.Length) bool { return math.Abs((o - clr).MM()) <= sameCLR.MM() }):
			told = append(told, clr)
			if f, is := j.materialOpen(t, pc.Kind, clr, Note); is {
				if !slices.ContainsFunc(fs, func(o Finding) bool { return o.Rule == f.Rule && o.Slots[0] == f.Slots[0] }) {
					fs = append(fs, f)
				}
				continue
			}
			fs = append(fs, Finding{Severity: Note, Rule: "no-stock", Where: []string{t.ID}, Slots: slots, Value: pc.CLR, Unit: "mm", Grade: given,
				Text: fmt.Sprintf("%s: no stock has CLR %s in OD %s, wall %s%s.", t.Title, say(clr), say(t.OD.V), say(t.Wall.V), ofMaterial(t.Material)),
				Help: "Enter the stock that it is to be cut from, or lay the bend out on a CLR that there is."})
		case found && turn > most.Deg()+1e-9:
			fs = append(fs, Finding{Severity: Note, Rule: "beyond-stock", Where: []string{t.ID}, Slots: []string{Slot("element", pc.Element, "turn")}, Value: pc.Angle, Limit: num(most.Deg()), Unit: "°", Grade: given,
				Text: fmt.Sprintf("%s: piece %s turns %.1f°; stock of that CLR has %.1f° at most, so it is made of two with a weld between them.", t.Title, pc.Name, turn, most.Deg()),
				Help: "Enter stock with a larger angle, or keep the weld."})
		}
	}
	return fs
}

func ofMaterial(m string) string {
	if m == "" {
		return ", material not entered"
	}
	return ", " + m
}

// largest is the largest angle of the stock that a bend of a tube can be cut from.
func (j Job) largest(t Tube, clr units.Length) (most units.Angle, found bool) {
	for _, s := range j.Stock {
		if s.fits(t) && s.has(clr) {
			most, found = max(most, s.Angle.V), true
		}
	}
	return most, found
}

// longest is the longest tubing of the stock that a straight of a tube can be cut from.
func (j Job) longest(t Tube) (most units.Length, found bool) {
	for _, s := range j.Stock {
		if s.isOf(t) && s.Type == "length" {
			most, found = max(most, s.Length.V), true
		}
	}
	return most, found
}

// clrFindings names items whose CLR was measured and is another one than they are sold
// by, where the job has bends of that CLR.
func clrFindings(j Job) []Finding {
	var fs []Finding
	for _, s := range j.Stock {
		measured := s.TrueCLR()
		if !measured.Known || !s.CLR.Known || math.Abs((measured.V-s.CLR.V).MM()) <= trueCLRWithin.MM() || !j.bendsOf(s) {
			continue
		}
		fs = append(fs, Finding{Severity: Note, Rule: "true-clr", Where: []string{s.ID}, Slots: []string{Slot("stock", s.ID, "across_a"), Slot("stock", s.ID, "across_b"), Slot("stock", s.ID, "clr")},
			Value: num(measured.V.MM()), Limit: num(s.CLR.V.MM()), Unit: "mm", Grade: given,
			Text: fmt.Sprintf("%s is sold with CLR %s and was measured with %s.", s.Title, say(s.CLR.V), say(measured.V)),
			Help: "Mark pieces of it by the marks of the cut plan, which are for the true CLR, and enter the true CLR of each piece when it is cut."})
	}
	return fs
}

// bendsOf tells whether the job has bends that are cut from an item.
func (j Job) bendsOf(s Stock) bool {
	for _, t := range j.Tubes {
		for _, e := range t.Path {
			if e.Bend != nil && s.fits(t) && s.has(e.Bend.Radius) {
				return true
			}
		}
	}
	return false
}
