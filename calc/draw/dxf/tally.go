package dxf

import (
	"fmt"
	"slices"
	"strings"
)

// tally counts what was left out, by reason and name.
type tally struct {
	order []string // of reasons
	kinds map[string]*leftOut
}

type leftOut struct {
	names map[string]int
	line  int // of the first
}

const noOutline = "no outline is made of such"

func (t *tally) add(reason, name string, line int) {
	if t.kinds == nil {
		t.kinds = map[string]*leftOut{}
	}
	k := t.kinds[reason]
	if k == nil {
		k = &leftOut{map[string]int{}, line}
		t.kinds[reason] = k
		t.order = append(t.order, reason)
	}
	k.names[name]++
}

// notes returns a sentence for each reason: "1 HATCH, 3 TEXT left out, the first at
// line 120: …". A file full of different faults gets no more than a page of them.
func (t *tally) notes() (list []string) {
	const most = 40
	for i, reason := range t.order {
		if i == most {
			return append(list, fmt.Sprintf("and left out for %d more reasons", len(t.order)-most))
		}
		k := t.kinds[reason]
		var names []string
		for name := range k.names {
			names = append(names, name)
		}
		slices.Sort(names)
		for i, name := range names {
			names[i] = fmt.Sprintf("%d %s", k.names[name], name)
		}
		if len(names) > most {
			names = append(names[:most], "…")
		}
		list = append(list, fmt.Sprintf("%s left out, the first at line %d: %s", strings.Join(names, ", "), k.line, reason))
	}
	return list
}
