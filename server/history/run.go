package history

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"tubewright/calc/ledger"
)

// Violation is an invariant that does not hold.
type Violation struct {
	Letter string // I1 to I9, I2b
	Seed   uint64
	Step   int // number of steps lived through, of the whole history when it was found at the end
	Text   string
}

func (v *Violation) Error() string {
	return fmt.Sprintf("%s: %s (seed %d, after step %d)", v.Letter, v.Text, v.Seed, v.Step)
}

// world is a shop and its tablets in the middle of a history.
type world struct {
	seed    uint64
	broken  *Broken
	pcg     *rand.PCG
	rnd     *rand.Rand
	shop    *Shop
	tablets []*Tablet
	backups []shopDisk
	doubles map[string]bool // ids that a stranger used too
	step    int
	devs    int
}

// Run lives through a history and returns the first invariant that broke, or nil.
func Run(h History, b *Broken) *Violation {
	w := newWorld(h, b)
	for i, s := range h.Steps {
		w.step = i
		w.pcg.Seed(h.Seed, uint64(s.Dice))
		if lost := w.do(s); lost != nil {
			return w.fail("I8", "the shop lost record %s, which a tablet shows as in the shop", lost.ID)
		}
	}
	w.step = len(h.Steps)
	return w.end()
}

func newWorld(h History, b *Broken) *world {
	w := &world{seed: h.Seed, broken: b, pcg: rand.NewPCG(h.Seed, 0), doubles: map[string]bool{}}
	w.rnd, w.shop = rand.New(w.pcg), newShop(b)
	for range h.Tablets {
		w.add(NewDisk(w.dev())).skew = skews[w.rnd.IntN(len(skews))]
	}
	return w
}

func (w *world) fail(letter, format string, a ...any) *Violation {
	return &Violation{letter, w.seed, w.step, fmt.Sprintf(format, a...)}
}

// end lets everybody talk undisturbed and checks what must hold then.
func (w *world) end() *Violation {
	w.pcg.Seed(w.seed, 1)
	o := Outcome{Before: w.parties(), Doubles: w.doubles, Again: w.again, Fold: w.fold}
	if rounds, level := w.settle(); !level {
		return w.fail("I9", "not level after %d quiet rounds", rounds)
	}
	for _, e := range w.shop.disk.log {
		o.Log = append(o.Log, e.rec)
	}
	o.Chain = w.shop.disk.chainAt(w.shop.disk.high())
	for _, t := range w.tablets {
		o.Tablets = append(o.Tablets, t.Disk)
	}
	if letter, text := Check(&o, w.rnd); letter != "" {
		return w.fail(letter, "%s", text)
	}
	return nil
}

const tenYears = 315_360_000_000 // ms

// skews keep clocks of two tablets apart in every millisecond, so that nothing is said twice by chance.
var skews = []int64{0, 0, 1_003, -90_017, tenYears, -tenYears}

func (w *world) dev() string {
	w.devs++
	return fmt.Sprint("tab-", w.devs)
}

func (w *world) add(d *Disk) *Tablet {
	t := newTablet(d, w.broken, w.rnd, func() string { return randomID(w.rnd) })
	w.tablets = append(w.tablets, t)
	return t
}

// do is one step; it returns a record that a tablet shows as in the shop and
// that the shop has just lost by crashing.
func (w *world) do(s Step) *Rec {
	t := w.tablets[s.Tablet%len(w.tablets)]
	switch s.Do {
	case "open":
		t.form = t.openForm(w.slot(s))
	case "keep":
		w.act(t, t.form, Act{"reading", s.Dice})
		t.form = nil
	case "reading", "edit", "choice", "retract", "note", "later":
		w.act(t, t.openForm(w.slot(s)), Act{s.Do, s.Dice})
	case "connect":
		w.connect(t)
	case "up":
		for range s.K {
			w.up(t)
		}
	case "down":
		for range s.K {
			w.down(t)
		}
	case "feed":
		w.shop.feed(s.K)
	case "talk":
		if t.link == nil || t.link.cut {
			w.connect(t)
		}
		for range 2 * s.K {
			w.up(t)
			w.shop.feed(3)
			w.down(t)
		}
	case "crash":
		return w.crash()
	case "commit":
		w.shop.behind = 0
	case "backup":
		b := w.shop.disk.prefix(len(w.shop.disk.log) - w.shop.behind)
		b.aside = slices.Clone(w.shop.disk.aside)
		w.backups = append(w.backups, b)
	case "restore": // of a backup that was taken
		if len(w.backups) > 0 {
			w.shop.crash()
			w.shop.restore(w.backups[w.rnd.IntN(len(w.backups))])
		}
	case "back": // of one that was taken at some time or other, before the history too
		w.shop.crash()
		w.shop.restore(w.shop.disk.prefix(w.rnd.IntN(len(w.shop.disk.log) + 1)))
	default:
		w.tablet(t, s)
	}
	return nil
}

