package server

import (
	"errors"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

func TestSilentNewcomersAreSentAway(t *testing.T) {
	lim := quick()
	lim.hello = 100 * time.Millisecond
	p := openShop(t, openLog(t), lim, nil).peer("one")
	start := time.Now()
	p.wantBye("hello")
	if d := time.Since(start); d > 3*time.Second {
		t.Errorf("sent away after %v", d)
	}
}

func TestFirstFramesThatAreNoHelloEndTheSocket(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	long := strings.Repeat("x", 100)
	for _, c := range []struct{ name, frame, why string }{
		{"a push", `{"t":"push","recs":[]}`, "hello"},
		{"no JSON", `hello`, "frame"},
		{"no t", `{}`, "frame"},
		{"t is null", `{"t":null}`, "frame"},
		{"a list", `[]`, "frame"},
		{"unknown kind", `{"t":"` + long + `"}`, "frame"},
		{"no role", `{"t":"hello","proto":[1,1],"dev":"a"}`, "frame"},
		{"unknown role", `{"t":"hello","proto":[1,1],"dev":"a","role":"admin"}`, "frame"},
		{"no dev", `{"t":"hello","proto":[1,1],"role":"measure"}`, "frame"},
		{"dev with a slash", `{"t":"hello","proto":[1,1],"dev":"a/b","role":"measure"}`, "frame"},
		{"long dev", `{"t":"hello","proto":[1,1],"dev":"` + long + `","role":"measure"}`, "frame"},
		{"long name", `{"t":"hello","proto":[1,1],"dev":"a","name":"` + long + `","role":"measure"}`, "frame"},
		{"negative cursor", `{"t":"hello","proto":[1,1],"dev":"a","role":"measure","cursor":-1}`, "frame"},
		{"cursor above 2^53", `{"t":"hello","proto":[1,1],"dev":"a","role":"measure","cursor":9007199254740992,"chain":"` + strings.Repeat("00", 32) + `"}`, "frame"},
		{"fraction", `{"t":"hello","proto":[1,1],"dev":"a","role":"measure","cursor":1.5}`, "frame"},
		{"cursor without chain", `{"t":"hello","proto":[1,1],"dev":"a","role":"measure","cursor":5}`, "frame"},
		{"chain of odd letters", `{"t":"hello","proto":[1,1],"dev":"a","role":"measure","cursor":5,"chain":"zz"}`, "frame"},
		{"proto backwards", `{"t":"hello","proto":[2,1],"dev":"a","role":"measure"}`, "frame"},
		{"newer proto only", `{"t":"hello","proto":[2,3],"dev":"a","role":"measure"}`, "update"},
		{"not UTF-8", "{\"t\":\"hello\xff\"}", "frame"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := s.peer("one")
			p.t = t
			if err := p.conn.WriteMessage(websocket.TextMessage, []byte(c.frame)); err != nil {
				t.Fatal(err)
			}
			p.wantBye(c.why)
		})
	}
	p := s.peer("one")
	if err := p.conn.WriteMessage(websocket.BinaryMessage, []byte(`{}`)); err != nil {
		t.Fatal(err)
	}
	p.wantBye("frame")
}

func TestDB4LargeFramesAreRefusedUnread(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	tooLarge := func(p *peer, size int) {
		t.Helper()
		p.conn.WriteMessage(websocket.TextMessage, []byte(`{"t":"push","recs":["`+strings.Repeat("x", size)+`"]}`))
		_, err := p.next()
		// The close code may be lost when the server closes on unread bytes.
		var closed *websocket.CloseError
		if err == nil || errors.As(err, &closed) && closed.Code != websocket.CloseMessageTooBig {
			t.Errorf("a frame of %d bytes: %v, want the socket closed with 1009", size, err)
		}
	}
	tooLarge(s.peer("one"), helloFrame)
	tooLarge(s.join("two"), anyFrame)
	tooLarge(s.join("three"), 8*anyFrame)
}

func TestPushesAboveTheLimitsAreRefusedWhole(t *testing.T) {
	log := openLog(t)
	s := openShop(t, log, quick(), nil)
	many := make([]string, pushRecords+1)
	for i := range many {
		many[i] = note("one", i, "j1", "job/self/name", "a")
	}
	heavy := make([]string, 9)
	for i := range heavy {
		heavy[i] = note("one", 1000+i, "j1", "job/self/name", strings.Repeat("x", 60<<10))
	}
	for name, raws := range map[string][]string{
		"records": many, "bytes": heavy, "one record": {note("one", 2000, "j1", "job/self/name", strings.Repeat("x", recordBytes))},
	} {
		t.Run(name, func(t *testing.T) {
			p := s.join("one")
			p.t = t
			p.push(raws...)
			if f := p.wantBye("limit"); !strings.Contains(f.Text, "allowed") {
				t.Errorf("text is %q; it should name the allowed range", f.Text)
			}
		})
	}
	if high, err := log.High(t.Context()); err != nil || high != 0 {
		t.Errorf("log ends at %d (%v), want 0", high, err)
	}
	p := s.join("one") // just within
	p.push(many[:pushRecords]...)
	p.push(heavy[:8]...)
	p.level(pushRecords + 8)
}

