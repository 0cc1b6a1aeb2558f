package stock

import "tubewright/calc/units"

// A namer says which piece of which set each part of a plan is. Sets are alike, so
// that any will do, but for straights between two bends: the two bends of one set
// must not both have it.
type namer struct {
	b      *bundle
	served map[string]map[int]bool // of each straight the sets in which a leg serves it
}

type named struct {
	need Need
	set  int
}

// names returns of each pattern its pieces, in the order of take.
func (b *bundle) names(plan []pattern) [][]named {
	n := &namer{b: b, served: map[string]map[int]bool{}}
	out := make([][]named, len(plan))
	for j, p := range plan {
		out[j] = make([]named, len(p.take))
	}
	type place struct{ pattern, piece int }
	places := make([][]place, len(b.cover.parts))
	for j, p := range plan {
		for q, i := range p.take {
			places[i] = append(places[i], place{j, q})
		}
	}
	for _, i := range b.alongTubes() {
		var before, others []place
		for _, at := range places[i] {
			if s, _ := legOf(plan[at.pattern], at.piece); s >= 0 {
				before = append(before, at)
			} else {
				others = append(others, at)
			}
		}
		all := n.all(i)
		for _, at := range append(before, others...) {
			s, t := legOf(plan[at.pattern], at.piece)
			pick := 0
			for s >= 0 && pick < len(all)-1 && n.isServed(all[pick].need.Before, all[pick].set) {
				pick++
			}
			got := all[pick]
			all = append(all[:pick], all[pick+1:]...)
			out[at.pattern][at.piece] = got
			if s >= 0 {
				n.serve(got.need.Before, got.set)
			}
			if t >= 0 {
				n.serve(got.need.After, got.set)
			}
		}
	}
	for i, p := range b.cover.parts {
		if p.class != b.straights() {
			continue
		}
		var left []named
		for _, s := range n.all(i) {
			if !n.isServed(s.need.ID, s.set) {
				left = append(left, s)
			}
		}
		for q, at := range places[i] {
			out[at.pattern][at.piece] = left[q]
		}
	}
	return out
}

// all returns the pieces that a part stands for.
func (n *namer) all(i int) (list []named) {
	for _, need := range n.b.needs[i] {
		for set := 1; set <= need.sets(); set++ {
			list = append(list, named{need, set})
		}
	}
	return list
}

func (n *namer) isServed(id string, set int) bool { return n.served[id][set] }

func (n *namer) serve(id string, set int) {
	if n.served[id] == nil {
		n.served[id] = map[int]bool{}
	}
	n.served[id][set] = true
}

// legOf returns the straights before and after a piece that its legs serve, as
// parts, or −1.
func legOf(p pattern, piece int) (before, after int) {
	before, after = -1, -1
	for _, l := range [2]leg{p.legA, p.legB} {
		if l.serves < 0 || l.piece != piece {
			continue
		}
		if l.after {
			after = l.serves
		} else {
			before = l.serves
		}
	}
	return before, after
}

// alongTubes returns the parts that are bends so that of two with a straight
// between them, the one nearer to the port comes first.
func (b *bundle) alongTubes() []int {
	var order []int
	done := make([]bool, len(b.cover.parts))
	behind := map[int]int{} // the bend before a straight
	for i, p := range b.cover.parts {
		if p.after >= 0 {
			behind[p.after] = i
		}
	}
	var visit func(i int)
	visit = func(i int) {
		if done[i] {
			return
		}
		done[i] = true
		if s := b.cover.parts[i].before; s >= 0 {
			if j, ok := behind[s]; ok {
				visit(j)
			}
		}
		order = append(order, i)
	}
	for i, p := range b.cover.parts {
		if p.class != b.straights() {
			visit(i)
		}
	}
	return order
}

// lay returns the uses of a plan, with every face where it lies, and what is left
// out.
func (b *bundle) lay(plan []pattern, items []Item) (uses []Use, out []Out) {
	names := b.names(plan)
	for j, p := range plan {
		if p.bar < 0 {
			n := names[j][0].need
			out = append(out, Out{Piece: n.ID, Sets: 1, Why: n.lacks(n.longest(items))})
			continue
		}
		s := b.bars[p.bar]
		u := Use{Item: s.item.ID, OnHand: s.onHand, Price: s.price}
		if s.item.Kind == Tubing {
			b.layStraight(&u, p, names[j])
		} else {
			b.layBend(&u, p, names[j])
		}
		uses = append(uses, u)
	}
	return uses, out
}

