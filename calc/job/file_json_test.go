package job

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"
	"testing"
)

// The quick way through JSON that is valid finds the same parts as encoding/json, at
// every depth.
func FuzzPartsOfJSON(f *testing.F) {
	f.Add([]byte(`{"a":[1, 2.5e3 ,"x,]}\"\\",{ } , [ ] ,null,true],"b\u0061":{"c":"","a":{}} , "":-0}`))
	f.Add([]byte("{\r\n\t\"\xff\" : [[[\"\\u00e9\"]]]}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		data = bytes.TrimSpace(data)
		if json.Valid(data) {
			sameParts(t, data)
		}
	})
}

func sameParts(t *testing.T, raw []byte) {
	t.Helper()
	r := fileReader{}
	switch raw[0] {
	case '{':
		var want map[string]json.RawMessage
		if err := json.Unmarshal(raw, &want); err != nil {
			t.Skip(err) // deeper than the library goes
		}
		got := map[string]json.RawMessage{}
		for _, m := range r.object("", string(raw)).list {
			got[m.key] = json.RawMessage(m.raw)
			sameParts(t, []byte(m.raw))
		}
		if !maps.EqualFunc(got, want, func(a, b json.RawMessage) bool { return bytes.Equal(a, b) }) {
			t.Fatalf("%s\ngot  %q\nwant %q", raw, got, want)
		}
	case '[':
		var want []json.RawMessage
		if err := json.Unmarshal(raw, &want); err != nil {
			t.Skip(err)
		}
		got := r.array("", string(raw))
		if !slices.EqualFunc(got, want, func(a string, b json.RawMessage) bool { return a == string(b) }) {
			t.Fatalf("%s\ngot  %q\nwant %q", raw, got, want)
		}
		for _, part := range got {
			sameParts(t, []byte(part))
		}
	default:
		var want string
		err := json.Unmarshal(raw, &want)
		if got, isText := textOf(string(raw)); got != want || isText != (err == nil) {
			t.Fatalf("%s: got %q %v, want %q, %v", raw, got, isText, want, err)
		}
	}
}
