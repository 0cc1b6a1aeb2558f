package server

import (
	"context"
	"crypto/tls"
	"encoding/binary"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"github.com/gorilla/websocket"
)

// A tablet whose page is frozen still answers pings, deep in the browser. The
// wall goes by what its program says.
func TestSY13PongsAreNoSignOfLife(t *testing.T) {
	lim := quick()
	lim.ping, lim.board = 20*time.Millisecond, 50*time.Millisecond
	var passed atomic.Int64
	s := openShopAt(t, openLog(t), lim, nil, func() time.Time { return testClock.Add(time.Duration(passed.Load())) })
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	frozen := s.join("frozen")
	var pings atomic.Int64
	pong := frozen.socket().PingHandler()
	frozen.socket().SetPingHandler(func(data string) error { pings.Add(1); return pong(data) })
	go func() {
		for {
			if _, err := frozen.next(); err != nil { // reading answers pings
				return
			}
		}
	}()
	heard := fmt.Sprintf(`"name":"tablet frozen","last_ms":%d`, testClock.UnixMilli())
	for !strings.Contains(wall.want("board").raw, heard) { // until the wall knows it at all
	}
	for pings.Load() < 10 {
		passed.Add(int64(5 * time.Second))
		if f := wall.want("board"); !strings.Contains(f.raw, heard) {
			t.Fatalf("after %d pongs and %v the wall shows %s, want %s", pings.Load(), time.Duration(passed.Load()), f.raw, heard)
		}
	}
	frozen.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1})
	for end := time.Now().Add(5 * time.Second); strings.Contains(wall.want("board").raw, heard); {
		if time.Now().After(end) {
			t.Fatal("a heartbeat of the program does not reach the wall")
		}
	}
}

// Huge frames, sockets that say nothing and headers that never end cost little,
// and the page is served all the same.
func TestDB4MemoryStaysFlatAndThePageAnswers(t *testing.T) {
	s := openShop(t, openLog(t), quick(), fstest.MapFS{"index.html": {Data: []byte("<p>app")}})
	runtime.GC()
	var before runtime.MemStats
	runtime.ReadMemStats(&before)
	for i := range 100 { // beside them the few sockets of this test
		s.join(fmt.Sprint("idle-", i))
	}
	for range 1000 {
		conn, err := net.Dial("tcp", s.host)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		fmt.Fprintf(conn, "GET / HTTP/1.1\r\nHost: %s\r\nX-Slow: ", s.host) // and nothing more
	}
	huge := s.join("huge")
	conn := huge.socket().NetConn()
	header := []byte{0x81, 0xff, 0, 0, 0, 0, 0x10, 0, 0, 0, 0, 0, 0, 0} // a masked text frame of 256 MiB
	conn.SetWriteDeadline(time.Now().Add(5 * time.Second))
	_, err := conn.Write(header)
	block := make([]byte, 64<<10)
	sent := 0
	for err == nil && sent < 256<<20 {
		var n int
		n, err = conn.Write(block)
		sent += n
	}
	if err == nil {
		t.Errorf("a frame of %d bytes was taken", sent)
	}
	var after runtime.MemStats
	runtime.ReadMemStats(&after)
	grown := (int64(after.HeapAlloc) - int64(before.HeapAlloc)) >> 20
	t.Logf("the heap grew by %d MiB, the tablets of the test included; %d bytes of the huge frame left", grown, sent)
	if grown > 64 {
		t.Errorf("the heap grew by %d MiB; allowed 64", grown)
	}
	client := http.Client{Timeout: 5 * time.Second}
	resp, err := client.Get("http://" + s.host + "/")
	if err != nil {
		t.Fatalf("the page does not answer: %v", err)
	}
	defer resp.Body.Close()
	if got := body(t, resp.Body); got != "<p>app" {
		t.Errorf("the page is %q", got)
	}
}

// Where pages come over HTTP/2, the socket still opens over HTTP/1.1: the server
// does not offer websockets over HTTP/2, so no browser tries.
func TestDB12SocketsOpenBesidePagesOverHTTP2(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	host := listener.Addr().String()
	log := openLog(t)
	srv, err := newServer(Config{Log: log, Pairs: log.pairs(), Assets: fstest.MapFS{"index.html": {Data: []byte("<p>app")}}, Logger: slog.New(slog.NewTextHandler(io.Discard, nil)),
		Now: time.Now}, quick())
	if err != nil {
		t.Fatal(err)
	}
	secure := httptest.NewUnstartedServer(srv.Handler(Door{Hosts: []string{host}, Open: true}))
	secure.Listener.Close()
	secure.Listener = listener
	secure.EnableHTTP2 = true
	secure.StartTLS()
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		if err := srv.Shutdown(ctx); err != nil {
			t.Error(err)
		}
		secure.Close()
	})
	resp, err := secure.Client().Get("https://" + host + "/")
	if err != nil || resp.ProtoMajor != 2 {
		t.Fatalf("the page came over %v, %v; want HTTP/2", resp, err)
	}
	resp.Body.Close()
	roots := secure.Client().Transport.(*http.Transport).TLSClientConfig.RootCAs
	dialer := websocket.Dialer{TLSClientConfig: &tls.Config{RootCAs: roots, NextProtos: []string{"http/1.1"}}}
	conn, answer, err := dialer.Dial("wss://"+host+"/sync", http.Header{"Origin": {"https://" + host}})
	if err != nil {
		t.Fatalf("the socket beside it: %v %v", answer, err)
	}
	conn.Close()
	for id, value := range settings(t, host, &tls.Config{RootCAs: roots, NextProtos: []string{"h2"}}) {
		if id == 8 && value != 0 { // SETTINGS_ENABLE_CONNECT_PROTOCOL, RFC 8441 section 3, from memory
			t.Error("the server offers websockets over HTTP/2, which the upgrade does not know")
		}
	}
}

// settings reads what an HTTP/2 server says of itself in its first frame (RFC 9113
// sections 3.4, 4.1 and 6.5, from memory).
func settings(t *testing.T, host string, config *tls.Config) map[uint16]uint32 {
	t.Helper()
	conn, err := tls.Dial("tcp", host, config)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	conn.SetDeadline(time.Now().Add(5 * time.Second))
	if _, err := io.WriteString(conn, "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\x00\x00\x00\x04\x00\x00\x00\x00\x00"); err != nil {
		t.Fatal(err)
	}
	head := make([]byte, 9)
	if _, err := io.ReadFull(conn, head); err != nil || head[3] != 4 {
		t.Fatalf("the first frame is %v, %v", head, err)
	}
	payload := make([]byte, int(head[0])<<16|int(head[1])<<8|int(head[2]))
	if _, err := io.ReadFull(conn, payload); err != nil {
		t.Fatal(err)
	}
	out := map[uint16]uint32{}
	for ; len(payload) >= 6; payload = payload[6:] {
		out[binary.BigEndian.Uint16(payload)] = binary.BigEndian.Uint32(payload[2:])
	}
	if len(out) == 0 {
		t.Fatal("no settings were read")
	}
	return out
}
