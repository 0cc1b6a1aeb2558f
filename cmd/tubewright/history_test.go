package main

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"tubewright/calc/chain"
	"tubewright/pwa/drive"
	"tubewright/server/history"
	"tubewright/store"
)

var (
	seeds = flag.Int("seeds", 12, "random histories that the real program and real tablets live through")
	seed0 = flag.Int("seed", 1, "the first of their seeds")
)

// The same histories as in package history, with nothing of it modelled: the
// program in its process, killed and put back from backups, tablets of the app's
// own code with a browser's database, and a network that loses connections at the
// border of any frame, inside it, and without telling anybody.
func TestRandomHistoriesOfTheRealThing(t *testing.T) {
	s, net := badNetwork(t)
	b := openTablets(t, net)
	start := time.Now()
	var sum figures
	for seed := uint64(*seed0); seed < uint64(*seed0+*seeds); seed++ {
		w := newReal(t, s, net, b, seed)
		if broke := w.live(); broke != nil {
			t.Fatal(broke)
		}
		sum.add(w.figures)
	}
	t.Logf("%d histories in %v: %d records kept, %d connections lost, %d kills, %d restores, slowest to level %v", *seeds,
		time.Since(start).Round(time.Second), sum.kept, net.Cuts.Load(), sum.kills, sum.restores, sum.level.Round(time.Millisecond))
}

// Tablets whose code is broken are caught by the same histories.
func TestBrokenTabletsAreCaughtByRealHistories(t *testing.T) {
	for name, b := range map[string]swap{
		"a reset offers nothing again":           {"sync", "await this.store.reoffer(now);", "await this.store.putMeta({ ...START });"},
		"a record whose id was taken is dropped": {"feed", "if (!there.has(id)) page.own", "if (!there) page.own"},
	} {
		t.Run(name, func(t *testing.T) {
			s, net := badNetwork(t, b)
			page := openTablets(t, net)
			for seed := uint64(1); seed <= 20; seed++ {
				if broke := newReal(t, s, net, page, seed).live(); broke != nil {
					t.Logf("caught by history %d: %v", seed, broke)
					return
				}
			}
			t.Error("not caught by 20 histories")
		})
	}
}

type figures struct {
	kept, kills, restores int
	level                 time.Duration // longest from the end of the faults until all had the same
}

func (f *figures) add(o figures) {
	f.kept, f.kills, f.restores, f.level = f.kept+o.kept, f.kills+o.kills, f.restores+o.restores, max(f.level, o.level)
}

// real is one history of the real thing.
type real struct {
	t       *testing.T
	s       *shop
	net     *history.Proxy
	b       drive.Browser
	history history.History
	step    int
	figures

	tablets []*realTablet
	made    []*history.Rec
	doubles map[string]bool           // ids that a stranger used too
	tried   map[string][]*history.Rec // what the maker of a record saw, kept or not, by id
	backups []string
	undone  map[chain.Sum]bool // records that a restore took out of the log
	devs    int

	mu    sync.Mutex
	rnd   *rand.Rand
	armed map[string][]*armed // what will happen to the frames of a tablet
}

// armed is a fate that waits for its frame.
type armed struct {
	up    bool
	after int
	fate  history.Fate
}

func newReal(t *testing.T, s *shop, net *history.Proxy, b drive.Browser, seed uint64) *real {
	return &real{t: t, s: s, net: net, b: b, history: history.New(seed), armed: map[string][]*armed{}, rnd: rand.New(rand.NewPCG(seed, 2)),
		doubles: map[string]bool{}, tried: map[string][]*history.Rec{}, undone: map[chain.Sum]bool{}}
}

// live lives through the history on an empty database and returns the invariant
// that broke, if any.
func (w *real) live() (broke *history.Violation) {
	defer func() {
		p := recover()
		if v, ok := p.(*history.Violation); ok {
			broke = v
		} else if p != nil {
			panic(p)
		}
	}()
	w.s.kill()
	w.s.dir = w.t.TempDir()
	w.s.start()
	w.net.Fate = w.fate
	for range w.history.Tablets {
		w.begin(w.add(), w.dev())
	}
	for i, s := range w.history.Steps {
		w.step = i
		w.do(s)
	}
	w.end()
	return nil
}

// fail ends the history.
func (w *real) fail(letter, format string, a ...any) {
	panic(&history.Violation{Letter: letter, Seed: w.history.Seed, Step: w.step, Text: fmt.Sprintf(format, a...)})
}

func (w *real) must(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatalf("seed %d step %d: %v", w.history.Seed, w.step, err)
	}
}

// fate is asked by the proxy about every frame.
func (w *real) fate(p history.Passing) (history.Fate, time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	wait := time.Duration(w.rnd.IntN(3)) * time.Millisecond
	list := w.armed[p.Who]
	for i, a := range list {
		if a.up != p.Up {
			continue
		}
		if a.after--; a.after < 0 {
			w.armed[p.Who] = slices.Delete(list, i, i+1)
			return a.fate, wait
		}
	}
	return history.Pass, wait
}

