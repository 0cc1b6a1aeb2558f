package history

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// Fate is what becomes of a frame on its way through a Proxy.
type Fate int

// What the network does to a frame and its connection.
const (
	Pass      Fate = iota
	Cut            // the frame and the connection are lost
	CutInside      // half of it gets through, then the connection is lost
	CutAfter       // it gets through, then the connection is lost
	Double         // it gets through twice
	Silence        // from here on nothing gets through either way, and nobody is told
	Deaf           // from here on nothing gets through this way, and nobody is told
)

// Passing is a text frame on its way, or a request or answer that carries frames
// where there is no websocket.
type Passing struct {
	Who  string // the name that the client gives in its address, as ?t=name
	Conn int    // websockets so far, this one included; 0 for requests
	Up   bool
	N    int // text frames this way on this connection, this one included
}

// Proxy is a bad network before a server: it passes http on, knows where the
// frames of a websocket begin and end, and asks Fate about each text frame.
// Requests get the server's own address into their head, since the server
// answers under no other.
type Proxy struct {
	Addr   string // host:port under which a client finds the server
	Fate   func(Passing) (Fate, time.Duration)
	Frames atomic.Int64 // text frames that got through
	Cuts   atomic.Int64 // connections that were lost here

	server string
	l      net.Listener
	mu     sync.Mutex
	ended  bool
	conns  map[*pair]bool
	socks  int
	gone   map[string]bool // clients that are out of reach
	done   sync.WaitGroup
}

// pair is one connection of a client with the one to the server.
type pair struct {
	client, server net.Conn
	who            string
	n              int
	carried        int // requests and answers with frames
	silent         atomic.Bool
}

func (p *pair) close() {
	p.client.Close()
	p.server.Close()
}

// NewProxy listens on a port of its own, under the same host name as the server.
func NewProxy(server string) (*Proxy, error) {
	host, _, err := net.SplitHostPort(server)
	if err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		return nil, err
	}
	p := &Proxy{Addr: net.JoinHostPort(host, port), server: server, l: l, conns: map[*pair]bool{}, gone: map[string]bool{},
		Fate: func(Passing) (Fate, time.Duration) { return Pass, 0 }}
	p.done.Go(p.accept)
	return p, nil
}

// Close ends every connection and the listener.
func (p *Proxy) Close() {
	p.mu.Lock()
	p.ended = true
	p.mu.Unlock()
	p.l.Close()
	p.CutAll()
	p.done.Wait()
}

// CutAll ends every connection.
func (p *Proxy) CutAll() { p.cut(func(*pair) bool { return true }) }

// CutOff ends the connections of one client.
func (p *Proxy) CutOff(who string) { p.cut(func(one *pair) bool { return one.who == who }) }

// Reach says whether new connections of a client get through.
func (p *Proxy) Reach(who string, is bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.gone[who] = !is
}

func (p *Proxy) cut(which func(*pair) bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for one := range p.conns {
		if which(one) {
			p.Cuts.Add(1)
			one.close()
		}
	}
}

func (p *Proxy) accept() {
	for {
		c, err := p.l.Accept()
		if err != nil {
			return
		}
		p.done.Go(func() { p.serve(c) })
	}
}

// serve passes requests on one after the other until one becomes a websocket.
func (p *Proxy) serve(client net.Conn) {
	defer client.Close()
	server, err := net.DialTimeout("tcp", p.server, 2*time.Second)
	if err != nil {
		return
	}
	defer server.Close()
	one := &pair{client: client, server: server}
	p.mu.Lock()
	if p.ended {
		p.mu.Unlock()
		return
	}
	p.conns[one] = true
	p.mu.Unlock()
	defer func() {
		p.mu.Lock()
		delete(p.conns, one)
		p.mu.Unlock()
	}()
	up, down := bufio.NewReader(client), bufio.NewReader(server)
	for {
		req, err := http.ReadRequest(up)
		if err != nil {
			return
		}
		if !p.admit(one, req.URL.Query().Get("t")) {
			return
		}
		swap(req.Header, p.Addr, p.server)
		req.Host = p.server
		if !p.request(one, req, up) {
			return
		}
		res, err := http.ReadResponse(down, req)
		if err != nil {
			return
		}
		swap(res.Header, p.server, p.Addr)
		if res.StatusCode == http.StatusSwitchingProtocols {
			if res.Write(client) == nil {
				p.frames(one, up, down)
			}
			return
		}
		if !p.answer(one, req, res, up) || res.Close {
			return
		}
	}
}

// request passes a request on; false: the connection is lost. Those that carry
// frames where there is no websocket have a fate like them.
func (p *Proxy) request(one *pair, req *http.Request, up io.Reader) bool {
	fate := Pass
	if carries(req) && req.URL.Path != "/sync/down" {
		fate = p.decide(one, true)
	}
	switch fate {
	case Cut, CutInside:
		p.Cuts.Add(1)
		return false
	case Silence, Deaf:
		p.Cuts.Add(1)
		io.Copy(io.Discard, up) // until the client gives up
		return false
	}
	if req.Write(one.server) != nil {
		return false
	}
	if fate == CutAfter {
		p.Cuts.Add(1)
	}
	return fate != CutAfter
}

