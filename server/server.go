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
)

// Config is what a Server is made from. Log, Logger, Now and Hosts are needed.
type Config struct {
	Log    Log
	Blobs  Blobs            // the bytes of pictures; nil: /blob answers 503
	Assets fs.FS            // the built app; nil or without index.html: a page says how to build it
	Logger *slog.Logger     // gets who came and went and what went wrong, never what was measured
	Build  string           // version of the app that Assets holds; a tablet compares it with its own
	Now    func() time.Time // the shop's clock
	Hosts  []string         // Host headers that are ours, lower-case, with the port: "localhost:8411"
}

// Server answers http, the websocket and the links that stand for it. It is an http.Handler, so that a test
// can call it without a port; Serve adds the time limits of a real listener.
type Server struct {
	cfg     Config
	lim     limits
	log     *slog.Logger
	assets  assets
	hub     *hub
	people  *presence
	jobs    *jobLines
	links   links
	backed  atomic.Int64  // position up to which the newest backup goes
	uploads chan struct{} // holds one token for each chunk that is being taken in
	handler http.Handler
	http    *http.Server

	stop    context.CancelFunc // ends ctx
	ctx     context.Context    // of everything that outlives one request
	running sync.WaitGroup     // the board, and noting who was heard
}

// New makes a server and starts its wall board feed. End it with Shutdown.
func New(cfg Config) (*Server, error) { return newServer(cfg, shopLimits) }

func newServer(cfg Config, lim limits) (*Server, error) {
	if cfg.Log == nil || cfg.Logger == nil || cfg.Now == nil || len(cfg.Hosts) == 0 {
		return nil, errors.New("server: Log, Logger, Now and Hosts are needed")
	}
	files, err := loadAssets(cfg.Assets)
	if err != nil {
		return nil, err
	}
	s := &Server{cfg: cfg, lim: lim, log: cfg.Logger, assets: files, hub: newHub(lim), people: newPresence(), jobs: newJobLines(cfg.Log),
		links: links{open: map[string]*link{}}, uploads: make(chan struct{}, lim.uploads)}
	s.ctx, s.stop = context.WithCancel(context.Background())
	start, cancel := context.WithTimeout(s.ctx, lim.commit)
	defer cancel()
	devices, err := cfg.Log.Devices(start)
	if err != nil {
		s.stop()
		return nil, fmt.Errorf("read devices: %w", err)
	}
	s.people.load(devices)
	high, err := cfg.Log.High(start)
	if err != nil {
		s.stop()
		return nil, fmt.Errorf("read the newest position: %w", err)
	}
	s.hub.reach(high)
	s.lookAtBackups()
	s.handler = s.guard(s.routes())
	s.http = &http.Server{
		Handler:           s,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       30 * time.Second,
		WriteTimeout:      time.Minute, // the largest file over a poor link; a socket sets its own
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	}
	s.running.Go(s.runBoard)
	s.running.Go(s.runHeard)
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Serve answers on a listener until Shutdown; it then returns nil.
func (s *Server) Serve(l net.Listener) error {
	if err := s.http.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve on %v: %w", l.Addr(), err)
	}
	return nil
}

// Shutdown takes no more sockets, says bye to the open ones and waits for all
// that runs until ctx ends; what still runs then is cut. A push that was being
// stored is stored or not as a whole; the tablet finds out when it comes back.
func (s *Server) Shutdown(ctx context.Context) error {
	s.hub.close()
	err := s.http.Shutdown(ctx)
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
		s.http.Close()
		<-idle
		err = errors.Join(err, ctx.Err())
	}
	if err != nil {
		return fmt.Errorf("shut down: %w", err)
	}
	return nil
}
