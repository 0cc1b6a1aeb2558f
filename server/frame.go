package server

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"unicode/utf8"

	"tubewright/calc/ledger"
)

// Frames are JSON objects, one a websocket message or a line of a request, told
// apart by "t". A binary message holds one packed, see pack.
// Every number is an integer below 2^53, so that a browser reads it exactly.

type helloFrameIn struct {
	Proto   [2]int      `json:"proto"` // lowest and highest version the client speaks
	Build   string      `json:"build"`
	SV      int         `json:"sv"` // newest record body schema it knows
	Role    ledger.Role `json:"role"`
	Dev     string      `json:"dev"`
	Name    string      `json:"name"`
	Cursor  int64       `json:"cursor"`
	Chain   string      `json:"chain"` // hex; may be empty at cursor 0
	Unsent  int64       `json:"unsent"`
	ClockMS *int64      `json:"clock_ms"` // nil: not told
	Pack    []string    `json:"pack"`     // what it can unpack
	Token   string      `json:"token"`    // of the pairing
}

type pushFrame struct {
	Recs []string `json:"recs"`
}

type pullFrame struct {
	Cursor int64  `json:"cursor"`
	Chain  string `json:"chain"`
}

// beatFrame goes up with the tablet's clock and comes back with the server's.
type beatFrame struct {
	T         string `json:"t"`
	N         int64  `json:"n"`
	NowMS     int64  `json:"now_ms"`
	Unsent    *int64 `json:"unsent,omitempty"`     // up only
	BackupPos *int64 `json:"backup_pos,omitempty"` // down only
}

// welcomeFrame answers a hello; with t "reset" it also says that the client's
// cursor is not a place in this log.
type welcomeFrame struct {
	T         string     `json:"t"`
	Proto     int        `json:"proto"`
	Build     string     `json:"build"`
	NowMS     int64      `json:"now_ms"`
	High      int64      `json:"high"`
	BackupPos int64      `json:"backup_pos"`
	Limits    pushLimits `json:"limits"`
	Pack      string     `json:"pack,omitempty"` // how large frames may be packed from here on, both ways

	// As which the server takes it, by the pairing where there is one.
	Role    ledger.Role `json:"role"`
	Name    string      `json:"name"`
	Revoked bool        `json:"revoked,omitempty"` // it gets no feed, and what it pushes is set aside
}

type pushLimits struct {
	Records     int `json:"push_records"`
	Bytes       int `json:"push_bytes"`
	RecordBytes int `json:"record_bytes"`
}

type ackFrame struct {
	T           string    `json:"t"`
	IDs         []string  `json:"ids"`
	Pos         int64     `json:"pos"`
	Quarantined []string  `json:"quarantined"`
	Refused     []refused `json:"refused,omitempty"`
}

// refused names a record of a push that was not stored, by its place in the
// push, because a record that cannot be read may have no id.
type refused struct {
	Rec  int    `json:"rec"`
	ID   string `json:"id"`
	Text string `json:"text"`
}

type feedFrame struct {
	T     string `json:"t"`
	From  int64  `json:"from"`
	Recs  []any  `json:"recs"` // string, or stub
	To    int64  `json:"to"`
	Chain string `json:"chain"`
}

// stub stands for a record that this socket pushed with exactly these bytes.
type stub struct {
	ID string `json:"id"`
	H  string `json:"h"`
}

// photosFrame names pictures that are now whole in the shop.
type photosFrame struct {
	T    string   `json:"t"`
	Done []string `json:"done"`
}

type byeFrame struct {
	T    string `json:"t"`
	Why  string `json:"why"`
	Text string `json:"text"`
}

// refusal ends a connection: why is for the program, text for the person.
type refusal struct{ why, text string }

func (r *refusal) Error() string { return r.why + ": " + r.text }

func refuse(why, format string, a ...any) *refusal {
	return &refusal{why: why, text: fmt.Sprintf(format, a...)}
}

// safeInteger is the largest integer that every reader of JSON keeps exactly.
const safeInteger = 1<<53 - 1

