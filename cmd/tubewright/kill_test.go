package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/pwa/drive"
	"tubewright/store"
)

var kills = flag.Duration("kills", 10*time.Second, "how long the server is killed at random moments while tablets push and upload")

// countSlot counts the records of a slot on a stopped server.
func countSlot(t *testing.T, s *shop, slot string) (n int) {
	t.Helper()
	for _, r := range records(t, s) {
		if r.Slot == slot {
			n++
		}
	}
	return n
}

func records(t *testing.T, s *shop) []ledger.Record {
	t.Helper()
	st, err := store.Open(t.Context(), filepath.Join(s.dir, "tubewright.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	recs, err := st.All(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return recs
}

// What the screen called saved is there after the tab's process was killed, and
// after the whole browser was.
func TestST7TabKilledRightAfterSaved(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	jobID := a.newJob()
	s.kill()
	slots := []string{"bore", "stroke", "rod", "valve_to_face"}
	for i, field := range slots {
		slot := "engine/self/" + field
		a.goTo("measure", "job="+jobID+"&slot="+slot)
		a.at(slot)
		a.must(a.b.Tap(css("typed")))
		a.must(a.b.Type(fmt.Sprintf("9%d.5 mm\n", i)))
		a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=saved-note]")?.textContent.includes("saved")`))
		if i%2 == 0 {
			a.must(a.b.KillTab())
		} else {
			a.b.Kill()
			a.must(a.b.Restart())
		}
		a.open()
		a.goTo("intake", "job="+jobID)
		for n := range i + 1 {
			a.says("field:engine/self/"+slots[n], fmt.Sprintf("9%d.5", n))
		}
	}
}

// A half-typed value survives the kill of the tab: the app returns to its field.
func TestST11HalfTypedValueSurvivesAKill(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.newJob()
	a.goTo("measure", "job="+a.hash("job")+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	a.unit("in")
	a.keys("3 9/")
	time.Sleep(time.Second) // the draft is written 300 ms after the last key
	a.must(a.b.KillTab())
	a.open()
	a.at("engine/self/bore")
	var typed string
	a.must(a.b.Eval(&typed, `return document.querySelector("[data-test=typed]").value`))
	if typed != "3 9/" || a.text("key-unit") != "in" {
		t.Errorf("after the kill %q %s stands in the field", typed, a.text("key-unit"))
	}
	a.keys("16")
	a.says("echo", "90.488 mm")
	a.keep()
}

// frame is any frame of the protocol, for a client that knows only what it needs.
type frame struct {
	T      string   `json:"t"`
	IDs    []string `json:"ids"`
	Pos    int64    `json:"pos"`
	Proto  []int    `json:"proto,omitempty"`
	Build  string   `json:"build"`
	SV     int      `json:"sv"`
	Role   string   `json:"role"`
	Dev    string   `json:"dev"`
	Name   string   `json:"name"`
	Cursor int64    `json:"cursor"`
	Chain  string   `json:"chain"`
	Recs   []string `json:"recs,omitempty"`
}

// push sends raws, a few in a frame, on a new socket and returns the ids that were
// acknowledged before the socket ended.
func (s *shop) push(dev string, raws []string) (acked []string) {
	head := map[string][]string{"Origin": {strings.TrimSuffix(s.url("/"), "/")}}
	c, _, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(s.url("/sync"), "http"), head)
	if err != nil {
		return nil
	}
	defer c.Close()
	hello := frame{T: "hello", Proto: []int{1, 1}, SV: 1, Role: "measure", Dev: dev, Name: "a test", Chain: strings.Repeat("0", 64)}
	if c.WriteJSON(hello) != nil {
		return nil
	}
	for few := range slices.Chunk(raws, 5) {
		if c.WriteJSON(frame{T: "push", Recs: few}) != nil {
			break
		}
	}
	for len(acked) < len(raws) {
		c.SetReadDeadline(time.Now().Add(5 * time.Second))
		var in struct {
			T   string   `json:"t"`
			IDs []string `json:"ids"`
		}
		if c.ReadJSON(&in) != nil {
			break
		}
		if in.T == "ack" {
			acked = append(acked, in.IDs...)
		}
	}
	return acked
}

// The server is killed at random moments while several tablets push records and one
// uploads photos: whatever was acknowledged is there, at once after the kill, and
// when everybody has sent everything again it is all there once.
func TestDB9SY1KilledServerKeepsWhatItAcknowledged(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	s := newShop(t)
	var known acknowledged
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var senders sync.WaitGroup
	var writers []*recordMaker
	for i := range 3 {
		w := &recordMaker{job: newID(), dev: newID(), person: "Rowan", at: time.Now()}
		for j := range 2000 {
			w.add(job.Draft{Slot: fmt.Sprintf("bolt/b%d/x", j), Reading: &ledger.Reading{Text: strconv.Itoa(i), Unit: "mm"}})
		}
		writers = append(writers, w)
		senders.Go(func() {
			for at := 0; at < len(w.raws) && ctx.Err() == nil; {
				got := s.push(w.dev, w.raws[at:min(at+20, len(w.raws))])
				known.record(got...)
				at += len(got) // what was not acknowledged comes again
				if len(got) == 0 {
					time.Sleep(10 * time.Millisecond)
				}
			}
		})
	}
	var photos []photo
	for i := range 20 {
		photos = append(photos, noisyPhoto(t, uint64(i)))
	}
	senders.Go(func() {
		for at := 0; at < len(photos) && ctx.Err() == nil; {
			if s.upload(photos[at]) != nil {
				time.Sleep(10 * time.Millisecond)
				continue
			}
			known.photo(photos[at].sha)
			at++
		}
	})

	round, killed := 0, time.Now().Add(*kills)
	for ; time.Now().Before(killed); round++ {
		time.Sleep(time.Duration(50+rnd.IntN(500)) * time.Millisecond)
		s.kill()
		s.holds(known.all())
		s.start()
	}
	stop()
	senders.Wait()
	total := 0
	for _, w := range writers {
		for part := range slices.Chunk(w.raws, 500) {
			if got := s.push(w.dev, part); len(got) != len(part) {
				t.Errorf("%d of %d acknowledged in the end", len(got), len(part))
			}
		}
		total += len(w.raws)
	}
	for _, p := range photos {
		if err := s.upload(p); err != nil {
			t.Errorf("in the end: %v", err)
		}
		known.photo(p.sha)
	}
	before, photosBefore := len(known.all().records), len(photos)
	s.kill()
	s.holds(known.all())
	if got := len(records(t, s)); got != total {
		t.Errorf("%d records on the server, want %d, each once", got, total)
	}
	s.check()
	t.Logf("seed %d: %d kills, %d records acknowledged in between, %d photos", seed, round, before, photosBefore)
	if before == 0 || round < 3 {
		t.Error("too little happened to prove anything")
	}
}

// acknowledged is what tablets were told is in the shop.
type acknowledged struct {
	mu      sync.Mutex
	records []string
	photos  []string
}

func (a *acknowledged) record(ids ...string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.records = append(a.records, ids...)
}

func (a *acknowledged) photo(sha string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if !slices.Contains(a.photos, sha) {
		a.photos = append(a.photos, sha)
	}
}

func (a *acknowledged) all() *acknowledged {
	a.mu.Lock()
	defer a.mu.Unlock()
	return &acknowledged{records: slices.Clone(a.records), photos: slices.Clone(a.photos)}
}

// holds checks on a stopped server that all of known is there, each record once.
func (s *shop) holds(known *acknowledged) {
	s.t.Helper()
	there := map[string]int{}
	for _, r := range records(s.t, s) {
		there[r.ID]++
	}
	for _, id := range known.records {
		if there[id] != 1 {
			s.t.Fatalf("an acknowledged record is there %d times", there[id])
		}
	}
	for _, sha := range known.photos {
		b, err := os.ReadFile(filepath.Join(s.dir, "blobs", sha[:2], sha))
		if err != nil {
			s.t.Fatalf("a photo that was taken in whole: %v", err)
		}
		if sumOf(b) != sha {
			s.t.Fatalf("photo %s has other bytes", sha)
		}
	}
}

// photo is a picture as a tablet sends it.
type photo struct {
	sha    string
	bytes  []byte
	chunks [][]byte
	w, h   int
}

func sumOf(b []byte) string { return fmt.Sprintf("%x", sha256.Sum256(b)) }

// noisyPhoto is a JPEG of more than two chunks.
func noisyPhoto(t *testing.T, seed uint64) photo {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 640, 800))
	rand.NewChaCha8([32]byte{byte(seed), 7}).Read(img.Pix) // at once: 20 of them are made under the race detector
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	p := photo{sha: sumOf(b.Bytes()), bytes: b.Bytes(), w: 640, h: 800}
	for c := range slices.Chunk(p.bytes, 262144) {
		p.chunks = append(p.chunks, c)
	}
	if len(p.chunks) < 3 {
		t.Fatalf("a photo of %d chunks", len(p.chunks))
	}
	return p
}

