package history

import (
	"context"
	"fmt"
	"time"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Records gives the records of a real shop's log their hashes, and to those that
// are among made what their makers saw, under another id too.
func Records(log []ledger.Record, made []*Rec) ([]*Rec, error) {
	known, moved := make(map[chain.Sum]*Rec, len(made)), make(map[string]*Rec, len(made))
	for _, r := range made {
		known[r.H], moved[idOf(r)] = r, r
	}
	recs := make([]*Rec, len(log))
	for i, l := range log {
		r, err := ReadRec(l.Raw())
		if err != nil {
			return nil, err
		}
		if m := known[r.H]; m != nil {
			r = m
		} else if m := moved[r.ID]; m != nil {
			r.Saw = m.Saw
		}
		recs[i] = r
	}
	return recs, nil
}

// DiskOf returns the disk of a tablet that is none of the model's.
func DiskOf(dev string, recs []*Held, cursor int64, sum chain.Sum, saved []*Rec) *Disk {
	d := NewDisk(dev)
	for _, h := range recs {
		d.add(h.Rec, h.Pos, h.Out)
	}
	d.Cursor, d.Chain, d.Saved = cursor, sum, saved
	return d
}

// WaitLevel waits until all clients have read the log up to its end, by position
// and chain, and hold nothing that the shop lacks.
func WaitLevel(ctx context.Context, end func() (pos int64, sum chain.Sum), clients ...*Client) error {
	for {
		behind := ""
		pos, sum := end()
		for _, c := range clients {
			if cursor, at, unsent := c.At(); cursor != pos || at != sum || unsent > 0 {
				behind += fmt.Sprintf("; %s at %d of %d with %d unsent", c.Name, cursor, pos, unsent)
			}
		}
		if behind == "" {
			return nil
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("not level%s", behind)
		case <-time.After(5 * time.Millisecond):
		}
	}
}
