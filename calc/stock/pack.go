package stock

import (
	"tubewright/calc/sorted"
	"tubewright/calc/units"
)

// Pack plans from which stock the pieces are cut: the least money, then the fewest
// welds, then the most useful off-cut, the largest that is worth keeping.
//
// Pieces of one bend take what they turn through and a Loss for every cut between
// them. Only the two end pieces of a stock bend keep a leg, either way round. A leg
// that is as long as the straight next to its piece is that straight; one that is
// shorter is cut off, the straight is cut from tubing and one weld more. What is
// left over lies at an end, which costs the leg there, or between pieces, which
// costs one more cut; a rest that is narrower than that cut can only lie at an end.
//
// Bends of every CLR, straights and tubing of one OD, wall and material are planned
// together. Plan.Optimal and Plan.FewestWelds say what is proven: both as a rule up to
// some 32 bends, with straights that legs may serve and with two sets; with 40 it is
// the best found now and then, and Bound says how far off it is at most, 1 % as a rule.
// That the off-cut is the largest is not proven. No straight is made of two legs with a weld in its middle, and a piece
// that is split is split in halves.
//
// step is called now and then and may be nil; when it returns false, the best plan
// so far is returned. The error joins *fault.Field whose Where names the piece or
// the item; there is no plan then. A piece that cannot be cut, because no stock
// has its CLR or because there is not enough, is no error: it stands in Plan.Out.
//
// Method: where no leg can serve anything, branch and bound over patterns, the largest
// piece first, with the bound of the linear relaxation and a memory of what remained.
// Where legs can, branch and price: the relaxation, with columns generated at every
// node, is divided by how many of each bar are used, then by which straights are cut
// from tubing and which bends from one bar (Barnhart and others, "Branch-and-price:
// column generation for solving huge integer programs", Operations Research 46, 1998,
// from memory). The same input gives the same plan.
func Pack(needs []Need, items []Item, set Settings, step func(Progress) bool) (Plan, error) {
	set = set.filled()
	if err := check(needs, items, set); err != nil {
		return Plan{}, err
	}
	var p Plan
	all := p.divide(needs, items, set)
	g := &budget{left: set.Nodes, whole: set.Nodes, asked: set.Nodes + askEvery, ask: step}
	p.Optimal, p.FewestWelds = true, true
	for _, same := range bundles(all) {
		b := newBundle(same, items, set)
		sol, fewest := b.solve(g)
		uses, out := b.lay(sol.plan, items)
		p.Uses = append(p.Uses, uses...)
		p.Out = append(p.Out, out...)
		short := int64(len(out)) * b.cover.leaveMoney
		p.Cost += sol.money - short
		// With pieces left out, the bound of what the others cost is only known at
		// the optimum.
		if sol.money == sol.least || short == 0 {
			p.Bound += sol.least - short
		}
		p.Optimal = p.Optimal && sol.money == sol.least
		p.FewestWelds = p.FewestWelds && sol.money == sol.least && fewest
		g.told.Cost, g.told.Bound = p.Cost, p.Bound
	}
	p.Stopped = !p.Optimal || !p.FewestWelds
	p.finish(needs, items)
	return p, nil
}

// bundles sorts needs by OD, wall and material, in the order they come in.
func bundles(needs []Need) (list [][]Need) {
next:
	for _, n := range needs {
		for i, same := range list {
			if n.isOf(Item{Section: same[0].Section, Material: same[0].Material}) {
				list[i] = append(list[i], n)
				continue next
			}
		}
		list = append(list, []Need{n})
	}
	return list
}

// divide returns the needs that a plan is looked for: all straights, since a leg may
// serve one that no tubing is there for, the bends that are longer than any stock
// bend in two, and without the bends that nothing can be done for.
func (p *Plan) divide(needs []Need, items []Item, set Settings) (all []Need) {
	for _, n := range needs {
		if n.Kind == Straight {
			all = append(all, n)
			continue
		}
		most := n.longest(items)
		switch {
		case n.Turn < set.Smallest-tight:
			p.out(n, "it turns through "+degrees(n.Turn)+", and no bend of less than "+degrees(set.Smallest)+" is cut")
		case float64(n.Turn) <= most+tight:
			all = append(all, n)
		case float64(n.Turn/2) <= most+tight:
			a, b := n, n
			a.ID, a.Turn, a.After = n.ID+"a", n.Turn/2, ""
			b.ID, b.Turn, b.Before = n.ID+"b", n.Turn/2, ""
			p.Splits = append(p.Splits, Split{Piece: n.ID, Parts: [2]string{a.ID, b.ID}, Turns: [2]units.Angle{a.Turn, b.Turn}})
			all = append(all, a, b)
		default:
			p.out(n, n.lacks(most))
		}
	}
	return all
}