// tablet is a step that happens to one tablet.
func (w *world) tablet(t *Tablet, s Step) {
	switch s.Do {
	case "wipe":
		t.die()
		t.Disk = NewDisk(w.dev())
		t.begin()
	case "copy":
		t.copy = t.Disk.copy()
	case "rollback":
		if t.copy != nil {
			t.die()
			t.Disk = t.copy.copy()
			t.begin()
		}
	case "clone":
		if len(w.tablets) < maxTablets {
			w.add(t.Disk.copy()).skew = t.skew
		}
	case "clock":
		t.skew = skews[w.rnd.IntN(len(skews))]
	case "kill":
		t.begin()
	case "killSoon":
		t.left = s.K - 1
	case "resend":
		t.pushes = nil
		t.push()
	case "twin":
		w.twin(t)
	default:
		w.link(t.link, s)
	}
}

// link is a step that happens to one connection.
func (w *world) link(l *Link, s Step) {
	if l == nil {
		return
	}
	switch s.Do {
	case "cut":
		l.close() // the tablet may never be told
	case "deafUp":
		l.deafUp, l.up = true, nil
	case "deafDown":
		l.deafDown, l.down = true, nil
	case "loseUp":
		l.up = l.up[min(1, len(l.up)):]
	case "loseDown":
		l.down = l.down[min(1, len(l.down)):]
	case "repeatUp":
		if len(l.up) > 0 {
			l.up = append([]*Frame{l.up[0]}, l.up...)
		}
	case "repeatDown":
		if len(l.down) > 0 {
			l.down = append([]*Frame{l.down[0]}, l.down...)
		}
	}
}

func (w *world) slot(s Step) string { return slots[int(s.Dice>>8)%len(slots)] }

func (w *world) act(t *Tablet, f *Form, a Act) {
	t.keep(f, a, int64(w.step)*1000)
}

// twin: a device that is none of ours pushes other bytes under an id of a
// tablet's.
func (w *world) twin(t *Tablet) {
	if len(t.Disk.Recs) == 0 {
		return
	}
	r := t.Disk.Recs[w.rnd.IntN(len(t.Disk.Recs))].Rec
	other := ledger.Record{ID: r.ID, Dev: "stranger", N: int64(w.rnd.Uint32()), HLC: ledger.Stamp(shopNow, 0, "stranger"), Kind: ledger.NoteKind, Job: "j1", Slot: r.Slot,
		SV: 1, Body: []byte(`{"text":"of another"}`)}
	twin := NewRec(other, nil)
	w.doubles[r.ID] = true
	w.shop.push(&session{link: &Link{cut: true}}, []*Rec{twin})
}

func (w *world) connect(t *Tablet) {
	if t.dead {
		t.begin()
	}
	l := &Link{}
	t.hello(l)
	t.one = w.shop.connect(l)
}

// up brings one frame to the shop.
func (w *world) up(t *Tablet) bool {
	l := t.link
	if l == nil || l.cut || len(l.up) == 0 {
		return false
	}
	f := l.up[0]
	l.up = l.up[1:]
	w.shop.take(t.one, f)
	return true
}

// down brings one frame to the tablet.
func (w *world) down(t *Tablet) bool {
	l := t.link
	if l == nil || l.cut || len(l.down) == 0 {
		return false
	}
	f := l.down[0]
	l.down = l.down[1:]
	t.take(f)
	return true
}

func (w *world) crash() *Rec {
	for _, r := range w.shop.crash() {
		for _, t := range w.tablets {
			if h := t.Disk.Get(r.ID); h != nil && h.Rec == r && h.Pos > 0 {
				return r
			}
		}
	}
	return nil
}

// settle: the faults have stopped. Links that work go on, the others are opened
// anew, as is one on which nothing moves: a tablet does so after a while.
func (w *world) settle() (rounds int, level bool) {
	w.shop.behind = 0
	for _, t := range w.tablets {
		t.left = -1
		if t.dead {
			t.begin()
		}
	}
	const most = 150
	for ; rounds < most && !level; rounds++ {
		for _, t := range w.tablets {
			if t.link == nil || t.link.cut || t.link.deafUp || t.link.deafDown {
				w.connect(t)
			}
			before := t.sends
			for w.up(t) {
			}
			w.shop.feed(3)
			for w.down(t) {
			}
			if !t.level(w.shop.disk.high()) && t.sends == before && rounds%4 == 3 {
				t.drop()
			}
		}
		level = !slices.ContainsFunc(w.tablets, func(t *Tablet) bool { return !t.level(w.shop.disk.high()) })
	}
	return rounds, level
}

// parties are what every live party holds.
func (w *world) parties() (all [][]*Rec) {
	var log []*Rec
	for _, e := range w.shop.disk.log {
		log = append(log, e.rec)
	}
	all = append(all, log)
	for _, t := range w.tablets {
		var recs []*Rec
		for _, h := range t.Disk.Recs {
			recs = append(recs, h.Rec)
		}
		all = append(all, recs)
	}
	return all
}

// again sends records once more and returns the log's length and chain.
func (w *world) again(recs []*Rec) (int, [32]byte) {
	w.shop.push(&session{link: &Link{cut: true}}, recs)
	return len(w.shop.disk.log), w.shop.disk.chainAt(w.shop.disk.high())
}
