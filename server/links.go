package server

import (
	"bytes"
	"crypto/rand"
	"errors"
	"io"
	"net/http"
	"sync"

	"tubewright/calc/ledger"
)

// linkHeader names the link that a request belongs to.
const linkHeader = "Tubewright-Link"

// links are the open links by their ids, which nobody can guess.
type links struct {
	mu   sync.Mutex
	open map[string]*link
}

func (ls *links) add(l *link) {
	ls.mu.Lock()
	defer ls.mu.Unlock()
	ls.open[l.id] = l
}

func (ls *links) drop(l *link) {
	ls.mu.Lock()
	defer ls.mu.Unlock()
	delete(ls.open, l.id)
}

func (ls *links) get(id string) *link {
	ls.mu.Lock()
	defer ls.mu.Unlock()
	return ls.open[id]
}

// openLink starts a session over requests; the body is the hello. Whatever is
// wrong with the hello is said by a bye, as on a socket.
func (e entry) openLink(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Cache-Control", "no-store")
	hello, err := io.ReadAll(http.MaxBytesReader(w, r.Body, helloFrame))
	if err != nil {
		writeWhy(w, http.StatusRequestEntityTooLarge, "size", "the hello could not be read whole or is too long")
		return
	}
	known, leave, ok := e.seat(r)
	if !ok {
		w.Header().Set("Retry-After", "20")
		writeWhy(w, http.StatusServiceUnavailable, "full", "all connections are taken; the tablet tries again by itself")
		return
	}
	var random [16]byte
	rand.Read(random[:])
	l := newLink(ledger.ID(random), e.lim.fetch)
	e.links.add(l)
	go func() {
		defer leave()
		defer e.links.drop(l)
		newSession(e, l, known).run()
		l.linger(e.lim.write, e.hub.stopped)
	}()
	if err := l.bring(r.Context(), bytes.TrimSuffix(hello, []byte("\n"))); err != nil {
		l.abandon()
		writeWhy(w, http.StatusServiceUnavailable, "link", "the shop machine ended the link")
		return
	}
	writeAnswer(w, map[string]string{"link": l.id})
}

// linked finds the link of a request and passes it on. A request that fails ends
// its link, since the frames before and after it would no longer join.
func (s *Server) linked(h func(l *link, w http.ResponseWriter, r *http.Request)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-store")
		l := s.links.get(r.Header.Get(linkHeader))
		if l == nil {
			noLink(w)
			return
		}
		l.alive()
		defer l.alive()
		h(l, w, r)
	}
}

func noLink(w http.ResponseWriter) {
	writeWhy(w, http.StatusNotFound, "link", "this link is over; open another")
}

// linkUp takes frames, one a line.
func (s *Server) linkUp(l *link, w http.ResponseWriter, r *http.Request) {
	if !l.up.TryLock() {
		writeWhy(w, http.StatusConflict, "busy", "frames of another request are being taken; one request at a time")
		return
	}
	defer l.up.Unlock()
	body, err := io.ReadAll(r.Body)
	frames := bytes.Split(body, []byte("\n"))
	if len(frames[len(frames)-1]) == 0 {
		frames = frames[:len(frames)-1]
	}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large) || len(frames) > upFrames:
		l.abandon()
		writeWhy(w, http.StatusRequestEntityTooLarge, "size", "too much in one request; the link is over")
		return
	case err != nil: // cut on the way: nothing of it counts
		l.abandon()
		return
	}
	for _, frame := range frames {
		if err := l.bring(r.Context(), frame); errors.Is(err, errLinkClosed) {
			noLink(w)
			return
		} else if err != nil {
			l.abandon()
			return
		}
	}
	w.WriteHeader(http.StatusNoContent)
}

// linkDown answers with the frames that wait, one a line, or waits for some.
func (s *Server) linkDown(l *link, w http.ResponseWriter, r *http.Request) {
	if !l.down.TryLock() {
		writeWhy(w, http.StatusConflict, "busy", "another request waits for frames; one request at a time")
		return
	}
	defer l.down.Unlock()
	frames, err := l.fetch(r.Context(), s.lim.poll)
	if errors.Is(err, errLinkClosed) {
		noLink(w)
		return
	}
	if err == nil {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		// In one piece, and copied: a frame may be on its way to others too.
		_, err = w.Write(bytes.Join(append(frames, nil), []byte("\n")))
		err = errors.Join(err, http.NewResponseController(w).Flush())
	}
	if err != nil || r.Context().Err() != nil {
		l.abandon() // nobody knows which of the frames arrived
	}
}

// closeLink ends a link at its client's wish.
func (s *Server) closeLink(l *link, w http.ResponseWriter, _ *http.Request) {
	l.abandon()
	w.WriteHeader(http.StatusNoContent)
}
