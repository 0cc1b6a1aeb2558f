package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"time"

	"tubewright/pwa"
	"tubewright/server"
	"tubewright/store"
)

// defaultAddr is fixed: what a tablet holds belongs to one name and one port.
const defaultAddr = "127.0.0.1:8411"

// shutdownTime is how long open sockets get to finish what they are writing.
const shutdownTime = 5 * time.Second

func serveCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	fs := flags("serve", "", "Runs the shop's server until it is interrupted.", stderr)
	addr := fs.String("addr", defaultAddr, "address to listen on; this machine only, until tablets can be paired")
	data := dataFlag(fs)
	backups := fs.String("backups", "", "folder for backups, best on another disk; the folder backups in the data folder unless given")
	assets := fs.String("assets", "", "folder with a built app to serve instead of the built-in one")
	if err := parse(fs, args, 0); err != nil {
		return err
	}
	if err := os.MkdirAll(*data, 0o700); err != nil {
		return fmt.Errorf("make data folder: %w", err)
	}
	sh := shopServer{addr: *addr, database: databaseIn(*data), backups: backupsIn(*data, *backups), files: app(*assets)}
	return sh.serve(ctx, stdout, stderr, nil)
}

// shopServer is what the server runs on.
type shopServer struct {
	addr     string
	database string
	backups  string // folder
	files    fs.FS  // of the tablet app
	demo     bool   // nothing of it is kept
}

// app returns the files of the tablet app: those of a folder, or the built-in ones.
func app(folder string) fs.FS {
	if folder != "" {
		return os.DirFS(folder)
	}
	return pwa.Dist()
}

// serve runs the server until ctx ends. ready, if any, is called with the address
// of the app once it answers.
func (sh shopServer) serve(ctx context.Context, stdout, stderr io.Writer, ready func(url string)) (err error) {
	listener, err := server.Listen(sh.addr)
	if err != nil {
		return err
	}
	defer listener.Close()
	st, err := store.Open(ctx, sh.database)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	logger := slog.New(slog.NewTextHandler(stderr, nil))
	srv, err := server.New(server.Config{
		Log: shopLog{st}, Pairs: shopPairs{st}, Blobs: shopBlobs{st}, Assets: sh.files, Logger: logger, Build: buildOf(sh.files), Now: time.Now,
	})
	if err != nil {
		return err
	}
	url := "http://" + server.Loopback(listener.Addr())[0] + "/"
	fmt.Fprintf(stdout, "Tablet app   %s\nWall board   %swall\nDatabase     %s\nBackups      %s\n", url, url, sh.database, sh.backups)
	if !sh.demo && sameDisk(sh.database, sh.backups) {
		fmt.Fprint(stdout, "\nThe backups lie on the same disk as the data: they help against a mistake, not against a\ndead disk. serve -backups DIR puts them on another one.\n")
	}
	if ready != nil {
		ready(url)
	}
	keeping, stopKeeping := context.WithCancel(ctx)
	kept := make(chan struct{})
	go func() {
		defer close(kept)
		newKeeper(st, sh.backups, logger).run(keeping)
	}()
	defer func() { stopKeeping(); <-kept }()
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(listener, server.Door{Hosts: server.Loopback(listener.Addr()), Open: true}) }()
	select {
	case err = <-ended:
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	return errors.Join(err, srv.Shutdown(stop))
}

// buildOf names the build of the app that files hold; empty when nothing is built.
func buildOf(files fs.FS) string {
	var set struct {
		Build string `json:"build"`
	}
	b, err := fs.ReadFile(files, "set.json")
	if err != nil || json.Unmarshal(b, &set) != nil {
		return ""
	}
	return set.Build
}
