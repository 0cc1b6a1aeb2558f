package server

import (
	"encoding/hex"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/chain"
)

// write is the only goroutine that writes messages to the socket: the welcome
// or reset that is due, then answers, then the feed, page by page. It ends with
// the bye, with the reader, or with the first write that fails or takes too long.
func (s *session) write() {
	defer close(s.written)
	if err := s.guarded(s.writeAll); err != nil {
		s.conn.Close() // the reader finds out by that
	}
}

func (s *session) writeAll() error {
	ping := time.NewTicker(s.server.lim.ping)
	defer ping.Stop()
	take := s.out.takeBye // nothing else goes out before the welcome
	for {
		select {
		case <-ping.C: // also while there is always something to write
			if err := s.ping(); err != nil {
				return err
			}
		default:
		}
		if frame := s.takeOpening(); frame != nil {
			take = s.out.take
			if err := s.send(frame); err != nil {
				return err
			}
		}
		if frame, last := take(); last {
			return s.sayBye(frame)
		} else if frame != nil {
			if err := s.send(frame); err != nil {
				return err
			}
			continue
		}
		more, err := s.feed()
		if err != nil {
			return err
		}
		if more {
			continue
		}
		select {
		case <-s.out.poke:
		case <-ping.C:
			if err := s.ping(); err != nil {
				return err
			}
		case <-s.done:
			if frame, last := s.out.takeBye(); last {
				return s.sayBye(frame)
			}
			return nil
		}
	}
}

// takeOpening returns the welcome or reset that must go out before all else. From
// it on frames may be packed.
func (s *session) takeOpening() []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	frame := s.opening
	s.opening = nil
	if frame != nil {
		s.agreed.Store(s.packs)
	}
	return frame
}

// feed sends the next page; more is false when the client has everything.
func (s *session) feed() (more bool, err error) {
	s.mu.Lock()
	feeding, from, turn, isOpened := s.feeding, s.sent, s.turn, s.opening == nil
	s.mu.Unlock()
	if !isOpened { // the welcome came in since the writer last looked for it
		return true, nil
	}
	if !feeding || from >= s.server.hub.high.Load() {
		return false, nil
	}
	ctx, cancel := s.server.limited()
	defer cancel()
	page, err := s.server.cfg.Log.After(ctx, from, pageBytes)
	if err != nil {
		no := s.logFault("read records", err)
		s.part(bye(no.why, no.text))
		return true, nil
	}
	if len(page.Rows) == 0 {
		return false, nil
	}
	s.mu.Lock()
	if s.turn != turn { // a pull came in between, perhaps with a reset
		s.mu.Unlock()
		return true, nil
	}
	s.sent = page.To
	frame := feedFrame{T: "feed", From: page.From, To: page.To, Chain: hex.EncodeToString(page.Chain[:]), Recs: make([]any, len(page.Rows))}
	for i, row := range page.Rows {
		frame.Recs[i] = row.Raw
		if h, ok := s.own[row.ID]; ok {
			delete(s.own, row.ID)
			if h == chain.Of(row.Raw) {
				frame.Recs[i] = stub{ID: row.ID, H: hex.EncodeToString(h[:])}
			}
		}
	}
	s.mu.Unlock()
	return true, s.send(encode(frame))
}

// send writes a frame, packed when it is large. It runs on the writer's goroutine
// and holds nothing, so that packing for one client keeps no other waiting.
func (s *session) send(frame []byte) error {
	kind := websocket.TextMessage
	if len(frame) > packFrom && s.agreed.Load() {
		if packed := pack(frame); packed != nil {
			kind, frame = websocket.BinaryMessage, packed
		}
	}
	s.conn.SetWriteDeadline(time.Now().Add(s.server.lim.write))
	return s.conn.WriteMessage(kind, frame)
}

func (s *session) ping() error {
	return s.conn.WriteControl(websocket.PingMessage, nil, time.Now().Add(s.server.lim.write))
}

// sayBye sends the last frame and the closing handshake, and leaves the client
// a moment to close.
func (s *session) sayBye(frame []byte) error {
	s.mu.Lock()
	s.parting.Store(true)
	s.mu.Unlock()
	if err := s.send(frame); err != nil {
		return err
	}
	end := websocket.FormatCloseMessage(websocket.CloseNormalClosure, "")
	if err := s.conn.WriteControl(websocket.CloseMessage, end, time.Now().Add(s.server.lim.write)); err != nil {
		return err
	}
	return s.conn.SetReadDeadline(time.Now().Add(s.server.lim.drain))
}
