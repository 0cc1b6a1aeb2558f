package server

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

func TestHelloIsWelcomed(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.peer("one")
	p.hello("measure")
	f := p.want("welcome")
	const want = `{"t":"welcome","proto":1,"build":"test-1","now_ms":1764025441123,"high":0,"backup_pos":0,` +
		`"limits":{"push_records":200,"push_bytes":524288,"record_bytes":65536},"role":"measure","name":"tablet one"}`
	if f.raw != want {
		t.Errorf("welcome is\n%s, want\n%s", f.raw, want)
	}
}

// heldLog keeps every append back until the test lets it go.
type heldLog struct {
	storeLog
	arrived, release chan struct{}
}

func (l heldLog) Append(ctx context.Context, dev string, raws []string) (Appended, error) {
	l.arrived <- struct{}{}
	<-l.release
	return l.storeLog.Append(ctx, dev, raws)
}

func TestAckAndFeedComeAfterTheCommit(t *testing.T) {
	log := heldLog{openLog(t), make(chan struct{}), make(chan struct{})}
	s := openShop(t, log, quick(), nil)
	writer, reader := s.join("one"), s.join("two")
	frames := make(chan string, 10)
	for _, p := range []*peer{writer, reader} {
		go func() {
			for {
				f, err := p.next()
				if err != nil {
					return
				}
				frames <- p.dev + " " + f.T
			}
		}()
	}
	writer.push(note("one", 1, "j1", "job/self/name", "Blue coupe"))
	<-log.arrived
	select {
	case f := <-frames:
		t.Fatalf("%s before the commit", f)
	case <-time.After(150 * time.Millisecond):
	}
	close(log.release)
	got := map[string]bool{}
	for range 3 {
		select {
		case f := <-frames:
			got[f] = true
		case <-time.After(5 * time.Second):
			t.Fatalf("after the commit only %v", got)
		}
	}
	if !got["one ack"] || !got["one feed"] || !got["two feed"] {
		t.Errorf("after the commit %v", got)
	}
}

// failingLog cannot store.
type failingLog struct{ storeLog }

func (failingLog) Append(context.Context, string, []string) (Appended, error) {
	return Appended{}, fmt.Errorf("disk full at /some/where")
}

func TestFailedCommitIsNeverAcked(t *testing.T) {
	s := openShop(t, failingLog{openLog(t)}, quick(), nil)
	p := s.join("one")
	p.push(note("one", 1, "j1", "job/self/name", "Blue coupe"))
	f, err := p.next()
	if err != nil || f.T != "bye" || f.Why != "store" {
		t.Fatalf("got %s %v, want bye store", f.raw, err)
	}
	if strings.Contains(f.raw, "/some/where") {
		t.Errorf("the bye tells the tablet of the shop's disk: %s", f.raw)
	}
}

func TestRepeatedPushesKeepEachRecordOnce(t *testing.T) {
	log := openLog(t)
	s := openShop(t, log, quick(), nil)
	var raws []string
	for i := range 20 {
		raws = append(raws, note("one", i, "j1", "job/self/name", fmt.Sprint("name ", i)))
	}
	p := s.join("one")
	p.push(raws[:7]...)
	p.push(raws[3:15]...)
	p.push(raws[0], raws[0], raws[0])
	p.push(raws...)
	for range 3 {
		p.want("ack")
	}
	if ack := p.want("ack"); len(ack.IDs) != 20 || ack.Pos != 20 || len(ack.Quarantined) != 0 {
		t.Errorf("last ack is %s, want 20 ids at position 20", ack.raw)
	}
	p = s.again(p)
	p.want("welcome")
	p.push(raws[5:]...)
	p.want("ack")
	fresh := s.join("two")
	fresh.level(20)
	if high, err := log.High(t.Context()); err != nil || high != 20 {
		t.Errorf("log ends at %d (%v), want 20", high, err)
	}
	for _, raw := range raws {
		if r, _ := ledger.Decode(raw); fresh.whole[r.ID] != raw {
			t.Errorf("record %s came as %q, want %q", r.ID, fresh.whole[r.ID], raw)
		}
	}
}