// layStraight lays pieces one behind the other.
func (b *bundle) layStraight(u *Use, p pattern, names []named) {
	k := b.cover.bars[p.bar]
	at := 0.0
	for q, i := range p.take {
		size := b.cover.parts[i].size
		u.Cuts = append(u.Cuts, Cut{Piece: names[q].need.ID, Set: names[q].set, Start: units.Length(at), End: units.Length(at + size)})
		at += size + k.loss
	}
	if left := k.size - at; left > tight {
		u.Left = append(u.Left, Left{Start: units.Length(at), End: units.Length(k.size), Kept: left >= k.keep-tight})
	}
}

// layBend lays the pieces that keep a leg at their ends, the others between, and
// what is left over where no leg is wanted.
func (b *bundle) layBend(u *Use, p pattern, names []named) {
	k := b.cover.bars[p.bar]
	order := b.order(p)
	hasA, hasB := p.legA.serves >= 0, p.legB.serves >= 0
	// Where what is left over lies: before piece 0, behind the last, or behind the
	// first. With no leg in use it keeps the longer one.
	gap := len(order)
	switch {
	case hasA && hasB:
		gap = 1
	case hasB, !hasA && k.legA > k.legB:
		gap = 0
	}
	at := 0.0
	left := func(n int) {
		if n != gap || p.rest <= tight {
			return
		}
		from := at // behind the cut of the piece before
		if off := p.rest - k.loss; off > tight {
			l := Left{From: units.Angle(from), To: units.Angle(from + off), Kept: off >= k.keep-tight}
			if n == 0 {
				l.LegA = units.Length(k.legA)
			}
			if n == len(order) {
				l.LegB = units.Length(k.legB)
			}
			u.Left = append(u.Left, l)
		}
		at += p.rest
	}
	for n, q := range order {
		left(n)
		size := b.cover.parts[p.take[q]].size
		c := Cut{Piece: names[q].need.ID, Set: names[q].set, From: units.Angle(at), To: units.Angle(at + size)}
		b.keepLegs(&c, p, q, names[q].need)
		u.Cuts = append(u.Cuts, c)
		at += size + k.loss
	}
	left(len(order))
	b.cutOff(u, p, k)
}

// order returns the pieces from end A on.
func (b *bundle) order(p pattern) []int {
	var order []int
	if p.legA.serves >= 0 {
		order = append(order, p.legA.piece)
	}
	for q := range p.take {
		if (p.legA.serves < 0 || q != p.legA.piece) && (p.legB.serves < 0 || q != p.legB.piece) {
			order = append(order, q)
		}
	}
	if p.legB.serves >= 0 && !(p.legA.serves >= 0 && p.legB.piece == p.legA.piece) {
		order = append(order, p.legB.piece)
	}
	return order
}

// keepLegs says which legs stay on a piece, and which way round it lies for that.
func (b *bundle) keepLegs(c *Cut, p pattern, q int, n Need) {
	straight := func(l leg) (string, units.Length) {
		id := n.Before
		if l.after {
			id = n.After
		}
		return id, units.Length(b.cover.parts[l.serves].length)
	}
	if l := p.legA; l.serves >= 0 && l.piece == q {
		c.LegA, c.LengthA = straight(l)
		c.Flipped = l.after
	}
	if l := p.legB; l.serves >= 0 && l.piece == q {
		c.LegB, c.LengthB = straight(l)
		c.Flipped = !l.after
	}
}

// cutOff adds the legs that come off whole: straights that may be of use.
func (b *bundle) cutOff(u *Use, p pattern, k bar) {
	keep := b.set.KeepLength.MM()
	onLeft := func(leg func(Left) units.Length) bool {
		for _, l := range u.Left {
			if leg(l) > 0 {
				return true
			}
		}
		return false
	}
	if k.legA >= keep && p.legA.serves < 0 && !onLeft(func(l Left) units.Length { return l.LegA }) {
		u.Left = append(u.Left, Left{LegA: units.Length(k.legA), Kept: true})
	}
	if k.legB >= keep && p.legB.serves < 0 && !onLeft(func(l Left) units.Length { return l.LegB }) {
		u.Left = append(u.Left, Left{From: units.Angle(k.size), To: units.Angle(k.size), LegB: units.Length(k.legB), Kept: true})
	}
}
