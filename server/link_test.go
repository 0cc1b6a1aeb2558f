package server

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// Over a link the same frames go as over a socket, byte for byte.
func TestLinksCarryTheFramesOfASocket(t *testing.T) {
	overSocket := workedExchange(t, (*shop).peer)
	overLink := workedExchange(t, (*shop).linkPeer)
	if len(overSocket) != len(overLink) {
		t.Fatalf("%d frames over sockets, %d over links", len(overSocket), len(overLink))
	}
	for i, st := range overSocket {
		if got := overLink[i]; got.Who != st.Who || got.Way != st.Way || string(got.Frame) != string(st.Frame) {
			t.Errorf("frame %d over a link\n%s %s %s, over a socket\n%s %s %s", i, got.Who, got.Way, got.Frame, st.Who, st.Way, st.Frame)
		}
	}
}

func TestFiftyPushesOverALinkArriveInOrder(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.linkJoin("one")
	reader := s.join("two")
	var want []string
	for i := range 50 {
		want = append(want, recID("one", i))
		p.push(note("one", i, "j1", "job/self/name", fmt.Sprint("name ", i)))
	}
	p.level(50)
	reader.level(50)
	if !slices.Equal(p.order, want) || !slices.Equal(reader.order, want) {
		t.Errorf("the feed has another order than the pushes: %v", reader.order)
	}
	if len(p.stubs) != 50 {
		t.Errorf("%d of 50 own records came back as stubs", len(p.stubs))
	}
	// Many frames in one request are taken in their order, too.
	var lines []string
	for i := 50; i < 100; i++ {
		lines = append(lines, string(encode(map[string]any{"t": "push", "recs": []string{note("one", i, "j1", "job/self/name", "b")}})))
	}
	if status, b, err := s.post(t.Context(), "/sync/up", p.conn.(*linkLine).id, strings.Join(lines, "\n")); status != http.StatusNoContent {
		t.Fatalf("fifty frames in one request: %d %s %v", status, b, err)
	}
	p.level(100)
}

func TestBoardsHangOnLinksToo(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	wall := s.linkPeer("wall")
	wall.hello("board")
	wall.want("welcome")
	wall.want("board")
	p := s.linkJoin("one")
	p.push(note("one", 1, "j1", "job/self/name", "Blue coupe"))
	end := time.Now().Add(5 * time.Second)
	for !strings.Contains(wall.want("board").raw, "Blue coupe") {
		if time.Now().After(end) {
			t.Fatal("the board never heard of the job")
		}
	}
	wall.send(map[string]any{"t": "pull", "cursor": 0, "chain": ""})
	if f := wall.want("bye"); f.Why != "role" {
		t.Errorf("a board that pulls got %s", f.raw)
	}
}

// Wrong hellos are answered on a link by the bye that a socket gets.
func TestWrongHellosOnALinkGetTheirBye(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for hello, why := range map[string]string{
		`{"t":"push","recs":[]}`: "hello", `hello`: "frame", ``: "frame", "{\"t\":\"hello\xff\"}": "frame",
		`{"t":"hello","proto":[2,3],"dev":"a","role":"measure"}`: "update",
	} {
		p := s.linkPeer("one")
		if err := p.conn.WriteMessage(1, []byte(hello)); err != nil {
			t.Fatal(err)
		}
		p.wantBye(why)
	}
	if status, b, _ := s.post(t.Context(), "/sync/open", "", strings.Repeat("x", helloFrame+1)); status != http.StatusRequestEntityTooLarge {
		t.Errorf("a hello of %d bytes: %d %s", helloFrame+1, status, b)
	}
}

func wantWhy(t *testing.T, doing string, status int, b []byte, wantStatus int, why string) {
	t.Helper()
	var said struct{ Why, Text string }
	if err := json.Unmarshal(b, &said); err != nil || status != wantStatus || said.Why != why || said.Text == "" {
		t.Errorf("%s: %d %s; want %d, why %q and a text", doing, status, b, wantStatus, why)
	}
}

