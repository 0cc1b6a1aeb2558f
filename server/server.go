package server

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"tubewright/calc/ledger"
)

// Config is what a Server is made from. Log, Pairs, Logger and Now are needed.
type Config struct {
	Log    Log
	Pairs  Pairs            // who may connect
	Blobs  Blobs            // the bytes of pictures; nil: /blob answers 503
	Packs  Packs            // makes record packs; nil: there are none
	Assets fs.FS            // the built app; nil or without index.html: a page says how to build it
	Logger *slog.Logger     // gets who came and went and what went wrong, never what was measured
	Build  string           // version of the app that Assets holds; a tablet compares it with its own
	Now    func() time.Time // the shop's clock
}

// Server answers http, the websocket and the links that stand for it, by one or
// more doors.
type Server struct {
	cfg     Config
	lim     limits
	log     *slog.Logger
	assets  assets
	hub     *hub
	people  *presence
	jobs    *jobLines
	links   links
	codes   codes
	backed  atomic.Int64  // position up to which the newest backup goes
	uploads chan struct{} // holds one token for each chunk that is being taken in
	packing chan struct{} // holds one while a record pack is being made

	mu        sync.Mutex
	listening []*http.Server // one a door
	isOver    bool           // no door is opened any more

	stop    context.CancelFunc // ends ctx
	ctx     context.Context    // of everything that outlives one request
	running sync.WaitGroup     // the board, and noting who was heard
}

// New makes a server and starts its wall board feed. End it with Shutdown.
func New(cfg Config) (*Server, error) { return newServer(cfg, shopLimits) }

func newServer(cfg Config, lim limits) (*Server, error) {
	if cfg.Log == nil || cfg.Pairs == nil || cfg.Logger == nil || cfg.Now == nil {
		return nil, errors.New("server: Log, Pairs, Logger and Now are needed")
	}
	files, err := loadAssets(cfg.Assets)
	if err != nil {
		return nil, err
	}
	s := &Server{cfg: cfg, lim: lim, log: cfg.Logger, assets: files, hub: newHub(lim), people: newPresence(), jobs: newJobLines(cfg.Log),
		codes: codes{now: cfg.Now}, links: links{open: map[string]*link{}}, uploads: make(chan struct{}, lim.uploads), packing: make(chan struct{}, 1)}
	s.ctx, s.stop = context.WithCancel(context.Background())
	start, cancel := context.WithTimeout(s.ctx, lim.commit)
	defer cancel()
	devices, err := cfg.Log.Devices(start)
	if err != nil {
		s.stop()
		return nil, fmt.Errorf("read devices: %w", err)
	}
	s.people.load(devices)
	paired, err := cfg.Pairs.AllPaired(start)
	if err != nil {
		s.stop()
		return nil, fmt.Errorf("read paired devices: %w", err)
	}
	for _, p := range paired {
		s.people.hide(p.Dev, !p.Revoked.IsZero() || p.Role == ledger.Board)
	}
	high, err := cfg.Log.High(start)
	if err != nil {
		s.stop()
		return nil, fmt.Errorf("read the newest position: %w", err)
	}
	s.hub.reach(high)
	s.lookAtBackups()
	s.running.Go(s.runBoard)
	s.running.Go(s.runHeard)
	return s, nil
}

// Handler answers what comes in by a door, for a listener of the caller's own.
func (s *Server) Handler(d Door) http.Handler {
	e := entry{s, d}
	return e.guard(e.routes())
}

// Serve answers on a listener until Shutdown; it then returns nil. It may be called
// once for each door, at the same time.
func (s *Server) Serve(l net.Listener, d Door) error {
	if len(d.Hosts) == 0 {
		return fmt.Errorf("serve on %v: the door has no names", l.Addr())
	}
	h := s.listener(d)
	s.mu.Lock()
	if s.isOver {
		s.mu.Unlock()
		return l.Close()
	}
	s.listening = append(s.listening, h)
	s.mu.Unlock()
	if err := h.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve on %v: %w", l.Addr(), err)
	}
	return nil
}

// listener adds the limits of a real listener to what answers at a door.
func (s *Server) listener(d Door) *http.Server {
	return &http.Server{
		Handler:           s.Handler(d),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       30 * time.Second,
		WriteTimeout:      time.Minute, // the largest file over a poor link; a socket sets its own
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          newErrorLog(s.log, s.cfg.Now),
	}
}

// shutDoors takes no more requests and waits for those under way.
func (s *Server) shutDoors(ctx context.Context) error {
	s.mu.Lock()
	s.isOver = true
	open := s.listening
	s.mu.Unlock()
	errs := make([]error, len(open))
	var all sync.WaitGroup
	for i, h := range open {
		all.Go(func() { errs[i] = h.Shutdown(ctx) })
	}
	all.Wait()
	return errors.Join(errs...)
}

// breakDoors cuts every request.
func (s *Server) breakDoors() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, h := range s.listening {
		h.Close()
	}
}

// Shutdown takes no more sockets, says bye to the open ones and waits for all
// that runs until ctx ends; what still runs then is cut. A push that was being
// stored is stored or not as a whole; the tablet finds out when it comes back.
func (s *Server) Shutdown(ctx context.Context) error {
	s.hub.close()
	err := s.shutDoors(ctx)
	idle := make(chan struct{})
	go func() {
		s.hub.wait()
		s.noteHeard()
		s.stop()
		s.running.Wait()
		close(idle)
	}()
	select {
	case <-idle:
	case <-ctx.Done():
		s.stop()
		s.hub.cut()
		s.breakDoors()
		<-idle
		err = errors.Join(err, ctx.Err())
	}
	if err != nil {
		return fmt.Errorf("shut down: %w", err)
	}
	return nil
}
