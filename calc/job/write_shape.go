package job

import (
	"strconv"
	"strings"
)

// outline writes the outline of a port or an opening.
func (w *fileWriter) outline(m *object, kind, id string) {
	shape := w.f.word(kind, id, "shape")
	if shape == "" {
		return
	}
	o := &object{}
	o.set("shape", w.take(kind, id, "shape"))
	for _, name := range shapes[shape].dimensions {
		o.set(name, w.take(kind, id, name))
	}
	if turn := fieldOf(kind, "turn"); turn.asked(w.f, kind, id) {
		o.set("turn", w.take(kind, id, "turn"))
	}
	switch {
	case shape == byPoints:
		o.list("points", w.rim(rimOf[kind], id))
	case shape == drawn:
		w.path(o, kind, id)
	}
	m.set("outline", o.text())
}

func (w *fileWriter) rim(kind, parent string) (points []string) {
	for _, e := range w.f.in(kind, parent) {
		if _, written := w.ids[kind+"/"+e.ID]; written {
			points = append(points, listOf([]string{w.take(kind, e.ID, "x"), w.take(kind, e.ID, "y")}))
		}
	}
	return points
}

// path writes the corners of a drawn outline, each [x, y] or [x, y, bulge].
func (w *fileWriter) path(m *object, kind, id string) {
	raw := w.take(kind, id, "path")
	if raw == "" {
		return
	}
	var corners []string
	for corner := range strings.SplitSeq(w.f.word(kind, id, "path"), ";") {
		corners = append(corners, listOf(strings.Fields(corner)))
	}
	m.list("path", corners)
}

// shapes writes what a neighbour is made of.
func (w *fileWriter) shapes(m *object, neighbour string) {
	k, _ := KindOf("part")
	var list []string
	for _, e := range w.f.in("part", neighbour) {
		if _, written := w.ids["part/"+e.ID]; !written {
			continue
		}
		shape, of, one := w.f.word("part", e.ID, "shape"), &object{}, &object{}
		w.take("part", e.ID, "shape")
		first := "at"
		if shape == "rod" {
			first = "from"
		}
		of.set(first, w.spot("part", e.ID, "point", ""))
		of.set("to", w.spot("part", e.ID, "to_point", "to_"))
		var corners []string
		for _, c := range w.f.in("corner", e.ID) {
			if _, written := w.ids["corner/"+c.ID]; written {
				corners = append(corners, w.spot("corner", c.ID, "point", ""))
			}
		}
		of.list("points", corners)
		if shape == "plane" {
			of.set("normal", w.triple("part", e.ID, "dir_"))
		}
		w.fields(of, k, e.ID)
		one.set(shape, of.text())
		list = append(list, one.text())
	}
	switch len(list) {
	case 0:
	case 1:
		m.set("shape", list[0])
	default:
		m.set("shape", `{"union": {"shapes": `+listOf(list)+`}}`)
	}
}

// spot writes a place: the id of a point, or three coordinates.
func (w *fileWriter) spot(kind, id, named, prefix string) string {
	if raw := w.take(kind, id, named); raw != "" {
		return raw
	}
	return w.triple(kind, id, prefix)
}

// measured writes a surveyed mock-up.
func (w *fileWriter) measured(m *object, tube string) {
	o := &object{}
	var straights []string
	var points []string
	close := func() {
		if len(points) > 0 {
			straights = append(straights, `{"points": `+listOf(points)+`}`)
		} else {
			straights = append(straights, `{}`)
		}
		points = nil
	}
	for _, e := range w.sortedBy("mark", tube, "straight") {
		n, known := w.f.Values[Slot("mark", e.ID, "straight")]
		for known && len(straights) < int(n.V/1e6)-1 {
			close()
		}
		at := ""
		if known {
			at = w.triple("mark", e.ID, "")
		}
		if at == "" {
			continue
		}
		points = append(points, at)
		w.called("mark", e.ID, w.ids["tube/"+tube]+"-m"+strconv.Itoa(len(straights)+1)+"-"+strconv.Itoa(len(points)))
		for _, name := range []string{"x", "y", "z"} {
			w.slots[Slot("mark", e.ID, name)] = w.renamed("mark", e.ID, name)
		}
		w.take("mark", e.ID, "straight")
	}
	if len(points) > 0 {
		close()
	}
	o.list("straights", straights)
	var clrs, crowns []string
	for _, e := range w.sortedBy("crook", tube, "after") {
		if w.f.Values[Slot("crook", e.ID, "after")].V != int64(len(clrs)+1)*1e6 {
			break // those behind would be taken for others
		}
		clr := w.take("crook", e.ID, "clr")
		if clr == "" {
			break
		}
		w.called("crook", e.ID, w.ids["tube/"+tube]+"-k"+strconv.Itoa(len(clrs)+1))
		w.slots[Slot("crook", e.ID, "clr")] = w.renamed("crook", e.ID, "clr")
		w.take("crook", e.ID, "after")
		crown := w.triple("crook", e.ID, "crown_")
		if crown == "" {
			crown = "null"
		}
		clrs, crowns = append(clrs, clr), append(crowns, crown)
	}
	o.list("clr", clrs)
	if strings.Trim(strings.Join(crowns, ""), "nul") != "" {
		o.list("crowns", crowns)
	}
	m.set("measured", o.text())
}

// element writes a piece of the path with what was made of it.
func (w *fileWriter) element(m *object, id string) {
	const kind = "element"
	cut := &object{}
	w.take(kind, id, "type")
	if w.f.word(kind, id, "type") == "straight" {
		m.set("straight", w.take(kind, id, "length"))
		cut.set("length", w.take(kind, id, "cut_length"))
	} else {
		m.set("bend", w.take(kind, id, "turn"))
		m.set("clr", w.take(kind, id, "clr"))
		m.set("rotation", w.take(kind, id, "rotation"))
		cut.set("angle", w.take(kind, id, "cut_turn"))
		cut.set("clr", w.take(kind, id, "cut_clr"))
	}
	m.set("as_cut", cut.text())
	m.set("as_clocked", w.take(kind, id, "clocked"))
}
