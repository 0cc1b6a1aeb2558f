package server

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"tubewright/calc/ledger"
)

// A tablet is revoked with thirty records on it that nobody has: all of them are
// put aside, none is lost, it reads nothing more, and a person can take them in.
func TestTL8WhatARevokedTabletHoldsIsPutAsideAndNotLost(t *testing.T) {
	log := openLog(t)
	s := openShop(t, log, quick(), nil).lan()
	p := s.paired("one", ledger.Measure)
	p.push(note("one", 0, "j1", "job/self/name", "Blue coupe"))
	p.level(1)
	if err := s.srv.Revoke(t.Context(), "one"); err != nil {
		t.Fatal(err)
	}
	p.wantBye("revoked") // at once, in the middle of its work
	other := s.paired("two", ledger.Measure)
	other.push(note("two", 1, "j1", "job/self/customer", "Invented Customer"))
	other.want("ack")

	var raws, ids []string
	for i := 1; i <= 30; i++ {
		raws, ids = append(raws, note("one", i, "j1", "job/self/stage", "measure")), append(ids, recID("one", i))
	}
	for round := range 2 { // it tries again, and that is no second case
		q := s.again(p)
		f := q.want("welcome")
		if !f.Revoked || f.High != p.cursor || f.Role != ledger.Measure || f.Name != "paired one" || strings.Contains(f.raw, `"t":"reset"`) {
			t.Fatalf("%s", f.raw)
		}
		for i := 0; i < 30; i += 10 {
			q.push(raws[i : i+10]...)
			if f := q.want("ack"); len(f.IDs) != 0 || !slices.Equal(f.Quarantined, ids[i:i+10]) || len(f.Refused) != 0 {
				t.Fatalf("round %d: %s", round, f.raw)
			}
		}
		q.push(note("one", 0, "j1", "job/self/name", "Blue coupe"), "no record")
		if f := q.want("ack"); len(f.IDs) != 1 || len(f.Quarantined) != 0 || len(f.Refused) != 1 {
			t.Errorf("what the shop has: %s", f.raw)
		}
		// It hears nothing of what the others do, whatever it asks.
		q.send(map[string]any{"t": "pull", "cursor": 0, "chain": ""})
		q.send(map[string]any{"t": "pull", "cursor": 0, "chain": strings.Repeat("00", 32)})
		other.push(note("two", 10+round, "j1", "job/self/customer", "Invented Customer"))
		other.want("ack")
		s.srv.whole(shaOf([]byte("a picture")))
		q.send(map[string]any{"t": "hb", "n": 7, "now_ms": 1, "unsent": 30})
		for {
			f, err := q.next()
			if err != nil || f.T != "hb" || strings.Contains(f.raw, "backup_pos") {
				t.Fatalf("a revoked tablet was sent %s, %v", f.raw, err)
			}
			if f.N == 7 {
				break
			}
		}
		q.conn.Close()
	}
	if high, err := log.High(t.Context()); err != nil || high != 4 {
		t.Errorf("the log goes to %d, %v; want 4", high, err)
	}
	l := s.line("one")
	if l.Aside != 30 || l.Revoked.IsZero() || l.Unsent != 30 || l.Heard.IsZero() {
		t.Errorf("the shop page shows %+v", l)
	}
	if n, err := s.srv.TakeIn(t.Context(), "one"); err != nil || n != 30 {
		t.Errorf("took in %d, %v", n, err)
	}
	other.level(34)
	for i, id := range ids {
		if other.whole[id] != raws[i] {
			t.Errorf("record %d came as %s", i+1, other.whole[id])
		}
	}
	if l := s.line("one"); l.Aside != 0 {
		t.Errorf("%+v", l)
	}
}