// arm lets something happen to a frame of a tablet, soon.
func (w *real) arm(one *realTablet, s history.Step, up bool, fates ...history.Fate) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.armed[one.name] = append(w.armed[one.name], &armed{up, s.K - 1, fates[w.rnd.IntN(len(fates))]})
}

const realYears = 315_360_000_000 // ten years, ms

func (w *real) do(s history.Step) {
	one := w.tablets[s.Tablet%len(w.tablets)]
	up := s.Dice&1 == 1
	switch s.Do {
	case "open":
		one.form = w.open(one, s)
	case "keep":
		w.act(one, one.form, history.Act{Kind: "reading", Dice: s.Dice})
		one.form = nil
	case "reading", "edit", "choice", "retract", "note", "later":
		w.act(one, w.open(one, s), history.Act{Kind: s.Do, Dice: s.Dice})
	case "connect", "resend":
		w.connect(one)
	case "talk":
		w.connect(one)
		time.Sleep(time.Duration(20*s.K) * time.Millisecond)
	case "up", "down", "feed":
		time.Sleep(time.Duration(2*s.K) * time.Millisecond)
	case "cut":
		w.arm(one, s, up, history.Cut, history.CutInside, history.CutAfter)
	case "loseUp", "loseDown":
		w.arm(one, s, s.Do == "loseUp", history.Silence)
	case "deafUp", "deafDown":
		w.arm(one, s, s.Do == "deafUp", history.Deaf)
	case "repeatUp", "repeatDown":
		w.arm(one, s, s.Do == "repeatUp", history.Double)
	case "crash":
		w.kill()
		w.s.start()
	case "backup":
		w.backup(s.K%2 == 0)
	case "restore":
		if len(w.backups) > 0 {
			w.restore(w.backups[int(s.Dice)%len(w.backups)])
		}
	case "back":
		w.restore("") // to before the first record
	case "clock":
		one.skew = []int64{0, 1_003, -90_017, realYears, -realYears}[s.Dice%5]
		w.must(w.call(nil, "skew", one, one.skew))
	case "twin":
		w.twin(one, s)
	default:
		w.disk(one, s)
	}
}

// end: the faults stop, everybody talks, and all invariants must hold.
func (w *real) end() {
	w.step = len(w.history.Steps)
	w.mu.Lock()
	w.armed = map[string][]*armed{}
	w.mu.Unlock()
	o := history.Outcome{Doubles: w.doubles, Fold: history.Fold}
	for _, one := range w.tablets {
		w.begin(one, w.dev())
	}
	w.kill()
	o.Before = append(o.Before, w.log())
	for _, one := range w.tablets {
		var recs []*history.Rec
		for _, h := range w.read(one).Recs {
			recs = append(recs, h.Rec)
		}
		o.Before = append(o.Before, recs)
	}
	w.s.start()
	start := time.Now()
	for _, one := range w.tablets {
		w.must(w.call(nil, "connect", one))
	}
	w.waitLevel()
	w.level = time.Since(start)
	for _, one := range w.tablets {
		w.must(w.call(nil, "die", one))
	}
	w.kill()
	w.s.check()
	o.Log = w.log()
	for _, one := range w.tablets {
		o.Tablets = append(o.Tablets, w.read(one))
	}
	st, err := store.Open(w.t.Context(), w.database())
	w.must(err)
	defer st.Close()
	end := func() (pos int64, sum chain.Sum) {
		pos, err := st.High(w.t.Context())
		w.must(err)
		sum, _, err = st.ChainAt(w.t.Context(), pos)
		w.must(err)
		return pos, sum
	}
	_, o.Chain = end()
	o.Again = func(recs []*history.Rec) (int, chain.Sum) {
		var raws []string
		for _, r := range recs {
			raws = append(raws, r.Text)
		}
		_, err := st.Append(w.t.Context(), "again", raws)
		w.must(err)
		pos, sum := end()
		return int(pos), sum
	}
	if letter, text := history.Check(&o, w.rnd); letter != "" {
		w.fail(letter, "%s", text)
	}
}

// levelWithin is how long tablets that can reach the shop may take until all
// have the same: I9.
const levelWithin = 30 * time.Second

// waitLevel waits until every tablet stands where a new one comes to stand that
// reads the log from its start.
func (w *real) waitLevel() {
	ctx, cancel := context.WithTimeout(w.t.Context(), levelWithin)
	defer cancel()
	witness := history.NewClient(w.s.addr, "witness", 1)
	var gone sync.WaitGroup
	gone.Go(func() { witness.Stay(ctx) })
	defer gone.Wait()
	defer cancel()
	for behind := "?"; behind != ""; {
		behind = ""
		pos, sum := witness.End()
		for _, one := range w.tablets {
			behind += w.behind(one, pos, sum)
		}
		if behind != "" && ctx.Err() != nil {
			w.fail("I9", "not level after %v%s", levelWithin, behind)
		}
		time.Sleep(20 * time.Millisecond)
	}
}
