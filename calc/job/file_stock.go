package job

import (
	"fmt"
)

// stock reads what there is to cut from. What has a length and no CLR is tubing, what
// has a CLR a bend, unless its type says otherwise.
func (r *fileReader) stock(raw string) {
	r.each("stock", "stock", "", raw, func(where, id string, m *members) {
		if m.get("type") == "" && (m.get("clr") != "" || m.get("length") != "") {
			word := "bend"
			if m.get("clr") == "" {
				word = "length"
			}
			r.facts.Values[Slot("stock", id, "type")] = Value{Text: word, From: where}
		}
		r.yes(m, "offcut")
		across := take(m, "clr_measured")
		for i, raw := range r.array(where+".clr_measured", across) {
			if name := []string{"across_a", "across_b"}; i < len(name) {
				r.field(fmt.Sprintf("%s.clr_measured[%d]", where, i), fieldOf("stock", name[i]), Slot("stock", id, name[i]), raw)
			} else {
				r.refuse(where+".clr_measured", fieldOf("stock", "across_a").Label, "it has to be one or two values: "+clip(across))
			}
		}
	})
}

// yes lets true stand for the word yes.
func (r *fileReader) yes(m *members, key string) {
	switch m.get(key) {
	case "true":
		m.set(key, `"yes"`)
	case "false":
		m.set(key, `"no"`)
	}
}

// made reads what a piece of the path came out as: {"as_cut": {"angle", "clr"} or
// {"length"}, "as_clocked", "stage"}; "tacked": true is that stage where none is given.
func (r *fileReader) made(where, id string, m *members) {
	set := func(at, name, raw string) {
		if raw != "" {
			r.field(at, fieldOf("element", name), Slot("element", id, name), raw)
		}
	}
	isBend := r.facts.word("element", id, "type") == "bend"
	at := where + ".as_cut"
	cut := r.object(at, take(m, "as_cut"))
	if isBend {
		set(at+".angle", "cut_turn", take(cut, "angle"))
		set(at+".clr", "cut_clr", take(cut, "clr"))
		set(where+".as_clocked", "clocked", take(m, "as_clocked"))
	} else {
		set(at+".length", "cut_length", take(cut, "length"))
	}
	r.unknown(at, cut)
	set(where+".stage", "stage", take(m, "stage"))
	switch m.get("tacked") {
	case "false":
		take(m, "tacked")
	case "true":
		take(m, "tacked")
		if slot := Slot("element", id, "stage"); r.facts.Events[slot].Text == "" {
			r.note(where+".tacked", fieldOf("element", "stage"), slot, `"tacked"`)
		}
	}
}

// tacks reads where the free end of a tube was measured: {"element": "t1-e2", "at": [x, y, z],
// "aim": [x, y, z]}; the second element of the path of t1 is t1-e2.
func (r *fileReader) tacks(where, tube, raw string) {
	for i, raw := range r.array(where, raw) {
		at := fmt.Sprintf("%s[%d]", where, i)
		id := fmt.Sprintf("%s-f%d", tube, i+1)
		m := r.object(at, raw)
		r.triple(at, "tack", id, "at", "", m)
		r.triple(at, "tack", id, "aim", "aim_", m)
		r.part(at, "tack", id, tube, i, m)
	}
}