// One request of each kind at a time: a second down would tear the order apart.
func TestTwoConcurrentDownsAreRefused(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.linkJoin("one")
	id := p.conn.(*linkLine).id
	first := make(chan int, 1)
	go func() {
		status, _, _ := s.post(context.Background(), "/sync/down", id, "")
		first <- status
	}()
	l := s.linkOf(t, p)
	for end := time.Now().Add(5 * time.Second); ; time.Sleep(time.Millisecond) {
		if !l.down.TryLock() {
			break // the first waits
		}
		l.down.Unlock()
		if time.Now().After(end) {
			t.Fatal("the first down never came")
		}
	}
	status, b, err := s.post(t.Context(), "/sync/down", id, "")
	if err != nil {
		t.Fatal(err)
	}
	wantWhy(t, "a second down", status, b, http.StatusConflict, "busy")
	p.push(note("one", 1, "j1", "job/self/name", "a")) // lets the first go
	if status := <-first; status != http.StatusOK {
		t.Errorf("the first down: %d", status)
	}
}

func TestLinksThatAreNotThereAreTold(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for _, path := range []string{"/sync/up", "/sync/down", "/sync/close"} {
		for _, id := range []string{"", "aaaaaaaaaaaaaaaaaaaaaaaaaa"} {
			status, b, err := s.post(t.Context(), path, id, "")
			if err != nil {
				t.Fatal(err)
			}
			wantWhy(t, path+" of "+id, status, b, http.StatusNotFound, "link")
		}
	}
	p := s.linkJoin("one")
	p.conn.Close()
	if f, err := p.next(); err == nil {
		t.Errorf("after closing came %s", f.raw)
	}
	for end := time.Now().Add(5 * time.Second); len(s.srv.hub.all()) > 0; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("a closed link keeps its session")
		}
	}
}

// Sockets and links share the places in the shop and of a device.
func TestLinksCountAsSockets(t *testing.T) {
	lim := quick()
	lim.sockets = 5
	s := openShop(t, openLog(t), lim, nil)
	s.join("one")
	s.linkJoin("one")
	s.join("one")
	last := s.linkJoin("one")
	fifth := s.linkPeer("one")
	fifth.hello("measure")
	if f := fifth.want("bye"); f.Why != "full" {
		t.Errorf("a fifth connection of one device got %s", f.raw)
	}
	if _, err := fifth.next(); err == nil {
		t.Error("a frame after the bye")
	}
	for end := time.Now().Add(5 * time.Second); ; time.Sleep(time.Millisecond) {
		if s.linkPeer("two").conn.WriteMessage(1, []byte(`{"t":"hello","proto":[1,1],"dev":"two","role":"measure"}`)) == nil {
			break
		}
		if time.Now().After(end) {
			t.Fatal("no place was given back")
		}
	}
	status, b, err := s.post(t.Context(), "/sync/open", "", `{"t":"hello","proto":[1,1],"dev":"three","role":"measure"}`)
	if err != nil {
		t.Fatal(err)
	}
	wantWhy(t, "a sixth connection", status, b, http.StatusServiceUnavailable, "full")
	last.push(note("one", 1, "j1", "job/self/name", "a"))
	last.want("ack")
}

