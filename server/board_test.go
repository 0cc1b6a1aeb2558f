package server

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// keysOf collects every key in a JSON value, with its path.
func keysOf(t *testing.T, raw string) []string {
	t.Helper()
	var v any
	if err := json.Unmarshal([]byte(raw), &v); err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, in := range v {
				found[path+k] = true
				walk(path+k+".", in)
			}
		case []any:
			for _, in := range v {
				walk(path, in)
			}
		}
	}
	walk("", v)
	var out []string
	for k := range found {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// A wall board hangs where customers stand: it gets the listed fields and no
// others, whatever is in the records.
func TestBoardsGetOnlyTheListedFields(t *testing.T) {
	allowed := map[string][]string{
		"welcome": {"t", "proto", "build", "now_ms", "high", "backup_pos", "limits", "limits.push_records", "limits.push_bytes", "limits.record_bytes", "role", "name"},
		"hb":      {"t", "n", "now_ms"},
		"bye":     {"t", "why", "text"},
		"board": {"t", "now_ms", "aside", "jobs", "jobs.id", "jobs.name", "jobs.stage", "jobs.blocked", "jobs.disputed", "jobs.missing", "jobs.stops", "jobs.warnings", "jobs.changed_ms",
			"jobs.pieces", "jobs.pieces.all", "jobs.pieces.cut", "jobs.pieces.deburred", "jobs.pieces.tacked", "jobs.pieces.welded", "jobs.pieces.inspected", "jobs.pieces.each", "jobs.pieces.each.name", "jobs.pieces.each.stage",
			"tablets", "tablets.name", "tablets.last_ms", "tablets.unsent", "tablets.clock_ms"},
	}
	s := openShop(t, openLog(t), quick(), nil)
	wall := s.peer("wall")
	wall.hello("board")
	p := s.join("one")
	p.push(
		note("one", 1, "j1", "job/self/name", "Blue coupe"),
		note("one", 2, "j1", "job/self/customer", "Invented Customer"),
		note("one", 3, "j1", "job/self/due", "2027-04-01"),
		note("one", 4, "j1", "job/self/stage", "measure"),
		rawRecord("one", 5, "reading", "j1", "engine/self/bore", map[string]any{"text": "84.5371", "unit": "mm", "nm": 84537100, "tool": "caliper", "person": "Invented Person", "at": "2025-11-24T23:04:01Z"}),
		rawRecord("one", 6, "invoice", "j1", "job/self/customer", map[string]any{"text": "Invented Customer"}),
	)
	p.want("ack")
	wall.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1})
	named := false
	for seenKinds := map[string]bool{}; !named || !seenKinds["hb"] || !seenKinds["welcome"]; {
		f, err := wall.next()
		if err != nil {
			t.Fatalf("after %v: %v", seenKinds, err)
		}
		seenKinds[f.T] = true
		for _, k := range keysOf(t, f.raw) {
			if !slices.Contains(allowed[f.T], k) {
				t.Errorf("field %q in %s", k, f.raw)
			}
		}
		for _, secret := range []string{"Invented", "2027-04-01", "84.53", "caliper"} {
			if strings.Contains(f.raw, secret) {
				t.Errorf("%q in %s", secret, f.raw)
			}
		}
		named = named || strings.Contains(f.raw, "Blue coupe") && strings.Contains(f.raw, `"name":"tablet one"`)
	}
	wall.send(map[string]any{"t": "pull", "cursor": 0, "chain": ""})
	wall.wantBye("role")
	other := s.peer("wall")
	other.hello("board")
	other.want("welcome")
	other.push(note("wall", 1, "j1", "job/self/name", "Mine now"))
	other.wantBye("role")
}

func TestBoardsHearOnChangeAndInBetween(t *testing.T) {
	lim := quick()
	lim.board = 80 * time.Millisecond
	s := openShop(t, openLog(t), lim, nil)
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	for range 3 { // nothing changes, frames come all the same
		if f := wall.want("board"); f.NowMS != testClock.UnixMilli() {
			t.Errorf("board frame %s", f.raw)
		}
	}
	p := s.join("one")
	p.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1, "unsent": 17})
	end := time.Now().Add(5 * time.Second)
	for !strings.Contains(wall.want("board").raw, `"unsent":17`) {
		if time.Now().After(end) {
			t.Fatal("the outbox of a heartbeat never reached the board")
		}
	}
}

