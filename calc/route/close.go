package route

import (
	"cmp"
	"errors"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"tubewright/calc/fault"
	"tubewright/calc/sorted"
	"tubewright/calc/tube"
)

// ErrStopped says that Step ended a search. What came back with it was found up to
// then, and holds.
var ErrStopped = errors.New("stopped")

const (
	usualAnswers = 6
	mostAlike    = 2    // answers that ask for the same kinds of work
	fewAnswers   = 2    // fewer than these and slivers are looked at as well
	mostVetoed   = 12   // kept for looking at
	mostChanges  = 6    // as many as there are misses
	mostSets     = 8000 // of one search, some tenths of a second
	mostStarts   = 24   // of all knobs at once, where no change is too far from an answer
	besideAnew   = 3    // changes beside a piece that is cut anew
)

// Close finds the smallest sets of changes after which the end of a chain meets its
// target. The error is joined *fault.Field for a question that cannot be asked, or
// ErrStopped. That nothing closes is not an error: Closing.Best says what comes
// nearest.
func Close(r Request) (Closing, error) {
	s, err := newSearch(r)
	if err != nil {
		return Closing{}, err
	}
	err = s.run()
	s.out.Tried = s.solver.tries
	for _, k := range s.kept {
		s.out.Answers = append(s.out.Answers, k.answer)
	}
	return s.out, errors.Join(err, s.spread())
}

// Stand walks a chain as it is and says how far off its end may come out. Nothing is
// looked for; the error joins *fault.Field.
func Stand(r Request) (Answer, error) {
	s, err := newSearch(r)
	if err != nil {
		return Answer{}, err
	}
	if s.out.AsIs, err = s.m.answer(nil, nil); err != nil {
		return Answer{}, err
	}
	err = s.spread()
	return s.out.AsIs, err
}

func newSearch(r Request) (search, error) {
	t, err := r.Target.ready()
	sigmas := UsualSigmas(r.Chain.OD)
	if r.Sigmas != nil {
		sigmas = *r.Sigmas
	}
	if err := errors.Join(err, r.Chain.check(), sigmas.check(), r.checkRest()); err != nil {
		return search{}, err
	}
	if r.Most == 0 {
		r.Most = usualAnswers
	}
	s := search{ask: r, most: r.Most, sigmas: sigmas}
	s.m = newModel(r.Chain, t)
	return s, nil
}

func (r Request) checkRest() error {
	faults := []error{fault.Within("Answers wanted", float64(r.Most), 0, 100, "")}
	for _, radius := range r.Radii {
		b := tube.Element{ID: "of the CLRs on hand", Bend: &tube.Bend{Turn: LeastTurn, Radius: radius}}
		faults = append(faults, tube.Check(tube.Section{OD: r.Chain.OD, Wall: r.Chain.OD / 10}, []tube.Element{b}))
	}
	return errors.Join(faults...)
}

// search is one run of Close.
type search struct {
	ask    Request
	m      model
	solver solver
	sigmas Sigmas
	most   int
	kept   []candidate
	seen   map[uint64]bool // sets of knobs that were certified
	done   float64         // share, as told
	out    Closing
}

// candidate is an answer with the knobs that it uses, and which kinds of work.
type candidate struct {
	answer Answer
	mask   uint64
	kinds  kinds
}

func (s *search) run() error {
	s.solver = newSolver(&s.m)
	asIs, err := s.m.answer(nil, nil)
	if err != nil {
		return err
	}
	s.out.AsIs = asIs
	s.seen = map[uint64]bool{0: true}
	if asIs.Closes && s.offer(asIs, 0) {
		s.out.Complete = true
		return nil
	}
	all := s.all()
	best := s.nearest(all)
	switch {
	case asIs.Closes: // turned down; the least change of any set is none
	case worst(best.r) <= 1:
		if err := s.enumerate(s.sets()); err != nil {
			return err
		}
		if len(s.kept) == 0 {
			if err := s.thinned(all, best); err != nil {
				return err
			}
		}
	default:
		s.out.Complete = true // what no change of everything reaches no set of changes does
	}
	if !asIs.Closes {
		if err := s.anew(); err != nil {
			return err
		}
	}
	if len(s.kept) == 0 && len(s.out.Vetoed) > 0 {
		if err := s.around(all); err != nil {
			return err
		}
	}
	if len(s.kept) < min(s.most, fewAnswers) {
		if err := s.slivers(); err != nil {
			return err
		}
	}
	if len(s.kept) > 0 || len(s.out.Vetoed) > 0 {
		return nil
	}
	return s.would(all, best)
}