// Of what a revoked tablet sends no more is put aside than there is room for: the rest
// is refused by name and with the reason, nothing that lies there goes, the shop is
// told, and taking in makes room and lets the tablet send on.
func TestTL8WhatIsPutAsideOfARevokedTabletIsBounded(t *testing.T) {
	lim := quick()
	lim.aside = AsideRoom{Records: 10, Bytes: 1 << 20}
	log := openLog(t)
	s := openShop(t, log, lim, nil).lan()
	p := s.paired("one", ledger.Measure)
	if err := s.srv.Revoke(t.Context(), "one"); err != nil {
		t.Fatal(err)
	}
	var raws, ids []string
	for i := range 25 {
		raws, ids = append(raws, note("one", i, "j1", "job/self/stage", "measure")), append(ids, recID("one", i))
	}
	for _, want := range []struct{ before, aside, left int }{{0, 10, 15}, {10, 10, 5}, {20, 5, 0}} {
		q := s.again(p)
		q.want("welcome")
		q.push(raws...)
		f := q.want("ack")
		if len(f.IDs) != want.before || len(f.Quarantined) != want.aside || len(f.Refused) != want.left {
			t.Fatalf("%s", f.raw)
		}
		for i, no := range f.Refused {
			if at := 25 - want.left + i; no.Rec != at || no.ID != ids[at] || no.Text != noRoomText {
				t.Errorf("refused %+v, want record %d", no, at)
			}
		}
		if l := s.line("one"); l.Aside != want.aside || l.IsFull != (want.aside == 10) {
			t.Errorf("the shop page shows %+v", l)
		}
		if n, err := s.srv.TakeIn(t.Context(), "one"); err != nil || n != want.aside {
			t.Fatalf("took in %d, %v", n, err)
		}
		q.wantBye("resync") // and it comes again
	}
	if high, err := log.High(t.Context()); err != nil || high != 25 {
		t.Errorf("the log goes to %d, %v; want 25", high, err)
	}
}

// Room is short while the largest record might not fit.
func TestRoomAsideIsFullBeforeARecordIsRefused(t *testing.T) {
	room := shopLimits.aside
	for _, c := range []struct {
		used AsideRoom
		full bool
	}{
		{AsideRoom{}, false}, {AsideRoom{asideRecords - 1, 0}, false}, {AsideRoom{asideRecords, 0}, true},
		{AsideRoom{1, asideBytes - recordBytes}, false}, {AsideRoom{1, asideBytes - recordBytes + 1}, true},
	} {
		if got := room.isFull(c.used); got != c.full {
			t.Errorf("%+v is full: %v", c.used, got)
		}
	}
}

// Pictures of a revoked tablet are kept, so that none is lost, and none is shown to it.
func TestTL8RevokedTabletsSendPhotosAndSeeNone(t *testing.T) {
	s := openLAN(t)
	p := s.pair("one", ledger.Measure)
	b := pictureFile(t, "plain.jpg")
	m := manifestOf(b)
	if err := s.srv.Revoke(t.Context(), "one"); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		method, path string
		body         []byte
		want         int
		why          string
	}{
		{"GET", "/have", nil, 200, ""}, {"PUT", "/manifest", encode(m), 200, ""}, {"PUT", "/0", b, 200, ""}, {"GET", "/have", nil, 200, ""},
		{"GET", "", nil, 403, "revoked"}, {"GET", "/0", nil, 403, "revoked"},
	} {
		if status, body := s.ask(c.method, "/blob/"+m.SHA+c.path, p.token, c.body); status != c.want || whyOf(body) != c.why {
			t.Errorf("%s %s: %d %s", c.method, c.path, status, body)
		}
	}
	if status, body := s.ask("GET", "/api/jobs", p.token, nil); status != 403 {
		t.Errorf("jobs: %d %s", status, body)
	}
	q := s.pair("two", ledger.Measure)
	if status, body := s.ask("GET", "/blob/"+m.SHA, q.token, nil); status != 200 || string(body) != string(b) {
		t.Errorf("for another tablet: %d, %d bytes", status, len(body))
	}
}

