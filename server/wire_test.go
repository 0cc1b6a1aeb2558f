package server

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/gorilla/websocket"
)

// -update writes the frames of testdata/wire and the exchange in PROTOCOL.md
// anew. A difference is a change of the protocol: read it before committing.
var update = flag.Bool("update", false, "write golden wire frames")

const wireDir = "../testdata/wire"

// step is one frame of the worked exchange.
type step struct {
	Who   string          `json:"who"`
	Way   string          `json:"way"` // up to the server, down from it
	Frame json.RawMessage `json:"frame"`
}

// Two tablets measure the same bore and differ; a third was with another
// server; a wall board looks on and asks for what it may not have.
// The first tablet's photo becomes whole meanwhile. Who makes the tablets' ends of
// their connections, dial, decides what the frames go over.
func workedExchange(t *testing.T, dial func(s *shop, dev string) *peer) []step {
	var steps []step
	s := openShop(t, openLog(t), quick(), nil)
	up := func(p *peer, frame string) {
		steps = append(steps, step{p.dev, "up", json.RawMessage(frame)})
		if err := p.conn.WriteMessage(websocket.TextMessage, []byte(frame)); err != nil {
			t.Fatal(err)
		}
	}
	down := func(p *peer, kind string) {
		f := p.want(kind)
		steps = append(steps, step{p.dev, "down", json.RawMessage(f.raw)})
	}
	hello := func(p *peer, role, name, place, unsent string) {
		clock := "1764025440998"
		if name == "Spare" { // an hour behind
			clock = "1764021841123"
		}
		up(p, `{"t":"hello","proto":[1,1],"build":"test-1","sv":1,"role":"`+role+`","dev":"`+p.dev+`","name":"`+name+`",`+place+`,"unsent":`+unsent+`,"clock_ms":`+clock+`}`)
	}
	const start = `"cursor":0,"chain":""`
	bore := func(dev, text, nm, res, person string) string {
		return `{"id":"` + recID(dev, 1) + `","dev":"` + dev + `","n":1,"hlc":"1764025437000-0000-` + dev + `","kind":"reading","job":"j-7c2m5a","slot":"engine/self/bore","sv":1,` +
			`"body":{"text":"` + text + `","unit":"mm","nm":` + nm + `,"res":` + res + `,"tool":"bore gauge","person":"` + person + `","at":"2025-11-24T23:03:57+00:00"}}`
	}
	push := func(raws ...string) string {
		b, err := json.Marshal(raws)
		if err != nil {
			t.Fatal(err)
		}
		return `{"t":"push","recs":` + string(b) + `}`
	}
	// Ack and feed of a push may come in either order; here the ack is shown first.
	ackThenFeed := func(p *peer) {
		var ack, feed seen
		for ack.T == "" || feed.T == "" {
			f, err := p.next()
			if err != nil {
				t.Fatal(err)
			}
			switch f.T {
			case "ack":
				ack = f
			case "feed":
				feed = f
			}
		}
		steps = append(steps, step{p.dev, "down", json.RawMessage(ack.raw)}, step{p.dev, "down", json.RawMessage(feed.raw)})
	}

	one := dial(s, "tab-1")
	hello(one, "bench", "Bench", start, "2")
	down(one, "welcome")
	name := `{"id":"` + recID("tab-1", 2) + `","dev":"tab-1","n":2,"hlc":"1764025438000-0000-tab-1","kind":"note","job":"j-7c2m5a","slot":"job/self/name","sv":1,` +
		`"body":{"text":"Blue coupe","person":"Sam","at":"2025-11-24T23:03:58+00:00"}}`
	up(one, push(bore("tab-1", "84.5", "84500000", "100000", "Sam"), name, `{"id":"x"}`))
	ackThenFeed(one)

	two := dial(s, "tab-2")
	hello(two, "measure", "Yard", start, "1")
	down(two, "welcome")
	down(two, "feed")
	up(two, push(bore("tab-2", "84.62", "84620000", "10000", "Kim")))
	ackThenFeed(two)
	down(one, "feed")
	up(two, `{"t":"hb","n":1,"now_ms":1764025451001,"unsent":0}`)
	down(two, "hb")
	s.uploadFile(t, "plain.jpg")
	down(one, "photos")
	down(two, "photos")

	// This tablet's cursor is from before the shop's records were restored.
	three := dial(s, "tab-3")
	hello(three, "measure", "Spare", `"cursor":9,"chain":"`+strings.Repeat("5a", 32)+`"`, "0")
	down(three, "reset")
	down(three, "feed")
	place, err := json.Marshal(two.cursor)
	if err != nil {
		t.Fatal(err)
	}
	chain := strings.Repeat("5a", 32)
	up(two, `{"t":"pull","cursor":`+string(place)+`,"chain":"`+chain+`"}`)
	down(two, "reset")
	two.cursor, two.chain, two.order = 0, [32]byte{}, nil
	down(two, "feed")

	wall := dial(s, "wall-1")
	hello(wall, "board", "Wall", start, "0")
	down(wall, "welcome")
	down(wall, "board")
	up(wall, `{"t":"pull","cursor":0,"chain":""}`)
	down(wall, "bye")

	// How many values a job lacks is a matter of calc/job and changes with it.
	counts := regexp.MustCompile(`"(missing|stops|warnings)":\d+`)
	for i := range steps {
		steps[i].Frame = counts.ReplaceAll(steps[i].Frame, []byte(`"$1":24`))
	}
	return steps
}

