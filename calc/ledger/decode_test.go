package ledger

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"
)

const someID = "aaaqeayeaudaocajbifqydiob4" // bytes 0 to 15; RFC 4648 base32 in lower case, worked out by another program (Python's base64)

func TestIDIsBase32OfItsBits(t *testing.T) {
	var b [16]byte
	for i := range b {
		b[i] = byte(i)
	}
	if got := ID(b); got != someID || !IsID(got) {
		t.Errorf("ID = %q, want %q", got, someID)
	}
	for _, s := range []string{"", someID[1:], someID + "a", strings.ToUpper(someID), someID[:25] + "1", someID[:25] + "8", someID[:24] + "ä"} {
		if IsID(s) {
			t.Errorf("IsID(%q)", s)
		}
	}
}

func TestStampsSortByTimeThenCount(t *testing.T) {
	a, b, c := Stamp(1764025441123, 4, "dev"), Stamp(1764025441123, 10, "a"), Stamp(9764025441123, 0, "a")
	if a != "1764025441123-0004-dev" || a >= b || b >= c {
		t.Errorf("%q %q %q", a, b, c)
	}
}

func TestDecodeKeepsTextAndReadsEnvelope(t *testing.T) {
	raw := ` {"id":"` + someID + `", "dev":"tab","n":7,"hlc":"1764025441123-0004-tab","kind":"reading","job":"j1","slot":"port/p3/width",
 "over":["x"],"seen":["x","y"],"chosen":"c","target":"t","sv":3,"body":{"text":"1 5/8", "Ω":1.50},"newer":{"a":[1e400]}}`
	r, err := Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	want := Record{ID: someID, Dev: "tab", N: 7, HLC: "1764025441123-0004-tab", Kind: "reading", Job: "j1", Slot: "port/p3/width",
		Over: []string{"x"}, Seen: []string{"x", "y"}, Chosen: "c", Target: "t", SV: 3, Body: []byte(`{"text":"1 5/8", "Ω":1.50}`), raw: raw}
	if !reflect.DeepEqual(r, want) || r.Raw() != raw {
		t.Errorf("got %+v", r)
	}
}

func TestDecodeTakesWhatItDoesNotKnow(t *testing.T) {
	for _, rest := range []string{
		``,
		`,"body":null`,
		`,"body":"text"`,
		`,"over":null,"n":null,"slot":null`,
		`,"ID":"other","Kind":""`,
		`,"id":"` + someID + `"`,
		`,"n":9007199254740991,"sv":0`,
		`,"body":{"nm":1e99}`,
	} {
		r, err := Decode(`{"id":"` + someID + `","kind":"of-a-newer-version","job":"j"` + rest + `}`)
		if err != nil || r.ID != someID || r.Kind != "of-a-newer-version" {
			t.Errorf("%s: %+v, %v", rest, r, err)
		}
	}
}

func TestDecodeRefusesWhatIsNoEnvelope(t *testing.T) {
	env := func(rest string) string { return `{"id":"` + someID + `","kind":"k","job":"j"` + rest + `}` }
	for _, tt := range []struct{ raw, says string }{
		{``, "not JSON"},
		{`null`, "not a JSON object"},
		{`[]`, "not a JSON object"},
		{`"text"`, "not a JSON object"},
		{env(``) + env(``), "not JSON"},
		{env(``)[:20], "not JSON"},
		{"{\"id\":\"\xff\"}", "not UTF-8"},
		{env(`,"body":"` + strings.Repeat("x", MaxRaw) + `"`), "65"},
		{`{}`, "id"},
		{`{"id":5,"kind":"k","job":"j"}`, "id is 5"},
		{`{"id":"short","kind":"k","job":"j"}`, `id "short"`},
		{`{"ID":"` + someID + `","kind":"k","job":"j"}`, "id"},
		{`{"id":"` + someID + `","job":"j"}`, "kind"},
		{`{"id":"` + someID + `","kind":"","job":"j"}`, "kind"},
		{`{"id":"` + someID + `","kind":"k"}`, "job"},
		{env(`,"slot":["a"]`), "slot"},
		{env(`,"dev":{}`), "dev"},
		{env(`,"hlc":1764025441123`), "hlc"},
		{env(`,"chosen":1`), "chosen"},
		{env(`,"target":true`), "target"},
		{env(`,"over":"` + someID + `"`), "over"},
		{env(`,"seen":[1]`), "seen"},
		{env(`,"n":9007199254740992`), "n is 9007199254740992"},
		{env(`,"n":-1`), "n is -1"},
		{env(`,"n":1.5`), "n is 1.5"},
		{env(`,"n":"7"`), `n is "7"`},
		{env(`,"sv":1e3`), "sv is 1e3"},
		{env(`,"slot":"` + strings.Repeat("s", 257) + `"`), "slot has 257 bytes"},
		{env(`,"over":[` + strings.Repeat(`"a",`, 1024) + `"a"]`), "over has 1025 ids"},
	} {
		r, err := Decode(tt.raw)
		if err == nil || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%.60q: got %+v, %v; want an error that says %q", tt.raw, r, err, tt.says)
		}
	}
}

