package server

import (
	"context"
	"errors"
	"os"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// conn is what a session needs of its connection: a *websocket.Conn, or a link
// where the websocket is refused on the way.
type conn interface {
	ReadMessage() (kind int, b []byte, err error)
	WriteMessage(kind int, b []byte) error
	WriteControl(kind int, b []byte, deadline time.Time) error
	SetReadLimit(limit int64)
	SetReadDeadline(t time.Time) error
	SetWriteDeadline(t time.Time) error
	SetPongHandler(h func(string) error)
	Close() error
}

var errLinkClosed = errors.New("link closed")

// link carries the frames of one session over separate requests. The session
// reads and writes it as it does a websocket, from its two goroutines; requests
// come in on any. It holds no goroutine of its own.
type link struct {
	id       string
	patience time.Duration // for frames to be fetched once linkBytes of them wait

	up, down sync.Mutex    // held by the one request of each kind
	frames   chan []byte   // from a request to the session's reader
	closed   chan struct{} // closed by Close
	more     chan struct{} // a token: there may be frames to fetch
	room     chan struct{} // a token: frames were fetched

	mu      sync.Mutex
	isOver  bool // closed is closed
	isLast  bool // no frame will follow those that wait
	waiting [][]byte
	bytes   int
	until   time.Time          // read deadline; zero is none
	moved   chan struct{}      // closed when until changes
	heard   func(string) error // what a pong does on a websocket
}

func newLink(id string, patience time.Duration) *link {
	return &link{id: id, patience: patience, frames: make(chan []byte), closed: make(chan struct{}),
		more: make(chan struct{}, 1), room: make(chan struct{}, 1), moved: make(chan struct{})}
}

// ReadMessage returns the next frame that a request brings, in the order in which
// they were brought.
func (l *link) ReadMessage() (int, []byte, error) {
	for {
		l.mu.Lock()
		until, moved := l.until, l.moved
		l.mu.Unlock()
		var late <-chan time.Time
		var timer *time.Timer
		if !until.IsZero() {
			timer = time.NewTimer(time.Until(until))
			late = timer.C
		}
		var frame []byte
		var err error
		isMoved := false
		select {
		case frame = <-l.frames:
		case <-l.closed:
			err = errLinkClosed
		case <-late:
			err = os.ErrDeadlineExceeded
		case <-moved:
			isMoved = true
		}
		if timer != nil {
			timer.Stop()
		}
		if !isMoved {
			return websocket.TextMessage, frame, err
		}
	}
}

// WriteMessage leaves a frame to be fetched. It waits while linkBytes wait
// already, as a socket does whose buffers are full. A tablet over a poor link may
// take some seconds between two requests, so the deadline of a socket's write
// does not count here; the patience does.
func (l *link) WriteMessage(_ int, b []byte) error {
	var late <-chan time.Time
	for {
		l.mu.Lock()
		switch {
		case l.isOver || l.isLast:
			l.mu.Unlock()
			return errLinkClosed
		case l.bytes == 0 || l.bytes+len(b) <= linkBytes:
			l.waiting = append(l.waiting, b)
			l.bytes += len(b)
			l.mu.Unlock()
			poke(l.more)
			return nil
		}
		l.mu.Unlock()
		if late == nil {
			timer := time.NewTimer(l.patience)
			defer timer.Stop()
			late = timer.C
		}
		select {
		case <-l.room:
		case <-l.closed:
		case <-late:
			return os.ErrDeadlineExceeded
		}
	}
}

// WriteControl takes a closing message, after which no frame follows. Pings need
// no answer here: the requests themselves show that the tablet is there.
func (l *link) WriteControl(kind int, _ []byte, _ time.Time) error {
	if kind == websocket.CloseMessage {
		l.mu.Lock()
		l.isLast = true
		l.mu.Unlock()
		poke(l.more)
	}
	return nil
}

// SetReadLimit does nothing: what a request may bring is limited where it is read.
func (l *link) SetReadLimit(int64) {}

// SetWriteDeadline does nothing, see WriteMessage.
func (l *link) SetWriteDeadline(time.Time) error { return nil }

// SetReadDeadline moves the end of a read that waits, too.
func (l *link) SetReadDeadline(t time.Time) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.until = t
	close(l.moved)
	l.moved = make(chan struct{})
	return nil
}

// SetPongHandler sets what is called when a request comes and when it ends.
func (l *link) SetPongHandler(h func(string) error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.heard = h
}

// Close ends the link. What waits can still be fetched by a request that is there.
func (l *link) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.isOver {
		l.isOver = true
		close(l.closed)
	}
	return nil
}

// abandon ends the link for a client that is gone: nothing will be fetched.
func (l *link) abandon() {
	l.Close()
	l.mu.Lock()
	l.waiting, l.bytes = nil, 0
	l.mu.Unlock()
	poke(l.room)
}

// alive gives the client another while, as any sign of life does on a socket.
func (l *link) alive() {
	l.mu.Lock()
	heard := l.heard
	l.mu.Unlock()
	if heard != nil {
		heard("")
	}
}

// bring hands one frame to the session; it returns when the session takes it.
func (l *link) bring(ctx context.Context, frame []byte) error {
	select {
	case l.frames <- frame:
		return nil
	case <-l.closed:
		return errLinkClosed
	case <-ctx.Done():
		return ctx.Err()
	}
}

// fetch returns what waits, or waits for it, at most wait. Nothing at all with an
// error means that the link is over.
func (l *link) fetch(ctx context.Context, wait time.Duration) ([][]byte, error) {
	timer := time.NewTimer(wait)
	defer timer.Stop()
	for {
		l.mu.Lock()
		frames, over := l.waiting, l.isOver || l.isLast
		l.waiting, l.bytes = nil, 0
		l.mu.Unlock()
		if len(frames) > 0 {
			poke(l.room)
			return frames, nil
		}
		if over {
			return nil, errLinkClosed
		}
		select {
		case <-l.more:
		case <-l.closed:
		case <-timer.C:
			return nil, nil
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// linger waits until the last frames were fetched, at most wait or until hurry:
// a bye should reach a client that is between two requests.
func (l *link) linger(wait time.Duration, hurry <-chan struct{}) {
	timer := time.NewTimer(wait)
	defer timer.Stop()
	for {
		l.mu.Lock()
		n := len(l.waiting)
		l.mu.Unlock()
		if n == 0 {
			return
		}
		select {
		case <-l.room:
		case <-timer.C:
			return
		case <-hurry:
			return
		}
	}
}

// poke puts a token into a channel that holds one; it never waits.
func poke(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}
