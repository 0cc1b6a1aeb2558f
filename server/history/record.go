package history

import (
	"fmt"
	"strings"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Rec is a record as text with its hash. It is never changed.
type Rec struct {
	ledger.Record
	Text string
	H    chain.Sum

	// Saw is what was on the screen when the form of this record opened. It is not
	// on the wire: only the check knows it.
	Saw []*Rec
}

// NewRec makes a record from its envelope.
func NewRec(r ledger.Record, saw []*Rec) *Rec {
	text := ledger.Encode(r)
	return &Rec{Record: r, Text: text, H: chain.Of(text), Saw: saw}
}

// ReadRec reads a record from its text.
func ReadRec(text string) (*Rec, error) {
	r, err := ledger.Decode(text)
	if err != nil {
		return nil, err
	}
	return &Rec{Record: r, Text: text, H: chain.Of(text)}, nil
}

// said is everything a record says but its id: what must not be lost, even when
// it has to go on under another id.
func (r *Rec) said() string {
	return fmt.Sprintf("%s|%d|%s|%s|%s|%s|%s|%s|%s|%s", r.Dev, r.N, r.HLC, r.Kind, r.Slot, strings.Join(r.Over, ","),
		strings.Join(r.Seen, ","), r.Chosen, r.Target, r.Body)
}

// saw tells whether the maker of r had o on the screen. With byName its id is
// enough.
func (r *Rec) saw(o *Rec, byName bool) bool {
	for _, s := range r.Saw {
		if s.ID == o.ID && (byName || s.H == o.H) {
			return true
		}
	}
	return false
}

// envelopes returns the records without their text, for Fold.
func envelopes(recs []*Rec) []ledger.Record {
	out := make([]ledger.Record, len(recs))
	for i, r := range recs {
		out[i] = r.Record
	}
	return out
}