// wireFiles says which file of testdata/wire holds which frame of the exchange:
// the first of its kind and way.
func wireFiles(steps []step) map[string]string {
	files := map[string]string{}
	for _, st := range steps {
		var head struct{ T string }
		json.Unmarshal(st.Frame, &head)
		name := head.T + ".json"
		if head.T == "hb" && st.Way == "up" {
			name = "hb-up.json"
		}
		if _, ok := files[name]; !ok {
			files[name] = string(st.Frame) + "\n"
		}
	}
	var lines []string
	for _, st := range steps {
		b, _ := json.Marshal(st)
		lines = append(lines, string(b))
	}
	files["exchange.json"] = "[\n" + strings.Join(lines, ",\n") + "\n]\n"
	return files
}

func TestFramesAreThoseOfTheProtocol(t *testing.T) {
	steps := workedExchange(t, (*shop).peer)
	files := wireFiles(steps)
	if *update {
		if err := os.MkdirAll(wireDir, 0o755); err != nil {
			t.Fatal(err)
		}
		for name, text := range files {
			if err := os.WriteFile(filepath.Join(wireDir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	there, err := os.ReadDir(wireDir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range there {
		if filepath.Ext(f.Name()) == ".json" && files[f.Name()] == "" && f.Name() != "upload.json" && f.Name() != "packed.json" && f.Name() != "pairing.json" {
			t.Errorf("%s is no longer a frame of the exchange", f.Name())
		}
	}
	for name, want := range files {
		got, err := os.ReadFile(filepath.Join(wireDir, name))
		if err != nil || string(got) != want {
			t.Errorf("%s: %v\nhas  %swant %s(go test ./server -run %s -update writes it anew)", name, err, got, want, t.Name())
		}
	}
}

// The exchange in PROTOCOL.md is the one that the server really had, and every
// field of every frame is explained there.
func TestProtocolPageShowsTheRealExchange(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join(wireDir, "exchange.json"))
	if err != nil {
		t.Fatal(err)
	}
	var steps []step
	if err := json.Unmarshal(raw, &steps); err != nil {
		t.Fatal(err)
	}
	var shown strings.Builder
	for _, st := range steps {
		arrow := map[string]string{"up": " → ", "down": " ← "}[st.Way]
		shown.WriteString(st.Who + arrow + string(st.Frame) + "\n")
	}
	page := holdPage(t, "exchange", shown.String())
	var keys []string
	for _, st := range steps {
		for _, k := range keysOf(t, string(st.Frame)) {
			keys = append(keys, k[strings.LastIndex(k, ".")+1:])
		}
	}
	slices.Sort(keys)
	for _, k := range slices.Compact(keys) {
		if !strings.Contains(page, "`"+k+"`") {
			t.Errorf("PROTOCOL.md does not explain `%s`", k)
		}
	}
	for _, why := range []string{"hello", "frame", "limit", "full", "role", "store", "stop", "resync", "update", "fault"} {
		if !strings.Contains(page, "`"+why+"`") {
			t.Errorf("PROTOCOL.md does not explain bye `%s`", why)
		}
	}
}