// decode reads one frame from a client: *helloFrameIn, *pushFrame, *pullFrame
// or *beatFrame. Fields it does not know are passed over. The error is a
// *refusal. Text that is not UTF-8 is refused, since reading it as JSON would
// change the bytes of a record.
func decode(b []byte) (any, error) {
	if !utf8.Valid(b) {
		return nil, refuse("frame", "a frame is not UTF-8 text")
	}
	var head struct {
		T *string `json:"t"`
	}
	if err := json.Unmarshal(b, &head); err != nil {
		return nil, refuse("frame", "a frame cannot be read: %v", err)
	}
	if head.T == nil {
		return nil, refuse("frame", `a frame has no "t"`)
	}
	var f interface{ check() error }
	switch *head.T {
	case "hello":
		f = new(helloFrameIn)
	case "push":
		f = new(pushFrame)
	case "pull":
		f = new(pullFrame)
	case "hb":
		f = new(beatFrame)
	default:
		return nil, refuse("frame", "a frame of kind %.20q is not one of hello, push, pull, hb", *head.T)
	}
	if err := json.Unmarshal(b, f); err != nil {
		return nil, refuse("frame", "a %s frame cannot be read: %v", *head.T, err)
	}
	if err := f.check(); err != nil {
		return nil, err
	}
	return f, nil
}

func (f *helloFrameIn) check() error {
	if f.Proto[0] < 1 || f.Proto[1] < f.Proto[0] {
		return refuse("frame", "hello: proto %v is not a lowest and a highest version", f.Proto)
	}
	switch f.Role {
	case ledger.Measure, ledger.Bench, ledger.Board:
	default:
		return refuse("frame", "hello: role %.20q is not one of measure, bench, board", f.Role)
	}
	if !isDevice(f.Dev) {
		return refuse("frame", "hello: dev needs 1 to 64 letters, digits, - or _")
	}
	if n := utf8.RuneCountInString(f.Name); n > 80 {
		return refuse("frame", "hello: name has %d characters; allowed 0 to 80", n)
	}
	if err := checkInteger("hello", "unsent", f.Unsent); err != nil {
		return err
	}
	return checkPlace("hello", f.Cursor, f.Chain)
}

func (f *pushFrame) check() error {
	if n := len(f.Recs); n > pushRecords {
		return refuse("limit", "push has %d records; allowed 1 to %d", n, pushRecords)
	}
	total := 0
	for i, raw := range f.Recs {
		if len(raw) > recordBytes {
			return refuse("limit", "push: record %d has %d bytes; allowed 1 to %d", i, len(raw), recordBytes)
		}
		total += len(raw)
	}
	if total > pushBytes {
		return refuse("limit", "push has %d bytes of records; allowed 1 to %d", total, pushBytes)
	}
	return nil
}

func (f *pullFrame) check() error { return checkPlace("pull", f.Cursor, f.Chain) }

func (f *beatFrame) check() error {
	if f.Unsent != nil {
		if err := checkInteger("hb", "unsent", *f.Unsent); err != nil {
			return err
		}
	}
	return checkInteger("hb", "n", f.N)
}

// clock is what a tablet says its clock is; nil when it does not.
func (f *beatFrame) clock() *int64 {
	if f.NowMS == 0 {
		return nil
	}
	return &f.NowMS
}

func checkInteger(frame, field string, v int64) error {
	if v < 0 || v > safeInteger {
		return refuse("frame", "%s: %s is %d; allowed 0 to %d", frame, field, v, int64(safeInteger))
	}
	return nil
}

func checkPlace(frame string, cursor int64, chain string) error {
	if err := checkInteger(frame, "cursor", cursor); err != nil {
		return err
	}
	if chain == "" && cursor == 0 {
		return nil
	}
	if b, err := hex.DecodeString(chain); err != nil || len(b) != 32 {
		return refuse("frame", "%s: chain is not 64 hexadecimal digits", frame)
	}
	return nil
}

func isDevice(s string) bool {
	if len(s) < 1 || len(s) > 64 {
		return false
	}
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-', c == '_':
		default:
			return false
		}
	}
	return true
}

// encode writes a frame. Our own frames always encode: they hold only strings,
// integers and lists of those.
func encode(frame any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // records read in a log or a test as they were written
	if err := e.Encode(frame); err != nil {
		panic("server: bug: " + err.Error())
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}