func TestOtherBytesUnderAKnownIDAreSetAside(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	first := note("one", 1, "j1", "job/self/name", "Blue coupe")
	second := strings.Replace(first, "Blue", "Grey", 1)
	p.push(first)
	p.want("ack")
	q := s.join("two")
	q.level(1)
	q.push(second, note("two", 1, "j1", "job/self/stage", "measure"))
	ack := q.want("ack")
	if len(ack.Quarantined) != 1 || ack.Quarantined[0] != recID("one", 1) || len(ack.IDs) != 1 {
		t.Errorf("ack is %s, want the first aside and the second stored", ack.raw)
	}
	q.level(2)
	q.cursor, q.chain, q.order, q.whole = 0, [32]byte{}, nil, map[string]string{}
	q.send(map[string]any{"t": "pull", "cursor": 0, "chain": ""})
	q.level(2)
	if q.whole[recID("one", 1)] != first {
		t.Errorf("who pushed the other bytes got %q %v", q.whole[recID("one", 1)], q.stubs)
	}
	fresh := s.join("three")
	fresh.level(2)
	if fresh.whole[recID("one", 1)] != first {
		t.Errorf("the record became %q", fresh.whole[recID("one", 1)])
	}
}

// A stub is sent only for bytes that this socket pushed; an id with other bytes
// comes back whole, so that the tablet sees what the shop holds.
func TestStubsStandOnlyForTheSameBytes(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	mine := note("one", 1, "j1", "job/self/name", "Blue coupe")
	p.push(mine)
	p.level(1)
	if h := p.stubs[recID("one", 1)]; h != fmt.Sprintf("%x", chain.Of(mine)) || len(p.whole) != 0 {
		t.Errorf("own record came back as stub %q and whole %v", h, p.whole)
	}
	q := s.join("two")
	q.level(1)
	if q.whole[recID("one", 1)] != mine {
		t.Errorf("the other tablet got %v", q.whole)
	}
	again := s.join("one") // the same tablet, emptied, on another socket
	again.level(1)
	if again.whole[recID("one", 1)] != mine {
		t.Errorf("after reconnecting the record came as %v %v", again.whole, again.stubs)
	}
	p.cursor, p.chain, p.order, p.stubs = 0, [32]byte{}, nil, map[string]string{}
	p.send(map[string]any{"t": "pull", "cursor": 0, "chain": ""})
	p.level(1)
	if p.whole[recID("one", 1)] != mine {
		t.Errorf("pulled again, the record came as %v %v", p.whole, p.stubs)
	}
}

func TestFeedPagesAreBoundedAndWhole(t *testing.T) {
	const n = 5000
	log := openLog(t)
	text := strings.Repeat("x", 400)
	for i := 0; i < n; i += 200 {
		var raws []string
		for k := range 200 {
			raws = append(raws, note("one", i+k, "j1", "job/self/name", text))
		}
		if _, err := log.Append(t.Context(), "one", raws); err != nil {
			t.Fatal(err)
		}
	}
	s := openShop(t, log, quick(), nil)
	start := time.Now()
	p := s.join("two")
	pages := 0
	for len(p.order) < n {
		f := p.want("feed")
		size := 0
		for _, r := range f.Recs {
			size += len(r)
		}
		if size > 2*pageBytes {
			t.Errorf("page %d to %d has %d bytes", f.From, f.To, size)
		}
		pages++
	}
	t.Logf("%d records in %d pages, %v", n, pages, time.Since(start).Round(time.Millisecond))
	if pages < 20 {
		t.Errorf("%d pages; 5,000 records of 600 bytes need at least 20", pages)
	}
}

func TestPullGoesOnFromItsCursor(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	for i := range 5 {
		p.push(note("two", i, "j1", "job/self/name", "a"))
	}
	p.level(5)
	middle := s.peer("three")
	middle.hello("measure")
	middle.want("welcome")
	middle.level(5)
	middle.send(map[string]any{"t": "pull", "cursor": middle.cursor, "chain": fmt.Sprintf("%x", middle.chain)}) // changes nothing
	middle.send(map[string]any{"t": "hb", "n": 7, "now_ms": 1})
	if f, err := middle.next(); err != nil || f.T != "hb" || f.N != 7 || f.NowMS != testClock.UnixMilli() {
		t.Errorf("after a pull from the newest place came %s %v, want the heartbeat's answer", f.raw, err)
	}
	middle.send(map[string]any{"t": "pull", "cursor": 3, "chain": strings.Repeat("ab", 32)})
	if f := middle.want("reset"); f.High != 5 {
		t.Errorf("a pull from a place that is not ours got %s", f.raw)
	}
	middle.cursor, middle.chain, middle.order = 0, [32]byte{}, nil
	middle.level(5)
}

