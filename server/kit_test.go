package server

import (
	"bytes"
	"compress/flate"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
	"tubewright/store"
)

// storeLog is the real store as the server's Log.
type storeLog struct{ *store.Store }

func (l storeLog) Append(ctx context.Context, dev string, raws []string) (Appended, error) {
	a, err := l.Store.Append(ctx, dev, raws)
	return Appended{Stored: a.Stored, Known: a.Known, Quarantined: a.Quarantined, Pos: a.Pos}, err
}

func (l storeLog) After(ctx context.Context, pos int64, maxBytes int) (Page, error) {
	p, err := l.Store.After(ctx, pos, maxBytes)
	out := Page{From: p.From, To: p.To, Chain: p.Chain}
	for _, r := range p.Rows {
		out.Rows = append(out.Rows, Row{Pos: r.Pos, ID: r.ID, Raw: r.Raw})
	}
	return out, err
}

func (l storeLog) Devices(ctx context.Context) ([]Device, error) {
	ds, err := l.Store.Devices(ctx)
	var out []Device
	for _, d := range ds {
		out = append(out, Device{Dev: d.Dev, Name: d.Name, Heard: d.Heard})
	}
	return out, err
}

func (l storeLog) blobs() Blobs { return storeBlobs{l.Store} }

func (l storeLog) pairs() Pairs { return storePairs(l) }

// storePairs is the real store as the server's Pairs.
type storePairs struct{ *store.Store }

func (p storePairs) Pair(ctx context.Context, d Paired, token [32]byte) error {
	return p.Store.Pair(ctx, store.Paired{Dev: d.Dev, Name: d.Name, Role: string(d.Role), At: d.At}, token)
}

func (p storePairs) PairedBy(ctx context.Context, token [32]byte) (Paired, bool, error) {
	d, known, err := p.Store.PairedBy(ctx, token)
	return pairedOf(d), known, err
}

func (p storePairs) AllPaired(ctx context.Context) ([]Paired, error) {
	all, err := p.Store.AllPaired(ctx)
	var out []Paired
	for _, d := range all {
		out = append(out, pairedOf(d))
	}
	return out, err
}

func (p storePairs) PutAside(ctx context.Context, dev string, raws []string, room AsideRoom) (Appended, error) {
	a, err := p.Store.PutAside(ctx, dev, raws, store.Room(room))
	return Appended{Known: a.Known, Quarantined: a.Quarantined, NoRoom: a.NoRoom, Pos: a.Pos}, err
}

func (p storePairs) AsideOf(ctx context.Context) (map[string]AsideCount, error) {
	all, err := p.Store.AsideOf(ctx)
	out := make(map[string]AsideCount, len(all))
	for dev, n := range all {
		out[dev] = AsideCount{Open: n.Open, Used: AsideRoom(n.Used)}
	}
	return out, err
}

func pairedOf(d store.Paired) Paired {
	return Paired{Dev: d.Dev, Name: d.Name, Role: ledger.Role(d.Role), At: d.At, Revoked: d.Revoked}
}

// storeBlobs is the real store as the server's Blobs.
type storeBlobs struct{ s *store.Store }

func (b storeBlobs) Blob(ctx context.Context, sha string) (BlobState, error) {
	st, err := b.s.Blob(ctx, sha)
	return BlobState(st), refusedBy(err)
}

func (b storeBlobs) BeginBlob(ctx context.Context, m Manifest) (BlobState, error) {
	st, err := b.s.BeginBlob(ctx, store.Manifest(m))
	return BlobState(st), refusedBy(err)
}

func (b storeBlobs) PutChunk(ctx context.Context, sha string, i int, data []byte) (BlobState, error) {
	st, err := b.s.PutChunk(ctx, sha, i, data)
	return BlobState(st), refusedBy(err)
}

func (b storeBlobs) ReadBlob(ctx context.Context, sha string) (io.ReadSeekCloser, Manifest, error) {
	f, m, err := b.s.ReadBlob(ctx, sha)
	return f, Manifest(m), refusedBy(err)
}

func (b storeBlobs) ReadChunk(ctx context.Context, sha string, i int) ([]byte, error) {
	data, err := b.s.ReadChunk(ctx, sha, i)
	return data, refusedBy(err)
}

func refusedBy(err error) error {
	var r *store.Refusal
	if errors.As(err, &r) {
		return &BlobRefusal{Why: r.Why, Text: r.Text}
	}
	return err
}

func openLog(t testing.TB) storeLog {
	t.Helper()
	s, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return storeLog{s}
}

// shop is a running server of a test.
type shop struct {
	t       testing.TB
	srv     *Server
	handler http.Handler // without the listener
	host    string
	log     Log
}

// testLog is where servers of tests write their log.
var testLog io.Writer = io.Discard

// testClock is what every server of a test takes for now.
var testClock = time.UnixMilli(1764025441123).UTC()

// quick are the shop's limits with the waits that a test sits through made short.
func quick() limits {
	lim := shopLimits
	lim.drain = 200 * time.Millisecond
	lim.poll = 2 * time.Second
	lim.boardGap = 10 * time.Millisecond
	lim.rate = 100_000
	return lim
}