// A tablet that is gone without a word loses its link after a while; one that
// only asks keeps it.
func TestDeadLinksEnd(t *testing.T) {
	lim := quick()
	lim.read, lim.poll = 600*time.Millisecond, 200*time.Millisecond
	log := openLog(t)
	before := runtime.NumGoroutine()
	t.Run("dead", func(t *testing.T) {
		s := openShop(t, log, lim, nil)
		alive := s.linkJoin("alive")
		dead := s.linkJoin("dead")
		for end := time.Now().Add(3 * lim.read); time.Now().Before(end); {
			if status, b, err := s.post(t.Context(), "/sync/down", alive.conn.(*linkLine).id, ""); status != http.StatusOK || len(b) > 0 {
				t.Fatalf("a down with nothing to fetch: %d %s %v", status, b, err)
			}
		}
		all := s.srv.hub.all()
		if len(all) != 1 || all[0].dev != "alive" {
			t.Errorf("%d sessions are in, want the one that asks", len(all))
		}
		status, b, err := s.post(t.Context(), "/sync/down", dead.conn.(*linkLine).id, "")
		if err != nil {
			t.Fatal(err)
		}
		wantWhy(t, "a down of the dead link", status, b, http.StatusNotFound, "link")
		http.DefaultClient.CloseIdleConnections()
	})
	goroutinesBack(t, before)
}

// A down that its client gives up may have taken frames with it: the link is over,
// as a socket would be, and its place is free at once.
func TestAbortedRequestsEndTheLink(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for i, path := range []string{"/sync/down", "/sync/up"} {
		p := s.linkJoin(fmt.Sprint("tablet-", i))
		l := s.linkOf(t, p)
		ctx, cancel := context.WithCancel(t.Context())
		r := httptest.NewRequestWithContext(ctx, "POST", path, strings.NewReader("{}"))
		r.Host = s.host
		r.Header.Set("Origin", "http://"+s.host)
		r.Header.Set(linkHeader, l.id)
		if path == "/sync/up" {
			r.Body = http.MaxBytesReader(nil, r.Body, 1) // stands for a body that breaks off
		}
		time.AfterFunc(50*time.Millisecond, cancel)
		s.handler.ServeHTTP(httptest.NewRecorder(), r)
		select {
		case <-l.closed:
		case <-time.After(5 * time.Second):
			t.Errorf("%s given up: the link lives on", path)
		}
		cancel()
	}
}

// A client that never fetches holds up nobody, costs bounded memory and is let go.
func TestLinksThatNeverFetchDelayNobody(t *testing.T) {
	log := openLog(t)
	before := runtime.NumGoroutine()
	text := strings.Repeat("x", 30<<10)
	for i := range 200 { // 6 MB, more than may wait
		if _, err := log.Append(t.Context(), "old", []string{note("old", i, "j1", "job/self/name", text)}); err != nil {
			t.Fatal(err)
		}
	}
	t.Run("slow", func(t *testing.T) {
		lim := quick()
		lim.fetch = 8 * time.Second
		s := openShop(t, log, lim, nil)
		healthy := s.join("healthy")
		healthy.level(200)
		var slow []*peer
		for i := range 20 {
			p := s.linkPeer(fmt.Sprint("slow-", i))
			p.hello("measure")
			slow = append(slow, p)
		}
		for i := range 20 {
			start := time.Now()
			healthy.push(note("healthy", i, "j2", "job/self/name", "a"))
			healthy.level(201 + i)
			if d := time.Since(start); d > lim.fetch*3/4 { // whoever waits for a slow link waits for all of it
				t.Errorf("push to echo took %v", d)
			}
			for _, p := range slow { // they keep sending, so only the fetching is amiss
				p.conn.WriteMessage(1, []byte(`{"t":"hb","n":1,"now_ms":1}`))
			}
		}
		waiting := 0
		for _, p := range slow {
			if l := s.srv.links.get(p.conn.(*linkLine).id); l != nil {
				l.mu.Lock()
				waiting = max(waiting, l.bytes)
				l.mu.Unlock()
			}
		}
		if waiting == 0 || waiting > linkBytes+2*pageBytes {
			t.Errorf("%d bytes wait for one link", waiting)
		}
		for end := time.Now().Add(40 * time.Second); len(s.srv.hub.all()) > 1; time.Sleep(20 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("%d links that never fetch were not let go", len(s.srv.hub.all())-1)
			}
		}
		http.DefaultClient.CloseIdleConnections()
	})
	goroutinesBack(t, before)
}

