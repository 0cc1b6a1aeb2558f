package server

import (
	"bytes"
	"compress/flate"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

var deflate = []string{packName}

// packing connects a tablet that unpacks, and reads its welcome.
func (s *shop) packing(dev string) *peer {
	s.t.Helper()
	p := s.peer(dev)
	p.helloThat("measure", deflate)
	if f := p.want("welcome"); !strings.Contains(f.raw, `"pack":"`+packName+`"`) || f.packed != nil {
		s.t.Fatalf("the welcome of a tablet that unpacks is %s, packed %v", f.raw, f.packed != nil)
	}
	return p
}

func (p *peer) sendPacked(packed []byte) {
	p.t.Helper()
	if err := p.conn.WriteMessage(websocket.BinaryMessage, packed); err != nil {
		p.t.Fatal(err)
	}
}

func readings(dev string, from, to int) (raws []string) {
	for i := from; i < to; i++ {
		raws = append(raws, reading(dev, i))
	}
	return raws
}

func TestLargeFramesGoPackedToWhoUnpacks(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	one := s.packing("one")
	one.sendPacked(pack(encode(map[string]any{"t": "push", "recs": readings("one", 0, 150)})))
	one.push(readings("one", 150, 200)...) // text stays good
	one.level(200)
	for name, p := range map[string]*peer{"unpacks": s.packing("two"), "of old": s.join("three")} {
		for len(p.order) < 200 {
			f, err := p.next()
			if err != nil {
				t.Fatal(err)
			}
			if packs := name == "unpacks"; (f.packed != nil) != (packs && len(f.raw) > packFrom) {
				t.Errorf("a tablet that is %s got a frame of %d bytes packed: %v", name, len(f.raw), f.packed != nil)
			} else if packs && len(f.packed) > len(f.raw)/5 {
				t.Errorf("%d bytes of text went as %d", len(f.raw), len(f.packed))
			}
		}
		if p.chain != one.chain || len(p.whole) != 200 {
			t.Errorf("a tablet that is %s holds other records", name)
		}
		p.send(map[string]any{"t": "hb", "n": 7, "now_ms": 1})
		if f := p.want("hb"); f.packed != nil {
			t.Error("a small frame went packed")
		}
	}
}

func TestPackingIsAgreedOrLeft(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	s.join("one").push(readings("one", 0, 50)...)
	for _, c := range []struct {
		name, role string
		pack       []string
		chain      string
		agreed     bool
	}{
		{"nothing said", "bench", nil, "", false},
		{"an empty list", "bench", []string{}, "", false},
		{"another way", "bench", []string{"brotli"}, "", false},
		{"one of several", "bench", []string{"brotli", packName}, "", true},
		{"a reset", "measure", deflate, strings.Repeat("5a", 32), true},
		{"a wall board", "board", deflate, "", true},
	} {
		p := s.peer("two")
		p.cursor = int64(len(c.chain)) // 64 is beyond the log
		p.helloThat(c.role, c.pack)
		f, err := p.next()
		if err != nil || (f.T == "reset") != (c.chain != "") {
			t.Fatal(c.name, err, f.raw)
		}
		if got := strings.Contains(f.raw, `"pack"`); got != c.agreed {
			t.Errorf("%s: %s", c.name, f.raw)
		}
		p.conn.Close()
	}
	p := s.peer("odd")
	p.send(map[string]any{"t": "hello", "proto": []int{1, 1}, "role": "bench", "dev": "odd", "pack": packName})
	p.wantBye("frame")
}

// A link's requests are lines of text whatever the hello says.
func TestLinksPackNothing(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	s.join("one").push(readings("one", 0, 50)...)
	p := s.linkPeer("two")
	p.helloThat("measure", deflate)
	if f := p.want("welcome"); strings.Contains(f.raw, `"pack"`) {
		t.Errorf("welcome over a link is %s", f.raw)
	}
	p.level(50) // linkLine takes nothing but text
}

// badlyPacked are messages that are no packed frame, and what their refusal names.
func badlyPacked() map[string]struct{ message, names string } {
	whole := string(pack([]byte(`{"t":"hb","n":1,"now_ms":1,"unsent":0,"more":"` + strings.Repeat("x", 100) + `"}`)))
	return map[string]struct{ message, names string }{
		"nothing":             {"", "cannot be read"},
		"text":                {`{"t":"hb","n":1}`, "cannot be read"},
		"cut":                 {whole[:len(whole)-3], "cannot be read"},
		"with something more": {whole + "x", "after its end"},
		"twice":               {whole + whole, "after its end"},
		"a gzip file":         {"\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\xff" + whole, "cannot be read"},
		"a zlib stream":       {"\x78\x9c" + whole, "cannot be read"},
		"too large":           {string(pack(bytes.Repeat([]byte(" "), anyFrame+1))), "1048576"},
		"a bomb":              {string(pack(bytes.Repeat([]byte(" "), 100<<20))), "1048576"},
		"no frame":            {string(pack(bytes.Repeat([]byte(" "), 5000))), "frame"},
		"not UTF-8":           {string(pack(bytes.Repeat([]byte("\xff"), 5000))), "UTF-8"},
		"packed twice":        {string(pack(pack([]byte(strings.Repeat(`{"t":"hb"}`, 9000))))), "UTF-8"},
	}
}

func TestBadlyPackedFramesEndTheSocket(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for name, c := range badlyPacked() {
		p := s.packing("one")
		p.sendPacked([]byte(c.message))
		if f := p.wantBye("frame"); !strings.Contains(f.Text, c.names) {
			t.Errorf("%s: %s", name, f.raw)
		}
	}
	p := s.packing("one") // just within
	p.sendPacked(pack([]byte(`{"t":"hb","n":9,"now_ms":1,"pad":"` + strings.Repeat("x", anyFrame-36) + `"}`)))
	if f := p.want("hb"); f.N != 9 {
		t.Error(f.raw)
	}
}

func TestPackedFramesNeedTheWelcomeThatAgrees(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	beat := pack([]byte(`{"t":"hb","n":1,"now_ms":1,"unsent":0,"pad":"` + strings.Repeat("x", 3000) + `"}`))
	old := s.join("one")
	old.sendPacked(beat)
	old.wantBye("frame")
	hello := s.peer("two")
	hello.sendPacked(pack([]byte(`{"t":"hello","proto":[1,1],"role":"bench","dev":"two","pack":["deflate-raw"],"pad":"` + strings.Repeat("x", 3000) + `"}`)))
	if f := hello.wantBye("frame"); !strings.Contains(f.Text, "not agreed") {
		t.Error(f.raw)
	}
}

// What a message promises is not what it gets: memory is bounded by the limit.
func TestUnpackingStopsAtTheLimit(t *testing.T) {
	bomb := pack(make([]byte, 100<<20))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range 10 {
		if _, err := unpack(bomb, anyFrame); err == nil {
			t.Fatal("a bomb was unpacked")
		}
	}
	runtime.ReadMemStats(&after)
	if each := (after.TotalAlloc - before.TotalAlloc) / 10; each > 6*anyFrame {
		t.Errorf("a bomb of %d bytes took %d bytes; the limit is %d", len(bomb), each, anyFrame)
	}
}

// Pages are packed on each socket's own goroutine. A tablet that sends the worst
// to unpack, message after message, keeps nobody waiting beyond its share of the
// machine, which is why this allows for a busy one.
func TestUnpackingDelaysNobodyElse(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for _, dev := range []string{"bomber", "bomber2"} {
		p := s.packing(dev)
		slow := slowToUnpack(anyFrame / 2)
		go func() {
			for p.conn.WriteMessage(websocket.BinaryMessage, slow) == nil {
			}
		}()
	}
	one := s.packing("one")
	for i := range 20 {
		start := time.Now()
		one.push(reading("one", i))
		one.level(i + 1)
		if took := time.Since(start); took > 2*time.Second {
			t.Errorf("reading %d took %v", i, took)
		}
	}
}

// slowToUnpack is a heartbeat in n bytes or a little more, most of them blocks of
// no text that each bring a table of codes with them.
func slowToUnpack(n int) []byte {
	var out []byte
	var bits uint64
	var held int
	put := func(v uint64, count int) { // least significant bit first, RFC 1951 section 3.1.1
		bits |= v << held
		for held += count; held >= 8; held -= 8 {
			out = append(out, byte(bits))
			bits >>= 8
		}
	}
	for len(out) < n {
		put(0b100, 3)       // not the last; codes of its own
		put(0, 5)           // 257 codes of text
		put(0, 5)           // 1 of distance
		put(14, 4)          // 18 lengths of length codes: two of 1 bit
		for i := range 18 { // in the order of section 3.2.7, the third for 18, the last for 1
			put(map[int]uint64{2: 1, 17: 1}[i], 3)
		}
		put(1, 1)
		put(127, 7) // 138 zeros
		put(1, 1)
		put(107, 7) // 118 zeros
		put(0, 2)   // 1 bit for the end of the block, 1 for the distance
		put(0, 1)   // the end
	}
	// To the byte's edge with an empty block as it is, then the frame so.
	put(0, 3)
	if held > 0 {
		put(0, 8-held)
	}
	out = append(out, 0, 0, 0xff, 0xff)
	return append(out, pack([]byte(`{"t":"hb","n":1,"now_ms":1,"unsent":0,"pad":"`+strings.Repeat("x", 100)+`"}`))...)
}

// Whatever bytes come packed, they end in a text within the limit or in a
// refusal; and what we pack is what comes out.
func FuzzPackedFrame(f *testing.F) {
	files, err := filepath.Glob(filepath.Join(wireDir, "*.json"))
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
		if p := pack(b); p != nil {
			f.Add(p)
		}
	}
	for _, c := range badlyPacked() {
		if len(c.message) < 100_000 {
			f.Add([]byte(c.message))
		}
	}
	f.Add(slowToUnpack(1000))
	f.Fuzz(func(t *testing.T, b []byte) {
		const limit = 10_000
		text, err := unpack(b, limit)
		var no *refusal
		switch {
		case err == nil && len(text) > limit:
			t.Errorf("%d bytes passed the limit %d", len(text), limit)
		case err == nil:
			whole, err := io.ReadAll(flate.NewReader(bytes.NewReader(b)))
			if err != nil || !bytes.Equal(whole, text) {
				t.Errorf("%q: unpacked to %q, not to %q (%v)", b, text, whole, err)
			}
			checkDecoded(t, text)
		case !errors.As(err, &no) || no.why != "frame" || no.text == "":
			t.Errorf("%q: refused with %#v", b, err)
		}
		if p := pack(b); p != nil {
			if got, err := unpack(p, len(b)); err != nil || !bytes.Equal(got, b) {
				t.Errorf("%q comes back as %q, %v", b, got, err)
			}
			if got, err := unpack(p, len(b)-1); err == nil {
				t.Errorf("%d bytes passed the limit %d", len(got), len(b)-1)
			}
		}
	})
}