func TestEncodedRecordDecodesToItself(t *testing.T) {
	for seed := range uint64(200) {
		for _, r := range randomHistory(seed, 10, false) {
			back, err := Decode(Encode(r))
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			if back.Raw() != r.Raw() {
				t.Errorf("seed %d: text %s, was %s", seed, back.Raw(), r.Raw())
			}
			back.raw = ""
			if !reflect.DeepEqual(back, r) {
				t.Errorf("seed %d: %+v, was %+v", seed, back, r)
			}
		}
	}
	if got := Encode(Record{ID: someID, Slot: "a<b&c", Kind: "k", Job: "j"}); !strings.Contains(got, "a<b&c") {
		t.Errorf("text is escaped for a page: %s", got)
	}
}

func TestUnreadableBodies(t *testing.T) {
	for _, tt := range []struct {
		body string
		ok   bool
	}{
		{`{"text":"41.3","unit":"mm","nm":41300000,"res":100000,"tool":"caliper","person":"P","at":"2026-03-02T08:15:00+01:00"}`, true},
		{`{"text":"-5","unit":"in","nm":-127000000}`, true},
		{`{"text":"72","unit":"deg","udeg":72000000}`, true},
		{`{"text":"4","unit":"1","micro":4000000}`, true},
		{`{"text":"304","unit":"word"}`, true},
		{`{"text":"9","unit":"newer","micro":9,"extra":1}`, true},
		{`{"text":"9","unit":"mm","nm":9007199254740991}`, true},
		{``, false},
		{`null`, false},
		{`[]`, false},
		{`{}`, false},
		{`{"text":"","unit":"word"}`, false},
		{`{"text":"9","unit":"newer"}`, false},
		{`{"text":"9","unit":"mm"}`, false},
		{`{"text":"9","unit":"mm","udeg":9}`, false},
		{`{"text":"9","unit":"word","nm":9}`, false},
		{`{"text":"9","unit":"mm","nm":9,"micro":9}`, false},
		{`{"text":"9","unit":"mm","nm":9.5}`, false},
		{`{"text":"9","unit":"mm","nm":"9"}`, false},
		{`{"text":"9","unit":"mm","nm":9007199254740992}`, false},
		{`{"text":"9","unit":"mm","nm":-9007199254740992}`, false},
		{`{"text":"9","unit":"mm","nm":9,"res":-1}`, false},
		{`{"text":9,"unit":"mm","nm":9}`, false},
	} {
		if r, err := readReading([]byte(tt.body)); (err == nil) != tt.ok {
			t.Errorf("%s: %+v, %v", tt.body, r, err)
		}
	}
}