// slowLog holds a read back until the test lets it go.
type slowLog struct {
	storeLog
	arrived, release chan struct{}
}

func (l slowLog) After(ctx context.Context, pos int64, maxBytes int) (Page, error) {
	if pos == 3 {
		l.arrived <- struct{}{}
		<-l.release
	}
	return l.storeLog.After(ctx, pos, maxBytes)
}

// A page that was being read while a reset came about belongs to the old place.
func TestResetDropsThePageUnderWay(t *testing.T) {
	log := slowLog{openLog(t), make(chan struct{}), make(chan struct{})}
	for i := range 5 {
		if _, err := log.Append(t.Context(), "one", []string{note("one", i, "j1", "job/self/name", "a")}); err != nil {
			t.Fatal(err)
		}
	}
	chain, _, err := log.ChainAt(t.Context(), 3)
	if err != nil {
		t.Fatal(err)
	}
	s := openShop(t, log, quick(), nil)
	p := s.peer("two")
	p.cursor, p.chain = 3, chain
	p.hello("measure")
	p.want("welcome")
	<-log.arrived
	p.send(map[string]any{"t": "pull", "cursor": 3, "chain": strings.Repeat("ab", 32)})
	for one := s.srv.hub.all()[0]; ; time.Sleep(time.Millisecond) {
		one.mu.Lock()
		turn := one.turn
		one.mu.Unlock()
		if turn == 2 {
			break
		}
	}
	close(log.release)
	if f, err := p.next(); err != nil || f.T != "reset" {
		t.Fatalf("first came %s %v, want the reset", f.raw, err)
	}
	p.cursor, p.chain = 0, [32]byte{}
	p.level(5)
}

// A server put back from a backup must not let a tablet believe that its
// records are there.
func TestRestoredLogResetsAndGetsEverythingBack(t *testing.T) {
	old, now := openLog(t), openLog(t)
	var raws []string
	for i := range 30 {
		raws = append(raws, note("one", i, "j1", "job/self/name", fmt.Sprint("name ", i)))
	}
	if _, err := old.Append(t.Context(), "one", raws[:10]); err != nil {
		t.Fatal(err)
	}
	before := openShop(t, now, quick(), nil)
	p := before.join("one")
	p.push(raws...)
	p.level(30)

	restored := openShop(t, old, quick(), nil)
	q := restored.again(p)
	if f := q.want("reset"); f.High != 10 {
		t.Fatalf("reset is %s, want high 10", f.raw)
	}
	q.cursor, q.chain, q.order = 0, [32]byte{}, nil
	q.push(raws...)
	q.level(30)
	if high, err := old.High(t.Context()); err != nil || high != 30 {
		t.Errorf("restored log ends at %d (%v), want 30", high, err)
	}

	// The restored log has grown past the cursor with other records: same position, other chain.
	grown := openLog(t)
	for i := range 40 {
		if _, err := grown.Append(t.Context(), "two", []string{note("two", i, "j2", "job/self/name", "b")}); err != nil {
			t.Fatal(err)
		}
	}
	r := openShop(t, grown, quick(), nil).again(p)
	r.want("reset")
}

// Positions are given by one writer; readers must see neither gap nor repeat.
func TestSY8FeedHasNoGapWhileManyPush(t *testing.T) {
	const tablets, each = 8, 20
	s := openShop(t, openLog(t), quick(), nil)
	reader := s.join("reader")
	var pushing sync.WaitGroup
	for k := range tablets {
		p := s.join(fmt.Sprint("tablet-", k))
		pushing.Go(func() {
			for i := range each {
				p.push(note(p.dev, i, "j1", "job/self/name", "c"))
			}
			p.level(tablets * each)
		})
	}
	reader.level(tablets * each) // take checks position and chain of every page
	pushing.Wait()
	once := map[string]bool{}
	for _, id := range reader.order {
		if once[id] {
			t.Fatalf("record %s came twice", id)
		}
		once[id] = true
	}
}

