package job

// posed reads where a collector was found: {"tacked": {"at": [x, y, z], "tip": [x, y, z]}}, and
// "welded" likewise.
func (r *fileReader) posed(where, id string, m *members) {
	for _, when := range []string{"tacked", "welded"} {
		at := where + "." + when
		found := r.object(at, take(m, when))
		r.triple(at, "collector", id, "at", when+"_", found)
		r.triple(at, "collector", id, "tip", when+"_tip_", found)
		r.unknown(at, found)
	}
}

// posed writes the same.
func (w *fileWriter) posed(m *object, id string) {
	for _, when := range []string{"tacked", "welded"} {
		found := &object{}
		found.set("at", w.triple("collector", id, when+"_"))
		found.set("tip", w.triple("collector", id, when+"_tip_"))
		m.set(when, found.text())
	}
}
