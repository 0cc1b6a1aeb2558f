package stock

import (
	"math"
	"strconv"

	"tubewright/calc/sorted"
	"tubewright/calc/units"
)

// A bundle is all that is cut from tube of one OD, wall and material: the bends of
// every CLR, and the straights, which share legs and tubing.
type bundle struct {
	set   Settings
	clrs  []units.Length // class by class; the straights are the class behind them
	needs [][]Need       // of each part the needs that it stands for
	cover cover
	bars  []source // of each bar
}

// source is the item that a bar stands for.
type source struct {
	item   Item
	onHand bool
	price  int64 // cents
}

// sameSize is by how much an OD, a wall and a nominal CLR may differ and be the same
// to a buyer, in mm: 0.065 in is sold as 1.65 mm.
const sameSize = 0.05

func isSame(a, b units.Length) bool { return math.Abs((a - b).MM()) <= sameSize }

func (n Need) isOf(it Item) bool {
	return n.Material == it.Material && isSame(n.Section.OD, it.Section.OD) && isSame(n.Section.Wall, it.Section.Wall)
}

// suits reports whether a piece can be cut from an item, whatever their sizes.
func (n Need) suits(it Item) bool {
	if !n.isOf(it) || !it.Buy && it.OnHand <= 0 {
		return false
	}
	if n.Kind == Straight {
		return it.Kind == Tubing
	}
	return it.Kind != Tubing && isSame(n.Radius, it.CLR)
}

// newBundle takes needs that can be cut, all of one tube, with the items for them.
func newBundle(needs []Need, items []Item, set Settings) *bundle {
	b := &bundle{set: set}
	for _, n := range needs {
		if n.Kind == Bend {
			b.class(n.Radius)
		}
	}
	for _, it := range items {
		b.addItem(it, needs)
	}
	b.addNeeds(needs)
	b.price()
	return b
}

// class returns the class of a CLR.
func (b *bundle) class(clr units.Length) int {
	for i, c := range b.clrs {
		if isSame(c, clr) {
			return i
		}
	}
	b.clrs = append(b.clrs, clr)
	return len(b.clrs) - 1
}

// straights is the class of the straights.
func (b *bundle) straights() int { return len(b.clrs) }

// addItem adds the bars of an item that something can be cut from: those on hand,
// and those to buy.
func (b *bundle) addItem(it Item, needs []Need) {
	k := bar{class: -1}
	for _, n := range needs {
		if n.suits(it) {
			k.class = b.straights()
			if n.Kind == Bend {
				k.class = b.class(n.Radius)
			}
			break
		}
	}
	if k.class < 0 {
		return
	}
	if it.Kind == Tubing {
		k.size = it.Length.MM()
		k.loss = (b.set.Saw.Kerf + b.set.Saw.Facing).MM()
		k.keep = b.set.KeepLength.MM()
	} else {
		k.size = float64(it.Angle)
		k.loss = float64(Loss(it.Section.OD, it.clr(), b.set.Saw))
		k.keep = float64(b.set.Keep)
		if it.Kind == BentTube {
			k.legA, k.legB = it.LegA.MM(), it.LegB.MM()
		}
	}
	if it.OnHand > 0 {
		k.n, k.money = it.OnHand, it.HandPrice
		b.addBar(k, source{it, true, it.HandPrice})
	}
	if it.Buy {
		k.n, k.money = unlimited, it.counted()
		b.addBar(k, source{it, false, k.money})
	}
}

func (b *bundle) addBar(k bar, s source) {
	b.cover.bars = append(b.cover.bars, k)
	b.bars = append(b.bars, s)
}

// counted is what one that is bought counts for, in cents; see Plan.Unpriced.
func (it Item) counted() int64 {
	switch {
	case it.Price > 0:
		return it.Price
	case it.Kind == Tubing:
		return max(int64(it.Length.MM()/100), 1)
	}
	return max(int64(it.Angle.Deg()), 1)
}

