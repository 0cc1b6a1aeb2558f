package job

import (
	"cmp"
	"slices"

	"tubewright/calc/fixture"
	"tubewright/calc/sorted"
	"tubewright/calc/stock"
)

// mockUp is what a mock-up that conducts is called among contacts.
const mockUp = "mock-up"

// earth follows the metal from the earth clamp, in the order of tacking: first the posts,
// to the plate, with the mock-up in their cradles; then the joints of the tubes, whose
// pieces are in the cradles instead.
func (h *holding) earth() *EarthPlan {
	x := h.job.Fixture
	p := &EarthPlan{Clamp: x.Earth, Order: []EarthTack{}, Unreached: []string{}, Single: []string{}}
	names := map[string]string{}
	contacts := []fixture.Contact{{A: basePlate, B: h.bank.ID}} // bolted
	if x.Conducts {
		contacts = append(contacts, fixture.Contact{A: h.bank.ID, B: mockUp})
		for _, t := range h.tubes {
			contacts = append(contacts, fixture.Contact{A: mockUp, B: t.ID})
		}
	}
	var posts []fixture.Tack
	for _, s := range h.layout.Stations {
		posts = append(posts, fixture.Tack{Joint: s.ID, A: basePlate, B: s.ID})
		names[s.ID] = "post " + h.names[s.ID] + " to the plate"
		switch {
		case !s.IsTube:
			contacts = append(contacts, fixture.Contact{A: s.ID, B: s.On})
		case x.Conducts:
			contacts = append(contacts, fixture.Contact{A: s.ID, B: mockUp})
		}
	}
	if x.Conducts {
		for _, c := range h.collectors {
			contacts = append(contacts, fixture.Contact{A: mockUp, B: c.ID})
		}
	}
	first := fixture.Earth(x.Earth, contacts, posts, h.prefers)
	p.take(first, names)
	p.Unreached = append(p.Unreached, first.Unreached...)
	clamp := x.Earth
	if n := len(first.Order); n > 0 {
		clamp = first.Order[n-1].Clamp
	}

	contacts = []fixture.Contact{{A: basePlate, B: h.bank.ID}}
	tacked := map[fixture.Contact]bool{}
	for _, t := range posts {
		c := fixture.Contact{A: t.A, B: t.B}
		tacked[c] = true
		contacts = append(contacts, c)
	}
	lain, joints := h.pieces(names)
	contacts = append(contacts, lain...)
	second := fixture.Earth(clamp, contacts, joints, h.prefers)
	p.take(second, names)
	for _, c := range fixture.Earth(clamp, contacts, nil, nil).Single {
		if !tacked[c] {
			p.Single = append(p.Single, h.partName(c.A, names)+" and "+h.partName(c.B, names))
		}
	}
	return p
}

// pieces are the contacts of what lies in cradles, and the joints of all tubes in the order
// of tacking.
func (h *holding) pieces(names map[string]string) (lain []fixture.Contact, joints []fixture.Tack) {
	for i, t := range h.tubes {
		section, _ := t.Section()
		if !t.Wall.Known {
			section.Wall = min(usualWall, t.OD.V/4) // it says nothing of which pieces there are
		}
		pieces, err := stock.Pieces(t.ID, section, t.Path)
		if err != nil || len(pieces) == 0 {
			continue
		}
		if h.job.Fixture.Earth == t.ID { // it sits on its first piece
			lain = append(lain, fixture.Contact{A: t.ID, B: pieces[0].ID})
		}
		behind := h.bank.ID
		for k, p := range pieces {
			names[p.ID] = "piece " + chalk(t.Number, p.Number)
			joint := jointID(t, pieces, k)
			names[joint] = jointName(t, pieces, k)
			joints = append(joints, fixture.Tack{Joint: joint, A: behind, B: p.ID})
			behind = p.ID
		}
		for _, s := range h.layout.Stations {
			if !s.IsTube {
				if s.On == t.Collector {
					lain = append(lain, fixture.Contact{A: s.ID, B: s.On})
				}
				continue
			}
			if s.Index == i {
				lain = append(lain, fixture.Contact{A: s.ID, B: pieceAt(pieces, s.Along)})
			}
		}
		if n := slices.IndexFunc(h.collectors, func(c Collector) bool { return c.ID == t.Collector }); n >= 0 {
			joint := jointID(t, pieces, len(pieces))
			names[joint] = intoSocket(t, h.collectors[n])
			joints = append(joints, fixture.Tack{Joint: joint, A: behind, B: t.Collector})
		}
	}
	ranks := h.job.tackRanks()
	sorted.By(joints, func(a, b fixture.Tack) int { return cmp.Compare(ranks[a.Joint], ranks[b.Joint]) })
	return lain, joints
}

// pieceAt is the piece that lies so far along the centreline.
func pieceAt(pieces []stock.Piece, along float64) string {
	for _, p := range pieces {
		if along -= p.Length.MM(); along <= 0 {
			return p.ID
		}
	}
	return pieces[len(pieces)-1].ID
}

// take adds what is known of joints.
func (p *EarthPlan) take(e fixture.Earthed, names map[string]string) {
	for _, o := range e.Order {
		p.Order = append(p.Order, EarthTack{Joint: o.Joint, Name: names[o.Joint], Reached: o.Reached, Clamp: o.Clamp})
	}
}

// partName is how a part is called beside others.
func (h *holding) partName(id string, names map[string]string) string {
	if slices.ContainsFunc(h.layout.Stations, func(s fixture.Station) bool { return s.ID == id }) {
		return "post " + h.names[id]
	}
	return or(names[id], h.label(id))
}

// prefers says where the clamp goes rather: the plate, the flange, a collector, a post.
func (h *holding) prefers(part string) int {
	switch {
	case part == basePlate:
		return 0
	case part == h.bank.ID:
		return 1
	case slices.ContainsFunc(h.collectors, func(c Collector) bool { return c.ID == part }):
		return 2
	case h.names[part] != "":
		return 3
	}
	return 4
}
