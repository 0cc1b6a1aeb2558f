package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
	"tubewright/server/history"
	"tubewright/store"
)

// twin: a stranger pushes other bytes under an id of a tablet's.
func (w *real) twin(one *realTablet, s history.Step) {
	if len(one.saved) == 0 {
		return
	}
	r := one.saved[int(s.Dice)%len(one.saved)]
	other := history.NewRec(ledger.Record{ID: r.ID, Dev: "stranger", N: int64(s.Dice), HLC: ledger.Stamp(1764025441123, 0, "stranger"),
		Kind: ledger.NoteKind, Job: "j1", Slot: r.Slot, SV: 1, Body: []byte(`{"text":"of another"}`)}, nil)
	w.doubles[other.ID] = true
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
