package history

import (
	"context"
	"fmt"
	"time"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Records gives the records of a real shop's log their hashes, and to those that
// were made by these tablets what their makers saw.
func Records(log []ledger.Record, makers ...*Disk) ([]*Rec, error) {
	made := map[chain.Sum]*Rec{}
	for _, d := range makers {
		for _, r := range d.Saved {
			made[r.H] = r
		}
	}
	recs := make([]*Rec, len(log))
	for i, l := range log {
		r, err := ReadRec(l.Raw())
		if err != nil {
			return nil, err
		}
		if known := made[r.H]; known != nil {
			r = known
		}
		recs[i] = r
	}
	return recs, nil
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
