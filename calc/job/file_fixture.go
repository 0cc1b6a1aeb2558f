package job

// fixture reads how the header is held: "fixture" with the fields of its kind, and
// "stations", of which true and false stand for yes and no.
func (r *fileReader) fixture(top *members) {
	raw := take(top, "fixture")
	m := r.object("fixture", raw)
	r.yes(m, "mock_up_conducts")
	k, _ := KindOf("fixture")
	r.fields("fixture", k, Self, m)
	r.unknown("fixture", m)
	r.each("stations", "station", "", take(top, "stations"), func(_, _ string, m *members) {
		for _, key := range []string{"removable", "leave_out", "checked"} {
			r.yes(m, key)
		}
	})
}