// A burst of changes is one frame or a few, not one each.
func TestBoardFramesAreSpread(t *testing.T) {
	lim := quick()
	lim.boardGap = 200 * time.Millisecond
	s := openShop(t, openLog(t), lim, nil)
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	p := s.join("one")
	start := time.Now()
	for i := range 60 {
		p.push(note("one", i, "j1", "job/self/name", strings.Repeat("i", i+1)))
		p.want("ack")
		time.Sleep(10 * time.Millisecond)
	}
	frames := 0
	for last := strings.Repeat("i", 60); ; {
		f := wall.want("board")
		frames++
		if strings.Contains(f.raw, `"`+last+`"`) {
			break
		}
	}
	if most := int(time.Since(start)/lim.boardGap) + 2; frames > most {
		t.Errorf("%d board frames in %v, want at most %d", frames, time.Since(start), most)
	}
}

func TestTabletsAreRememberedOverARestart(t *testing.T) {
	log := openLog(t)
	t.Run("first run", func(t *testing.T) {
		openShop(t, log, quick(), nil).join("one")
	})
	s := openShop(t, log, quick(), nil)
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	if f := wall.want("board"); !strings.Contains(f.raw, `"tablets":[{"name":"tablet one","last_ms":1764025441123,"unsent":0}]`) {
		t.Errorf("board after the restart: %s", f.raw)
	}
}

// The shop page says of a wall too when it was last heard; the wall does not list walls.
func TestWallsAreRememberedOverARestartAndNotShown(t *testing.T) {
	log := openLog(t)
	t.Run("first run", func(t *testing.T) {
		s := openShop(t, log, quick(), nil).lan()
		s.paired("wall", ledger.Board)
		s.paired("one", ledger.Measure)
		if l := s.line("wall"); !l.Heard.Equal(testClock) {
			t.Errorf("while it runs: %+v", l)
		}
	})
	s := openShop(t, log, quick(), nil).lan()
	if l := s.line("wall"); !l.Heard.Equal(testClock) {
		t.Errorf("after the restart: %+v", l)
	}
	wall := s.paired("wall2", ledger.Board)
	if f := wall.want("board"); !strings.Contains(f.raw, `"tablets":[{"name":"paired one","last_ms":1764025441123,"unsent":0}]`) {
		t.Errorf("board after the restart: %s", f.raw)
	}
	// A wall that becomes a tablet is shown.
	s.paired("wall", ledger.Bench)
	end := time.Now().Add(5 * time.Second)
	for !strings.Contains(wall.want("board").raw, `"name":"paired wall"`) {
		if time.Now().After(end) {
			t.Fatal("it is not shown")
		}
	}
}

func TestPresenceForgetsTheLongestSilent(t *testing.T) {
	p := newPresence()
	for i := range knownNames + 10 {
		p.heard(recID("d", i), "", testClock.Add(time.Duration(i)*time.Second), nil, nil)
	}
	if _, ok := p.tablets[recID("d", 9)]; ok || len(p.board()) != knownNames {
		t.Errorf("%d devices known, the tenth too: %v", len(p.board()), ok)
	}
	if n := len(p.unnoted()); n != knownNames || len(p.unnoted()) != 0 {
		t.Errorf("%d devices to note, want each once", n)
	}
}

func TestStampsOfOddShapeAreZero(t *testing.T) {
	for _, c := range []struct {
		hlc  string
		want int64
	}{{"1764025441123-0004-d", 1764025441123}, {"", 0}, {"x", 0}, {"not a number at all", 0}} {
		if got := stampMS(c.hlc); got != c.want {
			t.Errorf("stampMS(%q) = %d, want %d", c.hlc, got, c.want)
		}
	}
}

// What was set aside is a matter for a person, so the wall says how much there is.
func TestBoardsCountWhatWasSetAside(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	p := s.join("one")
	first := note("one", 1, "j1", "job/self/name", "Blue coupe")
	p.push(first)
	p.push(strings.Replace(first, "Blue", "Grey", 1))
	end := time.Now().Add(5 * time.Second)
	for !strings.Contains(wall.want("board").raw, `"aside":1,`) {
		if time.Now().After(end) {
			t.Fatal("the wall never showed that a record was set aside")
		}
	}
}

