package server

import (
	"errors"
	"net"
	"net/http"
	"runtime/debug"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// upgrader leaves compression off: sockets of some tablets break on larger
// compressed messages. CheckOrigin stays nil, gorilla's own check, behind ours.
var upgrader = websocket.Upgrader{
	HandshakeTimeout: 5 * time.Second,
	ReadBufferSize:   4 << 10,
	WriteBufferSize:  4 << 10,
	WriteBufferPool:  new(sync.Pool),
}

// sync is the websocket at /sync. It returns when the socket is closed.
func (e entry) sync(w http.ResponseWriter, r *http.Request) {
	known, leave, ok := e.seat(r)
	if !ok {
		w.Header().Set("Retry-After", "20")
		http.Error(w, "all connections are taken; the tablet tries again by itself", http.StatusServiceUnavailable)
		return
	}
	defer leave()
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return // the upgrader has answered
	}
	newSession(e, conn, known).run()
}

// run reads until the socket ends. Any error of a read ends it: gorilla
// panics when a broken connection is read on.
func (s *session) run() {
	s.server.hub.enter(s)
	go s.write()
	err := s.guarded(s.read)
	var no *refusal
	if errors.As(err, &no) {
		s.part(bye(no.why, no.text))
		s.drain()
	}
	close(s.done)
	s.out.wake()
	if s.parting.Load() {
		select { // the bye may still be on its way
		case <-s.written:
		case <-time.After(s.server.lim.drain):
		}
	}
	s.conn.Close()
	<-s.written
	s.server.hub.leave(s)
	if s.dev != "" {
		s.server.log.Info("socket closed", "dev", s.dev, "role", s.role, "pushed", s.pushed, "why", reason(err))
	}
}

// guarded runs one side of a socket; a panic ends this socket and no other.
func (s *session) guarded(side func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			s.server.log.Error("socket ended by a fault in the program", "fault", p, "stack", string(debug.Stack()))
			err = refuse("fault", "the shop machine's program has a fault; nothing on this tablet is lost")
		}
	}()
	return side()
}

// read takes the hello, then one frame after the other.
func (s *session) read() error {
	lim := &s.server.lim
	s.conn.SetReadLimit(helloFrame)
	s.conn.SetReadDeadline(time.Now().Add(lim.hello))
	s.conn.SetPongHandler(func(string) error { s.renew(); return nil })
	f, err := s.next()
	if err != nil {
		var late net.Error
		if errors.As(err, &late) && late.Timeout() {
			return refuse("hello", "no hello within %v", lim.hello)
		}
		return err
	}
	hello, ok := f.(*helloFrameIn)
	if !ok {
		return refuse("hello", "the first frame is not a hello")
	}
	if err := s.open(hello); err != nil {
		return err
	}
	s.conn.SetReadLimit(anyFrame)
	for {
		s.renew()
		f, err := s.next()
		if err != nil {
			return err
		}
		s.heardNow()
		if err := s.handle(f); err != nil {
			return err
		}
		if wait := s.pace.delay(time.Now(), lim.rate); wait > 0 {
			select {
			case <-time.After(wait):
			case <-s.written: // the writer has given up or said bye
			}
		}
	}
}

// next reads one frame. While a bye is on its way, frames are thrown away: the
// client still holds what it pushed.
func (s *session) next() (any, error) {
	for {
		kind, b, err := s.conn.ReadMessage()
		if err != nil {
			return nil, err
		}
		if s.parting.Load() {
			continue
		}
		if kind == websocket.BinaryMessage {
			if !s.agreed.Load() {
				return nil, refuse("frame", "a frame is packed, which was not agreed")
			}
			if b, err = unpack(b, anyFrame); err != nil {
				return nil, err
			}
		}
		return decode(b)
	}
}

// renew gives the client another while to say something.
func (s *session) renew() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.parting.Load() {
		s.conn.SetReadDeadline(time.Now().Add(s.server.lim.read))
	}
}

// part ends the conversation with a bye that is written behind what waits.
func (s *session) part(bye []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.parting.Store(true)
	s.conn.SetReadDeadline(time.Now().Add(s.server.lim.write + s.server.lim.drain))
	s.out.end(bye)
}

// drain reads on until the client closes or its time is up: closing a socket
// with unread bytes in it would throw away the bye on the other side.
func (s *session) drain() {
	for {
		if _, _, err := s.conn.ReadMessage(); err != nil {
			return
		}
	}
}

func reason(err error) string {
	var no *refusal
	var closed *websocket.CloseError
	switch {
	case errors.As(err, &no):
		return no.why
	case errors.As(err, &closed):
		return "closed by the client"
	case errors.Is(err, websocket.ErrReadLimit):
		return "frame too large"
	}
	return err.Error()
}
