package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"os"
	"sync"
	"time"

	"tubewright/pwa"
	"tubewright/server"
	pages "tubewright/server/shop"
	"tubewright/store"
)

// defaultShop is fixed: what a browser on the shop machine holds belongs to one
// address, the same as with a tablet.
const defaultShop = "127.0.0.1:8412"

// shutdownTime is how long open sockets get to finish what they are writing.
const shutdownTime = 5 * time.Second

func serveCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	fs := flags("serve", "", "Runs the shop's server until it is interrupted. The first start sets everything up.", stderr)
	sh := shopServer{network: &networkFlags{}}
	fs.StringVar(&sh.addr, "shop-addr", defaultShop, "`address` of the page, app and wall for this machine itself; no other may connect there")
	sh.network.define(fs)
	data := dataFlag(fs)
	backups := fs.String("backups", "", "`folder` for backups, best on another disk; the folder backups in the data folder unless given")
	assets := fs.String("assets", "", "`folder` with a built app to serve instead of the built-in one")
	fs.BoolVar(&sh.moved, "moved", false, "the name or port is meant to be another one from now on")
	if err := parse(fs, args, 0); err != nil {
		return err
	}
	if err := os.MkdirAll(*data, 0o700); err != nil {
		return fmt.Errorf("make data folder: %w", err)
	}
	sh.data, sh.backups, sh.files = *data, backupsIn(*data, *backups), app(*assets)
	if err := sh.serve(ctx, stdout, stderr, nil); err != nil {
		return err
	}
	fmt.Fprintln(stdout, "\nThe shop machine has stopped. What came in is on the disk.") // below the ^C of a terminal
	return nil
}

// shopServer is what the server runs on.
type shopServer struct {
	addr    string        // for this machine itself
	network *networkFlags // for tablets; nil: this machine only, and nothing of it is kept
	data    string        // folder
	backups string        // folder
	files   fs.FS         // of the tablet app
	moved   bool          // another name or port is meant
}

// app returns the files of the tablet app: those of a folder, or the built-in ones.
func app(folder string) fs.FS {
	if folder != "" {
		return os.DirFS(folder)
	}
	return pwa.Dist()
}

// serve runs the server until ctx ends. ready, if any, is called with the address
// of the app on this machine once it answers.
func (sh shopServer) serve(ctx context.Context, stdout, stderr io.Writer, ready func(url string)) (err error) {
	here, err := server.Listen(sh.addr)
	if err != nil {
		return taken(err)
	}
	defer here.Close()
	st, err := store.Open(ctx, databaseIn(sh.data))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	logger := slog.New(slog.NewTextHandler(stderr, nil))
	if err := dropHalves(sh.data); err != nil {
		logger.Warn("remove what a server left that was killed", "error", err)
	}
	srv, err := server.New(server.Config{
		Log: shopLog{st}, Pairs: shopPairs{st}, Blobs: shopBlobs{st}, Packs: shopPacks{st, sh.data}, Assets: sh.files, Logger: logger, Build: buildOf(sh.files), Now: time.Now,
	})
	if err != nil {
		return err
	}
	run := &running{server: srv, failed: make(chan error, 1)}
	defer func() { err = errors.Join(err, run.stop(ctx)) }()
	url := "http://" + server.Loopback(here.Addr())[0] + "/"
	door := server.Door{Hosts: server.Loopback(here.Addr()), Open: true}
	if sh.network == nil {
		fmt.Fprintf(stdout, "Tablet app   %s\nWall board   %swall\n", url, url)
	} else {
		desk, err := sh.open(ctx, run, st, logger)
		if err != nil {
			return err
		}
		door.Pages = pages.Page(desk, time.Now)
		warnings, err := desk.warnings(ctx, time.Now())
		if err != nil {
			return err
		}
		tellStart(stdout, url, desk.network, sh.data, sh.backups, sameDisk(databaseIn(sh.data), sh.backups), warnings)
	}
	run.background(func(ctx context.Context) { newKeeper(st, sh.backups, logger).run(ctx) })
	run.listener(func() error { return srv.Serve(here, door) })
	if ready != nil {
		ready(url)
	}
	select {
	case err = <-run.failed:
	case <-ctx.Done():
	}
	return err
}

// open lets the shop's network in, and returns what the shop page works on.
func (sh shopServer) open(ctx context.Context, run *running, st *store.Store, logger *slog.Logger) (*shopDesk, error) {
	n, err := openNetwork(*sh.network, tlsFolder(sh.data), logger)
	if err != nil {
		return nil, err
	}
	run.network = n
	was, err := noteOrigin(ctx, st, n.origin, sh.moved, time.Now())
	if err != nil {
		return nil, err
	}
	if err := noteAuthority(ctx, st, n.fingerprint(), time.Now()); err != nil {
		return nil, err
	}
	changed, err := readChanges(ctx, st)
	if err != nil {
		return nil, err
	}
	run.listener(func() error { return run.server.Serve(n.app, n.door()) })
	if n.trust != nil {
		run.trust = n.trustPage(logger)
		run.listener(func() error { return serveTrust(run.trust, n.trust) })
	}
	run.background(func(ctx context.Context) { n.announce(ctx, logger) })
	run.background(n.look)
	return &shopDesk{Server: run.server, store: st, network: n, data: sh.data, backups: sh.backups, was: was, changed: changed}, nil
}

// running is all that has to come to its end before the store may be closed.
type running struct {
	server  *server.Server
	network *network     // nil: none
	trust   *http.Server // nil: none
	failed  chan error   // the first listener that failed

	all     sync.WaitGroup
	cancels []context.CancelFunc
}

// listener runs until stop, or until it fails.
func (r *running) listener(serve func() error) {
	r.all.Go(func() {
		if err := serve(); err != nil {
			select {
			case r.failed <- err:
			default: // one is enough to end everything
			}
		}
	})
}

// background runs until stop.
func (r *running) background(work func(context.Context)) {
	ctx, cancel := context.WithCancel(context.Background())
	r.cancels = append(r.cancels, cancel)
	r.all.Go(func() { work(ctx) })
}

// stop ends everything, and gives open sockets a while to end well.
func (r *running) stop(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	for _, c := range r.cancels {
		c()
	}
	var errs []error
	if r.trust != nil {
		errs = append(errs, r.trust.Close()) // whoever loads from it can load again
	}
	errs = append(errs, r.server.Shutdown(ctx))
	if r.network != nil {
		r.network.close()
	}
	r.all.Wait()
	return errors.Join(errs...)
}
