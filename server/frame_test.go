package server

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"tubewright/calc/job"
)

// Whatever bytes come, reading them ends in a frame within its limits or in a
// refusal with a known reason and a text.
func FuzzFrame(f *testing.F) {
	files, err := filepath.Glob(filepath.Join(wireDir, "*.json"))
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(bytes.TrimSpace(b))
	}
	for _, s := range []string{`{"t":"push","recs":["\ud800"]}`, `{"t":"hb","n":-1}`, `{"t":"hb","n":1e3}`, `{"t":"pull","cursor":1}`, "\xff", `{"T":"hb"}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(checkDecoded)
}

func checkDecoded(t *testing.T, b []byte) {
	frame, err := decode(b)
	if err != nil {
		var no *refusal
		if !errors.As(err, &no) || no.text == "" || (no.why != "frame" && no.why != "limit") {
			t.Errorf("%q: refused with %#v", b, err)
		}
		encode(byeFrame{T: "bye", Why: no.why, Text: no.text})
		return
	}
	switch frame := frame.(type) {
	case *helloFrameIn:
		if frame.Cursor < 0 || frame.Cursor > safeInteger || !isDevice(frame.Dev) || frame.Proto[0] < 1 || (frame.Cursor > 0 && len(frame.Chain) != 64) {
			t.Errorf("%q passed as %+v", b, frame)
		}
	case *pushFrame:
		if len(frame.Recs) > pushRecords {
			t.Errorf("push of %d records passed", len(frame.Recs))
		}
	case *pullFrame:
		if frame.Cursor < 0 || frame.Cursor > safeInteger || (frame.Cursor > 0 && len(frame.Chain) != 64) {
			t.Errorf("%q passed as %+v", b, frame)
		}
	case *beatFrame:
		if frame.N < 0 || frame.N > safeInteger {
			t.Errorf("%q passed as %+v", b, frame)
		}
	default:
		t.Errorf("%q passed as %T", b, frame)
	}
}

// unsafeNumber returns a number of a JSON text that some reader would change: no
// integer, or one beyond 2^53; empty when there is none.
func unsafeNumber(b []byte) string {
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	for {
		token, err := d.Token()
		if err != nil {
			return ""
		}
		if n, ok := token.(json.Number); ok {
			if v, err := n.Int64(); err != nil || safe(v) != v {
				return n.String()
			}
		}
	}
}

func TestSY11GoldenFramesHoldOnlySafeIntegers(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(wireDir, "*.json"))
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if n := unsafeNumber(b); n != "" {
			t.Errorf("%s: the number %s", name, n)
		}
	}
	for _, b := range []string{`{"a":1.5}`, `{"a":[9007199254740992]}`, `{"a":1e30}`, `{"a":-9223372036854775808}`} {
		if unsafeNumber([]byte(b)) == "" {
			t.Errorf("%s passes", b)
		}
	}
}

// Whatever a tablet sends of itself, nothing that goes out again is a number that
// a browser would round.
func FuzzSY11NumbersThatGoOutAreSafeIntegers(f *testing.F) {
	f.Add(int64(1), int64(0), int64(1764025441123), "1764025441123-0000-a")
	f.Add(int64(1<<53), int64(-1), int64(-1<<63), "9999999999999-ffff-a")
	f.Add(int64(1<<53-1), int64(1<<53-1), int64(1<<63-1), "99999999999999999999")
	f.Fuzz(func(t *testing.T, n, unsent, clock int64, hlc string) {
		p := newPresence()
		p.heard("one", "one", testClock, nil, &clock)
		up, err := json.Marshal(map[string]any{"t": "hb", "n": n, "now_ms": clock, "unsent": unsent})
		if err != nil {
			t.Fatal(err)
		}
		frames := [][]byte{}
		if got, err := decode(up); err == nil {
			beat := got.(*beatFrame)
			p.heard("one", "one", testClock, beat.Unsent, beat.clock())
			frames = append(frames, encode(beatFrame{T: "hb", N: beat.N, NowMS: testClock.UnixMilli()}))
		}
		frames = append(frames, encode(boardFrame{T: "board", NowMS: testClock.UnixMilli(), Jobs: []boardJob{boardLine(job.Summary{Changed: hlc})}, Tablets: p.board()}))
		for _, frame := range frames {
			if bad := unsafeNumber(frame); bad != "" {
				t.Errorf("%s goes out in %s", bad, frame)
			}
		}
	})
}