func openShop(t testing.TB, log Log, lim limits, files fs.FS) *shop {
	t.Helper()
	return openShopAt(t, log, lim, files, func() time.Time { return testClock })
}

func openShopAt(t testing.TB, log Log, lim limits, files fs.FS, now func() time.Time) *shop {
	t.Helper()
	l, err := Listen("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	var blobs Blobs
	if l, ok := log.(interface{ blobs() Blobs }); ok {
		blobs = l.blobs()
	}
	srv, err := newServer(Config{
		Log: log, Pairs: log.(interface{ pairs() Pairs }).pairs(), Blobs: blobs, Assets: files, Logger: slog.New(slog.NewTextHandler(testLog, nil)), Build: "test-1",
		Now: now,
	}, lim)
	if err != nil {
		t.Fatal(err)
	}
	served := make(chan error, 1)
	door := Door{Hosts: Loopback(l.Addr()), Open: true}
	go func() { served <- srv.Serve(l, door) }()
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		if err := srv.Shutdown(ctx); err != nil {
			t.Errorf("shutdown: %v", err)
		}
		if err := <-served; err != nil {
			t.Error(err)
		}
	})
	return &shop{t: t, srv: srv, handler: srv.Handler(door), host: l.Addr().String(), log: log}
}

// seen is any frame from the server.
type seen struct {
	T           string            `json:"t"`
	IDs         []string          `json:"ids"`
	Pos         int64             `json:"pos"`
	Quarantined []string          `json:"quarantined"`
	Refused     []refused         `json:"refused"`
	From        int64             `json:"from"`
	To          int64             `json:"to"`
	Recs        []json.RawMessage `json:"recs"`
	Chain       string            `json:"chain"`
	High        int64             `json:"high"`
	N           int64             `json:"n"`
	NowMS       int64             `json:"now_ms"`
	Done        []string          `json:"done"`
	Why         string            `json:"why"`
	Text        string            `json:"text"`
	Role        ledger.Role       `json:"role"`
	Name        string            `json:"name"`
	Revoked     bool              `json:"revoked"`
	Copied      int               `json:"copied"`
	raw         string
	packed      []byte // as it came, when it came packed
}

// line is a tablet's end of a connection: a websocket, or linkLine.
type line interface {
	ReadMessage() (int, []byte, error)
	WriteMessage(kind int, b []byte) error
	SetReadDeadline(time.Time) error
	SetWriteDeadline(time.Time) error
	Close() error
}

// peer is one tablet's connection, with as much of a tablet's memory as sync needs.
type peer struct {
	t      testing.TB
	conn   line
	dev    string
	token  string // of its pairing
	cursor int64
	chain  [32]byte
	whole  map[string]string // id to text, of records that came whole
	stubs  map[string]string // id to hash
	order  []string          // ids as they came
}

func (s *shop) dial() *websocket.Conn {
	s.t.Helper()
	conn, resp, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/sync", http.Header{"Origin": {"http://" + s.host}})
	if err != nil {
		s.t.Fatalf("dial: %v %v", err, resp)
	}
	s.t.Cleanup(func() { conn.Close() })
	return conn
}

func (s *shop) peer(dev string) *peer {
	s.t.Helper()
	return s.over(s.dial(), dev)
}

func (s *shop) over(conn line, dev string) *peer {
	return &peer{t: s.t, conn: conn, dev: dev, whole: map[string]string{}, stubs: map[string]string{}}
}

// join connects a tablet that holds nothing yet and reads its welcome.
func (s *shop) join(dev string) *peer {
	s.t.Helper()
	p := s.peer(dev)
	p.hello("measure")
	p.want("welcome")
	return p
}

// again connects with the memory of p, as the same tablet would.
func (s *shop) again(p *peer) *peer {
	s.t.Helper()
	q := s.peer(p.dev)
	q.token, q.cursor, q.chain, q.whole, q.stubs, q.order = p.token, p.cursor, p.chain, p.whole, p.stubs, p.order
	q.hello("measure")
	return q
}

// socket is the websocket of a peer that has one.
func (p *peer) socket() *websocket.Conn { return p.conn.(*websocket.Conn) }

func (p *peer) hello(role string) { p.helloThat(role, nil) }

// helloThat says hello as a tablet that unpacks what pack names.
func (p *peer) helloThat(role string, pack []string) {
	hello := map[string]any{"t": "hello", "proto": []int{1, 1}, "build": "test-1", "sv": 1, "role": role, "dev": p.dev,
		"name": "tablet " + p.dev, "cursor": p.cursor, "chain": hex.EncodeToString(p.chain[:]), "unsent": 0, "clock_ms": testClock.UnixMilli()}
	if pack != nil {
		hello["pack"] = pack
	}
	if p.token != "" {
		hello["token"] = p.token
	}
	p.send(hello)
}

