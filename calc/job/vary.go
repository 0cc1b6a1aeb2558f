package job

import (
	"encoding/json"
	"strconv"

	"tubewright/calc/ledger"
)

// vary works the plan out again for every other reading in dispute, one slot at a
// time with all others as in use. It notes beside every part of the plan on which
// slots in dispute its figures rest, and how short and how long each tube can
// come out.
func (p *Plan) vary(folded ledger.Folded, f Facts, disputed []string) {
	if len(disputed) == 0 {
		return
	}
	base := p.parts()
	rest := map[string][]string{}
	reach := newReach(p.Tubes)
	for _, slot := range disputed {
		others, settled := alternatives(slot, folded.Slots[slot], f.Values[slot])
		plans := make([]Plan, 0, len(others)+1)
		for _, v := range others {
			other, _, _ := fromFacts(f.with(slot, v))
			plans = append(plans, other)
			reach.see(slot, v, other.Tubes)
		}
		if !settled {
			other, _, _ := fromFacts(f.without(slot))
			plans = append(plans, other)
		}
		for name := range differing(base, plans) {
			rest[name] = append(rest[name], slot)
		}
	}
	p.mark(rest)
	reach.join(f)
	reach.note(p.Tubes)
}

// alternatives returns the values that the readings on the table have beside the
// one in use. settled is false when these do not show all that rests on the slot:
// a reading that cannot be used, or readings of one value of which two were chosen.
// Then whatever changes without any value rests on it.
func alternatives(slot string, s ledger.State, inUse Value) (others []Value, settled bool) {
	settled = len(s.Unreadable) == 0
	for _, h := range s.Heads {
		if h.ID == s.Value {
			continue
		}
		v, err := value(slot, h)
		switch {
		case err != nil:
			settled = false
		case !sameValue(slot, v, inUse):
			others = append(others, v)
		}
	}
	return others, settled && len(others) > 0
}

// sameValue tells whether two values of a slot come to the same: figures count by
// what they are, words by what they say.
func sameValue(slot string, a, b Value) bool {
	if isWord(slot) {
		return a.Text == b.Text
	}
	return a.V == b.V
}

func isWord(slot string) bool {
	kind, _, name, _ := SplitSlot(slot)
	k, _ := KindOf(kind)
	field, known := k.Field(name)
	return !known || field.Quantity == WordQ
}

// parts writes every part of the plan that bears a mark of its own, by name, as it
// would be printed: a difference that is not printed is none.
func (p Plan) parts() map[string]string {
	parts := map[string]string{}
	write := func(name string, v any) {
		b, err := json.Marshal(v)
		if err != nil {
			b = []byte(err.Error()) // a figure that is none; then it is so in every plan
		}
		parts[name] = string(b)
	}
	write("engine", p.Engine)
	for _, f := range p.Flanges {
		for _, port := range f.Ports {
			write("port/"+port.ID, port.figures())
			write("at/"+port.ID, []any{port.At, port.Loop})
		}
		write("self/"+f.Bank, []any{f.SelfMatch, f.Suspect})
		for _, pattern := range f.Patterns {
			write("pattern/"+pattern.ID, pattern)
		}
		write("design/"+f.Bank, f.Design)
		for _, e := range f.Ends {
			write("formed/"+e.Tube, e)
		}
	}
	for _, t := range p.Tubes {
		write("tube/"+t.ID, t)
		write("last/"+t.ID, t.Last)
		write("end/"+t.ID, []any{t.End, t.XYZ})
		for i, r := range t.LRA {
			write(rowPart(t.ID, i), r)
		}
		for _, piece := range t.Pieces {
			write("piece/"+piece.ID, piece)
		}
	}
	for _, c := range p.Collectors {
		write("collector/"+c.ID, c)
	}
	for _, pt := range p.Points {
		write("point/"+pt.ID, pt)
	}
	for _, f := range p.Frames {
		write("frame/"+f.Frame, f)
	}
	for _, g := range p.Gaps {
		write(gapPart(g), g)
	}
	for _, a := range p.Access {
		write("access/"+a.What, a)
	}
	return parts
}

func rowPart(tube string, i int) string { return "row/" + tube + "/" + strconv.Itoa(i) }

func gapPart(g GapPlan) string { return g.rule + "/" + g.A + "/" + g.B }

// differing names the parts of base that are not the same in every other plan.
func differing(base map[string]string, others []Plan) map[string]bool {
	names := map[string]bool{}
	for _, other := range others {
		parts := other.parts()
		for name, text := range base {
			if parts[name] != text {
				names[name] = true
			}
		}
	}
	return names
}

// mark puts the slots that each part rests on beside it.
func (p *Plan) mark(rest map[string][]string) {
	put := func(to *[]string, name string) { *to = append(*to, rest[name]...) }
	put(&p.Engine.Disputed, "engine")
	for n, f := range p.Flanges {
		for i, port := range f.Ports {
			put(&f.Ports[i].Disputed, "port/"+port.ID)
			put(&f.Ports[i].AtOn, "at/"+port.ID)
		}
		put(&p.Flanges[n].SelfOn, "self/"+f.Bank)
		for i, pattern := range f.Patterns {
			put(&f.Patterns[i].Disputed, "pattern/"+pattern.ID)
		}
		if f.Design != nil {
			put(&f.Design.Disputed, "design/"+f.Bank)
		}
		for i, e := range f.Ends {
			put(&f.Ends[i].Disputed, "formed/"+e.Tube)
		}
	}
	for i := range p.Tubes {
		t := &p.Tubes[i]
		put(&t.Disputed, "tube/"+t.ID)
		put(&t.LastOn, "last/"+t.ID)
		if t.End != nil {
			put(&t.End.Disputed, "end/"+t.ID)
		}
		for r := range t.LRA {
			put(&t.LRA[r].Disputed, rowPart(t.ID, r))
		}
		for n, piece := range t.Pieces {
			put(&t.Pieces[n].Disputed, "piece/"+piece.ID)
		}
	}
	for i, c := range p.Collectors {
		put(&p.Collectors[i].Disputed, "collector/"+c.ID)
	}
	for i, pt := range p.Points {
		put(&p.Points[i].Disputed, "point/"+pt.ID)
	}
	for i, f := range p.Frames {
		put(&p.Frames[i].Disputed, "frame/"+f.Frame)
	}
	for i, g := range p.Gaps {
		put(&p.Gaps[i].Disputed, gapPart(g))
	}
	for i, a := range p.Access {
		put(&p.Access[i].Disputed, "access/"+a.What)
	}
}