func TestSocketsAreCounted(t *testing.T) {
	lim := quick()
	lim.sockets = 3
	s := openShop(t, openLog(t), lim, nil)
	a, b := s.join("a"), s.join("b")
	s.join("c")
	_, resp, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/sync", http.Header{"Origin": {"http://" + s.host}})
	if err == nil || resp.StatusCode != http.StatusServiceUnavailable || resp.Header.Get("Retry-After") == "" {
		t.Errorf("a fourth socket: %v %v, want 503 with Retry-After", resp, err)
	}
	a.conn.Close()
	b.conn.Close()
	end := time.Now().Add(5 * time.Second)
	for {
		conn, _, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/sync", http.Header{"Origin": {"http://" + s.host}})
		if err == nil {
			conn.Close()
			break
		}
		if time.Now().After(end) {
			t.Fatal("no place was given back")
		}
		time.Sleep(10 * time.Millisecond)
	}
}

func TestOneDeviceHasFourSockets(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for range shopLimits.perDevice {
		s.join("one")
	}
	p := s.peer("one")
	p.hello("measure")
	p.wantBye("full")
	s.join("two")
}

// A tablet between dead spots leaves sockets behind that nobody closes.
func TestDeadSocketsMakeRoomForTheSameTablet(t *testing.T) {
	lim := quick()
	lim.silent = 50 * time.Millisecond
	s := openShop(t, openLog(t), lim, nil)
	for range lim.perDevice {
		s.join("one")
	}
	time.Sleep(2 * lim.silent)
	for range 3 * lim.perDevice {
		p := s.join("one")
		p.push(note("one", 1, "j1", "job/self/name", "a"))
		p.want("ack")
		time.Sleep(lim.silent * 3 / 2)
	}
	if n := len(s.srv.hub.all()); n > lim.perDevice {
		t.Errorf("%d sockets of one device", n)
	}
}

// A fast sender waits and loses nothing.
func TestFastPushesAreSpread(t *testing.T) {
	lim := quick()
	lim.rate = 40
	s := openShop(t, openLog(t), lim, nil)
	p := s.join("one")
	start := time.Now()
	for i := range 80 {
		p.push(note("one", i, "j1", "job/self/name", "a"))
	}
	p.level(80)
	if d := time.Since(start); d < 700*time.Millisecond || d > 15*time.Second {
		t.Errorf("80 frames at 40 a second after a burst of 40 took %v, want about 1 s", d)
	}
}

func TestPaceAllowsABurstThenARate(t *testing.T) {
	var p pace
	now := testClock
	for i := range 50 {
		if d := p.delay(now, 50); d != 0 {
			t.Fatalf("frame %d of the burst waits %v", i, d)
		}
	}
	if d := p.delay(now, 50); d != 20*time.Millisecond {
		t.Errorf("frame 51 waits %v, want 20ms", d)
	}
	if d := p.delay(now.Add(time.Hour), 50); d != 0 {
		t.Errorf("after an hour a frame waits %v", d)
	}
}

func TestDB11SocketsHaveNoCompression(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	d := websocket.Dialer{EnableCompression: true}
	conn, resp, err := d.Dial("ws://"+s.host+"/sync", http.Header{"Origin": {"http://" + s.host}})
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if got := resp.Header.Values("Sec-WebSocket-Extensions"); len(got) != 0 || upgrader.EnableCompression {
		t.Errorf("extensions %v agreed on; some tablets lose the connection with any", got)
	}
}

// Without any frame a socket ends; any frame, a pong too, keeps it.
func TestDB5DeadSocketsEnd(t *testing.T) {
	lim := quick()
	lim.read, lim.ping = 300*time.Millisecond, 100*time.Millisecond
	s := openShop(t, openLog(t), lim, nil)
	alive := s.join("alive")
	dead := s.join("dead")
	dead.socket().SetPingHandler(func(string) error { return nil })
	ended := make(chan error, 1)
	go func() { _, err := dead.next(); ended <- err }()
	go func() {
		for {
			if _, err := alive.next(); err != nil { // reading answers pings
				return
			}
		}
	}()
	select {
	case <-ended:
	case <-time.After(3 * time.Second):
		t.Fatal("a socket that answers nothing stays open")
	}
	time.Sleep(2 * lim.read)
	if n := len(s.srv.hub.all()); n != 1 {
		t.Errorf("%d sockets are in, want the one that answers pings", n)
	}
}
