package history

import (
	"fmt"
	"slices"
	"testing"

	"tubewright/calc/ledger"
)

// scene is a world that a test leads step by step.
type scene struct {
	*world
	t    *testing.T
	dice uint32
}

func newScene(t *testing.T, tablets int) *scene {
	w := newWorld(History{Seed: 1, Tablets: tablets}, &Broken{})
	for _, one := range w.tablets {
		one.skew = 0
	}
	return &scene{world: w, t: t}
}

// then does one step.
func (s *scene) then(do string, tablet int) {
	s.dice++
	s.step++
	s.pcg.Seed(1, uint64(s.dice))
	s.do(Step{Do: do, Tablet: tablet, K: 4, Dice: s.dice})
}

// says keeps a reading of so many millimetres on a tablet.
func (s *scene) says(tablet int, mm int64, over ...string) *Rec {
	t := s.tablets[tablet]
	f := Look(slots[0], t.Disk.Slot(slots[0]))
	s.step++
	return s.put(t, ledger.Record{Kind: ledger.ReadingKind, Over: over,
		Body: fmt.Appendf(nil, `{"text":"%d","unit":"mm","nm":%d,"res":100000}`, mm, mm*1_000_000)}, f.Saw)
}

// takesBack retracts a record on a tablet.
func (s *scene) takesBack(tablet int, r *Rec) *Rec {
	return s.put(s.tablets[tablet], ledger.Record{Kind: ledger.RetractKind, Target: r.ID}, []*Rec{r})
}

func (s *scene) put(t *Tablet, r ledger.Record, saw []*Rec) *Rec {
	s.dice++
	s.pcg.Seed(1, uint64(s.dice))
	r.ID, r.Job, r.Slot, r.SV = randomID(s.rnd), "j1", slots[0], 1
	r.Dev, r.N = t.Disk.Dev, t.Disk.N+1
	r.HLC = ledger.Stamp(shopNow+t.skew+int64(s.step), 0, r.Dev)
	rec := NewRec(r, saw)
	if !t.write(func(d *Disk) {
		d.N++
		d.add(rec, 0, true)
		d.Saved = append(d.Saved, rec)
	}) {
		s.t.Fatal("not kept")
	}
	t.push()
	return rec
}

// level lets everybody talk and checks all invariants.
func (s *scene) level() {
	s.t.Helper()
	if v := s.end(); v != nil {
		s.t.Fatal(v)
	}
}

// table is the state of the slot by the shop's log.
func (s *scene) table() ledger.State { return Fold(s.log()).Slots[slots[0]] }

func (s *scene) log() (recs []*Rec) {
	for _, e := range s.shop.disk.log {
		recs = append(recs, e.rec)
	}
	return recs
}

func heads(s ledger.State) (ids []string) {
	for _, h := range s.Heads {
		ids = append(ids, h.ID)
	}
	slices.Sort(ids)
	return ids
}

// SY3: with clocks up to ten years off, and jumping, the same is on every table as
// with clocks that are right. (Which of two notes is shown does go by the clock.)
func TestSY3ClocksDecideNoValue(t *testing.T) {
	live := func(seed uint64, right bool) *world {
		h := New(seed)
		w := newWorld(h, &Broken{})
		for i, s := range h.Steps {
			for _, one := range w.tablets {
				if right {
					one.skew = 0
				}
			}
			w.step = i
			w.pcg.Seed(h.Seed, uint64(s.Dice))
			w.do(s)
		}
		if v := w.end(); v != nil {
			t.Fatal(v)
		}
		return w
	}
	compared, off := 0, 0
	for seed := uint64(1); seed <= 1000; seed++ {
		wrong, right := live(seed, false), live(seed, true)
		if len(wrong.doubles) > 0 {
			continue // what goes on under another id has one that is made from its text, stamp and all
		}
		compared++
		for _, e := range wrong.shop.disk.log {
			if ms := stampMS(e.rec.HLC) - shopNow; ms > day || ms < 0 {
				off++
			}
		}
		got, want := Fold((&scene{world: wrong}).log()).Slots, Fold((&scene{world: right}).log()).Slots
		if len(got) != len(want) {
			t.Fatalf("seed %d: %d slots, with right clocks %d", seed, len(got), len(want))
		}
		for slot, st := range want {
			if g := got[slot]; g.Kind != st.Kind || g.Value != st.Value || !slices.Equal(heads(g), heads(st)) {
				t.Errorf("seed %d: %s is %s by %s, with right clocks %s by %s", seed, slot, g.Kind, g.Value, st.Kind, st.Value)
			}
		}
	}
	t.Logf("%d histories, %d stamps more than a day ahead or in the past", compared, off)
	if compared < 200 || off < 1000 {
		t.Error("too few to say anything")
	}
}