func (p *Plan) out(n Need, why string) {
	p.Out = append(p.Out, Out{Piece: n.ID, Sets: n.sets(), Why: why})
}

// lacks says why nothing can be cut for a piece where the largest stock for it is
// most, in rad or mm.
func (n Need) lacks(most float64) string {
	switch {
	case n.Kind == Straight && most == 0:
		return "there is no length of " + n.tubing()
	case n.Kind == Straight && n.Length.MM() > most+tight:
		return "it is longer than the longest length of " + n.tubing() + ", which is " + inBoth(units.Length(most))
	case n.Kind == Bend && most == 0:
		return "there is no stock bend of " + n.tubing()
	case n.Kind == Bend && float64(n.Turn) > most+tight:
		return "it turns through " + degrees(n.Turn) + ", more than two of the largest stock bend of " + n.tubing() + ", which is " + degrees(units.Angle(most))
	}
	return "there is not enough stock of " + n.tubing()
}

// longest returns the largest stock that a piece can be cut from, in rad or mm; 0
// when there is none.
func (n Need) longest(items []Item) (most float64) {
	for _, it := range items {
		if !n.suits(it) {
			continue
		}
		if n.Kind == Straight {
			most = max(most, it.Length.MM())
		} else {
			most = max(most, float64(it.Angle))
		}
	}
	return most
}

// finish adds up what a plan comes to.
func (p *Plan) finish(needs []Need, items []Item) {
	rank := map[string]int{}
	for i, it := range items {
		rank[it.ID] = i
	}
	sorted.By(p.Uses, func(a, b Use) int {
		switch {
		case rank[a.Item] != rank[b.Item]:
			return rank[a.Item] - rank[b.Item]
		case a.OnHand != b.OnHand && a.OnHand:
			return -1
		case a.OnHand != b.OnHand:
			return 1
		}
		return 0
	})
	count := map[string]int{}
	bought := map[string]Bought{}
	saved := 0
	for i := range p.Uses {
		u := &p.Uses[i]
		count[u.Item]++
		u.Number = count[u.Item]
		if !u.OnHand {
			b := bought[u.Item]
			bought[u.Item] = Bought{Item: u.Item, Count: b.Count + 1, Cost: b.Cost + u.Price}
		}
		for _, c := range u.Cuts {
			if c.LegA != "" {
				saved++
			}
			if c.LegB != "" {
				saved++
			}
		}
	}
	for _, it := range items {
		if b, ok := bought[it.ID]; ok {
			p.Buy = append(p.Buy, b)
			if it.Price == 0 {
				p.Unpriced = append(p.Unpriced, it.ID)
			}
		}
	}
	p.Out = together(p.Out)
	p.Welds = p.welds(needs) - saved
}

// together joins the sets of a piece that are left out for one reason.
func together(list []Out) (out []Out) {
next:
	for _, o := range list {
		for i := range out {
			if out[i].Piece == o.Piece && out[i].Why == o.Why {
				out[i].Sets += o.Sets
				continue next
			}
		}
		out = append(out, o)
	}
	return out
}

// welds counts the joints between the pieces of each tube, taken in a row, and those
// of splits.
func (p *Plan) welds(needs []Need) (n int) {
	type made struct {
		tube string
		set  int
	}
	pieces := map[made]int{}
	split := map[string]bool{}
	for _, s := range p.Splits {
		split[s.Piece] = true
	}
	for _, need := range needs {
		for set := 1; set <= need.sets(); set++ {
			pieces[made{need.Tube, set}]++
			if split[need.ID] {
				n++
			}
		}
	}
	for _, count := range pieces {
		n += count - 1
	}
	return n
}