func TestRequestsAboveTheLimitsEndTheLink(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for name, body := range map[string]string{
		"bytes": strings.Repeat("x", anyFrame+1), "frames": strings.Repeat("{}\n", upFrames+1),
	} {
		p := s.linkJoin(name)
		status, b, err := s.post(t.Context(), "/sync/up", p.conn.(*linkLine).id, body)
		if err != nil {
			t.Fatal(err)
		}
		wantWhy(t, name, status, b, http.StatusRequestEntityTooLarge, "size")
		if f, err := p.next(); err == nil {
			t.Errorf("%s: after that came %s", name, f.raw)
		}
	}
	p := s.linkJoin("frame")
	p.send(map[string]any{"t": "unheard of"})
	p.wantBye("frame")
	q := s.linkJoin("fast") // just within
	if status, b, err := s.post(t.Context(), "/sync/up", q.conn.(*linkLine).id, strings.Repeat(`{"t":"hb","n":1,"now_ms":1}`+"\n", upFrames)); status != http.StatusNoContent {
		t.Errorf("%d frames in one request: %d %s %v", upFrames, status, b, err)
	}
}

// Requests of many links, answers, boards and closing meet: the race detector
// sees what is not guarded.
func TestStormOfLinksLeavesNothingBehind(t *testing.T) {
	lim := quick()
	lim.boardGap, lim.poll = time.Millisecond, 100*time.Millisecond
	log := openLog(t)
	before := runtime.NumGoroutine()
	t.Run("storm", func(t *testing.T) {
		s := openShop(t, log, lim, nil)
		var storm sync.WaitGroup
		for k := range 8 {
			storm.Go(func() {
				for round := range 6 {
					p := s.linkPeer(fmt.Sprint("t-", k))
					p.hello("measure")
					var fetching sync.WaitGroup
					fetching.Go(func() {
						for {
							if _, err := p.next(); err != nil {
								return
							}
						}
					})
					for n := range 5 {
						id := p.conn.(*linkLine).id
						s.post(context.Background(), "/sync/up", id, string(encode(map[string]any{"t": "push", "recs": []string{note(p.dev, 10*round+n, "j1", "job/self/name", "a")}}))+
							"\n"+`{"t":"hb","n":1,"now_ms":1}`+"\n"+`{"t":"pull","cursor":0,"chain":""}`)
					}
					s.post(context.Background(), "/sync/close", p.conn.(*linkLine).id, "")
					fetching.Wait()
				}
			})
		}
		storm.Wait()
		fresh := s.linkJoin("fresh")
		high, err := log.High(t.Context())
		if err != nil || high == 0 {
			t.Fatalf("log ends at %d, %v", high, err)
		}
		fresh.level(int(high))
		http.DefaultClient.CloseIdleConnections()
	})
	goroutinesBack(t, before)
}

func TestLinksSayByeAtShutdown(t *testing.T) {
	log := openLog(t)
	before := runtime.NumGoroutine()
	s := openShop(t, log, quick(), nil)
	waits, between := s.linkJoin("waits"), s.linkJoin("between")
	got := make(chan seen, 1)
	go func() {
		f, _ := waits.next()
		got <- f
	}()
	l := s.linkOf(t, waits)
	for l.down.TryLock() { // until it waits
		l.down.Unlock()
		time.Sleep(time.Millisecond)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	start := time.Now()
	if err := s.srv.Shutdown(ctx); err != nil || time.Since(start) > 3*time.Second {
		t.Errorf("shut down after %v: %v", time.Since(start), err)
	}
	if f := <-got; f.Why != "stop" {
		t.Errorf("the link that waited got %s, want bye stop", f.raw)
	}
	_ = between
	http.DefaultClient.CloseIdleConnections()
	goroutinesBack(t, before)
}
