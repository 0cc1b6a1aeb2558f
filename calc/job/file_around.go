package job

import (
	"fmt"
)

// around reads what the tubes must reach and clear.
func (r *fileReader) around(top *members) {
	r.each("collectors", "collector", "", take(top, "collectors"), func(where, id string, m *members) {
		if n, isText := textOf(m.get("nest")); isText && (n == "square" || n == "triangle") {
			m.set("nest", `"ring"`) // of four and of three
		}
		r.triple(where, "collector", id, "at", "at_", m)
		r.triple(where, "collector", id, "axis", "axis_", m)
		r.posed(where, id, m)
	})
	r.each("ties", "tie", "", take(top, "ties"), func(where, id string, m *members) {
		r.triple(where, "tie", id, "at_a", "a", m)
		r.triple(where, "tie", id, "at_b", "b", m)
	})
	r.each("points", "point", "", take(top, "points"), func(where, id string, m *members) {
		r.triple(where, "point", id, "at", "", m)
		for i, raw := range r.array(where+".tape", take(m, "tape")) {
			at := fmt.Sprintf("%s.tape[%d]", where, i)
			r.part(at, "tape", fmt.Sprintf("%s-t%d", id, i+1), id, i, r.object(at, raw))
		}
	})
	r.each("neighbours", "neighbour", "", take(top, "neighbours"), r.neighbour)
	r.each("tools", "tool", "", take(top, "tools"), func(string, string, *members) {})
	for _, kind := range []string{"print", "slip", "sensor", "gauge"} {
		r.each(kind+"s", kind, "", take(top, kind+"s"), func(string, string, *members) {})
	}
}

// each reads a list of entities with ids of their own: first what more knows of each,
// then the fields that stand under their own names.
func (r *fileReader) each(list, kind, parent string, raw string, more func(where, id string, m *members)) {
	k, _ := KindOf(kind)
	for i, raw := range r.array(list, raw) {
		where := fmt.Sprintf("%s[%d]", list, i)
		m := r.object(where, raw)
		id := r.entity(where, kind, parent, i, m)
		more(where, id, m)
		r.fields(where, k, id, m)
		r.unknown(where, m)
	}
}

// part reads an entity that has no id in the file.
func (r *fileReader) part(where, kind, id, parent string, i int, m *members) {
	k, _ := KindOf(kind)
	r.add(kind, Entity{ID: id, Parent: parent, Order: orderKey(i)})
	r.fields(where, k, id, m)
	r.unknown(where, m)
}

// triple spreads [x, y, z] over three fields.
func (r *fileReader) triple(where, kind, id, key, prefix string, m *members) {
	raw := take(m, key)
	if raw == "" {
		return
	}
	r.spread(where+"."+key, kind, id, prefix, raw)
}

func (r *fileReader) spread(where, kind, id, prefix, raw string) {
	parts := r.array(where, raw)
	if len(parts) != 3 {
		r.refuse(where, fieldOf(kind, prefix+"x").Label, "it has to be three values [x, y, z]: "+clip(raw))
		return
	}
	for n, axis := range []string{"x", "y", "z"} {
		r.field(fmt.Sprintf("%s[%d]", where, n), fieldOf(kind, prefix+axis), Slot(kind, id, prefix+axis), parts[n])
	}
}

func (r *fileReader) neighbour(where, id string, m *members) {
	r.motion(where, id, m)
	n := 0
	if shape := take(m, "shape"); shape != "" {
		r.shape(where+".shape", id, &n, shape)
	}
}

// motion reads "stays", {"turns": {"at", "axis", "from", "to"}} or {"slides": {"axis", "from", "to"}}.
func (r *fileReader) motion(where, id string, m *members) {
	const kind = "neighbour"
	if _, isText := textOf(m.get("moves")); isText || m.get("moves") == "" {
		return // a word is a field like others
	}
	where += ".moves"
	moves := r.object(where, take(m, "moves"))
	for _, word := range []string{"turns", "slides"} {
		raw := take(moves, word)
		if raw == "" {
			continue
		}
		at := where + "." + word
		how := r.object(at, raw)
		r.facts.Values[Slot(kind, id, "moves")] = Value{Text: word, From: at}
		r.triple(at, kind, id, "at", "axis_at_", how)
		r.triple(at, kind, id, "axis", "axis_", how)
		low, high := "turn_low", "turn_high"
		if word == "slides" {
			low, high = "slide_low", "slide_high"
		}
		for key, name := range map[string]string{"from": low, "to": high} {
			if raw := take(how, key); raw != "" {
				r.field(at+"."+key, fieldOf(kind, name), Slot(kind, id, name), raw)
			}
		}
		r.unknown(at, how)
	}
	r.unknown(where, moves)
}

