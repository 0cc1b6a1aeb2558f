package job

import (
	"bytes"
	"cmp"
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/sorted"
)

// compare writes into plans what is not the same in all tries.
func compare(tries []try, plans []HeadPlan) {
	swept := each(tries, func(t try) *out { return t.plan.Engine.SweptCC })
	spread := each(tries, func(t try) *out { return t.plan.Spread })
	for i := range plans {
		if differ(swept) {
			plans[i].SweptCC = swept[i]
		}
		if differ(spread) {
			plans[i].Spread = spread[i]
		}
		plans[i].Tubes, plans[i].Ports = []HeadTube{}, []HeadPort{}
	}
	compareTubes(tries, plans)
	comparePorts(tries, plans)
	compareFindings(tries, plans)
	compareTodo(tries, plans)
}

func compareTubes(tries []try, plans []HeadPlan) {
	tubes := byID(tries, func(p Plan) []TubePlan { return p.Tubes }, func(t TubePlan) string { return t.ID })
	for _, id := range slices.Sorted(maps.Keys(tubes)) {
		of := tubes[id]
		differs := []string{}
		note := func(name string, is bool) {
			if is {
				differs = append(differs, name)
			}
		}
		note("length", differ(each(of, func(t TubePlan) *out { return t.Length })))
		note("deviation", differ(each(of, func(t TubePlan) *out { return t.Deviation })) || differ(each(of, TubePlan.within)))
		note("end", differ(each(of, func(t TubePlan) *EndPlan { return t.End })))
		note("bore", differ(each(of, func(t TubePlan) *out { return t.Bore })))
		note("pieces", differ(each(of, func(t TubePlan) []PiecePlan { return t.Pieces })) || differ(each(of, func(t TubePlan) []RowPlan { return t.LRA })))
		if len(differs) == 0 {
			continue
		}
		for i, t := range of {
			plans[i].Tubes = append(plans[i].Tubes, HeadTube{id, differs, t.Length, t.Deviation, t.within(), t.endsAt(), t.Bore})
		}
	}
}

func (t TubePlan) endsAt() *point {
	if t.End == nil {
		return nil
	}
	return &t.End.At
}

// within tells whether the length is within tolerance, nil when that is not known.
func (t TubePlan) within() *bool {
	if t.Deviation == nil || t.Tolerance == nil {
		return nil
	}
	is := math.Abs(float64(*t.Deviation)) <= float64(*t.Tolerance)+slack.MM()
	return &is
}

func comparePorts(tries []try, plans []HeadPlan) {
	all := func(p Plan) (ports []PortPlan) {
		for _, f := range p.Flanges {
			for _, port := range f.Ports {
				ports = append(ports, port.figures())
			}
		}
		return ports
	}
	ports := byID(tries, all, func(p PortPlan) string { return p.ID })
	for _, id := range slices.Sorted(maps.Keys(ports)) {
		if of := ports[id]; differ(of) {
			for i, p := range of {
				port := HeadPort{ID: id}
				if p.ID != "" {
					port.Perimeter, port.Area, port.EqualArea = &p.Perimeter, &p.Area, &p.EqualArea
				}
				plans[i].Ports = append(plans[i].Ports, port)
			}
		}
	}
}

// compareFindings looks for findings by rule and what they are about. One that
// stands with every reading in the same words is left out; one whose figures
// change is named with each, and has not gone.
func compareFindings(tries []try, plans []HeadPlan) {
	found := make([]map[string]HeadFinding, len(tries))
	stand := make([]map[HeadFinding]bool, len(tries))
	first := map[string]HeadFinding{}
	for i, t := range tries {
		found[i], stand[i] = map[string]HeadFinding{}, map[HeadFinding]bool{}
		for _, f := range t.plan.Findings {
			name := strings.Join(slices.Concat([]string{f.Rule}, f.Where, f.Slots), " ")
			for n := 2; ; n++ {
				if _, taken := found[i][name]; !taken {
					break
				}
				name += " " + strconv.Itoa(n)
			}
			short := HeadFinding{f.Severity, f.Rule, f.Text}
			found[i][name], stand[i][short] = short, true
			if _, known := first[name]; !known {
				first[name] = short
			}
		}
	}
	everywhere := func(f HeadFinding) bool {
		return !slices.ContainsFunc(stand, func(m map[HeadFinding]bool) bool { return !m[f] })
	}
	for i := range plans {
		plans[i].Findings, plans[i].Gone = []HeadFinding{}, []HeadFinding{}
		for _, name := range slices.Sorted(maps.Keys(first)) {
			f, stands := found[i][name]
			switch {
			case stands && !everywhere(f):
				plans[i].Findings = append(plans[i].Findings, f)
			case !stands && !stand[i][first[name]]:
				plans[i].Gone = append(plans[i].Gone, first[name])
			}
		}
	}
}

func compareTodo(tries []try, plans []HeadPlan) {
	asked := map[Todo]int{}
	for _, t := range tries {
		for _, todo := range t.todo {
			asked[todo]++
		}
	}
	for i, t := range tries {
		plans[i].Todo = []Todo{}
		for _, todo := range t.todo {
			if asked[todo] < len(tries) {
				plans[i].Todo = append(plans[i].Todo, todo)
			}
		}
		sorted.By(plans[i].Todo, func(a, b Todo) int { return cmp.Compare(a.Slot, b.Slot) })
	}
}

// byID returns for every id what each try has under it; the zero value where a try
// has nothing.
func byID[T any](tries []try, list func(Plan) []T, id func(T) string) map[string][]T {
	found := map[string][]T{}
	for i, t := range tries {
		for _, v := range list(t.plan) {
			if found[id(v)] == nil {
				found[id(v)] = make([]T, len(tries))
			}
			found[id(v)][i] = v
		}
	}
	return found
}

func each[T, R any](of []T, get func(T) R) []R {
	got := make([]R, len(of))
	for i, v := range of {
		got[i] = get(v)
	}
	return got
}

// differ tells whether values are not all printed alike.
func differ[T any](of []T) bool {
	var first []byte
	for i, v := range of {
		b, err := json.Marshal(v)
		if err != nil {
			b = []byte(err.Error())
		}
		if i == 0 {
			first = b
		} else if !bytes.Equal(first, b) {
			return true
		}
	}
	return false
}
