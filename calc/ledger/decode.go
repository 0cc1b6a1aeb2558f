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

	maxName  = 256     // bytes of dev, hlc, kind, job, slot, chosen and target
	maxLinks = 1024    // ids in over or seen
	maxInt   = 1 << 53 // integers from here on are rounded by readers that keep numbers as floats
)

// Decode reads the envelope of a record and keeps its text. It refuses only what
// is not an envelope: text that is not one JSON object in UTF-8 of at most
// MaxRaw bytes; an id that is not 26 characters of a-z and 2-7; a kind or job
// that is missing or empty; a key of the envelope with a value of another type
// than Record gives it; n or sv that are not integers from 0 to below 2^53; names
// of more than 256 bytes, and more than 1024 ids in over or seen. Kinds and keys
// that this version does not know pass, and so does any body. Absent keys other
// than id, kind and job read as empty, and so does null.
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
	b := []byte(raw)
	if !json.Valid(b) {
		return Record{}, errors.New("record is not JSON")
	}
	r := Record{raw: raw}
	object, err := members(b, r.member)
	switch {
	case err != nil:
		return Record{}, fmt.Errorf("record %s: %w", r.ID, err)
	case !object:
		return Record{}, errors.New("record is not a JSON object")
	case !IsID(r.ID):
		return Record{}, fmt.Errorf("record: id %q is not 26 characters of a-z and 2-7", r.ID)
	case r.Kind == "":
		return Record{}, fmt.Errorf("record %s: kind is missing", r.ID)
	case r.Job == "":
		return Record{}, fmt.Errorf("record %s: job is missing", r.ID)
	}
	return r, nil
}

// member takes one key of the envelope.
func (r *Record) member(key string, val []byte) (err error) {
	switch key {
	case "id":
		r.ID, err = name(key, val)
	case "dev":
		r.Dev, err = name(key, val)
	case "n":
		r.N, err = count(key, val)
	case "hlc":
		r.HLC, err = name(key, val)
	case "kind":
		r.Kind, err = name(key, val)
	case "job":
		r.Job, err = name(key, val)
	case "slot":
		r.Slot, err = name(key, val)
	case "over":
		r.Over, err = links(key, val)
	case "seen":
		r.Seen, err = links(key, val)
	case "chosen":
		r.Chosen, err = name(key, val)
	case "target":
		r.Target, err = name(key, val)
	case "sv":
		var n int64
		n, err = count(key, val)
		r.SV = int(n)
	case "body":
		r.Body = val
	}
	return err
}

func name(key string, val []byte) (string, error) {
	switch {
	case string(val) == "null":
		return "", nil
	case val[0] != '"':
		return "", fmt.Errorf("%s is %s, not text", key, short(val))
	}
	s := unquote(val)
	if len(s) > maxName {
		return "", fmt.Errorf("%s has %d bytes, more than %d", key, len(s), maxName)
	}
	return s, nil
}

func links(key string, val []byte) ([]string, error) {
	var ids []string
	if err := json.Unmarshal(val, &ids); err != nil {
		return nil, fmt.Errorf("%s is %s, not a list of ids", key, short(val))
	}
	if len(ids) > maxLinks {
		return nil, fmt.Errorf("%s has %d ids, more than %d", key, len(ids), maxLinks)
	}
	return ids, nil
}

func count(key string, val []byte) (int64, error) {
	var n int64
	if err := json.Unmarshal(val, &n); err != nil || n < 0 || n >= maxInt {
		return 0, fmt.Errorf("%s is %s, not an integer from 0 to below 2^53", key, short(val))
	}
	return n, nil
}

// short is a value for a sentence.
func short(val []byte) string {
	const most = 40
	if len(val) <= most {
		return string(val)
	}
	return strings.ToValidUTF8(string(val[:most]), "") + "…"
}
