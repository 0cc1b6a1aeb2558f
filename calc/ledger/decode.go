package ledger

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

const (
	// MaxRaw is the most bytes that the text of one record may have.
	MaxRaw = 64 << 10

	maxName  = 256     // bytes of dev, hlc, kind, job and slot
	maxLinks = 1024    // ids in over or seen
	maxInt   = 1 << 53 // integers from here on are rounded by readers that keep numbers as floats
)

// Decode reads the envelope of a record and keeps its text. It refuses only what
// is not an envelope: text that is not one JSON object in UTF-8 of at most
// MaxRaw bytes; an id that is not 26 characters of a-z and 2-7; a kind or job
// that is missing or empty; a key of the envelope with a value of another type
// than Record gives it; n or sv that are not integers from 0 to below 2^53. Kinds
// and keys that this version does not know pass, and so does any body. Absent
// keys other than id, kind and job read as empty, and so does null.
//
// Keys count as they are written ("ID" is not "id"), and of a key written twice
// the last counts, which is how the tablet reads them too.
//
// The error is a sentence that names the key.
func Decode(raw string) (Record, error) {
	if len(raw) > MaxRaw {
		return Record{}, fmt.Errorf("record has %d bytes, more than %d", len(raw), MaxRaw)
	}
	if !utf8.ValidString(raw) {
		return Record{}, errors.New("record is not UTF-8 text")
	}
	var keys map[string]json.RawMessage
	if err := json.Unmarshal([]byte(raw), &keys); err != nil {
		return Record{}, fmt.Errorf("record is not a JSON object: %w", err)
	}
	if keys == nil {
		return Record{}, errors.New("record is not a JSON object: it is null")
	}
	r := Record{raw: raw, Body: keys["body"]}
	var sv int64
	texts := []struct {
		key  string
		into *string
	}{{"id", &r.ID}, {"dev", &r.Dev}, {"hlc", &r.HLC}, {"kind", &r.Kind}, {"job", &r.Job}, {"slot", &r.Slot}, {"chosen", &r.Chosen}, {"target", &r.Target}}
	for _, t := range texts {
		if err := text(keys, t.key, t.into); err != nil {
			return Record{}, err
		}
	}
	if !IsID(r.ID) {
		return Record{}, fmt.Errorf("record: id %q is not 26 characters of a-z and 2-7", r.ID)
	}
	if r.Kind == "" || r.Job == "" {
		return Record{}, fmt.Errorf("record %s: %s is missing", r.ID, map[bool]string{true: "kind", false: "job"}[r.Kind == ""])
	}
	for _, l := range []struct {
		key  string
		into *[]string
	}{{"over", &r.Over}, {"seen", &r.Seen}} {
		if err := links(keys, l.key, l.into); err != nil {
			return Record{}, fmt.Errorf("record %s: %w", r.ID, err)
		}
	}
	for _, n := range []struct {
		key  string
		into *int64
	}{{"n", &r.N}, {"sv", &sv}} {
		if err := count(keys, n.key, n.into); err != nil {
			return Record{}, fmt.Errorf("record %s: %w", r.ID, err)
		}
	}
	r.SV = int(sv)
	return r, nil
}

func text(keys map[string]json.RawMessage, key string, into *string) error {
	val, ok := keys[key]
	if !ok {
		return nil
	}
	if err := json.Unmarshal(val, into); err != nil {
		return fmt.Errorf("record: %s is %s, not text", key, short(val))
	}
	if len(*into) > maxName {
		return fmt.Errorf("record: %s has %d bytes, more than %d", key, len(*into), maxName)
	}
	return nil
}

func links(keys map[string]json.RawMessage, key string, into *[]string) error {
	val, ok := keys[key]
	if !ok {
		return nil
	}
	if err := json.Unmarshal(val, into); err != nil {
		return fmt.Errorf("%s is %s, not a list of ids", key, short(val))
	}
	if len(*into) > maxLinks {
		return fmt.Errorf("%s has %d ids, more than %d", key, len(*into), maxLinks)
	}
	return nil
}

func count(keys map[string]json.RawMessage, key string, into *int64) error {
	val, ok := keys[key]
	if !ok {
		return nil
	}
	if err := json.Unmarshal(val, into); err != nil || *into < 0 || *into >= maxInt {
		return fmt.Errorf("%s is %s, not an integer from 0 to below 2^53", key, short(val))
	}
	return nil
}

// short is a value for a sentence.
func short(val []byte) string {
	const most = 40
	if len(val) <= most {
		return string(val)
	}
	return strings.ToValidUTF8(string(val[:most]), "") + "…"
}