func TestUnreadableNotes(t *testing.T) {
	for body, want := range map[string]string{`{"text":"left bank first","person":"P"}`: "left bank first", `{"text":""}`: ""} {
		if n, err := readNote([]byte(body)); err != nil || n.Text != want {
			t.Errorf("%s: %+v, %v", body, n, err)
		}
	}
	for _, body := range []string{``, `null`, `{}`, `[]`, `{"text":1}`, `{"text":null}`, `{"text":"a","person":1}`} {
		if n, err := readNote([]byte(body)); err == nil {
			t.Errorf("%s: %+v", body, n)
		}
	}
}

func TestRolesMayWriteTheirKinds(t *testing.T) {
	for _, tt := range []struct {
		role Role
		kind string
		may  bool
	}{
		{Measure, ReadingKind, true}, {Measure, NoteKind, true}, {Measure, RetractKind, true}, {Measure, ChoiceKind, false}, {Measure, "piece", false},
		{Bench, ReadingKind, true}, {Bench, ChoiceKind, true}, {Bench, "piece", true}, {Bench, "", true},
		{Measure, PhotoKind, true}, {Measure, MarkKind, true}, {Measure, DenyKind, false}, {Bench, DenyKind, true}, {Board, PhotoKind, false}, {Board, MarkKind, false},
		{Board, ReadingKind, false}, {Board, NoteKind, false}, {"", NoteKind, false}, {"other", NoteKind, false},
	} {
		if got := tt.role.May(tt.kind); got != tt.may {
			t.Errorf("%q may write %q: %v", tt.role, tt.kind, got)
		}
	}
}

func FuzzDecode(f *testing.F) {
	for _, r := range randomHistory(1, 12, true) {
		f.Add(r.Raw())
	}
	f.Add(`{"id":"` + someID + `","kind":"k","job":"j","n":9007199254740992}`)
	f.Add(`{"id":"` + someID + `","kind":"k","job":"\ud800","over":null}`)
	f.Fuzz(func(t *testing.T, raw string) {
		r, err := Decode(raw)
		if err != nil {
			if s := err.Error(); s == "" || !utf8.ValidString(s) || len(s) > 1000 {
				t.Errorf("error %q", s)
			}
			return
		}
		if r.Raw() != raw || !IsID(r.ID) || r.Kind == "" || r.Job == "" || r.N < 0 || r.N >= maxInt || r.SV < 0 {
			t.Errorf("%q: %+v", raw, r)
		}
		other := r
		other.raw = ""
		back, err := Decode(Encode(other)) // what it says in our own words
		if err != nil {
			if len(Encode(other)) <= MaxRaw {
				t.Errorf("%q: again: %v", raw, err)
			}
			return
		}
		if fmt.Sprint(back.ID, back.Dev, back.N, back.HLC, back.Kind, back.Job, back.Slot, back.Chosen, back.Target, back.SV, back.Over, back.Seen) !=
			fmt.Sprint(r.ID, r.Dev, r.N, r.HLC, r.Kind, r.Job, r.Slot, r.Chosen, r.Target, r.SV, r.Over, r.Seen) {
			t.Errorf("%q: %+v, again %+v", raw, r, back)
		}
	})
}

// The scanner of keys finds what encoding/json finds.
func FuzzMembers(f *testing.F) {
	f.Add([]byte(` { "a" : 1 , "b":[1,{"c":"}"}],"d\"\\":"\\", "ä":null,"e":-1.5e9 } `))
	f.Add([]byte(`{}`))
	f.Add([]byte(` [1]`))
	f.Add([]byte(`{"":"","":{}}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		if !json.Valid(b) {
			return
		}
		got := map[string]string{}
		object, err := members(b, func(key string, val []byte) error {
			got[key] = string(val)
			return nil
		})
		var want map[string]json.RawMessage
		if uerr := json.Unmarshal(b, &want); uerr != nil || want == nil {
			if object || err != nil {
				t.Errorf("%q: %v %v, but %v", b, object, err, uerr)
			}
			return
		}
		if !object || err != nil || len(got) != len(want) {
			t.Fatalf("%q: %v %v: %q, want %q", b, object, err, got, want)
		}
		for k, v := range want {
			if got[k] != string(v) {
				t.Errorf("%q: %q is %q, want %q", b, k, got[k], v)
			}
		}
	})
}
