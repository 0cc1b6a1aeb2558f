package ledger

import (
	"encoding/json"
	"errors"
	"fmt"
)

// Reading is the body of a record of kind reading: one value as a person typed
// it. Exactly one of NM, UDeg and Micro is there for a length, an angle or a
// plain number; a word has none of them.
type Reading struct {
	Text   string `json:"text"`            // as typed, byte for byte
	Unit   string `json:"unit"`            // of Text: mm, cm, m, in, ft; deg; 1 for plain numbers; word
	NM     *int64 `json:"nm,omitempty"`    // nanometres
	UDeg   *int64 `json:"udeg,omitempty"`  // millionths of a degree
	Micro  *int64 `json:"micro,omitempty"` // millionths
	Res    int64  `json:"res,omitempty"`   // resolution stated by the way it was written, in the same unit; 0 not known
	Tool   string `json:"tool"`
	Form   string `json:"form,omitempty"` // name of the form it was entered on, to which photos hang; empty: the record's id
	Person string `json:"person"`
	At     string `json:"at"` // RFC 3339 with offset, the device's clock
}

// Note is the body of a record of kind note.
type Note struct {
	Text   string `json:"text"`
	Person string `json:"person"`
	At     string `json:"at"` // RFC 3339 with offset, the device's clock
}

// quantity is what a reading is a value of.
type quantity int

const (
	word quantity = iota
	length
	angle
	number
)

var quantityOf = map[string]quantity{
	"mm": length, "cm": length, "m": length, "in": length, "ft": length, "deg": angle, "1": number, "word": word,
}

// value returns the quantity and the figure of a reading; the figure of a word
// is 0.
func (r Reading) value() (quantity, int64) {
	switch {
	case r.NM != nil:
		return length, *r.NM
	case r.UDeg != nil:
		return angle, *r.UDeg
	case r.Micro != nil:
		return number, *r.Micro
	}
	return word, 0
}

// readReading reads the body of a reading. A unit that is not known here passes
// when there is a figure, since the figure is what counts; figures must be
// integers between -2^53 and 2^53.
func readReading(body []byte) (Reading, error) {
	var r Reading
	if err := json.Unmarshal(body, &r); err != nil {
		return r, err
	}
	figures := 0
	for _, f := range []*int64{r.NM, r.UDeg, r.Micro} {
		if f != nil {
			figures++
			if *f <= -maxInt || *f >= maxInt {
				return r, fmt.Errorf("figure %d is not within 2^53", *f)
			}
		}
	}
	if r.Res < 0 || r.Res >= maxInt {
		return r, fmt.Errorf("resolution %d is not from 0 to below 2^53", r.Res)
	}
	has, _ := r.value()
	want, known := quantityOf[r.Unit]
	switch {
	case figures > 1:
		return r, errors.New("more than one of nm, udeg and micro")
	case known && has != want:
		return r, fmt.Errorf("unit %q does not go with the figure", r.Unit)
	case !known && figures == 0:
		return r, fmt.Errorf("unit %q is not known and there is no figure", r.Unit)
	case has == word && r.Text == "":
		return r, errors.New("a word without text")
	}
	return r, nil
}

// readNote reads the body of a note. An empty text is one; no text is not.
func readNote(body []byte) (Note, error) {
	var n struct {
		Note
		Text *string `json:"text"`
	}
	if err := json.Unmarshal(body, &n); err != nil {
		return Note{}, err
	}
	if n.Text == nil {
		return Note{}, errors.New("a note without text")
	}
	n.Note.Text = *n.Text
	return n.Note, nil
}
