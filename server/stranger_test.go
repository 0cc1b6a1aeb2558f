package server_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"slices"
	"strconv"
	"testing"

	"tubewright/server"
)

// stranger is a second client, written from PROTOCOL.md and nothing else: records
// and photos over requests. What it calls things is what the page calls them.
type stranger struct {
	t      *testing.T
	host   string
	dev    string
	link   string
	cursor int64
	chain  []byte            // at the cursor
	held   map[string]string // every record it holds, id to text
	outbox []string          // ids not yet read back
	done   map[string]bool   // pictures told to be whole
	resets int
	backed int64
}

func newStranger(t *testing.T, host, dev string) *stranger {
	return &stranger{t: t, host: host, dev: dev, chain: make([]byte, 32), held: map[string]string{}, done: map[string]bool{}}
}

func (c *stranger) ask(method, path string, body []byte) (int, []byte) {
	c.t.Helper()
	r, err := http.NewRequest(method, "http://"+c.host+path, bytes.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	r.Header.Set("Origin", "http://"+c.host)
	if c.link != "" {
		r.Header.Set("Tubewright-Link", c.link)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		c.t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	return resp.StatusCode, b
}

func (c *stranger) open() {
	c.t.Helper()
	c.link = ""
	chain := hex.EncodeToString(c.chain)
	if c.cursor == 0 {
		chain = ""
	}
	hello, _ := json.Marshal(map[string]any{"t": "hello", "proto": []int{1, 1}, "build": "stranger", "sv": 1, "role": "measure", "dev": c.dev, "name": c.dev,
		"cursor": c.cursor, "chain": chain, "unsent": len(c.outbox), "clock_ms": 1764025441123})
	status, b := c.ask("POST", "/sync/open", hello)
	var opened struct {
		Link string `json:"link"`
	}
	if err := json.Unmarshal(b, &opened); err != nil || status != 200 {
		c.t.Fatalf("open: %d %s", status, b)
	}
	c.link = opened.Link
}

// save is what a person does: a record is written and waits in the outbox.
func (c *stranger) save(id, kind, slot string, body map[string]any) {
	text, _ := json.Marshal(map[string]any{"id": id, "dev": c.dev, "n": len(c.held), "hlc": fmt.Sprintf("1764025441123-%04x-%s", len(c.held), c.dev),
		"kind": kind, "job": "j-7c2m5a", "slot": slot, "sv": 1, "body": body})
	c.held[id] = string(text)
	c.outbox = append(c.outbox, id)
}

// push sends the outbox up in one frame.
func (c *stranger) push() {
	c.t.Helper()
	var recs []string
	for _, id := range c.outbox {
		recs = append(recs, c.held[id])
	}
	c.up(map[string]any{"t": "push", "recs": recs})
}

func (c *stranger) up(frame map[string]any) {
	c.t.Helper()
	b, _ := json.Marshal(frame)
	if status, answer := c.ask("POST", "/sync/up", b); status != 204 {
		c.t.Fatalf("up: %d %s", status, answer)
	}
}

// down fetches until isEnough, and acts on each frame.
func (c *stranger) down(isEnough func() bool) {
	c.t.Helper()
	for range 50 {
		if isEnough() {
			return
		}
		status, b := c.ask("POST", "/sync/down", nil)
		if status != 200 {
			c.t.Fatalf("down: %d %s", status, b)
		}
		for line := range bytes.Lines(b) {
			c.take(bytes.TrimSuffix(line, []byte("\n")))
		}
	}
	c.t.Fatalf("%s waits in vain: cursor %d, outbox %d", c.dev, c.cursor, len(c.outbox))
}

func (c *stranger) take(text []byte) {
	c.t.Helper()
	var f struct {
		T         string            `json:"t"`
		From      int64             `json:"from"`
		To        int64             `json:"to"`
		Recs      []json.RawMessage `json:"recs"`
		Chain     string            `json:"chain"`
		Done      []string          `json:"done"`
		BackupPos int64             `json:"backup_pos"`
	}
	if err := json.Unmarshal(text, &f); err != nil {
		c.t.Fatalf("frame %.200s: %v", text, err)
	}
	switch f.T {
	case "welcome", "hb":
		c.backed = f.BackupPos
	case "reset":
		c.resets++
		c.cursor, c.chain, c.outbox = 0, make([]byte, 32), nil
		for id := range c.held {
			c.outbox = append(c.outbox, id)
		}
		c.push()
	case "photos":
		for _, sha := range f.Done {
			c.done[sha] = true
		}
	case "feed":
		c.feed(f.From, f.To, f.Recs, f.Chain)
	case "bye":
		c.t.Fatalf("%s: %s", c.dev, text)
	}
}

// feed takes a page from the cursor whose chain is right, all of it or nothing.
func (c *stranger) feed(from, to int64, recs []json.RawMessage, chain string) {
	c.t.Helper()
	if to <= c.cursor {
		return // a repeat
	}
	if from != c.cursor {
		c.t.Fatalf("%s: a page from %d at cursor %d", c.dev, from, c.cursor)
	}
	at, got := c.chain, map[string]string{}
	for _, raw := range recs {
		var text string
		var stub struct{ ID, H string }
		if json.Unmarshal(raw, &text) == nil {
			var head struct{ ID string }
			if err := json.Unmarshal([]byte(text), &head); err != nil {
				c.t.Fatal(err)
			}
			stub.ID = head.ID
		} else if err := json.Unmarshal(raw, &stub); err != nil {
			c.t.Fatal(err)
		} else if text = c.held[stub.ID]; hex.EncodeToString(sum(text)) != stub.H {
			c.t.Fatalf("%s: a stub for %s, which is not held", c.dev, stub.ID)
		}
		at = sum(string(at) + stub.ID + string(sum(text)))
		got[stub.ID] = text
	}
	if hex.EncodeToString(at) != chain {
		c.t.Fatalf("%s: the chain at %d is %x, the page says %s", c.dev, to, at, chain)
	}
	for id, text := range got {
		c.held[id] = text
		c.outbox = slices.DeleteFunc(c.outbox, func(o string) bool { return o == id })
	}
	c.cursor, c.chain = to, at
}

func sum(s string) []byte {
	h := sha256.Sum256([]byte(s))
	return h[:]
}

// send brings a picture to the shop: manifest, what is missing, proof.
func (c *stranger) send(b []byte, w, h int) (sha string) {
	c.t.Helper()
	sha = hex.EncodeToString(sum(string(b)))
	var chunks []string
	for part := range slices.Chunk(b, 262144) {
		chunks = append(chunks, hex.EncodeToString(sum(string(part))))
	}
	manifest, _ := json.Marshal(map[string]any{"sha": sha, "size": len(b), "type": "image/jpeg", "chunk": 262144, "chunks": chunks, "w": w, "h": h})
	type state struct {
		Known, Done, Denied bool
		Have                string
	}
	answer := func(status int, b []byte) (st state) {
		c.t.Helper()
		if err := json.Unmarshal(b, &st); err != nil || status != 200 {
			c.t.Fatalf("%d %s", status, b)
		}
		return st
	}
	st := answer(c.ask("PUT", "/blob/"+sha+"/manifest", manifest))
	have := st.Have
	for i := range have {
		if have[i] == '0' {
			st = answer(c.ask("PUT", "/blob/"+sha+"/"+strconv.Itoa(i), b[i*262144:min((i+1)*262144, len(b))]))
		}
	}
	if !st.Done {
		c.t.Fatalf("the picture is not done: %+v", st)
	}
	proof := len(chunks) - 1
	if status, got := c.ask("GET", "/blob/"+sha+"/"+strconv.Itoa(proof), nil); status != 200 || hex.EncodeToString(sum(string(got))) != chunks[proof] {
		c.t.Fatalf("the proof: %d, %d bytes", status, len(got))
	}
	return sha
}

// A client written from the page alone exchanges records and photos with the shop.
func TestStrangersCanWriteASecondClient(t *testing.T) {
	host := server.StartShop(t)
	one, two := newStranger(t, host, "stranger-1"), newStranger(t, host, "stranger-2")
	photo, err := os.ReadFile("../testdata/photo/plain.jpg")
	if err != nil {
		t.Fatal(err)
	}
	photo = append(photo, make([]byte, 500_000)...) // zeros behind a picture are none of its
	preview, err := os.ReadFile("../testdata/photo/turn-1.jpg")
	if err != nil {
		t.Fatal(err)
	}
	one.open()
	two.open()
	one.save("aaaaaaaaaaaaaaaaaaaaaaaaaa", "note", "job/self/name", map[string]any{"text": "Blue coupe", "person": "Sam", "at": "2025-11-24T23:04:01+00:00"})
	one.save("aaaaaaaaaaaaaaaaaaaaaaaaab", "photo", "port/p1/photo", map[string]any{
		"sha": hex.EncodeToString(sum(string(photo))), "size": len(photo), "type": "image/jpeg", "w": 320, "h": 240,
		"preview": map[string]any{"sha": hex.EncodeToString(sum(string(preview))), "size": len(preview), "w": 320, "h": 240},
		"taken":   "", "person": "Sam", "at": "2025-11-24T23:04:02+00:00"})
	one.push()
	one.down(func() bool { return len(one.outbox) == 0 })
	two.down(func() bool { return two.cursor == 2 })

	small, large := one.send(preview, 320, 240), one.send(photo, 320, 240)
	two.down(func() bool { return two.done[small] && two.done[large] })
	var record struct {
		Body struct {
			SHA     string
			Preview struct{ SHA string }
		}
	}
	if err := json.Unmarshal([]byte(two.held["aaaaaaaaaaaaaaaaaaaaaaaaab"]), &record); err != nil {
		t.Fatal(err)
	}
	for sha, want := range map[string][]byte{record.Body.SHA: photo, record.Body.Preview.SHA: preview} {
		if status, got := two.ask("GET", "/blob/"+sha, nil); status != 200 || !bytes.Equal(got, want) {
			t.Errorf("picture %s: %d, %d bytes; want %d", sha, status, len(got), len(want))
		}
	}

	// Away and back: from the cursor, nothing twice.
	one.ask("POST", "/sync/close", nil)
	two.save("aaaaaaaaaaaaaaaaaaaaaaaaac", "note", "job/self/name", map[string]any{"text": "Grey coupe", "person": "Kim", "at": "2025-11-24T23:06:01+00:00"})
	two.push()
	two.down(func() bool { return len(two.outbox) == 0 })
	one.open()
	one.down(func() bool { return one.cursor == 3 })

	// A cursor from another log: reset, everything offered again, nothing twice.
	one.up(map[string]any{"t": "pull", "cursor": 3, "chain": hex.EncodeToString(sum("elsewhere"))})
	one.down(func() bool { return one.resets == 1 && one.cursor == 3 && len(one.outbox) == 0 })
	two.up(map[string]any{"t": "hb", "n": 1, "now_ms": 1764025441123, "unsent": 0})
	two.backed = -1
	two.down(func() bool { return two.backed == 0 })
	if len(one.held) != 3 || len(two.held) != 3 || two.cursor != 3 {
		t.Errorf("they hold %d and %d records, the second is at %d; want 3 each", len(one.held), len(two.held), two.cursor)
	}
	one.ask("POST", "/sync/close", nil)
	two.ask("POST", "/sync/close", nil)
}