// packedStep is one message of the exchange with packing: its frame, and the
// message itself where it is binary.
type packedStep struct {
	Who    string          `json:"who"`
	Way    string          `json:"way"`
	Frame  json.RawMessage `json:"frame"`
	Packed []byte          `json:"packed,omitempty"`
}

// One tablet sends six readings, another fetches them.
func packedExchange(t *testing.T) (steps []packedStep) {
	s := openShop(t, openLog(t), quick(), nil)
	hello := func(p *peer) {
		frame := `{"t":"hello","proto":[1,1],"build":"test-1","sv":1,"role":"measure","dev":"` + p.dev + `","name":"Bench","cursor":0,"chain":"","unsent":0,"clock_ms":1764025440998,"pack":["deflate-raw"]}`
		p.conn.WriteMessage(websocket.TextMessage, []byte(frame))
		steps = append(steps, packedStep{p.dev, "up", json.RawMessage(frame), nil})
	}
	down := func(p *peer, kind string) {
		f := p.want(kind)
		steps = append(steps, packedStep{p.dev, "down", json.RawMessage(f.raw), f.packed})
	}
	one := s.peer("tab-1")
	hello(one)
	down(one, "welcome")
	push := encode(map[string]any{"t": "push", "recs": readings("tab-1", 0, 6)})
	one.sendPacked(pack(push))
	steps = append(steps, packedStep{one.dev, "up", push, pack(push)})
	one.level(6)
	two := s.peer("tab-2")
	hello(two)
	down(two, "welcome")
	down(two, "feed")
	return steps
}