func TestTL8AfterThirtyDaysNothingOfARevokedTabletIsTaken(t *testing.T) {
	var mu sync.Mutex
	now := testClock
	s := openShopAt(t, openLog(t), quick(), nil, func() time.Time { mu.Lock(); defer mu.Unlock(); return now }).lan()
	p := s.pair("one", ledger.Measure)
	if err := s.srv.Revoke(t.Context(), "one"); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		pass time.Duration
		in   bool
	}{{0, true}, {revokedTime - time.Millisecond, true}, {time.Millisecond, false}, {10 * 365 * 24 * time.Hour, false}} {
		mu.Lock()
		now = now.Add(c.pass)
		mu.Unlock()
		q := s.again(p)
		if c.in {
			if f := q.want("welcome"); !f.Revoked {
				t.Errorf("%s", f.raw)
			}
		} else {
			q.wantBye("revoked")
		}
		if status, body := s.ask("GET", "/blob/"+shaOf(nil)+"/have", p.token, nil); (status == 200) != c.in || !c.in && whyOf(body) != "revoked" {
			t.Errorf("after %v: %d %s", c.pass, status, body)
		}
	}
	// Years without a word are no reason to lock a tablet out that was not revoked.
	q := s.pair("two", ledger.Measure)
	mu.Lock()
	now = now.Add(10 * 365 * 24 * time.Hour)
	mu.Unlock()
	s.again(q).want("welcome")
}

// Paired again a revoked tablet is as any other.
func TestRevokedTabletsCanBePairedAgain(t *testing.T) {
	s := openLAN(t)
	p := s.paired("one", ledger.Measure)
	wall := s.paired("wall", ledger.Board)
	if err := s.srv.Revoke(t.Context(), "one"); err != nil {
		t.Fatal(err)
	}
	p.wantBye("revoked")
	shows := func(want bool) {
		t.Helper()
		end := time.Now().Add(5 * time.Second)
		for strings.Contains(wall.want("board").raw, `"name":"paired one"`) != want {
			if time.Now().After(end) {
				t.Fatalf("the wall never came to show the tablet: %v", want)
			}
		}
	}
	shows(false)
	q := s.paired("one", ledger.Measure)
	q.push(note("one", 1, "j1", "job/self/name", "a"))
	if f := q.want("ack"); len(f.IDs) != 1 {
		t.Errorf("%s", f.raw)
	}
	shows(true)
	if err := s.srv.Revoke(t.Context(), "nobody"); err == nil {
		t.Error("a device that was never paired was revoked")
	}
}

// The link of a wall ends at once, and for good: it holds nothing.
func TestRevokedWallsGoDark(t *testing.T) {
	s := openLAN(t)
	wall := s.paired("wall", ledger.Board)
	wall.want("board")
	if err := s.srv.Revoke(t.Context(), "wall"); err != nil {
		t.Fatal(err)
	}
	wall.wantBye("revoked")
	q := s.again(wall)
	q.wantBye("revoked")
}

// Revoking while tablets come in leaves none of them with the feed.
func TestRevokingWhileATabletComesInEndsItToo(t *testing.T) {
	s := openLAN(t)
	for i := range 20 {
		dev := fmt.Sprint("one-", i)
		p := s.pair(dev, ledger.Measure)
		q := s.peer(dev)
		q.token = p.token
		revoked := make(chan error, 1)
		go func() { revoked <- s.srv.Revoke(t.Context(), dev) }()
		q.hello("measure")
		if err := <-revoked; err != nil {
			t.Fatal(err)
		}
		for { // a bye, or a welcome as one that is revoked; after a plain welcome the bye
			f, err := q.next()
			if err != nil {
				t.Fatalf("%v", err)
			}
			if f.T == "bye" && f.Why == "revoked" || f.Revoked {
				break
			}
		}
		q.conn.Close()
	}
}