// stopped tells Step how far a search is, which never goes back: what is looked for when
// little was found comes on top.
func (s *search) stopped(done float64) bool {
	s.done = max(s.done, done)
	return s.ask.Step != nil && !s.ask.Step(s.done)
}

// all returns every knob that asks for no piece anew.
func (s *search) all() []int { return upTo(s.m.usual) }

func upTo(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// nearest changes all knobs in set at once: what that does not reach is out of
// reach. From no change first; where that does not close, from turns and changes
// drawn from a fixed seed.
func (s *search) nearest(set []int) found {
	v := &s.solver
	best := v.fit(set, v.m.least(set))
	if len(set) == 0 {
		return best
	}
	rnd := rand.New(rand.NewPCG(1, 0))
	for range mostStarts {
		if worst(best.r) <= 1 {
			break
		}
		if f := v.fit(set, v.m.drawn(rnd, set)); worst(f.r) < worst(best.r) {
			best = f
		}
	}
	return best
}

// least returns the changes of knobs that are nearest to none.
func (m *model) least(set []int) []float64 {
	x := make([]float64, len(set))
	for i, k := range set {
		x[i] = max(m.knobs[k].lo, min(m.knobs[k].hi, 0))
	}
	return x
}

// drawn returns changes of knobs to start from: any turn, angles by up to 60° and
// lengths by up to 100 mm.
func (m *model) drawn(rnd *rand.Rand, set []int) []float64 {
	x := make([]float64, len(set))
	for i, k := range set {
		reach := math.Pi
		switch m.knobs[k].what {
		case angle:
			reach = math.Pi / 3
		case length:
			reach = 100
		}
		x[i] = reach * (2*rnd.Float64() - 1)
	}
	return x
}

// enumerate tries sets of knobs in the order of the least effort that they can cost.
func (s *search) enumerate(piles [][]uint64, total int, complete bool) error {
	s.out.Complete = complete
	tried := 0
	for half, pile := range piles {
		least := float64(half) / 2
		for _, mask := range pile {
			if tried++; tried%64 == 0 && s.stopped(float64(tried)/float64(total)) {
				s.out.Complete = false
				return ErrStopped
			}
			if least >= s.limit() {
				return nil
			}
			if s.seen[mask] || s.isLess(mask, least) {
				continue
			}
			set := knobsOf(mask)
			f := s.solver.fit(set, nil)
			if worst(f.r) > 1 || s.isLess(mask, s.m.effort(set, f.x)) {
				continue
			}
			if err := s.certify(&s.m, set, f.x, mask); err != nil {
				return err
			}
		}
	}
	return nil
}

// sets returns all sets of up to six knobs in piles of equal least effort, in
// halves; fewer than six where there would be too many.
func (s *search) sets() (piles [][]uint64, total int, complete bool) {
	n := s.m.usual
	size, count := 0, 1
	for k := 1; k <= min(mostChanges, n); k++ {
		count = count * (n - k + 1) / k
		if total+count > mostSets && k > 2 {
			break
		}
		size, total = k, total+count
	}
	piles = s.piled(piles, 0, 0, s.all(), size)
	sortPiles(piles)
	return piles, total, size == min(mostChanges, n)
}

// piled adds every set of up to most of the knobs, beside those in mask whose least
// effort is half halves, to the pile of its least effort.
func (s *search) piled(piles [][]uint64, mask uint64, half int, knobs []int, most int) [][]uint64 {
	if mask != 0 {
		for len(piles) <= half {
			piles = append(piles, nil)
		}
		piles[half] = append(piles[half], mask)
	}
	if most == 0 {
		return piles
	}
	for i, k := range knobs {
		piles = s.piled(piles, mask|1<<k, half+int(2*s.m.knobs[k].base), knobs[i+1:], most-1)
	}
	return piles
}

func sortPiles(piles [][]uint64) {
	for _, p := range piles {
		sorted.By(p, func(a, b uint64) int { return bits.OnesCount64(a) - bits.OnesCount64(b) })
	}
}

func knobsOf(mask uint64) []int {
	set := make([]int, 0, mostChanges)
	for ; mask != 0; mask &= mask - 1 {
		set = append(set, bits.TrailingZeros64(mask))
	}
	return set
}

// limit is the effort from which a further answer would not be shown.
func (s *search) limit() float64 {
	if len(s.kept) < s.most {
		return math.Inf(1)
	}
	return s.kept[len(s.kept)-1].answer.Effort
}

// isLess reports whether an answer that changes all knobs in mask at that effort
// would not be kept: there are enough that are better, or that are better and ask
// for the same kinds of work, or one asks for less of the same.
func (s *search) isLess(mask uint64, effort float64) bool {
	var of kinds
	for m := mask; m != 0; m &= m - 1 {
		of |= s.m.knobs[bits.TrailingZeros64(m)].bit
	}
	alike := 0
	for _, k := range s.kept {
		if k.kinds == of && k.answer.Effort <= effort {
			alike++
		}
	}
	return alike >= mostAlike || effort >= s.limit() || s.dominated(mask, effort)
}

// dominated reports whether an answer asks for less than mask does, of the same.
func (s *search) dominated(mask uint64, effort float64) bool {
	for _, k := range s.kept {
		if k.mask&^mask == 0 && k.answer.Effort <= effort {
			return true
		}
	}
	return false
}

// certify rounds and walks a solution and offers it if it closes. A mask of 0 is for
// knobs of another model than that of the search.
func (s *search) certify(m *model, set []int, x []float64, mask uint64) error {
	a, x, err := m.certified(set, x)
	if err != nil || !a.Closes {
		return err
	}
	if mask != 0 {
		mask = m.changed(set, x)
		if s.seen[mask] {
			return nil
		}
		s.seen[mask] = true
	}
	s.offer(a, mask)
	return nil
}

// changed is the set of knobs that change anything: what was rounded to no change is
// no part of an answer.
func (m *model) changed(set []int, x []float64) (mask uint64) {
	for i, k := range set {
		if x[i] != 0 {
			mask |= 1 << k
		}
	}
	return mask
}

// offer takes an answer up among those that are kept, if it is among the best and
// Reject has nothing against it.
func (s *search) offer(a Answer, mask uint64) bool {
	if a.Effort >= s.limit() || mask != 0 && s.dominated(mask, a.Effort) {
		return false
	}
	if s.ask.Reject != nil {
		cost, reason := s.ask.Reject(a.Elems)
		if reason != "" {
			if len(s.out.Vetoed) < mostVetoed && !s.out.Around { // there are many ways around, each much like the next
				s.out.Vetoed = append(s.out.Vetoed, Vetoed{a, reason})
			}
			return false
		}
		if !(cost > 0) { // NaN too
			cost = 0
		}
		a.Cost = cost
		a.Effort += cost
	}
	s.kept = append(s.kept, candidate{a, mask, kindsOf(a.Changes)})
	sorted.By(s.kept, func(a, b candidate) int { return cmp.Compare(a.answer.Effort, b.answer.Effort) })
	alike := map[kinds]int{}
	s.kept = slices.DeleteFunc(s.kept, func(k candidate) bool {
		alike[k.kinds]++
		return alike[k.kinds] > mostAlike
	})
	if len(s.kept) > s.most {
		s.kept = s.kept[:s.most]
	}
	return true
}

// kinds is a set of kinds of work.
type kinds uint16

// bit returns the set of the one kind.
func (k Kind) bit() kinds {
	order := []Kind{Turn, Straight, Bend, Recut, Trim, StraightAnew, BendAnew, NewStraight, NewBend}
	return 1 << slices.Index(order, k)
}

func kindsOf(changes []Change) (set kinds) {
	for _, c := range changes {
		set |= c.Kind.bit()
	}
	return set
}
