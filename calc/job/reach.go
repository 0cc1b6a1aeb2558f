package job

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// reach finds how far the lengths of tubes go while readings disagree. A length is
// a sum over what the path is made of, so the least is the sum of what each piece
// can take away and the greatest the sum of what each can add. Within one entity
// the readings are combined, since the arc of a bend is turn times CLR; at its
// ends is enough, since it grows with each of them.
type reach struct {
	length map[string]float64            // of each tube as in use, mm
	moves  map[string]map[string]bounds  // by entity, then tube: what it takes away or adds
	ends   map[string]map[string][]Value // by entity, then slot: values that move a tube farthest
}

// bounds is how much, in mm, a length falls and rises at most: low ≤ 0 ≤ high.
type bounds struct{ low, high float64 }

func newReach(tubes []TubePlan) *reach {
	r := &reach{map[string]float64{}, map[string]map[string]bounds{}, map[string]map[string][]Value{}}
	for _, t := range tubes {
		if t.Length != nil {
			r.length[t.ID] = float64(*t.Length)
		}
	}
	return r
}

// see takes in what the tubes come to with another value of one slot.
func (r *reach) see(slot string, v Value, tubes []TubePlan) {
	kind, id, _, _ := SplitSlot(slot)
	entity := kind + "/" + id
	if !r.take(entity, tubes) {
		return
	}
	if r.ends[entity] == nil {
		r.ends[entity] = map[string][]Value{}
	}
	of := append(r.ends[entity][slot], v)
	if !isWord(slot) {
		byFigure := func(a, b Value) int { return cmp.Compare(a.V, b.V) }
		of = []Value{slices.MinFunc(of, byFigure), slices.MaxFunc(of, byFigure)}
	}
	r.ends[entity][slot] = of
}

// take widens the bounds of an entity by what the tubes come to, and tells whether
// any length moved.
func (r *reach) take(entity string, tubes []TubePlan) (moved bool) {
	for _, t := range tubes {
		was, had := r.length[t.ID]
		if t.Length == nil || !had {
			continue
		}
		by := float64(*t.Length) - was
		if by == 0 {
			continue
		}
		if r.moves[entity] == nil {
			r.moves[entity] = map[string]bounds{}
		}
		b := r.moves[entity][t.ID]
		r.moves[entity][t.ID] = bounds{math.Min(b.low, by), math.Max(b.high, by)}
		moved = true
	}
	return moved
}

// join tries the readings of one entity together where more than one of its slots
// is in dispute.
func (r *reach) join(f Facts) {
	for entity, ends := range r.ends {
		if len(ends) > 1 {
			r.together(entity, f, ends, slices.Sorted(maps.Keys(ends)))
		}
	}
}

func (r *reach) together(entity string, f Facts, ends map[string][]Value, slots []string) {
	if len(slots) == 0 {
		plan, _, _ := fromFacts(f)
		r.take(entity, plan.Tubes)
		return
	}
	r.together(entity, f, ends, slots[1:])
	for _, v := range ends[slots[0]] {
		r.together(entity, f.with(slots[0], v), ends, slots[1:])
	}
}

// note writes least and greatest length beside the tubes that have both.
func (r *reach) note(tubes []TubePlan) {
	for i, t := range tubes {
		var sum bounds
		for _, entity := range slices.Sorted(maps.Keys(r.moves)) { // sums of floats depend on their order
			b := r.moves[entity][t.ID]
			sum.low, sum.high = sum.low+b.low, sum.high+b.high
		}
		if l := r.length[t.ID]; sum.low < sum.high {
			tubes[i].Low, tubes[i].High = num(l+sum.low), num(l+sum.high)
		}
	}
}
