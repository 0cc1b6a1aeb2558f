package main

import (
	"encoding/hex"
	"fmt"
	"slices"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
	"tubewright/server/history"
)

// realTablet is what the test knows of a tablet: what its person was shown.
type realTablet struct {
	name   string
	skew   int64
	polls  bool // it stands where no websocket gets through
	saved  []*history.Rec
	copied []*history.Rec // saved as it was when the disk was copied
	form   *history.Form
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

// disk is a step that happens to a tablet's program or its disk.
func (w *real) disk(one *realTablet, s history.Step) {
	switch s.Do {
	case "kill":
		w.begin(one, "")
	case "killSoon":
		w.must(w.call(nil, "dieAfter", one, s.K-1))
	case "wipe":
		w.must(w.call(nil, "wipe", one))
		one.saved = nil
		w.begin(one, w.dev())
	case "copy":
		w.must(w.call(nil, "copy", one))
		one.copied = slices.Clone(one.saved)
	case "rollback":
		var done bool
		w.must(w.call(&done, "putBack", one))
		if done {
			one.saved = slices.Clone(one.copied)
		}
		w.begin(one, "")
	case "clone":
		if len(w.tablets) < 4 {
			as := w.add()
			as.skew = one.skew
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

// open opens a form.
func (w *real) open(one *realTablet, s history.Step) *history.Form {
	slot := realSlots[int(s.Dice>>8)%len(realSlots)]
	recs := w.slot(one, slot)
	f := history.Look(slot, recs)
	f.ID = newID()
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

// note remembers a record that was made.
func (w *real) note(r *history.Rec) { w.made = append(w.made, r) }

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
