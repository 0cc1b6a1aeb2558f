package ledger

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Record is the envelope that every record has, whatever is inside. The
// envelope never changes shape; what kinds and bodies there are does.
//
// A Record that came from Decode carries its exact text along; changing a field
// of it changes neither Raw nor Hash.
type Record struct {
	ID     string          `json:"id"`               // 26 characters, 128 random bits, made when the form opens
	Dev    string          `json:"dev"`              // device that wrote it
	N      int64           `json:"n"`                // the device's own count: for people and send order, never identity
	HLC    string          `json:"hlc"`              // hybrid clock, see Stamp: orders history, decides nothing
	Kind   string          `json:"kind"`             // see Kinds
	Job    string          `json:"job"`              // id of the job
	Slot   string          `json:"slot"`             // kind/entity-id/field, e.g. port/p3/width
	Over   []string        `json:"over,omitempty"`   // ids this one takes the place of
	Seen   []string        `json:"seen,omitempty"`   // ids that were on the screen when it was made
	Chosen string          `json:"chosen,omitempty"` // of a choice: the reading chosen
	Target string          `json:"target,omitempty"` // of a retract: the record taken back
	SV     int             `json:"sv"`               // schema of the body
	Body   json.RawMessage `json:"body,omitempty"`

	raw string
}

// Raw returns the text of the record: byte for byte what Decode was given, and
// for a record made in Go what Encode writes.
func (r Record) Raw() string {
	if r.raw == "" {
		return Encode(r)
	}
	return r.raw
}

// Encode writes a record made in Go (an import, an invented job) as text. It is
// called once in a record's life; the text is the record from then on. A Body
// that is not JSON is a mistake of the caller and panics.
func Encode(r Record) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(r); err != nil {
		panic(fmt.Sprintf("ledger: bug: body of record %s: %v", r.ID, err))
	}
	return string(bytes.TrimSuffix(b.Bytes(), []byte("\n")))
}