func (p *peer) send(frame any) {
	p.t.Helper()
	p.conn.SetWriteDeadline(time.Now().Add(10 * time.Second))
	if err := p.conn.WriteMessage(websocket.TextMessage, encode(frame)); err != nil {
		p.t.Fatalf("%s: send: %v", p.dev, err)
	}
}

func (p *peer) push(raws ...string) {
	p.t.Helper()
	p.send(map[string]any{"t": "push", "recs": raws})
}

func (p *peer) next() (seen, error) {
	p.conn.SetReadDeadline(time.Now().Add(10 * time.Second))
	kind, b, err := p.conn.ReadMessage()
	if err != nil {
		return seen{}, err
	}
	var packed []byte
	if kind == websocket.BinaryMessage {
		packed = b
		if b, err = io.ReadAll(flate.NewReader(bytes.NewReader(packed))); err != nil {
			return seen{}, err
		}
	}
	f := seen{raw: string(b), packed: packed}
	if err := json.Unmarshal(b, &f); err != nil {
		return seen{}, fmt.Errorf("frame %.200s: %w", b, err)
	}
	if f.T == "feed" {
		err = p.take(f)
	}
	return f, err
}

// want reads on to the next frame of kind t; feeds on the way are taken in.
func (p *peer) want(t string) seen {
	p.t.Helper()
	for {
		f, err := p.next()
		if err != nil {
			p.t.Fatalf("%s: waiting for %s: %v", p.dev, t, err)
		}
		if f.T == t {
			return f
		}
		if f.T == "bye" || t == "welcome" || t == "reset" {
			p.t.Fatalf("%s: waiting for %s, got %s", p.dev, t, f.raw)
		}
	}
}

// take applies a feed page as a tablet does: only from its cursor, and only if
// the chain over its records is the server's.
func (p *peer) take(f seen) error {
	if f.From != p.cursor {
		return fmt.Errorf("page from %d at cursor %d", f.From, p.cursor)
	}
	for _, r := range f.Recs {
		var raw string
		var st stub
		if json.Unmarshal(r, &raw) == nil {
			rec, err := ledger.Decode(raw)
			if err != nil {
				return err
			}
			st.ID, st.H = rec.ID, fmt.Sprintf("%x", chain.Of(raw))
			p.whole[rec.ID] = raw
		} else if err := json.Unmarshal(r, &st); err != nil {
			return err
		} else {
			p.stubs[st.ID] = st.H
		}
		h, err := hex.DecodeString(st.H)
		if err != nil {
			return err
		}
		p.chain = chain.Next(p.chain, st.ID, [32]byte(h))
		p.order = append(p.order, st.ID)
	}
	if got := hex.EncodeToString(p.chain[:]); got != f.Chain {
		return fmt.Errorf("page %d to %d: chain is %s, the server says %s", f.From, f.To, got, f.Chain)
	}
	p.cursor = f.To
	return nil
}

// level reads until n records have come.
func (p *peer) level(n int) {
	p.t.Helper()
	for len(p.order) < n {
		f, err := p.next()
		if err != nil || f.T == "bye" {
			p.t.Fatalf("%s: %d of %d records, then %v %s", p.dev, len(p.order), n, err, f.raw)
		}
	}
}

// wantBye reads on to the bye and to the end of the connection.
func (p *peer) wantBye(why string) seen {
	p.t.Helper()
	f := p.want("bye")
	if f.Why != why || f.Text == "" {
		p.t.Fatalf("%s: bye is %s; want why %q and a text", p.dev, f.raw, why)
	}
	if g, err := p.next(); err == nil {
		p.t.Fatalf("%s: frame after the bye: %s", p.dev, g.raw)
	}
	return f
}

// recID is the n-th record id of a test; different letters for different devices.
func recID(dev string, n int) string {
	h := chain.Of(fmt.Sprintf("%s %d", dev, n))
	return ledger.ID([16]byte(h[:16]))
}

func note(dev string, n int, job, slot, text string) string {
	return rawRecord(dev, n, "note", job, slot, map[string]string{"text": text, "person": "Sam", "at": "2025-11-24T23:04:01+00:00"})
}

func rawRecord(dev string, n int, kind, job, slot string, body any) string {
	b, err := json.Marshal(map[string]any{"id": recID(dev, n), "dev": dev, "n": n, "hlc": fmt.Sprintf("%013d-0000-%s", testClock.UnixMilli()+int64(n), dev),
		"kind": kind, "job": job, "slot": slot, "sv": 1, "body": body})
	if err != nil {
		panic(err)
	}
	return string(b)
}

// goroutinesBack waits until no more goroutines run than before.
func goroutinesBack(t *testing.T, before int) {
	t.Helper()
	end := time.Now().Add(15 * time.Second)
	for runtime.NumGoroutine() > before {
		if time.Now().After(end) {
			buf := make([]byte, 1<<20)
			t.Fatalf("%d goroutines, before %d:\n%s", runtime.NumGoroutine(), before, buf[:runtime.Stack(buf, true)])
		}
		time.Sleep(20 * time.Millisecond)
	}
}