func TestSY10UnknownKindsAndFieldsKeepTheirBytes(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.peer("one")
	p.hello("bench")
	p.want("welcome")
	raw := ` {"sv":9, "kind":"laser-scan","id":"` + recID("one", 1) + `","job":"j1","dev":"one","n":1,"x":"5 < 6 & \u00e9\\u2028 \u2028 é","body":[1.50,1e2]}  `
	p.push(raw)
	if ack := p.want("ack"); len(ack.IDs) != 1 {
		t.Fatalf("ack is %s", ack.raw)
	}
	q := s.join("two")
	q.level(1)
	if q.whole[recID("one", 1)] != raw {
		t.Errorf("came as\n%q, was\n%q", q.whole[recID("one", 1)], raw)
	}
}

func TestOneBadRecordHoldsUpNoOther(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	p.push(`{"id":"short"}`, note("one", 1, "j1", "job/self/name", "a"), "not JSON", `{"id":"`+recID("one", 2)+`","kind":"note"}`)
	ack := p.want("ack")
	if len(ack.IDs) != 1 || len(ack.Refused) != 3 || ack.Refused[0].Rec != 0 || ack.Refused[1].Rec != 2 || ack.Refused[0].Text == "" || ack.Refused[2].ID != recID("one", 2) {
		t.Errorf("ack is %s", ack.raw)
	}
}

// Choices are for the bench; but after a reset a measuring tablet brings back
// the choices of others, and those are put aside until a bench brings them too.
func TestMeasuringTabletsWriteNoChoices(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	p.push(rawRecord("one", 1, "choice", "j1", "engine/self/bore", nil), rawRecord("two", 1, "choice", "j1", "engine/self/bore", nil))
	ack := p.want("ack")
	if len(ack.Refused) != 1 || ack.Refused[0].ID != recID("one", 1) || len(ack.IDs) != 0 || len(ack.Quarantined) != 1 || ack.Quarantined[0] != recID("two", 1) {
		t.Errorf("ack is %s, want the own choice refused and the other's put aside", ack.raw)
	}
	q := s.peer("three")
	q.hello("bench")
	q.want("welcome")
	q.push(rawRecord("three", 1, "choice", "j1", "engine/self/bore", nil))
	if ack := q.want("ack"); len(ack.IDs) != 1 {
		t.Errorf("bench: ack is %s", ack.raw)
	}
}

// Another program may write into the same file; its records reach the tablets
// with the next look.
func TestRecordsPutInByAnotherProgramAreFed(t *testing.T) {
	lim := quick()
	lim.board = 50 * time.Millisecond
	log := openLog(t)
	s := openShop(t, log, lim, nil)
	p := s.join("one")
	if _, err := log.Append(t.Context(), "import", []string{note("import", 1, "j1", "job/self/name", "a")}); err != nil {
		t.Fatal(err)
	}
	p.level(1)
}

// A welcome may come in between two looks of the writer: no page goes out before it.
func TestNoPageGoesOutBeforeTheWelcome(t *testing.T) {
	log := openLog(t)
	if _, err := log.Append(t.Context(), "one", []string{note("one", 1, "j1", "job/self/name", "a")}); err != nil {
		t.Fatal(err)
	}
	s := openShop(t, log, quick(), nil)
	l := newLink("none", time.Second)
	one := newSession(entry{Server: s.srv}, l, func() {})
	if one.takeOpening() != nil {
		t.Fatal("there is a welcome already")
	}
	one.begin("welcome", 0, true)
	for range 2 {
		if more, err := one.feed(); !more || err != nil || len(l.waiting) != 0 {
			t.Fatalf("%v, %v, and out went %q", more, err, l.waiting)
		}
	}
	if one.takeOpening() == nil {
		t.Fatal("the welcome is gone")
	}
	if more, err := one.feed(); !more || err != nil || len(l.waiting) != 1 {
		t.Errorf("%v, %v, and out went %q", more, err, l.waiting)
	}
}