// upload sends what the shop lacks of a photo; nil when the shop says it is whole.
func (s *shop) upload(p photo) error {
	sums := make([]string, len(p.chunks))
	for i, c := range p.chunks {
		sums[i] = sumOf(c)
	}
	manifest, err := json.Marshal(map[string]any{"sha": p.sha, "size": len(p.bytes), "type": "image/jpeg", "chunk": 262144, "chunks": sums, "w": p.w, "h": p.h})
	if err != nil {
		return err
	}
	state, err := s.put("/blob/"+p.sha+"/manifest", manifest)
	if err != nil {
		return err
	}
	for i, c := range p.chunks {
		if state.Done || i < len(state.Have) && state.Have[i] == '1' {
			continue
		}
		if state, err = s.put(fmt.Sprintf("/blob/%s/%d", p.sha, i), c); err != nil {
			return err
		}
	}
	if !state.Done {
		return fmt.Errorf("photo %s is not whole: %+v", p.sha, state)
	}
	return nil
}

type uploadState struct {
	Done bool
	Have string
}

func (s *shop) put(path string, body []byte) (state uploadState, err error) {
	req, err := http.NewRequest(http.MethodPut, s.url(path), bytes.NewReader(body))
	if err != nil {
		return state, err
	}
	req.Header.Set("Origin", strings.TrimSuffix(s.url("/"), "/"))
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return state, err
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		return state, err
	}
	if res.StatusCode != http.StatusOK {
		return state, fmt.Errorf("%s: %s: %s", path, res.Status, b)
	}
	return state, json.Unmarshal(b, &state)
}
