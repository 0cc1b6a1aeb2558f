package history

import (
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Form is an open form: what lies on the table of a slot when it opens decides
// what its record may cover.
type Form struct {
	Slot                string
	ID                  string   // of the record that it makes
	Heads, All, Choices []string // heads; heads and what is put aside; standing choices
	Saw                 []*Rec   // the readings and choices among them
}

// Look opens a form on the records of its slot, without an id.
func Look(slot string, recs []*Rec) *Form {
	f := &Form{Slot: slot}
	byID := make(map[string]*Rec, len(recs))
	for _, r := range recs {
		byID[r.ID] = r
	}
	s := ledger.Fold(envelopes(recs)).Slots[slot]
	for _, h := range s.Heads {
		f.Heads = append(f.Heads, h.ID)
	}
	f.All = append(f.All, f.Heads...)
	for _, h := range s.Aside {
		f.All = append(f.All, h.ID)
	}
	slices.Sort(f.Heads) // the fold orders them by clock; what a person of ours does must not depend on it
	slices.Sort(f.All)
	f.Choices = s.Choices
	for _, ids := range [][]string{f.All, f.Choices} {
		for _, id := range ids {
			f.Saw = append(f.Saw, byID[id])
		}
	}
	return f
}

// Act is what a person does on a form.
type Act struct {
	Kind string // reading, edit, choice, retract, note
	Dice uint32 // decides the rest
}

// Say fills in what a record of the act says: kind, slot, links and body, not
// who and when. recs are the slot's records now, for a retract. It returns what
// its maker saw; ok is false when there is nothing to act on.
func (f *Form) Say(a Act, recs []*Rec) (r ledger.Record, saw []*Rec, ok bool) {
	r = ledger.Record{ID: f.ID, Job: "j1", Slot: f.Slot, SV: 1, Kind: a.Kind}
	rnd := rand.New(rand.NewPCG(uint64(a.Dice), 1))
	switch a.Kind {
	case "reading":
		r.Over, r.Body = f.Heads, someLength(rnd)
	case "edit":
		if len(f.Heads) == 0 {
			return r, nil, false
		}
		r.Kind, r.Body = ledger.ReadingKind, someLength(rnd)
		r.Over = []string{f.Heads[rnd.IntN(len(f.Heads))]}
	case "choice":
		if len(f.All) == 0 {
			return r, nil, false
		}
		r.Chosen, r.Seen, r.Over = f.All[rnd.IntN(len(f.All))], f.All, f.Choices
		r.Body = []byte(`{"person":"P","at":"2025-11-24T23:04:01+00:00"}`)
	case "retract":
		if len(recs) == 0 {
			return r, nil, false
		}
		target := recs[rnd.IntN(len(recs))]
		r.Target, r.Body = target.ID, []byte(`{"person":"P","at":"2025-11-24T23:04:01+00:00"}`)
		return r, append([]*Rec{target}, f.Saw...), true
	case "note":
		r.Body = []byte(`{"text":"note ` + strconv.Itoa(rnd.IntN(1000)) + `"}`)
	default: // of a newer version
		r.Body = []byte(`[1.50,1e2]`)
	}
	return r, f.Saw, true
}

// someLength is one of few values, so that readings agree and dispute.
func someLength(rnd *rand.Rand) []byte {
	nm := 41_000_000 + 50_000*rnd.IntN(5)
	res := []int{0, 50_000, 100_000, 500_000}[rnd.IntN(4)]
	return fmt.Appendf(nil, `{"text":"%d","unit":"mm","nm":%d,"res":%d,"tool":"","person":"","at":""}`, nm, nm, res)
}

// shopNow is the shop's clock, ms since 1970.
const shopNow = 1764025441123

func stampMS(hlc string) int64 {
	ms, _, _ := strings.Cut(hlc, "-")
	n, err := strconv.ParseInt(ms, 10, 64)
	if err != nil {
		return 0
	}
	return n
}

// openForm opens a form, or returns nil when the program died. The record's id is
// new each time, also for a half-typed text: a copy of the tablet has that too.
func (t *Tablet) openForm(slot string) *Form {
	d := t.Disk
	if d.draft.slot != slot || d.Get(d.draft.id) != nil {
		id := t.fresh()
		if !t.write(func(d *Disk) { d.draft = draft{slot, id} }) {
			return nil
		}
	}
	f := Look(slot, d.Slot(slot))
	f.ID = t.fresh()
	if t.broken.DraftsID {
		f.ID = d.draft.id
	}
	return f
}

// keep makes the record of an act on a form and puts it on the disk. What returns
// true was shown as saved.
func (t *Tablet) keep(f *Form, a Act, at int64) bool {
	if f == nil {
		return false
	}
	recs := t.Disk.Slot(f.Slot)
	r, saw, ok := f.Say(a, recs)
	if !ok {
		return false
	}
	if t.broken.CoverUnseen && a.Kind == "reading" {
		r.Over = Look(f.Slot, recs).Heads
	}
	r.Dev, r.N = t.Disk.Dev, t.Disk.N+1
	r.HLC = ledger.Stamp(shopNow+at+t.skew, uint16(r.N), r.Dev)
	if t.Disk.Get(r.ID) != nil {
		r.ID = t.fresh()
	}
	if t.broken.Numbered {
		r.ID = numbered(r.Dev, r.N)
	}
	rec := NewRec(r, saw)
	if !t.write(func(d *Disk) {
		d.N, d.draft = r.N, draft{}
		d.add(rec, 0, true)
		d.Saved = append(d.Saved, rec)
	}) {
		return false
	}
	t.push()
	return true
}

func numbered(dev string, n int64) string {
	h := chain.Of(dev)
	binary.LittleEndian.PutUint64(h[8:], uint64(n))
	return ledger.ID([16]byte(h[:16]))
}
