package main

import (
	"context"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
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
	tried   map[string][]*history.Rec // what the maker of a record saw, kept or not, by id
	given   map[string]chain.Sum      // what ids stand for
	doubles map[string]bool
	backups []string
	undone  map[chain.Sum]bool // records that a restore took out of the log
	devs    int

	mu    sync.Mutex
	rnd   *rand.Rand
	armed map[string][]*armed // what will happen to the frames of a tablet
}

// realTablet is what the test knows of a tablet: what its person was shown.
type realTablet struct {
	name        string
	skew        int64
	polls       bool // it stands where no websocket gets through
	saved       []*history.Rec
	copied      []*history.Rec // saved as it was when the disk was copied
	form        *history.Form
	draft, slot string // a half-typed text's id
}

// armed is a fate that waits for its frame.
type armed struct {
	up    bool
	after int
	fate  history.Fate
}

func newReal(t *testing.T, s *shop, net *history.Proxy, b drive.Browser, seed uint64) *real {
	return &real{t: t, s: s, net: net, b: b, history: history.New(seed), armed: map[string][]*armed{}, rnd: rand.New(rand.NewPCG(seed, 2)),
		tried: map[string][]*history.Rec{}, given: map[string]chain.Sum{}, doubles: map[string]bool{}, undone: map[chain.Sum]bool{}}
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

// call calls a function of the harness for a tablet.
func (w *real) call(out any, name string, on *realTablet, args ...any) error {
	return w.b.EvalAsync(out, `return await real[args[0]](...args.slice(1))`, append([]any{name, on.name}, args...)...)
}

func (w *real) add() *realTablet {
	k := len(w.tablets)
	one := &realTablet{name: fmt.Sprintf("h%d-%d", w.history.Seed, k), polls: (int(w.history.Seed)+k)%3 == 0}
	w.tablets = append(w.tablets, one)
	return one
}

func (w *real) dev() string {
	w.devs++
	return fmt.Sprintf("dev-%d-%d", w.history.Seed, w.devs)
}

// begin starts a tablet's program; dev is its name if it has none yet.
func (w *real) begin(one *realTablet, dev string) {
	one.form = nil
	w.must(w.call(nil, "begin", one, dev))
	w.must(w.call(nil, "skew", one, one.skew))
	if one.polls {
		w.must(w.call(nil, "poll", one))
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

// disk is a step that happens to a tablet's program or its disk.
func (w *real) disk(one *realTablet, s history.Step) {
	switch s.Do {
	case "kill":
		w.begin(one, "")
	case "killSoon":
		w.must(w.call(nil, "dieAfter", one, s.K-1))
	case "wipe":
		w.must(w.call(nil, "wipe", one))
		one.saved, one.draft = nil, ""
		w.begin(one, w.dev())
	case "copy":
		w.must(w.call(nil, "copy", one))
		one.copied = slices.Clone(one.saved)
	case "rollback":
		var done bool
		w.must(w.call(&done, "putBack", one))
		if done {
			one.saved, one.draft = slices.Clone(one.copied), ""
		}
		w.begin(one, "")
	case "clone":
		if len(w.tablets) < 4 {
			as := w.add()
			as.skew, as.draft, as.slot = one.skew, one.draft, one.slot
			w.must(w.call(nil, "clone", one, as.name))
			as.saved = slices.Clone(one.saved)
			w.begin(as, "")
		}
	}
}

// connect opens a socket, in a new program if the one before has died.
func (w *real) connect(one *realTablet) {
	var alive bool
	w.must(w.call(&alive, "isAlive", one))
	if !alive {
		w.begin(one, "")
	}
	w.must(w.call(nil, "connect", one))
}

var realSlots = []string{"port/p1/width", "port/p1/height", "engine/self/bore"}

// slot returns the records of one slot on a tablet.
func (w *real) slot(one *realTablet, slot string) (recs []*history.Rec) {
	var texts []string
	w.must(w.call(&texts, "slot", one, slot))
	for _, text := range texts {
		r, err := history.ReadRec(text)
		w.must(err)
		recs = append(recs, r)
	}
	return recs
}

// open opens a form; a half-typed text has kept its id.
func (w *real) open(one *realTablet, s history.Step) *history.Form {
	slot := realSlots[int(s.Dice>>8)%len(realSlots)]
	recs := w.slot(one, slot)
	f := history.Look(slot, recs)
	if one.draft == "" || one.slot != slot || slices.ContainsFunc(recs, func(r *history.Rec) bool { return r.ID == one.draft }) {
		one.draft, one.slot = newID(), slot
	}
	f.ID = one.draft
	return f
}

func (w *real) act(one *realTablet, f *history.Form, a history.Act) {
	if f == nil {
		return
	}
	said, saw, ok := f.Say(a, w.slot(one, f.Slot))
	if !ok {
		return
	}
	var text string
	w.tried[said.ID] = saw
	if w.call(&text, "act", one, part(said)) != nil {
		return // the screen says NOT SAVED; the record may be on the disk all the same
	}
	r, err := history.ReadRec(text)
	w.must(err)
	r.Saw = saw
	one.saved = append(one.saved, r)
	one.draft = ""
	w.note(r)
	w.kept++
}

// part is what an act says, without who and when: the tablet adds those.
func part(r ledger.Record) map[string]any {
	p := map[string]any{"id": r.ID, "kind": r.Kind, "job": r.Job, "slot": r.Slot, "body": r.Body}
	for key, ids := range map[string][]string{"over": r.Over, "seen": r.Seen} {
		if len(ids) > 0 {
			p[key] = ids
		}
	}
	for key, id := range map[string]string{"chosen": r.Chosen, "target": r.Target} {
		if id != "" {
			p[key] = id
		}
	}
	return p
}

// note remembers what an id stands for.
func (w *real) note(r *history.Rec) {
	if h, ok := w.given[r.ID]; ok && h != r.H {
		w.doubles[r.ID] = true
	}
	w.given[r.ID] = r.H
	w.made = append(w.made, r)
}

// twin: a stranger pushes other bytes under an id of a tablet's.
func (w *real) twin(one *realTablet, s history.Step) {
	if len(one.saved) == 0 {
		return
	}
	r := one.saved[int(s.Dice)%len(one.saved)]
	other := history.NewRec(ledger.Record{ID: r.ID, Dev: "stranger", N: int64(s.Dice), HLC: ledger.Stamp(1764025441123, 0, "stranger"),
		Kind: ledger.NoteKind, Job: "j1", Slot: r.Slot, SV: 1, Body: []byte(`{"text":"of another"}`)}, nil)
	w.note(other)
	w.s.push("stranger", []string{other.Text})
}

func (w *real) database() string { return filepath.Join(w.s.dir, "tubewright.db") }

// kill ends the program as a power cut would and checks I8: what any tablet
// shows as in the shop is there, but for what a restore took out of it.
func (w *real) kill() {
	w.s.kill()
	w.kills++
	there := map[chain.Sum]bool{}
	for _, r := range w.log() {
		there[r.H] = true
	}
	for _, one := range w.tablets {
		for _, h := range w.read(one).Recs {
			if h.Pos > 0 && !there[h.Rec.H] && !w.undone[h.Rec.H] {
				w.fail("I8", "%s shows record %s as in the shop at %d; it is not", one.name, h.Rec.ID, h.Pos)
			}
		}
	}
}

// log returns the records of the stopped program.
func (w *real) log() []*history.Rec {
	recs, err := history.Records(records(w.t, w.s), w.made)
	w.must(err)
	for _, r := range recs {
		if r.Saw == nil {
			r.Saw = w.tried[r.ID]
		}
	}
	return recs
}

// read returns a tablet's disk.
func (w *real) read(one *realTablet) *history.Disk {
	var in struct {
		Dev     string
		Cursor  int64
		Chain   string
		Outbox  []string
		Records []struct {
			Raw string
			Pos int64
		}
	}
	w.must(w.call(&in, "disk", one))
	var sum chain.Sum
	if _, err := hex.Decode(sum[:], []byte(in.Chain)); err != nil {
		w.must(err)
	}
	var held []*history.Held
	for _, r := range in.Records {
		rec, err := history.ReadRec(r.Raw)
		w.must(err)
		held = append(held, &history.Held{Rec: rec, Pos: r.Pos, Out: slices.Contains(in.Outbox, rec.ID)})
	}
	return history.DiskOf(in.Dev, held, in.Cursor, sum, one.saved)
}

// backup takes one while the program runs, or copies the files while it does not.
func (w *real) backup(running bool) {
	to := filepath.Join(w.t.TempDir(), "backups")
	if running {
		st, err := store.Open(w.t.Context(), w.database())
		w.must(err)
		b, err := st.Backup(w.t.Context(), to)
		w.must(errors.Join(err, st.Close()))
		w.backups = append(w.backups, b.Path)
		return
	}
	w.kill()
	st, err := store.Open(w.t.Context(), w.database()) // folds the log file in
	w.must(err)
	w.must(st.Close())
	w.must(os.MkdirAll(to, 0o700))
	to = filepath.Join(to, "copy.db")
	text, err := os.ReadFile(w.database())
	w.must(err)
	w.must(os.WriteFile(to, text, 0o600))
	w.backups = append(w.backups, to)
	w.s.start()
}

// restore puts a backup in the place of what is there; "" is a new machine.
func (w *real) restore(backup string) {
	w.kill()
	w.restores++
	for _, r := range w.log() {
		w.undone[r.H] = true
	}
	if backup == "" {
		for _, end := range []string{"", "-wal", "-shm"} {
			if err := os.Remove(w.database() + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
				w.must(err)
			}
		}
	} else {
		_, err := store.Restore(w.t.Context(), w.database(), backup)
		w.must(err)
		for _, r := range w.log() {
			delete(w.undone, r.H)
		}
	}
	w.s.start()
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

// behind says how far a tablet is from a place in the log; nothing when it is
// there and has nothing unsent.
func (w *real) behind(one *realTablet, pos int64, sum chain.Sum) string {
	var at struct {
		Cursor int64
		Chain  string
		Unsent int
	}
	w.must(w.call(&at, "place", one))
	if at.Cursor == pos && at.Chain == hex.EncodeToString(sum[:]) && at.Unsent == 0 {
		return ""
	}
	return fmt.Sprintf("; %s at %d of %d with %d unsent", one.name, at.Cursor, pos, at.Unsent)
}
