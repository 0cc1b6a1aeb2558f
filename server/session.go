package server

import (
	"context"
	"encoding/hex"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"tubewright/calc/ledger"
)

// session is one open socket or link. The reader goroutine runs run, read and what they
// call; the writer goroutine runs write. What both touch is behind mu or atomic.
type session struct {
	server  *Server
	door    Door // that it came in by
	conn    conn
	known   func() // to be called once the device is known
	opened  time.Time
	out     *queue
	done    chan struct{} // closed when the reader has ended
	written chan struct{} // closed when the writer has ended

	dev, name string
	role      ledger.Role
	isRevoked bool // it may send, which is put aside, and reads nothing
	pace      *pace
	pushed    int

	packs   bool         // both ends can unpack
	agreed  atomic.Bool  // the welcome that says so is on its way
	parting atomic.Bool  // a bye is on its way
	spoke   atomic.Int64 // unix nanoseconds of the last application frame

	mu      sync.Mutex
	opening []byte              // welcome or reset: goes out before the next page
	feeding bool                // this socket gets the feed
	sent    int64               // position up to which the feed has gone out
	turn    int                 // counts the times that sent was set from outside the writer
	own     map[string][32]byte // pushed on this socket and not yet read back
}

// newSession makes a session; known is called once its device is.
func newSession(e entry, c conn, known func()) *session {
	return &session{server: e.Server, door: e.door, conn: c, known: known, opened: time.Now(), out: newQueue(), done: make(chan struct{}), written: make(chan struct{})}
}

// open answers the hello: a welcome when the client's cursor is a place in this
// log, a reset when it is not.
func (s *session) open(h *helloFrameIn) error {
	if h.Proto[0] > protoVersion {
		return refuse("update", "this tablet speaks sync version %d to %d, the shop machine version %d; update the shop machine. The tablet keeps everything until then", h.Proto[0], h.Proto[1], protoVersion)
	}
	s.name, s.role = h.Name, h.Role
	if !s.door.Open {
		if err := s.admit(h); err != nil {
			s.server.log.Info("not let in", "dev", h.Dev, "why", reason(err))
			return err
		}
	}
	s.known()
	s.dev = h.Dev
	_, isLink := s.conn.(*link) // whose requests are lines of text
	s.packs = !isLink && slices.Contains(h.Pack, packName)
	s.spoke.Store(time.Now().UnixNano())
	if err := s.server.hub.join(s); err != nil {
		s.dev = "" // not one of the hub's
		return err
	}
	if err := s.stillLetIn(h); err != nil {
		return err
	}
	s.server.log.Info("socket open", "dev", s.dev, "role", s.role, "build", h.Build, "cursor", h.Cursor, "unsent", h.Unsent, "revoked", s.isRevoked)
	s.server.lookAtBackups()
	if s.role == ledger.Board {
		s.wallSpoke()
		s.begin("welcome", 0, false)
		s.server.board()
		return nil
	}
	s.server.people.heard(s.dev, s.name, s.server.cfg.Now(), &h.Unsent, h.ClockMS)
	s.server.people.hide(s.dev, s.isRevoked)
	s.server.board()
	if s.isRevoked {
		s.begin("welcome", h.Cursor, false)
		return nil
	}
	return s.follow("welcome", h.Cursor, h.Chain)
}

// follow sends the feed from the client's cursor, behind the frame t where the
// cursor is ours, and from the start behind a reset where it is not.
func (s *session) follow(t string, cursor int64, chain string) error {
	ctx, cancel := s.server.limited()
	defer cancel()
	ours, ok, err := s.server.cfg.Log.ChainAt(ctx, cursor)
	if err != nil {
		return s.logFault("read chain", err)
	}
	if !ok || (chain != hex.EncodeToString(ours[:]) && cursor != 0) {
		s.server.log.Warn("reset", "dev", s.dev, "cursor", cursor)
		t, cursor = "reset", 0
	}
	s.begin(t, cursor, true)
	return nil
}

// begin sets where the feed goes on; t "" sends no frame before it.
func (s *session) begin(t string, cursor int64, feeding bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if t != "" {
		welcome := welcomeFrame{
			T: t, Proto: protoVersion, Build: s.server.cfg.Build, NowMS: s.server.cfg.Now().UnixMilli(), High: s.server.hub.high.Load(), BackupPos: s.server.backed.Load(),
			Limits: pushLimits{Records: pushRecords, Bytes: pushBytes, RecordBytes: recordBytes}, Role: s.role, Name: s.name,
		}
		if s.isRevoked { // as if it had all that there is
			welcome.Revoked, welcome.High, welcome.BackupPos = true, cursor, 0
		}
		if s.packs {
			welcome.Pack = packName
		}
		s.opening = encode(welcome)
	}
	s.sent, s.feeding = cursor, feeding
	s.turn++
	s.out.wake()
}

// handle acts on one frame after the hello.
func (s *session) handle(f any) error {
	if s.role == ledger.Board {
		beat, ok := f.(*beatFrame)
		if !ok {
			return refuse("role", "a wall board only listens")
		}
		s.wallSpoke()
		s.answer(beat)
		return nil
	}
	switch f := f.(type) {
	case *pushFrame:
		return s.push(f)
	case *pullFrame:
		if s.isRevoked {
			return nil
		}
		return s.follow("", f.Cursor, f.Chain)
	case *beatFrame:
		s.server.people.heard(s.dev, "", s.server.cfg.Now(), f.Unsent, f.clock())
		s.server.board()
		s.answer(f)
		return nil
	}
	return refuse("frame", "a second hello on one socket")
}

// wallSpoke notes a wall for the shop page, which lists those that were paired.
func (s *session) wallSpoke() {
	if !s.door.Open {
		s.server.people.heardWall(s.dev, s.name, s.server.cfg.Now())
	}
}

func (s *session) answer(f *beatFrame) {
	answer := beatFrame{T: "hb", N: f.N, NowMS: s.server.cfg.Now().UnixMilli()}
	if s.role != ledger.Board && !s.isRevoked {
		pos := s.server.backed.Load()
		answer.BackupPos = &pos
	}
	s.out.put(encode(answer))
}

// heardNow notes that the client's program is alive; pongs do not count, since
// a frozen page still sends them.
func (s *session) heardNow() { s.spoke.Store(time.Now().UnixNano()) }

// quiet returns how long the client's program has said nothing.
func (s *session) quiet() time.Duration { return time.Since(time.Unix(0, s.spoke.Load())) }

// logFault hides what went wrong with the log from the tablet, which can do
// nothing about it but try again.
func (s *session) logFault(doing string, err error) *refusal {
	s.server.log.Error(doing, "dev", s.dev, "error", err)
	return refuse("store", "the shop machine cannot use its records file; this tablet keeps everything and tries again")
}

// limited returns the context for one use of the log.
func (s *Server) limited() (context.Context, context.CancelFunc) {
	return context.WithTimeout(s.ctx, s.lim.commit)
}
