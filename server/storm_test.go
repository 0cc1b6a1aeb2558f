package server

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// Answers, feed, boards, pings and closing meet on every socket. One unguarded
// write would panic; the race detector sees the rest.
func TestDB1ManyWritersOnOneSocketDoNoHarm(t *testing.T) {
	lim := quick()
	lim.ping, lim.boardGap, lim.heard = 2*time.Millisecond, time.Millisecond, 10*time.Millisecond
	log := openLog(t)
	before := runtime.NumGoroutine()
	t.Run("storm", func(t *testing.T) {
		s := openShop(t, log, lim, nil)
		board := s.peer("wall")
		board.hello("board")
		board.want("welcome")
		go func() {
			for {
				if _, err := board.next(); err != nil {
					return
				}
			}
		}()
		var storm sync.WaitGroup
		end := time.Now().Add(2 * time.Second)
		for k := range 16 {
			storm.Go(func() {
				const seed = 7
				rnd := rand.New(rand.NewPCG(seed, uint64(k)))
				for n := 0; time.Now().Before(end); {
					conn, _, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/sync", map[string][]string{"Origin": {"http://" + s.host}})
					if err != nil {
						t.Error(err)
						return
					}
					p := &peer{t: t, conn: conn, dev: fmt.Sprint("t-", k), whole: map[string]string{}, stubs: map[string]string{}}
					p.hello("measure")
					acked := make(chan bool, 20)
					go func() {
						defer close(acked)
						for {
							_, b, err := conn.ReadMessage()
							if err != nil {
								return
							}
							if strings.HasPrefix(string(b), `{"t":"ack"`) {
								acked <- true
							}
						}
					}()
					pushes := rnd.IntN(20)
					for range pushes {
						p.conn.WriteMessage(websocket.TextMessage, encode(map[string]any{"t": "push", "recs": []string{note(p.dev, n, "j1", "job/self/name", "a")}}))
						p.conn.WriteMessage(websocket.TextMessage, []byte(`{"t":"hb","n":1,"now_ms":1}`))
						p.conn.WriteMessage(websocket.TextMessage, []byte(`{"t":"pull","cursor":0,"chain":""}`))
						n++
					}
					switch rnd.IntN(3) {
					case 0:
						conn.WriteControl(websocket.CloseMessage, nil, time.Now().Add(time.Second))
					case 1:
						conn.WriteMessage(websocket.TextMessage, []byte(`{"t":"unheard of"}`))
					}
					for range rnd.IntN(pushes + 1) { // wait for some, all or none
						<-acked
					}
					conn.Close()
				}
			})
		}
		storm.Wait()
		fresh := s.join("fresh")
		high, err := log.High(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		fresh.level(int(high))
		t.Logf("%d records, in one chain", high)
	})
	goroutinesBack(t, before)
}

func TestDB2SocketsCutInsideAFrameEnd(t *testing.T) {
	log := openLog(t)
	before := runtime.NumGoroutine()
	t.Run("cuts", func(t *testing.T) {
		s := openShop(t, log, quick(), nil)
		for i := range 1000 {
			p := s.peer(fmt.Sprint("t-", i))
			if i%2 == 0 {
				p.hello("measure")
				p.want("welcome")
			}
			// A masked text frame that announces 1,000 bytes and brings 3.
			if _, err := p.socket().NetConn().Write([]byte{0x81, 0xfe, 0x03, 0xe8, 1, 2, 3, 4, 'a', 'b', 'c'}); err != nil {
				t.Fatal(err)
			}
			if i%4 < 2 {
				p.socket().NetConn().(*net.TCPConn).SetLinger(0) // cut off with RST
			}
			p.socket().NetConn().Close()
		}
		p := s.join("after")
		p.push(note("after", 1, "j1", "job/self/name", "a"))
		p.want("ack")
	})
	goroutinesBack(t, before)
}

// Twenty tablets that never read hold up nobody and are let go.
func TestDB3TabletsThatNeverReadDelayNobody(t *testing.T) {
	log := openLog(t)
	before := runtime.NumGoroutine()
	text := strings.Repeat("x", 30<<10)
	for i := range 400 { // 12 MB: more than any socket's buffers
		if _, err := log.Append(t.Context(), "old", []string{note("old", i, "j1", "job/self/name", text)}); err != nil {
			t.Fatal(err)
		}
	}
	t.Run("stuck", func(t *testing.T) {
		lim := quick()
		lim.write = 8 * time.Second
		s := openShop(t, log, lim, nil)
		healthy := s.join("healthy")
		healthy.level(400)
		for i := range 20 {
			p := s.peer(fmt.Sprint("stuck-", i))
			p.hello("measure")
		}
		var took []time.Duration
		var heap uint64
		for i := range 40 {
			start := time.Now()
			healthy.push(note("healthy", i, "j2", "job/self/name", "a"))
			healthy.level(401 + i)
			took = append(took, time.Since(start))
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			heap = max(heap, m.HeapAlloc)
			time.Sleep(20 * time.Millisecond)
		}
		slices.Sort(took)
		slowest := took[len(took)-1]
		t.Logf("push to echo: median %v, slowest %v (while the twenty catch up), heap up to %d MiB (tablets of the test included)",
			took[len(took)/2].Round(100*time.Microsecond), slowest.Round(100*time.Microsecond), heap>>20)
		// A server that waits for a stuck socket waits as long as a write may take.
		if median := took[len(took)/2]; slowest > lim.write*3/4 || median > 500*time.Millisecond {
			t.Errorf("push to echo: median %v, slowest %v; allowed 500 ms and %v", median, slowest, lim.write*3/4)
		}
		if heap > 64<<20 {
			t.Errorf("heap up to %d MiB; allowed 64", heap>>20)
		}
		end := time.Now().Add(40 * time.Second)
		for len(s.srv.hub.all()) > 1 {
			if time.Now().After(end) {
				t.Fatalf("%d stuck sockets were not let go", len(s.srv.hub.all())-1)
			}
			time.Sleep(20 * time.Millisecond)
		}
	})
	goroutinesBack(t, before)
}

// A queue that runs over says so once and takes nothing more.
func TestFullQueuesEndInResync(t *testing.T) {
	for name, frame := range map[string][]byte{"frames": []byte("x"), "bytes": make([]byte, 100<<10)} {
		t.Run(name, func(t *testing.T) {
			q := newQueue()
			for range queueFrames + 1 {
				q.put(frame)
			}
			q.put(frame)
			q.end(bye("stop", "later"))
			f, last := q.take()
			if !last || !strings.Contains(string(f), `"why":"resync"`) {
				t.Errorf("first came %.60q, want the bye resync", f)
			}
			if f, last := q.take(); f != nil || last {
				t.Errorf("then came %q", f)
			}
		})
	}
}

func TestShutdownSaysByeAndEndsEverything(t *testing.T) {
	log := openLog(t)
	before := runtime.NumGoroutine()
	l, err := Listen("localhost:0")
	if err != nil {
		t.Fatal(err)
	}
	srv, err := newServer(Config{Log: log, Pairs: log.pairs(), Logger: slog.New(slog.NewTextHandler(io.Discard, nil)), Now: time.Now}, quick())
	if err != nil {
		t.Fatal(err)
	}
	served := make(chan error, 1)
	go func() { served <- srv.Serve(l, Door{Hosts: Loopback(l.Addr()), Open: true}) }()
	s := &shop{t: t, srv: srv, host: l.Addr().String()}
	readers := []*peer{s.join("one"), s.join("two")}
	s.peer("no-hello")
	s.join("reads-no-bye")
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Second)
	defer cancel()
	done := make(chan error, 1)
	go func() { done <- srv.Shutdown(ctx) }()
	for _, p := range readers {
		p.wantBye("stop")
	}
	start := time.Now()
	select {
	case err := <-done:
		if err != nil || time.Since(start) > 2*time.Second {
			t.Errorf("shut down after %v: %v", time.Since(start).Round(time.Millisecond), err)
		}
	case <-time.After(6 * time.Second):
		t.Fatal("shutdown does not end")
	}
	if err := <-served; err != nil {
		t.Error(err)
	}
	if _, _, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/sync", nil); err == nil {
		t.Error("a socket opened after the shutdown")
	}
	goroutinesBack(t, before)
}