// The messages of testdata/wire/packed.json and the page are such as the server
// sends and takes. The packed bytes may be others with another packer; what they
// unpack to may not.
func TestPackedFramesAreThoseOfTheProtocol(t *testing.T) {
	name := filepath.Join(wireDir, "packed.json")
	steps := packedExchange(t)
	if *update {
		var lines []string
		for _, st := range steps {
			b, err := json.Marshal(st)
			if err != nil {
				t.Fatal(err)
			}
			lines = append(lines, string(b))
		}
		if err := os.WriteFile(name, []byte("[\n"+strings.Join(lines, ",\n")+"\n]\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var golden []packedStep
	if err := json.Unmarshal(b, &golden); err != nil || len(golden) != len(steps) {
		t.Fatalf("%s: %v, %d steps; want %d", name, err, len(golden), len(steps))
	}
	var shown strings.Builder
	for i, want := range golden {
		got := steps[i]
		if got.Who != want.Who || got.Way != want.Way || !bytes.Equal(got.Frame, want.Frame) || (got.Packed == nil) != (want.Packed == nil) {
			t.Errorf("step %d is %+v, in %s %+v", i, got, name, want)
		}
		frame := string(want.Frame)
		if want.Packed != nil {
			text, err := unpack(want.Packed, anyFrame)
			if err != nil || string(text) != frame {
				t.Errorf("step %d of %s unpacks to %s, %v", i, name, text, err)
			}
			packed, _ := json.Marshal(want.Packed)
			frame = "binary, here in base64: " + strings.Trim(string(packed), `"`) + "\n          which is " + frame
		}
		shown.WriteString(want.Who + map[string]string{"up": " → ", "down": " ← "}[want.Way] + frame + "\n")
	}
	holdPage(t, "packed", shown.String())
}
