package history

import (
	"slices"

	"tubewright/calc/chain"
)

// Held is a record on a tablet's disk.
type Held struct {
	Rec *Rec
	Pos int64 // in the shop's log; 0 until read back from it
	Out bool  // it waits in the outbox
}

// Disk is what of a tablet survives its program.
type Disk struct {
	Dev    string
	N      int64
	Cursor int64
	Chain  chain.Sum
	Recs   []*Held // as they came

	// Saved are the records that were shown as saved on this disk: what must not be
	// lost while it lives.
	Saved []*Rec

	at    map[string]*Held
	draft draft // a half-typed text; its slot is "" when there is none
}

// draft is a half-typed text with the name of its form.
type draft struct{ slot, id string }

// NewDisk returns the disk of a tablet that was never used.
func NewDisk(dev string) *Disk { return &Disk{Dev: dev, at: map[string]*Held{}} }

// Get returns a record that is on the disk, or nil.
func (d *Disk) Get(id string) *Held { return d.at[id] }

// Unsent counts the outbox.
func (d *Disk) Unsent() (n int) {
	for _, h := range d.Recs {
		if h.Out {
			n++
		}
	}
	return n
}

// Slot returns the records of one slot.
func (d *Disk) Slot(slot string) (recs []*Rec) {
	for _, h := range d.Recs {
		if h.Rec.Slot == slot {
			recs = append(recs, h.Rec)
		}
	}
	return recs
}

func (d *Disk) add(r *Rec, pos int64, out bool) {
	if h := d.at[r.ID]; h != nil {
		h.Rec, h.Pos, h.Out = r, pos, out
		return
	}
	h := &Held{r, pos, out}
	d.at[r.ID] = h
	d.Recs = append(d.Recs, h)
}

// copy returns the disk as a copying program reads it.
func (d *Disk) copy() *Disk {
	c := *d
	c.at = make(map[string]*Held, len(d.at))
	c.Recs = make([]*Held, len(d.Recs))
	for i, h := range d.Recs {
		one := *h
		c.Recs[i] = &one
		c.at[one.Rec.ID] = &one
	}
	c.Saved = slices.Clone(d.Saved)
	return &c
}
