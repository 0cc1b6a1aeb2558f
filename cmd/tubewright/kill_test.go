package main

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/pwa/drive"
	"tubewright/store"
)

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
func TestTabKilledRightAfterSaved(t *testing.T) {
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
func TestHalfTypedValueSurvivesAKill(t *testing.T) {
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

// push sends raws on a new socket and returns the ids that were acknowledged
// before the socket ended.
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
	for _, raw := range raws {
		if c.WriteJSON(frame{T: "push", Recs: []string{raw}}) != nil {
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

// Ten kills at random moments of a running push: whatever was acknowledged is
// there, and after pushing again everything is there once.
func TestKilledServerKeepsWhatItAcknowledged(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	s := newShop(t)
	w := demoWriter{job: newID(), dev: newID(), person: "Rowan", at: time.Now()}
	for i := range 400 {
		w.add(job.Draft{Slot: fmt.Sprintf("bolt/b%d/x", i), Reading: &ledger.Reading{Text: "1", Unit: "mm"}})
	}
	acked := map[string]bool{}
	for round := range 10 {
		go func(cmd interface{ Kill() error }) {
			time.Sleep(time.Duration(rnd.IntN(60)) * time.Millisecond)
			cmd.Kill()
		}(s.cmd.Process)
		for _, id := range s.push(w.dev, w.raws[round*40:]) {
			acked[id] = true
		}
		s.cmd.Wait()
		s.cmd = nil
		s.check()
		there := map[string]int{}
		for _, r := range records(t, s) {
			there[r.ID]++
		}
		for id := range acked {
			if there[id] != 1 {
				t.Fatalf("seed %d round %d: an acknowledged record is there %d times", seed, round, there[id])
			}
		}
		s.start()
	}
	if got := s.push(w.dev, w.raws); len(got) != len(w.raws) {
		t.Errorf("%d of %d acknowledged in the end", len(got), len(w.raws))
	}
	s.kill()
	if got := len(records(t, s)); got != len(w.raws) {
		t.Errorf("%d records on the server, want %d", got, len(w.raws))
	}
	s.check()
	t.Logf("%d records were acknowledged before their server was killed", len(acked))
}