// shape reads {"sphere": {…}} and the like; a union has several in "shapes".
func (r *fileReader) shape(where, neighbour string, n *int, raw string) {
	m := r.object(where, raw)
	if union := take(m, "union"); union != "" {
		of := r.object(where+".union", union)
		for i, raw := range r.array(where+".union.shapes", take(of, "shapes")) {
			r.shape(fmt.Sprintf("%s.union.shapes[%d]", where, i), neighbour, n, raw)
		}
		r.unknown(where+".union", of)
	}
	for _, word := range NeighbourShapes {
		raw := take(m, word)
		if raw == "" {
			continue
		}
		*n++
		id := fmt.Sprintf("%s-s%d", neighbour, *n)
		at := where + "." + word
		of := r.object(at, raw)
		r.facts.Values[Slot("part", id, "shape")] = Value{Text: word, From: at}
		r.spots(at, id, of)
		r.triple(at, "part", id, "size", "size_", of)
		r.triple(at, "part", id, "normal", "dir_", of)
		for i, axis := range r.array(at+".axes", take(of, "axes")) {
			if i < 2 { // the third follows
				r.spread(fmt.Sprintf("%s.axes[%d]", at, i), "part", id, []string{"dir_", "up_"}[i], axis)
			}
		}
		r.part(at, "part", id, neighbour, *n-1, of)
	}
	r.unknown(where, m)
}

// spots reads the places of a shape: three coordinates, or the id of a point.
func (r *fileReader) spots(where, id string, m *members) {
	for _, s := range []struct{ key, named, prefix string }{{"at", "point", ""}, {"from", "point", ""}, {"to", "to_point", "to_"}} {
		if raw := take(m, s.key); raw != "" {
			r.spot(where+"."+s.key, "part", id, s.named, s.prefix, raw)
		}
	}
	for i, raw := range r.array(where+".points", take(m, "points")) {
		corner := fmt.Sprintf("%s-c%d", id, i+1)
		r.add("corner", Entity{ID: corner, Parent: id, Order: orderKey(i)})
		r.spot(fmt.Sprintf("%s.points[%d]", where, i), "corner", corner, "point", "", raw)
	}
}

func (r *fileReader) spot(where, kind, id, named, prefix, raw string) {
	if _, isText := textOf(raw); isText {
		r.word(where, fieldOf(kind, named), Slot(kind, id, named), raw)
		return
	}
	r.spread(where, kind, id, prefix, raw)
}

// measured reads a surveyed mock-up: {"straights": [{"points": [[x, y, z], …]}, …],
// "clr": [one for each bend], "crowns": [[x, y, z] or null], "sigma": …}.
func (r *fileReader) measured(where, tube, raw string) {
	m := r.object(where, raw)
	n := 0
	for s, raw := range r.array(where+".straights", take(m, "straights")) {
		at := fmt.Sprintf("%s.straights[%d]", where, s)
		straight := r.object(at, raw)
		for i, raw := range r.array(at+".points", take(straight, "points")) {
			id := fmt.Sprintf("%s-m%d-%d", tube, s+1, i+1)
			r.add("mark", Entity{ID: id, Parent: tube, Order: orderKey(n)})
			n++
			r.whole(at, "mark", id, "straight", s+1)
			r.spread(fmt.Sprintf("%s.points[%d]", at, i), "mark", id, "", raw)
		}
		r.unknown(at, straight)
	}
	crowns, clrs := r.array(where+".crowns", take(m, "crowns")), r.array(where+".clr", take(m, "clr"))
	for i := len(clrs); i < len(crowns); i++ {
		if isGiven(crowns[i]) {
			r.refuse(fmt.Sprintf("%s.crowns[%d]", where, i), "Middle of the bend", `the bend has no radius in "clr"; give one for each bend`)
		}
	}
	for i, raw := range clrs {
		id := fmt.Sprintf("%s-k%d", tube, i+1)
		at := fmt.Sprintf("%s.clr[%d]", where, i)
		r.add("crook", Entity{ID: id, Parent: tube, Order: orderKey(i)})
		r.whole(at, "crook", id, "after", i+1)
		r.field(at, fieldOf("crook", "clr"), Slot("crook", id, "clr"), raw)
		if i < len(crowns) && isGiven(crowns[i]) {
			r.spread(fmt.Sprintf("%s.crowns[%d]", where, i), "crook", id, "crown_", crowns[i])
		}
	}
	if sigma := take(m, "sigma"); sigma != "" {
		r.field(where+".sigma", fieldOf("tube", "survey_sigma"), Slot("tube", tube, "survey_sigma"), sigma)
	}
	r.unknown(where, m)
}

// isGiven tells whether there is a value: null leaves a place in a list open.
func isGiven(raw string) bool { return len(raw) > 0 && raw != "null" }

// whole sets a number that the place in the file says.
func (r *fileReader) whole(where, kind, id, name string, n int) {
	r.facts.Values[Slot(kind, id, name)] = Value{Text: fmt.Sprint(n), V: int64(n) * 1e6, From: where}
}