// A wrong clock decides nothing, but a person should put it right.
func TestBoardsShowClocksThatAreOff(t *testing.T) {
	minute := time.Minute.Milliseconds()
	p := newPresence()
	now := testClock.UnixMilli()
	for _, c := range []struct{ clock, want int64 }{
		{now, 0}, {now + 2*minute, 0}, {now - 2*minute, 0}, {now + 2*minute + 1, 2*minute + 1}, {now - 3*minute, -3 * minute},
		{1, 1 - now}, {-1 << 63, -safeInteger}, {1<<63 - 1, safeInteger - now},
	} {
		p.heard("one", "one", testClock, nil, &c.clock)
		p.heard("one", "one", testClock, nil, nil) // a push tells nothing of the clock
		if got := p.board()[0].ClockMS; got != c.want {
			t.Errorf("clock %d: the board shows %d, want %d", c.clock, got, c.want)
		}
	}
	s := openShop(t, openLog(t), quick(), nil)
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	one := s.join("one")
	for _, c := range []struct {
		clock int64
		shown string
	}{{now - 60*minute, `"unsent":0,"clock_ms":-3600000}`}, {now + 1, `"unsent":0}`}} {
		one.send(map[string]any{"t": "hb", "n": 1, "now_ms": c.clock})
		end := time.Now().Add(5 * time.Second)
		for !strings.Contains(wall.want("board").raw, c.shown) {
			if time.Now().After(end) {
				t.Fatalf("the wall never showed %s", c.shown)
			}
		}
	}
}

// The wall shows how many pieces stand in each stage, and where each stands, as soon as
// somebody at the bench says so, and neither who said it nor what a piece measures.
func TestBoardsCountPiecesByStage(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	p := s.peer("one")
	p.hello("bench")
	p.want("welcome")
	data, err := os.ReadFile("../testdata/job/bench.job.json")
	if err != nil {
		t.Fatal(err)
	}
	facts, err := job.ReadFile(data)
	if err != nil {
		t.Fatal(err)
	}
	var raws []string
	for i, d := range facts.Drafts() {
		kind, body := d.Record()
		if kind == ledger.PieceKind {
			body = ledger.Note{Text: d.Piece.Text, Person: "Invented Welder", At: "2026-11-30T08:00:00Z"}
		}
		raws = append(raws, rawRecord("one", i+1, kind, "j1", d.Slot, body))
	}
	for len(raws) > 0 {
		n := min(len(raws), 200)
		p.push(raws[:n]...)
		p.want("ack")
		raws = raws[n:]
	}
	p.push(rawRecord("one", 4999, ledger.NoteKind, job.ShopJob, "stock/u1/supplier", ledger.Note{Text: "Invented Bends"})) // no job for the wall
	p.want("ack")
	p.push(rawRecord("one", 5000, ledger.PieceKind, "j1", "element/t1-e1/stage", ledger.Note{Text: "inspected", Person: "Invented Welder"}))
	p.want("ack")
	end := time.Now().Add(10 * time.Second)
	for {
		f := wall.want("board")
		for _, secret := range []string{"Invented Welder", "Invented customer", "76.5", "2026-11-30", "Invented Bends", `"id":"shop"`} {
			if strings.Contains(f.raw, secret) {
				t.Fatalf("%q in %s", secret, f.raw)
			}
		}
		if strings.Contains(f.raw, `"pieces":{"all":28,"cut":3,"deburred":1,"tacked":4,"welded":2,"inspected":1,"each":[{"name":"1-1","stage":"inspected"},{"name":"1-2","stage":""},`) {
			if !strings.Contains(f.raw, `{"name":"2-8","stage":"tacked"},{"name":"2-2","stage":"tacked"},{"name":"2-3","stage":"deburred"},{"name":"2-4","stage":"cut"},`) {
				t.Errorf("the pieces of tube 2 stand otherwise: %s", f.raw)
			}
			return
		}
		if time.Now().After(end) {
			t.Fatalf("the wall shows %s", f.raw)
		}
	}
}
