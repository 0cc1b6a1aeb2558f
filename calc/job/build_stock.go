package job

import (
	"math"
	"slices"

	"tubewright/calc/units"
)

// stock builds the items that the facts hold.
func (b *builder) stock() []Stock {
	var items []Stock
	for _, e := range b.f.Lists["stock"] {
		items = append(items, b.stockItem(e.ID))
	}
	return items
}

func (b *builder) stockItem(id string) Stock {
	f, k := b.f, "stock"
	s := Stock{ID: id, Title: f.title(k, id), Type: f.word(k, id, "type"), Form: f.word(k, id, "form"), Name: f.Notes[Slot(k, id, "name")], Supplier: f.Notes[Slot(k, id, "supplier")],
		OD: f.length(k, id, "od"), Wall: f.length(k, id, "wall"), Material: f.word(k, id, "material"), CLR: f.length(k, id, "clr"),
		Across: [2]Opt[units.Length]{f.length(k, id, "across_a"), f.length(k, id, "across_b")}, Angle: f.angle(k, id, "angle"),
		LegA: f.length(k, id, "leg_a"), LegB: f.length(k, id, "leg_b"), Length: f.length(k, id, "length"),
		Price: f.number(k, id, "price"), OnHand: f.number(k, id, "on_hand"), Offcut: f.word(k, id, "offcut") == "yes"}
	need := func(field string, known bool) {
		if !known {
			s.Open = append(s.Open, Slot(k, id, field))
		}
	}
	need("type", s.Type != "")
	need("od", s.OD.Known)
	need("wall", s.Wall.Known)
	if s.Type == "length" {
		need("length", s.Length.Known)
	} else {
		need("clr", s.CLR.Known)
		need("angle", s.Angle.Known)
	}
	half := s.OD.V.MM() / 2
	if s.OD.Known && s.Wall.Known && s.Wall.V.MM() >= half {
		b.refuseWithin(k, id, "wall", fieldOf(k, "wall").Low, half, "it has to be less than half the OD, or nothing is left inside")
		s.Open = append(s.Open, Slot(k, id, "wall"))
	}
	if s.OD.Known && s.CLR.Known && s.CLR.V.MM() <= half {
		b.refuseWithin(k, id, "clr", half, fieldOf(k, "clr").High, "it has to be more than half the OD, or the inside of the bend has no radius left")
		s.Open = append(s.Open, Slot(k, id, "clr"))
	}
	b.across(&s)
	s.Taken = b.taken(id)
	return s
}

// across holds what was measured across the legs of a bend against what it can be:
// it says something at exactly 180° only.
func (b *builder) across(s *Stock) {
	for i, name := range []string{"across_a", "across_b"} {
		a := s.Across[i]
		switch {
		case !a.Known:
		case s.Angle.Known && math.Abs(s.Angle.V.Deg()-180) > 1e-6:
			b.refuse("stock", s.ID, name, "its legs are not parallel, so this does not say its CLR; it holds on a bend of exactly 180°")
			s.Across[i].Known = false
		case s.OD.Known && a.V <= s.OD.V:
			b.refuseWithin("stock", s.ID, name, s.OD.V.MM(), fieldOf("stock", name).High, "it has to be more than the OD, or the inside of the bend has no radius left")
			s.Across[i].Known = false
		}
	}
}

// taken counts what was taken since the count that stands.
func (b *builder) taken(id string) int {
	heads := b.f.Heads[Slot("stock", id, "on_hand")]
	n := 0.0
	for _, e := range b.f.in("use", id) {
		if slices.Contains(heads, b.f.word("use", e.ID, "counted")) {
			n += b.f.number("use", e.ID, "count").V
		}
	}
	return int(n)
}

// made builds what came out of the pieces of a tube, by element.
func (b *builder) made(t *Tube) {
	f := b.f
	t.Made = map[string]Made{}
	for _, e := range f.in("element", t.ID) {
		said := f.Events[Slot("element", e.ID, "stage")]
		m := Made{Turn: f.angle("element", e.ID, "cut_turn"), CLR: f.length("element", e.ID, "cut_clr"), Length: f.length("element", e.ID, "cut_length"),
			Clocked: f.angle("element", e.ID, "clocked"), Stage: said.Text, By: said.Person, At: said.At}
		if half := t.OD.V.MM() / 2; t.OD.Known && m.CLR.Known && m.CLR.V.MM() <= half {
			b.refuseWithin("element", e.ID, "cut_clr", half, fieldOf("element", "cut_clr").High, "it has to be more than half the OD, or the inside of the bend has no radius left")
			m.CLR.Known = false
		}
		if m.isSaid() {
			t.Made[e.ID] = m
		}
	}
	for _, e := range f.in("tack", t.ID) {
		at, behind := b.place("tack", e.ID, ""), f.word("tack", e.ID, "element")
		if !at.Known || behind == "" {
			continue
		}
		if !slices.ContainsFunc(f.in("element", t.ID), func(o Entity) bool { return o.ID == behind }) {
			b.refuse("tack", e.ID, "element", "it is a piece of another tube")
			continue
		}
		t.Tacks = append(t.Tacks, Tack{ID: e.ID, Element: behind, At: at.V, Aim: b.heading("tack", e.ID, "aim_")})
	}
}

// pieceNumber is the number that the piece of an element bears, 0 where it has none.
func (b *builder) pieceNumber(id string) int {
	return int(b.f.number("element", id, "number").V)
}
