package history

import (
	"encoding/binary"
	"math/rand/v2"
	"slices"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Tablet is the model of a tablet: its disk, and what its program holds in
// memory while it runs. Client runs the same program against a real server.
type Tablet struct {
	Disk *Disk

	broken *Broken
	rnd    *rand.Rand // order of sending
	fresh  func() string

	dead    bool
	left    int // transactions until the program dies; negative: it lives
	link    *Link
	one     *session // the model shop's end of link
	welcome bool
	pulling bool
	high    int64
	most    int
	pushes  [][]string // ids of each push not yet read back
	aside   map[string]bool

	form  *Form
	skew  int64 // ms that its clock is ahead of the shop's
	copy  *Disk // an old copy of the disk
	sends int64 // counts pages taken, for what waits on progress
}

// newTablet starts a program on a disk. fresh makes the ids of records.
func newTablet(d *Disk, b *Broken, rnd *rand.Rand, fresh func() string) *Tablet {
	return &Tablet{Disk: d, broken: b, rnd: rnd, fresh: fresh, left: -1}
}

// write does one transaction; false: the program died before it.
func (t *Tablet) write(act func(d *Disk)) bool {
	if t.dead || t.left == 0 {
		t.die()
		return false
	}
	if t.left > 0 {
		t.left--
	}
	act(t.Disk)
	return true
}

// die ends the program; the disk stays.
func (t *Tablet) die() {
	t.drop()
	t.dead, t.form = true, nil
}

// begin starts the program again.
func (t *Tablet) begin() {
	t.die()
	t.dead, t.left = false, -1
	if t.broken.OutboxInRAM {
		for _, h := range t.Disk.Recs {
			h.Out = false
		}
	}
}

// drop gives the link up.
func (t *Tablet) drop() {
	if t.link != nil {
		t.link.close()
	}
	t.link, t.one, t.welcome, t.pulling, t.pushes = nil, nil, false, false, nil
}

// hello opens a link, whose other end is the caller's.
func (t *Tablet) hello(l *Link) {
	t.drop()
	t.link = l
	l.sendUp(&Frame{T: "hello", Dev: t.Disk.Dev, Cursor: t.Disk.Cursor, Chain: t.Disk.Chain})
}

// take acts on a frame from the shop.
func (t *Tablet) take(f *Frame) {
	switch f.T {
	case "welcome", "reset":
		t.welcome, t.pulling, t.high, t.most = true, false, f.High, f.Most
		t.aside = nil
		if f.T == "reset" && !t.reoffer() {
			return
		}
		t.push()
	case "feed":
		t.feed(f)
	case "ack":
		t.ack(f)
	}
}

// reoffer: the shop's log is not the one that was read here; it may lack
// anything.
func (t *Tablet) reoffer() bool {
	return t.write(func(d *Disk) {
		for _, h := range d.Recs {
			if t.broken.NoReoffer || t.broken.ReofferOwn && h.Rec.Dev != d.Dev {
				continue
			}
			h.Pos, h.Out = 0, true
		}
		d.Cursor, d.Chain = 0, chain.Sum{}
	})
}

func (t *Tablet) feed(f *Frame) {
	d := t.Disk
	switch {
	case f.To <= d.Cursor:
		return // read already
	case f.From != d.Cursor:
		if !t.pulling {
			t.pulling = true
			t.link.sendUp(&Frame{T: "pull", Cursor: d.Cursor, Chain: d.Chain})
		}
		return
	}
	sum := d.Chain
	for _, l := range f.Lines {
		sum = chain.Next(sum, l.ID, l.H)
	}
	if sum != f.Chain && !t.broken.NoChain && !t.broken.NeverReset {
		t.drop()
		return
	}
	var doubtful []string
	for _, l := range f.Lines {
		h := d.at[l.ID]
		if l.Rec == nil && (h == nil || h.Rec.H != l.H) && !t.broken.BlindStub && !t.broken.Numbered {
			doubtful = append(doubtful, l.ID)
		}
	}
	if doubtful != nil {
		t.setAside(doubtful)
		t.drop()
		return
	}
	if t.broken.CursorFirst && !t.write(func(d *Disk) { d.Cursor, d.Chain = f.To, f.Chain }) {
		return
	}
	if !t.write(func(d *Disk) { t.page(d, f) }) {
		return
	}
	t.pulling = false
	t.sends++
	t.high = max(t.high, f.To)
	for _, l := range f.Lines {
		t.settle(l.ID)
	}
	t.push()
}

// page is the one transaction that takes a page in.
func (t *Tablet) page(d *Disk, f *Frame) {
	var ousted []*Rec
	for i, l := range f.Lines {
		pos := f.From + int64(i) + 1
		if t.broken.PageIsPlace {
			pos = f.To
		}
		h := d.at[l.ID]
		switch {
		case h != nil && (h.Rec.H == l.H || l.Rec == nil || t.broken.Numbered):
			h.Pos, h.Out = pos, false
		case l.Rec == nil: // only where stubs are taken blindly
		default:
			if h != nil {
				ousted = append(ousted, h.Rec)
			}
			r := l.Rec
			if t.broken.Rewrites {
				again := *r
				again.Text += " "
				r = &again
			}
			d.add(r, pos, false)
		}
	}
	// Two devices made different records under one id. The shop's stands; ours goes
	// on under an id of its own, unless another tablet has brought it in already.
	for _, mine := range ousted {
		if id := idOf(mine); d.at[id] == nil && !t.broken.DropOther {
			again := mine.Record
			again.ID = id
			d.add(NewRec(again, mine.Saw), 0, true)
		}
	}
	d.Cursor, d.Chain = f.To, f.Chain
}

// idOf returns the id under which a record goes on whose own was taken: made
// from its text, so that every tablet that holds it makes the same.
func idOf(r *Rec) string { return ledger.ID([16]byte(r.H[:16])) }

func (t *Tablet) ack(f *Frame) {
	if t.broken.AckClears {
		t.write(func(d *Disk) {
			for _, id := range f.IDs {
				if h := d.at[id]; h != nil {
					h.Out = false
				}
			}
		})
	}
	if len(f.Aside) > 0 {
		t.setAside(f.Aside)
		t.push()
	}
}

// setAside: the shop did not take these; sending them again on this link
// changes nothing.
func (t *Tablet) setAside(ids []string) {
	if t.aside == nil {
		t.aside = map[string]bool{}
	}
	for _, id := range ids {
		t.aside[id] = true
		t.settle(id)
	}
}

// settle takes a record out of the pushes that are under way.
func (t *Tablet) settle(id string) {
	for i, p := range t.pushes {
		t.pushes[i] = slices.DeleteFunc(p, func(o string) bool { return o == id })
	}
	t.pushes = slices.DeleteFunc(t.pushes, func(p []string) bool { return len(p) == 0 })
}

// pushesAtOnce is how many pushes may be under way.
const pushesAtOnce = 2

// push sends what is in the outbox, in any order.
func (t *Tablet) push() {
	for t.link != nil && t.welcome && len(t.pushes) < pushesAtOnce {
		var recs []*Rec
		for _, h := range t.Disk.Recs {
			if h.Out && !t.aside[h.Rec.ID] && !slices.ContainsFunc(t.pushes, func(p []string) bool { return slices.Contains(p, h.Rec.ID) }) {
				recs = append(recs, h.Rec)
			}
		}
		if len(recs) == 0 {
			return
		}
		t.rnd.Shuffle(len(recs), func(i, j int) { recs[i], recs[j] = recs[j], recs[i] })
		recs = recs[:min(len(recs), max(1, t.most))]
		ids := make([]string, len(recs))
		for i, r := range recs {
			ids[i] = r.ID
		}
		t.pushes = append(t.pushes, ids)
		t.link.sendUp(&Frame{T: "push", Recs: recs})
	}
}

// level: it is connected, nothing waits, and everything that there is was read.
func (t *Tablet) level(high int64) bool {
	return !t.dead && t.welcome && t.link != nil && !t.link.cut && len(t.link.up) == 0 && t.Disk.Unsent() == 0 && t.Disk.Cursor == high
}

// randomID draws the id of a record.
func randomID(rnd *rand.Rand) string {
	var b [16]byte
	binary.LittleEndian.PutUint64(b[:8], rnd.Uint64())
	binary.LittleEndian.PutUint64(b[8:], rnd.Uint64())
	return ledger.ID(b)
}