// answer passes an answer on; false: the connection is lost.
func (p *Proxy) answer(one *pair, req *http.Request, res *http.Response, up io.Reader) bool {
	defer res.Body.Close()
	fate := Pass
	if carries(req) && req.URL.Path != "/sync/up" {
		fate = p.decide(one, false)
	}
	if fate == Pass || fate == Double {
		return res.Write(one.client) == nil
	}
	p.Cuts.Add(1)
	var whole bytes.Buffer
	if res.Write(&whole) != nil {
		return false
	}
	switch fate {
	case CutInside:
		one.client.Write(whole.Bytes()[:whole.Len()/2])
	case CutAfter:
		one.client.Write(whole.Bytes())
	case Silence, Deaf:
		io.Copy(io.Discard, up)
	}
	return false
}

// carries says whether a request brings frames or asks for them.
func carries(req *http.Request) bool { return strings.HasPrefix(req.URL.Path, "/sync/") }

// decide asks what becomes of a request or an answer with frames.
func (p *Proxy) decide(one *pair, isUp bool) Fate {
	one.carried++
	fate, wait := p.Fate(Passing{one.who, 0, isUp, one.carried})
	time.Sleep(wait)
	if fate == Pass {
		p.Frames.Add(1)
	}
	return fate
}

func (p *Proxy) admit(one *pair, who string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if who != "" {
		one.who = who
	}
	return !p.gone[who]
}

// swap puts one address in place of another wherever a head names it.
func swap(h http.Header, from, to string) {
	for _, values := range h {
		for i := range values {
			values[i] = strings.ReplaceAll(values[i], from, to)
		}
	}
}

// frames passes frames on in both directions until the connection ends.
func (p *Proxy) frames(one *pair, up, down *bufio.Reader) {
	p.mu.Lock()
	p.socks++
	one.n = p.socks
	p.mu.Unlock()
	p.done.Go(func() {
		p.pass(one, down, one.client, false)
		one.close()
	})
	p.pass(one, up, one.server, true)
	one.close()
}

// pass ends when the connection does. A side that has gone silent goes on
// reading, so that the sender notices nothing.
func (p *Proxy) pass(one *pair, from *bufio.Reader, to net.Conn, isUp bool) {
	deaf := false
	in := messages{r: from}
	for n := 0; ; {
		frame, text, err := in.next()
		if err != nil {
			return
		}
		fate := Pass
		if text && !deaf && !one.silent.Load() {
			n++
			var wait time.Duration
			if fate, wait = p.Fate(Passing{one.who, one.n, isUp, n}); wait > 0 {
				time.Sleep(wait)
			}
		}
		switch fate {
		case Cut:
			p.Cuts.Add(1)
			return
		case CutInside:
			p.Cuts.Add(1)
			to.Write(frame[:len(frame)/2])
			return
		case Silence:
			p.Cuts.Add(1)
			one.silent.Store(true)
		case Deaf:
			p.Cuts.Add(1)
			deaf = true
		case Double:
			frame = append(frame, frame...)
		}
		if deaf || one.silent.Load() {
			continue
		}
		if _, err := to.Write(frame); err != nil {
			return
		}
		if text {
			p.Frames.Add(1)
		}
		if half, ok := to.(interface{ CloseWrite() error }); ok && fate == CutAfter {
			p.Cuts.Add(1)
			one.silent.Store(true)
			half.CloseWrite() // ending all at once could take back what was just written
		}
	}
}

// maxRaw is the largest frame that a proxy passes on, bytes.
const maxRaw = 8 << 20

// messages reads a websocket message by message, as bytes with the heads of
// their frames. Large ones come in several frames.
type messages struct {
	r    *bufio.Reader
	part []byte // of a message that goes on
}

// next returns a whole message, or a control frame, which may come in between.
func (m *messages) next() (raw []byte, text bool, err error) {
	for {
		frame, err := readRaw(m.r)
		if err != nil {
			return nil, false, err
		}
		if frame[0]&0x08 != 0 {
			return frame, false, nil
		}
		m.part = append(m.part, frame...)
		if frame[0]&0x80 != 0 { // the last one
			raw, m.part = m.part, nil
			return raw, true, nil
		}
	}
}

// readRaw reads one frame of a websocket (RFC 6455, section 5.2) with its head.
func readRaw(r *bufio.Reader) (frame []byte, err error) {
	head := make([]byte, 2, 14)
	if _, err := io.ReadFull(r, head); err != nil {
		return nil, err
	}
	more, size := 0, uint64(head[1]&0x7f)
	switch size {
	case 126:
		more = 2
	case 127:
		more = 8
	}
	mask := 0
	if head[1]&0x80 != 0 {
		mask = 4
	}
	head = head[:2+more+mask]
	if _, err := io.ReadFull(r, head[2:]); err != nil {
		return nil, err
	}
	switch more {
	case 2:
		size = uint64(binary.BigEndian.Uint16(head[2:]))
	case 8:
		size = binary.BigEndian.Uint64(head[2:])
	}
	if size > maxRaw {
		return nil, errors.New("frame too large")
	}
	frame = make([]byte, len(head)+int(size))
	copy(frame, head)
	_, err = io.ReadFull(r, frame[len(head):])
	return frame, err
}
