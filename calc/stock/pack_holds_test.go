package stock_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"tubewright/calc/stock"
	"tubewright/calc/units"
)

// holds fails the test unless the plan is one that can be cut: every set of every
// piece once, in stock of its kind, faces in order with a cut between them, legs that
// are there and long enough, and figures that add up. It is written apart from the
// code it checks.
func holds(t testing.TB, needs []stock.Need, items []stock.Item, set stock.Settings, p stock.Plan) {
	t.Helper()
	if err := wrong(needs, items, set, p); err != nil {
		t.Fatalf("%v\nneeds %+v\nitems %+v\nplan %+v", err, needs, items, p)
	}
}

func wrong(needs []stock.Need, items []stock.Item, set stock.Settings, p stock.Plan) error {
	const tol = 1e-7
	piece := map[string]stock.Need{}
	for _, n := range needs {
		piece[n.ID] = n
	}
	wanted := 0
	tubes := map[string]int{}
	for _, n := range needs {
		wanted += max(n.Copies, 1)
		for s := range max(n.Copies, 1) {
			tubes[fmt.Sprint(n.Tube, " ", s)]++
		}
	}
	welds := 0
	for _, n := range tubes {
		welds += n - 1
	}
	for _, s := range p.Splits {
		n := piece[s.Piece]
		delete(piece, s.Piece)
		if math.Abs(float64(s.Turns[0]+s.Turns[1]-n.Turn)) > tol {
			return fmt.Errorf("split %+v of %v", s, n.Turn)
		}
		a, b := n, n
		a.ID, a.Turn, a.After = s.Parts[0], s.Turns[0], ""
		b.ID, b.Turn, b.Before = s.Parts[1], s.Turns[1], ""
		piece[a.ID], piece[b.ID] = a, b
		wanted += max(n.Copies, 1)
		welds += max(n.Copies, 1)
	}
	stocked := map[string]stock.Item{}
	for _, it := range items {
		stocked[it.ID] = it
	}
	done := map[string]bool{}
	finish := func(id string, set int) error {
		key := fmt.Sprint(id, " ", set)
		n, ok := piece[id]
		if !ok || done[key] || set < 1 || set > max(n.Copies, 1) {
			return fmt.Errorf("piece %s is cut twice or not wanted", key)
		}
		done[key] = true
		return nil
	}
	var cost int64
	hand, bought := map[string]int{}, map[string]int{}
	for _, u := range p.Uses {
		it, ok := stocked[u.Item]
		if !ok || len(u.Cuts) == 0 {
			return fmt.Errorf("use of %q with %d pieces", u.Item, len(u.Cuts))
		}
		cost += u.Price
		if u.OnHand {
			hand[u.Item]++
		} else {
			bought[u.Item]++
		}
		loss, size := float64(set.Saw.Kerf+set.Saw.Facing), float64(it.Length)
		if it.Kind != stock.Tubing {
			clr := it.CLR
			if it.TrueCLR > 0 {
				clr = it.TrueCLR
			}
			loss = math.Asin(float64(set.Saw.Kerf/(clr-it.Section.OD/2))) + float64(set.Saw.Facing/clr)
			size = float64(it.Angle)
		}
		type span struct{ from, to float64 }
		var spans []span
		for i, c := range u.Cuts {
			n := piece[c.Piece]
			if err := finish(c.Piece, c.Set); err != nil {
				return err
			}
			if n.Material != it.Material || math.Abs(float64(n.Section.OD-it.Section.OD)) > 0.05 || (n.Kind == stock.Straight) != (it.Kind == stock.Tubing) {
				return fmt.Errorf("piece %s from %s", c.Piece, u.Item)
			}
			at := span{float64(c.Start), float64(c.End)}
			long := float64(n.Length)
			if n.Kind == stock.Bend {
				if math.Abs(float64(n.Radius-it.CLR)) > 0.05 {
					return fmt.Errorf("piece %s from %s", c.Piece, u.Item)
				}
				at, long = span{float64(c.From), float64(c.To)}, float64(n.Turn)
			}
			if math.Abs(at.to-at.from-long) > tol {
				return fmt.Errorf("piece %s of %v lies from %v to %v", c.Piece, long, at.from, at.to)
			}
			spans = append(spans, at)
			// The end nearer to A is that towards the port, unless it is flipped.
			near, far := n.Before, n.After
			if c.Flipped {
				near, far = far, near
			}
			for _, leg := range []struct {
				id        string
				at        units.Length
				of        units.Length
				neighbour string
				isAtEnd   bool
			}{
				{c.LegA, c.LengthA, it.LegA, near, i == 0 && at.from < tol},
				{c.LegB, c.LengthB, it.LegB, far, i == len(u.Cuts)-1 && at.to > size-tol},
			} {
				if leg.id == "" {
					continue
				}
				s := piece[leg.id]
				if it.Kind != stock.BentTube || leg.id != leg.neighbour || !leg.isAtEnd || s.Length != leg.at || float64(leg.at) > float64(leg.of)+tol {
					return fmt.Errorf("leg %+v of %+v on %s", leg, c, u.Item)
				}
				if err := finish(leg.id, c.Set); err != nil {
					return err
				}
				welds--
			}
		}
		for _, l := range u.Left {
			at := span{float64(l.From), float64(l.To)}
			if it.Kind == stock.Tubing {
				at = span{float64(l.Start), float64(l.End)}
			}
			if at.to-at.from < tol { // a leg that is cut off
				if float64(max(l.LegA, l.LegB)) < 1 {
					return fmt.Errorf("nothing is left over: %+v", l)
				}
				continue
			}
			keep := float64(20 * deg)
			if it.Kind == stock.Tubing {
				keep = 150
			}
			if l.Kept != (at.to-at.from >= keep-tol) {
				return fmt.Errorf("left over %+v", l)
			}
			if l.LegA > 0 && at.from > tol || l.LegB > 0 && at.to < size-tol {
				return fmt.Errorf("a leg on what is left over %+v", l)
			}
			spans = append(spans, at)
		}
		slices.SortFunc(spans, func(a, b span) int {
			if a.from < b.from {
				return -1
			}
			return 1
		})
		if spans[0].from < -tol || spans[len(spans)-1].to > size+tol {
			return fmt.Errorf("use %+v passes its stock of %v", u, size)
		}
		waste := spans[0].from + size - spans[len(spans)-1].to
		for i, s := range spans[1:] {
			if gap := s.from - spans[i].to; gap < loss-tol {
				return fmt.Errorf("between %v and %v there is no cut of %v", spans[i], s, loss)
			} else if waste += gap - loss; gap-loss > tol {
				return fmt.Errorf("%v is lost between %v and %v, a cut takes %v", gap, spans[i], s, loss)
			}
		}
		if waste > loss+tol {
			return fmt.Errorf("%v is neither cut nor left over of %+v", waste, u)
		}
	}
	out := 0
	for _, o := range p.Out {
		out += o.Sets
	}
	if len(done)+out != wanted {
		return fmt.Errorf("%d pieces cut and %d left out of %d", len(done), out, wanted)
	}
	for id, n := range hand {
		if n > stocked[id].OnHand {
			return fmt.Errorf("%d of %s of %d", n, id, stocked[id].OnHand)
		}
	}
	for _, b := range p.Buy {
		if !stocked[b.Item].Buy || bought[b.Item] != b.Count {
			return fmt.Errorf("bought %+v, used %d", b, bought[b.Item])
		}
		delete(bought, b.Item)
	}
	if len(bought) > 0 {
		return fmt.Errorf("used and not bought: %v", bought)
	}
	if cost != p.Cost || p.Bound > p.Cost || p.Optimal != (p.Bound == p.Cost) && len(p.Out) == 0 {
		return fmt.Errorf("cost %d, said %d, bound %d, optimal %v", cost, p.Cost, p.Bound, p.Optimal)
	}
	if len(p.Out) == 0 && welds != p.Welds {
		return fmt.Errorf("%d welds, said %d", welds, p.Welds)
	}
	return nil
}
