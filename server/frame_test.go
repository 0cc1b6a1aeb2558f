package server

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"
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
	f.Fuzz(func(t *testing.T, b []byte) {
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
	})
}