// SY4: two people measure the same thing without knowing of each other. Both
// readings stay, whatever their clocks say, until somebody chooses; and a choice
// holds only against what it had seen.
func TestSY4ConcurrentReadingsStayUntilSomebodyChooses(t *testing.T) {
	for _, skew := range []int64{0, tenYears, -tenYears} {
		s := newScene(t, 3)
		s.tablets[1].skew = skew
		a, b := s.says(0, 41), s.says(1, 44)
		s.level()
		want := []string{a.ID, b.ID}
		slices.Sort(want)
		if st := s.table(); st.Kind != ledger.Disputed || !slices.Equal(heads(st), want) {
			t.Fatalf("clock off by %d ms: %s with %v, want both disputed", skew, st.Kind, heads(st))
		}
		late := s.says(2, 47, a.ID, b.ID) // replaces both, having seen them
		s.tablets[0].drop()
		unseen := s.says(0, 50, a.ID, b.ID) // so does this one, elsewhere
		s.level()
		want = []string{late.ID, unseen.ID}
		slices.Sort(want)
		if st := s.table(); st.Kind != ledger.Disputed || !slices.Equal(heads(st), want) {
			t.Errorf("clock off by %d ms: %s with %v, want the two later ones disputed", skew, st.Kind, heads(st))
		}
	}
}

// SY5: what was taken back does not come back with a tablet that slept through
// it; what that tablet adds is there.
func TestSY5TakenBackStaysSoWhenASleeperReturns(t *testing.T) {
	s := newScene(t, 2)
	var old []*Rec
	for range 50 {
		old = append(old, s.says(0, 41))
	}
	s.level() // the second holds all of them too
	s.then("copy", 1)
	s.then("cut", 1)
	for _, r := range old {
		s.takesBack(0, r)
	}
	for range 9 {
		s.then("talk", 0)
	}
	s.then("wipe", 0) // nobody but the shop is left who knows
	news := s.says(1, 44)
	s.level()
	if st := s.table(); !slices.Equal(heads(st), []string{news.ID}) || st.History != 51 {
		t.Errorf("%d readings on the table of %d, want the new one of 51", len(st.Heads), st.History)
	}
	s.then("rollback", 1) // the sleeper once more, and now the shop is older than the retracts
	s.then("cut", 1)
	s.shop.crash()
	s.shop.restore(s.shop.disk.prefix(50))
	s.level()
	if st := s.table(); !slices.Equal(heads(st), []string{news.ID}) {
		t.Errorf("after a restore %d readings are on the table, want the new one", len(st.Heads))
	}
}

// SY7: a tablet put back from a copy, and a copy that goes on beside it under the
// same name, lose nothing and hide nothing.
func TestSY7CopiedAndPutBackTabletsLoseNothing(t *testing.T) {
	s := newScene(t, 2)
	first := s.says(0, 41)
	s.level()
	s.then("copy", 0)
	s.says(0, 44)
	s.level()
	s.then("rollback", 0)
	again := s.says(0, 47) // the number that the second one had
	s.then("clone", 0)
	if len(s.tablets) != 3 || s.tablets[2].Disk.Dev != s.tablets[0].Disk.Dev {
		t.Fatal("no copy goes on under the same name")
	}
	there, here := s.says(2, 50), s.says(0, 53)
	if there.N != here.N || again.N != 2 {
		t.Fatalf("the copies count %d and %d, after %d", there.N, here.N, again.N)
	}
	s.level()
	for _, r := range []*Rec{first, again, there, here} {
		if !slices.Contains(heads(s.table()), r.ID) {
			t.Errorf("reading %s of %s, number %d, is not on the table", r.ID, r.Dev, r.N)
		}
	}
	if n := len(s.log()); n != 5 {
		t.Errorf("%d records in the shop, want 5", n)
	}

	// Both go on with one half-typed text. Each makes a record of its own of it.
	s.then("open", 0)
	s.tablets[2].Disk = s.tablets[0].Disk.copy()
	s.tablets[2].begin()
	for _, k := range []int{0, 2} {
		d := s.tablets[k].Disk
		s.step++
		s.act(s.tablets[k], s.tablets[k].openForm(d.draft.slot), Act{"reading", uint32(k)})
	}
	if a, b := last(s.tablets[0]), last(s.tablets[2]); a.ID == b.ID {
		t.Fatalf("both records have the id %s", a.ID)
	}
	s.level()
	if n := len(s.log()); n != 7 {
		t.Errorf("%d records in the shop, want both values too", n)
	}
}

func last(t *Tablet) *Rec { return t.Disk.Saved[len(t.Disk.Saved)-1] }

// SY6 in the model, the smallest history: saved, read back, backed up before,
// restored, and somebody else has filled the gap.
func TestSY6RestoredShopGetsEverythingBack(t *testing.T) {
	s := newScene(t, 3)
	s.then("backup", 0)
	var all []*Rec
	for k := range 3 {
		for range 5 {
			all = append(all, s.says(k, 41))
		}
	}
	s.level()
	s.then("wipe", 2) // its records are on the others only
	s.then("restore", 0)
	for range 20 { // the shop's log grows past every cursor
		s.says(2, 44)
	}
	for range 9 {
		s.then("talk", 2)
	}
	s.level()
	for _, r := range all {
		if _, ok := s.shop.disk.at[r.ID]; !ok {
			t.Errorf("record %s of %s is lost", r.ID, r.Dev)
		}
	}
}