// The same at the worst moment: its token was just found good, and it is not yet one
// of those that Revoke ends.
func TestRevokingBetweenTokenAndWelcomeEndsTheTablet(t *testing.T) {
	s := openLAN(t)
	p := s.pair("one", ledger.Measure)
	var once sync.Once
	s.srv.cfg.Pairs = &afterLooking{Pairs: s.srv.cfg.Pairs, do: func() {
		once.Do(func() {
			if err := s.srv.Revoke(context.Background(), "one"); err != nil {
				t.Error(err)
			}
		})
	}}
	s.again(p).wantBye("revoked")
	if f := s.again(p).want("welcome"); !f.Revoked {
		t.Errorf("%s", f.raw)
	}
}

// afterLooking does something right after a token was looked for.
type afterLooking struct {
	Pairs
	do func()
}

func (a *afterLooking) PairedBy(ctx context.Context, token [32]byte) (Paired, bool, error) {
	p, known, err := a.Pairs.PairedBy(ctx, token)
	a.do()
	return p, known, err
}

// Two programs speak as one tablet, as after its storage was copied: both go on,
// and the wall and the shop page say so. A tablet that comes back over a new
// connection is no copy.
func TestTwoLiveCopiesOfATabletAreNoticed(t *testing.T) {
	lim := quick()
	lim.lately, lim.old, lim.board = 300*time.Millisecond, 600*time.Millisecond, 50*time.Millisecond
	s := openShop(t, openLog(t), lim, nil).lan()
	wall := s.paired("wall", ledger.Board)
	one := s.paired("one", ledger.Measure)
	beat := func(all ...*peer) {
		for _, p := range all {
			p.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1})
			p.want("hb")
		}
		time.Sleep(50 * time.Millisecond)
	}
	noticed := func() bool { return s.line("one").Copied }
	for range 16 {
		beat(one)
	}
	back := s.again(one) // the old connection hangs and says nothing more
	back.want("welcome")
	for range 16 {
		beat(back)
		if noticed() {
			t.Fatal("a tablet that came back is taken for a copy")
		}
	}
	copied := s.again(one)
	copied.want("welcome")
	began := time.Now()
	for !noticed() {
		beat(back, copied)
		if time.Since(began) > 10*time.Second {
			t.Fatal("two live copies are not noticed")
		}
	}
	f := wall.want("board")
	for f.Copied == 0 && time.Since(began) < 20*time.Second {
		beat(back, copied)
		f = wall.want("board")
	}
	if f.Copied != 1 {
		t.Errorf("the wall shows %s", f.raw)
	}
	for i, p := range []*peer{back, copied} { // both go on
		p.push(note("one", i, "j1", "job/self/name", "a"))
		if f := p.want("ack"); len(f.IDs) != 1 {
			t.Errorf("%s", f.raw)
		}
	}
	copied.conn.Close()
	for end := time.Now().Add(10 * time.Second); noticed(); {
		beat(back)
		if time.Now().After(end) {
			t.Fatal("the copy is gone and still shown")
		}
	}
	if status, _ := s.ask("GET", "/api/health", one.token, nil); status != http.StatusOK {
		t.Errorf("the token is good for %d", status)
	}
}

// What a device said of its outbox before it was taken off the list, or paired anew,
// is over.
func TestUnsentIsForgottenWithThePairing(t *testing.T) {
	s := openLAN(t)
	saysThree := func() {
		t.Helper()
		p := s.paired("one", ledger.Measure)
		p.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1, "unsent": 3})
		p.want("hb")
		if l := s.line("one"); l.Unsent != 3 {
			t.Fatalf("%+v", l)
		}
	}
	saysThree()
	if err := s.srv.Revoke(t.Context(), "one"); err != nil {
		t.Fatal(err)
	}
	if l := s.line("one"); l.Unsent != 0 {
		t.Errorf("taken off the list: %+v", l)
	}
	saysThree()
	s.pair("one", ledger.Bench)
	if l := s.line("one"); l.Unsent != 0 {
		t.Errorf("paired anew: %+v", l)
	}
}
