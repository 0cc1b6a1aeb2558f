package history

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/chain"
)

// Client is the program of Tablet at a real server. Its disk is in memory.
type Client struct {
	Addr   string        // host:port of the server, or of a proxy before it
	Name   string        // for the proxy to tell clients apart
	Most   int           // records in one push; 0: as many as the server takes
	Beat   time.Duration // between heartbeats
	Silent time.Duration // without any frame: the connection is dead

	mu   sync.Mutex
	t    *Tablet
	conn *websocket.Conn
	made []*Rec // whatever became of the disk since
}

// NewClient returns a client with an empty disk that is not connected.
func NewClient(addr, dev string, seed uint64) *Client {
	rnd := rand.New(rand.NewPCG(seed, 0))
	c := &Client{Addr: addr, Name: dev, Beat: 2 * time.Second, Silent: 6 * time.Second}
	c.t = newTablet(NewDisk(dev), &Broken{}, rnd, func() string { return randomID(rnd) })
	return c
}

// Keep opens a form on a slot, does the act and keeps the record; nil when there
// was nothing to act on.
func (c *Client) Keep(slot string, a Act) *Rec {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.t.keep(c.t.openForm(slot), a, time.Now().UnixMilli()-shopNow) {
		return nil
	}
	c.flush()
	r := c.t.Disk.Saved[len(c.t.Disk.Saved)-1]
	c.made = append(c.made, r)
	return r
}

// Made returns every record that was ever kept here.
func (c *Client) Made() []*Rec {
	c.mu.Lock()
	defer c.mu.Unlock()
	return slices.Clone(c.made)
}

// Disk returns a copy of what is on the disk now.
func (c *Client) Disk() *Disk {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t.Disk.copy()
}

// PutBack puts another disk in place, as a copy of an older or another tablet's
// one. The connection ends.
func (c *Client) PutBack(d *Disk) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t.die()
	c.t.Disk = d.copy()
	c.t.begin()
	c.hangUp()
}

// At returns the cursor, the chain there, and how many records wait in the outbox.
func (c *Client) At() (cursor int64, sum chain.Sum, unsent int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t.Disk.Cursor, c.t.Disk.Chain, c.t.Disk.Unsent()
}

// End returns where the shop's log ends and the chain there, once this client has
// read it that far; else -1.
func (c *Client) End() (pos int64, sum chain.Sum) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.t.welcome || c.t.Disk.Cursor < c.t.high {
		return -1, sum
	}
	return c.t.Disk.Cursor, c.t.Disk.Chain
}