// addNeeds makes parts of the needs: bends of each class, then straights, the
// largest first. What is as large and has the same straights beside it, or none
// that a leg could serve, is one part.
func (b *bundle) addNeeds(needs []Need) {
	type made struct {
		part
		before, after string
		needs         []Need
	}
	long := b.longestLegs()
	at := map[string]*Need{}
	for i := range needs {
		at[needs[i].ID] = &needs[i]
	}
	servable := map[string]bool{}
	beside := func(id string, class int) string {
		if s := at[id]; id == "" || s == nil || !(s.Length.MM() <= long[class]+tight) {
			return ""
		}
		servable[id] = true
		return id
	}
	var parts []*made
	add := func(p made, n Need) {
		for _, q := range parts {
			if q.class == p.class && math.Abs(q.size-p.size) <= tight/10 && q.before == p.before && q.after == p.after && (p.class != b.straights() || !servable[n.ID] && !servable[q.needs[0].ID]) {
				q.n += n.sets()
				q.needs = append(q.needs, n)
				return
			}
		}
		p.needs, p.n, p.must = []Need{n}, n.sets(), true
		parts = append(parts, &p)
	}
	for _, n := range needs {
		if n.Kind == Bend {
			class := b.class(n.Radius)
			add(made{part: part{class: class, size: float64(n.Turn)}, before: beside(n.Before, class), after: beside(n.After, class)}, n)
		}
	}
	for _, n := range needs {
		if n.Kind == Straight {
			add(made{part: part{class: b.straights(), size: n.Length.MM(), length: n.Length.MM()}}, n)
		}
	}
	sorted.By(parts, func(p, q *made) int {
		switch {
		case p.class != q.class:
			return p.class - q.class
		case p.size > q.size:
			return -1
		case p.size < q.size:
			return 1
		}
		return 0
	})
	index := map[string]int{"": -1}
	for i, p := range parts {
		if p.class == b.straights() {
			for _, n := range p.needs {
				index[n.ID] = i
			}
		}
	}
	for _, p := range parts {
		p.part.before, p.part.after = index[p.before], index[p.after]
		b.cover.parts = append(b.cover.parts, p.part)
		b.needs = append(b.needs, p.needs)
	}
}

// longestLegs returns the longest leg of each class.
func (b *bundle) longestLegs() []float64 {
	long := make([]float64, len(b.clrs)+1)
	for i := range long {
		long[i] = math.Inf(-1)
	}
	for _, k := range b.cover.bars {
		if l := math.Max(k.legA, k.legB); l > 0 {
			long[k.class] = math.Max(long[k.class], l)
		}
	}
	return long
}

// price sets what bars cost and what a weld that is saved gains, so that no number
// of welds outweighs a cent, and no money a piece that is left out.
func (b *bundle) price() {
	b.cover.scale = 1
	pieces, dearest := int64(0), int64(1)
	for _, p := range b.cover.parts {
		pieces += int64(p.n)
		if p.class == b.straights() {
			b.cover.scale += int64(p.n)
		}
	}
	for _, k := range b.cover.bars {
		dearest = max(dearest, k.money)
	}
	for i := range b.cover.parts {
		if b.cover.parts[i].class == b.straights() {
			b.cover.parts[i].gain = 1
		}
	}
	for i := range b.cover.bars {
		b.cover.bars[i].cost = b.cover.bars[i].money * b.cover.scale
	}
	b.cover.leaveMoney = dearest*pieces + 1
	b.cover.leave = b.cover.leaveMoney * b.cover.scale
}

// tubing says what would be needed for a piece, for people.
func (n Need) tubing() string {
	said := "OD " + inBoth(n.Section.OD) + ", wall " + inBoth(n.Section.Wall)
	if n.Material != "" {
		said += ", " + n.Material
	}
	if n.Kind == Bend {
		said += ", CLR " + inBoth(n.Radius)
	}
	return said
}

// inBoth writes a length for a sentence, in both units.
func inBoth(l units.Length) string {
	return units.MM(l.NM(), 2) + " mm (" + units.Inches(l.NM()) + " in)"
}

func degrees(a units.Angle) string {
	return strconv.FormatFloat(math.Round(a.Deg()*100)/100, 'f', -1, 64) + "°"
}
