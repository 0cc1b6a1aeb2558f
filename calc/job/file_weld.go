package job

// welding reads how the header is welded and what hold points came to: "weld" and "hold"
// with the fields of their kinds, of which true and false stand for yes and no.
func (r *fileReader) welding(top *members) {
	for _, name := range []string{"weld", "hold"} {
		m := r.object(name, take(top, name))
		for _, key := range []string{"rigid", "braced", "back"} {
			r.yes(m, key)
		}
		k, _ := KindOf(name)
		r.fields(name, k, Self, m)
		r.unknown(name, m)
	}
}