// Stay connects, again and again, until ctx ends.
func (c *Client) Stay(ctx context.Context) {
	for ctx.Err() == nil {
		if c.Connect(ctx) == nil {
			continue
		}
		select {
		case <-ctx.Done():
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// Connect talks to the server until the connection ends or ctx does. The error
// says why it ended, nil when the server had welcomed this client.
func (c *Client) Connect(ctx context.Context) error {
	dial, cancel := context.WithTimeout(ctx, c.Silent)
	defer cancel()
	conn, _, err := websocket.DefaultDialer.DialContext(dial, "ws://"+c.Addr+"/sync?t="+c.Name, http.Header{"Origin": {"http://" + c.Addr}})
	if err != nil {
		return err
	}
	defer conn.Close()
	defer context.AfterFunc(ctx, func() { conn.Close() })()
	l := &Link{}
	c.mu.Lock()
	c.conn = conn
	c.t.hello(l)
	c.flush()
	c.mu.Unlock()
	done := make(chan struct{})
	defer close(done)
	go c.beats(conn, done)
	welcomed := false
	for {
		conn.SetReadDeadline(time.Now().Add(c.Silent))
		_, b, err := conn.ReadMessage()
		if err != nil {
			if welcomed {
				return nil
			}
			return err
		}
		f, err := readFrame(b, c.Most)
		if err != nil {
			return err
		}
		c.mu.Lock()
		if c.conn != conn {
			c.mu.Unlock()
			return errors.New("replaced")
		}
		c.t.take(f)
		c.flush()
		dropped := c.t.link != l
		c.mu.Unlock()
		welcomed = welcomed || f.T == "welcome" || f.T == "reset"
		if dropped {
			return errors.New("given up")
		}
		if f.T == "bye" {
			return fmt.Errorf("bye: %s", b)
		}
	}
}

// beats asks the server for a sign of life until done, so that silence means something.
func (c *Client) beats(conn *websocket.Conn, done chan struct{}) {
	tick := time.NewTicker(c.Beat)
	defer tick.Stop()
	for n := 1; ; n++ {
		select {
		case <-done:
			return
		case <-tick.C:
		}
		c.mu.Lock()
		if c.conn == conn && c.t.welcome {
			c.write(fmt.Appendf(nil, `{"t":"hb","n":%d,"now_ms":1}`, n))
		}
		c.mu.Unlock()
	}
}

func (c *Client) hangUp() {
	if c.conn != nil {
		c.conn.Close()
		c.conn = nil
	}
}

// flush writes the frames that the tablet has made.
func (c *Client) flush() {
	l := c.t.link
	if l == nil || c.conn == nil {
		return
	}
	for _, f := range l.up {
		c.write(writeFrame(f))
	}
	l.up = nil
}

func (c *Client) write(b []byte) {
	c.conn.SetWriteDeadline(time.Now().Add(c.Silent))
	if c.conn.WriteMessage(websocket.TextMessage, b) != nil {
		c.conn.Close() // the reader finds out by that
	}
}

// writeFrame returns a frame up as it is on the wire.
func writeFrame(f *Frame) []byte {
	var v any
	switch f.T {
	case "hello":
		v = map[string]any{"t": "hello", "proto": []int{1, 1}, "build": "history", "sv": 1, "role": "bench", "dev": f.Dev, "name": f.Dev,
			"cursor": f.Cursor, "chain": hex.EncodeToString(f.Chain[:]), "unsent": 0, "clock_ms": shopNow}
	case "pull":
		v = map[string]any{"t": "pull", "cursor": f.Cursor, "chain": hex.EncodeToString(f.Chain[:])}
	case "push":
		recs := make([]string, len(f.Recs))
		for i, r := range f.Recs {
			recs[i] = r.Text
		}
		v = map[string]any{"t": "push", "recs": recs}
	}
	b, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("history: bug: %s: %v", f.T, err))
	}
	return b
}

// readFrame reads a frame down from the wire.
func readFrame(b []byte, most int) (*Frame, error) {
	var in struct {
		T           string
		High        int64
		From, To    int64
		Chain       string
		IDs         []string
		Quarantined []string
		Refused     []struct{ ID string }
		Recs        []json.RawMessage
		Limits      struct {
			Push int `json:"push_records"`
		}
	}
	if err := json.Unmarshal(b, &in); err != nil {
		return nil, fmt.Errorf("frame %.100s: %w", b, err)
	}
	f := &Frame{T: in.T, High: in.High, From: in.From, To: in.To, IDs: in.IDs, Aside: in.Quarantined, Most: in.Limits.Push}
	if most > 0 {
		f.Most = most
	}
	for _, r := range in.Refused {
		f.Aside = append(f.Aside, r.ID)
	}
	if in.Chain != "" {
		if err := readSum(&f.Chain, in.Chain); err != nil {
			return nil, err
		}
	}
	for _, raw := range in.Recs {
		line, err := readLine(raw)
		if err != nil {
			return nil, err
		}
		f.Lines = append(f.Lines, line)
	}
	return f, nil
}

func readLine(raw []byte) (Line, error) {
	var text string
	if json.Unmarshal(raw, &text) == nil {
		r, err := ReadRec(text)
		if err != nil {
			return Line{}, err
		}
		return Line{ID: r.ID, H: r.H, Rec: r}, nil
	}
	var stub struct{ ID, H string }
	if err := json.Unmarshal(raw, &stub); err != nil {
		return Line{}, fmt.Errorf("record %.100s: %w", raw, err)
	}
	l := Line{ID: stub.ID}
	return l, readSum(&l.H, stub.H)
}

func readSum(to *chain.Sum, text string) error {
	if n, err := hex.Decode(to[:], []byte(strings.ToLower(text))); err != nil || n != len(to) {
		return fmt.Errorf("hash %.80q is not 64 hexadecimal digits", text)
	}
	return nil
}
