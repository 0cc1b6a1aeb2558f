package history

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// echo is a server that sends every message back.
func echo(t *testing.T) *Proxy {
	t.Helper()
	up := websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/sync" {
			w.Header().Set("Says", r.Host+" "+r.Header.Get("Origin"))
			return
		}
		c, err := up.Upgrade(w, r, nil)
		if err != nil {
			return
		}
		defer c.Close()
		for {
			kind, b, err := c.ReadMessage()
			if err != nil || c.WriteMessage(kind, b) != nil {
				return
			}
		}
	}))
	t.Cleanup(s.Close)
	p, err := NewProxy(s.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.Close)
	return p
}

// The bad network does what it is told to the frame that it is told, and to no
// other: else a test over it says nothing.
func TestProxyLosesWhatItIsTold(t *testing.T) {
	long := strings.Repeat("x", 70_000)
	sent := []string{"one", long, "three", "four"}
	for _, tt := range []struct {
		name string
		fate Fate
		up   bool
		back []string
		ends bool // the client is told
	}{
		{"pass", Pass, true, sent, false},
		{"cut up", Cut, true, sent[:1], true},
		{"cut down", Cut, false, sent[:1], true},
		{"cut inside up", CutInside, true, sent[:1], true},
		{"cut inside down", CutInside, false, sent[:1], true},
		{"cut after down", CutAfter, false, sent[:2], true},
		{"double up", Double, true, []string{"one", long, long, "three", "four"}, false},
		{"silence", Silence, true, sent[:1], false},
		{"deaf down", Deaf, false, sent[:1], false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := echo(t)
			p.Fate = func(f Passing) (Fate, time.Duration) {
				if f.Who != "me" {
					t.Errorf("a frame of %q", f.Who)
				}
				if f.Up == tt.up && f.N == 2 {
					return tt.fate, 0
				}
				return Pass, 0
			}
			c, _, err := websocket.DefaultDialer.Dial("ws://"+p.Addr+"/sync?t=me", nil)
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close()
			read := func(limit time.Duration) (string, error) {
				c.SetReadDeadline(time.Now().Add(limit))
				_, b, err := c.ReadMessage()
				return string(b), err
			}
			var back []string
			for _, text := range sent {
				if c.WriteMessage(websocket.TextMessage, []byte(text)) != nil {
					break
				}
				if back == nil { // what a cut meets on its way back is lost too
					first, err := read(10 * time.Second)
					if err != nil {
						t.Fatal(err)
					}
					back = append(back, first)
				}
			}
			for len(back) < len(tt.back)+1 {
				limit := 10 * time.Second
				if len(back) == len(tt.back) && !tt.ends {
					limit = 200 * time.Millisecond // nothing more may come
				}
				text, err := read(limit)
				if err != nil {
					if ended := !strings.Contains(err.Error(), "timeout"); ended != tt.ends {
						t.Errorf("in the end: %v", err)
					}
					break
				}
				back = append(back, text)
			}
			if !slices.Equal(back, tt.back) {
				t.Errorf("%d messages came back, want %d", len(back), len(tt.back))
			}
		})
	}
}

func TestProxyPutsTheServersNameIntoTheHead(t *testing.T) {
	p := echo(t)
	req, err := http.NewRequest("GET", "http://"+p.Addr+"/", nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Origin", "http://"+p.Addr)
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	// The answer names the proxy again.
	if got, want := res.Header.Get("Says"), p.Addr+" http://"+p.Addr; got != want {
		t.Errorf("the server saw, as told back, %q; want %q", got, want)
	}
}
