package job

import "tubewright/calc/weld"

// welding builds how the header is welded.
func (b *builder) welding() Welding {
	f, k := b.f, "weld"
	w := Welding{
		Template: weld.Template(or(f.word(k, Self, "template"), string(weld.TubeByTube))), Order: f.word(k, Self, "order"),
		Changes: f.number(k, Self, "changes").Or(weld.UsualChanges), Flow: f.number(k, Self, "flow").Or(weld.UsualFlow),
		Pull:  f.length(k, Self, "port_pull").Or(weld.UsualPull),
		Rigid: f.word(k, Self, "rigid") == "yes", Braced: f.word(k, Self, "braced") == "yes", TackedBare: f.word(k, Self, "back") == "no",
		Holds: map[string]string{},
	}
	for _, h := range holdPoints {
		if word := f.word("hold", Self, h.name); word != "" {
			w.Holds[h.name] = word
		}
	}
	return w
}
