package server

import (
	"fmt"
	"net"
	"net/http"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/ledger"
)

// heapNow returns the bytes in use once the garbage is gone.
func heapNow() int64 {
	runtime.GC()
	runtime.GC() // what the first one only set free to be collected
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// attack runs f while a tablet goes on saving, and logs how long its saves took.
func attack(t *testing.T, saver *peer, n *int, name string, f func()) {
	t.Helper()
	done := make(chan struct{})
	go func() { defer close(done); f() }()
	var took []time.Duration
	for isOver := false; !isOver || len(took) < 20; {
		select {
		case <-done:
			isOver = true
		default:
		}
		start := time.Now()
		saver.push(note(saver.dev, *n, "j2", "job/self/name", "a"))
		saver.want("ack")
		*n++
		took = append(took, time.Since(start))
		time.Sleep(5 * time.Millisecond)
	}
	slices.Sort(took)
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	t.Logf("%s: %d saves meanwhile, median %v, slowest %v; heap %d MiB", name, len(took), took[len(took)/2].Round(10*time.Microsecond), took[len(took)-1].Round(10*time.Microsecond), m.HeapAlloc>>20)
	if slowest := took[len(took)-1]; slowest > 5*time.Second || took[len(took)/2] > 500*time.Millisecond {
		t.Errorf("%s: saves took %v in the median, %v at most; allowed 500 ms and 5 s", name, took[len(took)/2], slowest)
	}
}

// TL7, TL9, TL10: whoever stands in the Wi-Fi, and a tablet that was taken over, do
// the worst they can: a frame of 256 MiB, a thousand sockets and connections that
// say nothing, twenty readers that are stuck, pictures that are none and one that
// claims gigapixels. The others' saves go on, newcomers come in, and afterwards the
// memory is what it was.
func TestTL10HostileClientsTakeNothingFromTheOthers(t *testing.T) {
	log := openLog(t)
	text := strings.Repeat("x", 30<<10)
	for i := range 400 { // 12 MB: more than any socket's buffers
		if _, err := log.Append(t.Context(), "old", []string{note("old", i, "j1", "job/self/name", text)}); err != nil {
			t.Fatal(err)
		}
	}
	goroutines := runtime.NumGoroutine()
	t.Run("attacks", func(t *testing.T) {
		lim := quick()
		lim.hello = 2 * time.Second
		s := openShop(t, log, lim, nil).lan()
		saver := s.paired("saver", ledger.Measure)
		saver.level(400)
		n := 0
		thief := s.pair("thief", ledger.Measure)
		attack(t, saver, &n, "nothing", func() { time.Sleep(100 * time.Millisecond) })
		before := heapNow()

		attack(t, saver, &n, "a frame of 256 MiB", func() {
			for _, p := range []*peer{s.peer("nobody"), s.again(thief)} {
				if p.token != "" {
					p.want("welcome")
				}
				conn := p.socket().NetConn()
				conn.SetWriteDeadline(time.Now().Add(5 * time.Second))
				_, err := conn.Write([]byte{0x81, 0xff, 0, 0, 0, 0, 0x10, 0, 0, 0, 0, 0, 0, 0})
				block := make([]byte, 64<<10)
				sent := 0
				for err == nil && sent < 256<<20 {
					var w int
					w, err = conn.Write(block)
					sent += w
				}
				t.Logf("%s: %d KiB of it left", p.dev, sent>>10)
				if err == nil {
					t.Errorf("%s: a frame of %d bytes was taken", p.dev, sent)
				}
				p.conn.Close()
			}
		})

		attack(t, saver, &n, "1,000 idle sockets", func() {
			in, out := 0, 0
			var held []net.Conn
			for range 1000 {
				conn, resp, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/sync", http.Header{"Origin": {"http://" + s.host}})
				if err == nil {
					in++
					held = append(held, conn.NetConn())
				} else if resp != nil && resp.StatusCode == http.StatusServiceUnavailable {
					out++
				}
				tcp, err := net.Dial("tcp", s.host)
				if err != nil {
					t.Error(err)
					return
				}
				fmt.Fprintf(tcp, "GET / HTTP/1.1\r\nHost: %s\r\nX-Slow: ", s.host)
				held = append(held, tcp)
			}
			t.Logf("%d of 1,000 sockets got a place, %d were told to wait", in, out)
			if in+out != 1000 || out < 900 {
				t.Errorf("%d in, %d out", in, out)
			}
			// From another machine a tablet comes in all the same.
			dialer := websocket.Dialer{NetDial: (&net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 0, 2)}}).Dial}
			conn, resp, err := dialer.Dial("ws://"+s.host+"/sync", http.Header{"Origin": {"http://" + s.host}})
			if err != nil && resp == nil {
				t.Logf("no second address on this machine: %v", err)
			} else if err != nil {
				t.Errorf("a tablet at another address: %v %v", resp, err)
			} else {
				p := s.over(conn, thief.dev)
				p.token = thief.token
				p.hello("measure")
				p.want("welcome")
				conn.Close()
			}
			for _, c := range held {
				c.Close()
			}
		})

		attack(t, saver, &n, "20 stuck readers", func() {
			var stuck []*peer
			for i := range 20 {
				stuck = append(stuck, s.again(s.pair(fmt.Sprint("stuck-", i), ledger.Measure)))
			}
			end := time.Now().Add(30 * time.Second)
			for len(s.srv.hub.all()) > 1 && time.Now().Before(end) {
				time.Sleep(20 * time.Millisecond)
			}
			if left := len(s.srv.hub.all()); left > 1 {
				t.Errorf("%d stuck readers were not let go", left-1)
			}
			for _, p := range stuck {
				p.conn.Close()
			}
		})

		attack(t, saver, &n, "pages, drawings, polyglots and gigapixels as pictures", func() {
			var several sync.WaitGroup
			for range 4 {
				several.Go(func() {
					for _, name := range []string{"page.jpg", "drawing.jpg", "page-behind.jpg", "page-behind.png", "huge.jpg", "huge.png"} {
						b := pictureFile(t, name)
						m := manifestOf(b)
						s.ask("PUT", "/blob/"+m.SHA+"/manifest", thief.token, encode(m))
						m.W, m.H = 8, 8 // and lying
						s.ask("PUT", "/blob/"+m.SHA+"/manifest", thief.token, encode(m))
						if status, body := s.ask("PUT", "/blob/"+m.SHA+"/0", thief.token, b); status == http.StatusOK {
							t.Errorf("%s was taken: %s", name, body)
						}
						if status, body := s.ask("GET", "/blob/"+m.SHA, thief.token, nil); status != http.StatusNotFound {
							t.Errorf("%s is served: %d %.80s", name, status, body)
						}
					}
				})
			}
			several.Wait()
		})

		http.DefaultClient.CloseIdleConnections()
		end := time.Now().Add(10 * time.Second)
		after := heapNow()
		for (after-before > 4<<20 || len(s.srv.hub.all()) > 1) && time.Now().Before(end) {
			time.Sleep(100 * time.Millisecond)
			after = heapNow()
		}
		t.Logf("heap before %.1f MiB, after %.1f MiB (the saver's own memory of %d records included)", float64(before)/(1<<20), float64(after)/(1<<20), len(saver.order))
		if after-before > 8<<20 {
			t.Errorf("the heap grew by %d KiB; allowed 8 MiB", (after-before)>>10)
		}
	})
	http.DefaultClient.CloseIdleConnections()
	goroutinesBack(t, goroutines)
}
