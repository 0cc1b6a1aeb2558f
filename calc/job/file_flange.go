package job

import (
	"fmt"
	"strings"
)

// outline spreads an outline over the fields and points of a port or an opening.
func (r *fileReader) outline(where, kind, id, raw string) {
	m := r.object(where, raw)
	r.own(where, kind, id, m, "shape")
	shape := r.facts.word(kind, id, "shape")
	r.own(where, kind, id, m, shapes[shape].dimensions...) // one of another shape stays behind and is reported
	if turn := fieldOf(kind, "turn"); turn.asked(r.facts, kind, id) {
		r.own(where, kind, id, m, "turn")
	}
	switch {
	case shape == byPoints:
		r.rim(where+".points", rimOf[kind], id, take(m, "points"))
	case shape == drawn && kind == "opening":
		r.path(where+".path", kind, id, take(m, "path"))
	}
	r.unknown(where, m)
}

// rim reads the points of a measured outline, [x, y] each.
func (r *fileReader) rim(where, kind, parent, raw string) {
	for i, raw := range r.array(where, raw) {
		at := fmt.Sprintf("%s[%d]", where, i)
		id := fmt.Sprintf("%s-r%d", parent, i+1)
		r.add(kind, Entity{ID: id, Parent: parent, Order: orderKey(i)})
		parts := r.array(at, raw)
		if len(parts) != 2 {
			r.refuse(at, "Outline point", "it has to be two values [x, y]: "+clip(raw))
			continue
		}
		for n, name := range []string{"x", "y"} {
			r.field(fmt.Sprintf("%s[%d]", at, n), fieldOf(kind, name), Slot(kind, id, name), parts[n])
		}
	}
}

// path reads the corners of a drawn outline, [x, y] or [x, y, bulge] each, into the
// one text that a record holds.
func (r *fileReader) path(where, kind, id, raw string) {
	if raw == "" {
		return
	}
	field := fieldOf(kind, "path")
	var corners []string
	for i, raw := range r.array(where, raw) {
		parts := r.array(fmt.Sprintf("%s[%d]", where, i), raw)
		words := make([]string, len(parts))
		for n, part := range parts {
			words[n] = decimal(part)
		}
		corners = append(corners, strings.Join(words, " "))
	}
	loop, err := ParsePath(strings.Join(corners, ";"))
	if err != nil {
		r.refuse(where, field.Label, err.Error())
		return
	}
	r.facts.Values[Slot(kind, id, "path")] = Value{Text: FormatPath(loop), From: where}
}

// patterns reads the flanges and gaskets that a head is compared with.
func (r *fileReader) patterns(where, bank, raw string) {
	r.each(where, "pattern", bank, raw, func(at, id string, m *members) {
		r.path(at+".path", "pattern", id, take(m, "path"))
		r.each(at+".holes", "hole", id, take(m, "holes"), func(string, string, *members) {})
		for i, raw := range r.array(at+".openings", take(m, "openings")) {
			r.opening(fmt.Sprintf("%s.openings[%d]", at, i), id, i, raw)
		}
	})
}

func (r *fileReader) opening(where, pattern string, i int, raw string) {
	m := r.object(where, raw)
	id := r.entity(where, "opening", pattern, i, m)
	r.outline(where+".outline", "opening", id, take(m, "outline"))
	r.own(where, "opening", id, m, "x", "y", "number")
	r.unknown(where, m)
}

// own reads fields that stand under their own names and leaves the others.
func (r *fileReader) own(where, kind, id string, m *members, names ...string) {
	for _, name := range names {
		if raw := take(m, name); raw != "" {
			r.field(where+"."+name, fieldOf(kind, name), Slot(kind, id, name), raw)
		}
	}
}
