package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"tubewright/cmd/build/bundle"
)

// product is the program and the app as a user gets them, built once per run
// into a folder of the test's own.
var product struct {
	once    sync.Once
	dir     string
	program string
	app     string
	skip    string
	err     error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if product.dir != "" {
		os.RemoveAll(product.dir)
	}
	os.Exit(code)
}

// build returns the program and the folder of the app; it skips where the app
// cannot be built.
func build(t *testing.T) (program, app string) {
	t.Helper()
	if testing.Short() {
		t.Skip("SKIPPED: builds the app and drives browsers, not in -short")
	}
	product.once.Do(func() {
		const root = "../.."
		if _, err := os.Stat(filepath.Join(root, "pwa", "node_modules")); err != nil {
			product.skip = "SKIPPED: the app's packages are not fetched; go run ./cmd/build fetches them"
			return
		}
		if product.dir, product.err = os.MkdirTemp("", "tubewright-test-"); product.err != nil {
			return
		}
		product.program, product.app = filepath.Join(product.dir, "tubewright"), filepath.Join(product.dir, "app")
		if _, product.err = bundle.Build(context.Background(), root, product.app, func(string, time.Duration) {}); product.err != nil {
			return
		}
		if out, err := exec.Command("go", "build", "-buildvcs=false", "-o", product.program, ".").CombinedOutput(); err != nil {
			product.err = fmt.Errorf("build the program: %w: %s", err, out)
		}
	})
	if product.skip != "" {
		t.Skip(product.skip)
	}
	if product.err != nil {
		t.Fatal(product.err)
	}
	return product.program, product.app
}

// shop is the shop machine: the real program, in a process that can be killed.
type shop struct {
	t    *testing.T
	dir  string
	addr string
	cmd  *exec.Cmd
	said *bytes.Buffer
}

// newShop finds a port that is free and starts the server on an empty database.
func newShop(t *testing.T) *shop {
	t.Helper()
	build(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	s := &shop{t: t, dir: t.TempDir(), addr: l.Addr().String(), said: new(bytes.Buffer)}
	l.Close()
	s.start()
	t.Cleanup(func() {
		s.kill()
		if t.Failed() {
			t.Logf("the server said:\n%s", s.said)
		}
	})
	return s
}

func (s *shop) start() {
	s.t.Helper()
	s.cmd = exec.Command(product.program, "serve", "-addr", s.addr, "-data", s.dir, "-assets", product.app)
	s.cmd.Stdout, s.cmd.Stderr = s.said, s.said
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	for range 200 {
		if c, err := net.Dial("tcp", s.addr); err == nil {
			c.Close()
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	s.t.Fatal("the server does not answer")
}

// kill ends the server as a power cut would.
func (s *shop) kill() {
	if s.cmd != nil {
		s.cmd.Process.Kill()
		s.cmd.Wait()
		s.cmd = nil
	}
}

// url is where a tablet finds the shop; always the same name, since what a
// tablet holds belongs to it.
func (s *shop) url(path string) string {
	_, port, _ := net.SplitHostPort(s.addr)
	return "http://localhost:" + port + path
}

// get reads JSON from the server.
func (s *shop) get(path string, into any) error {
	res, err := http.Get(s.url(path))
	if err != nil {
		return err
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		return err
	}
	if res.StatusCode != http.StatusOK {
		return fmt.Errorf("%s: %s: %s", path, res.Status, b)
	}
	return json.Unmarshal(b, into)
}

// jobs asks the server for its jobs.
func (s *shop) jobs() []map[string]any {
	var jobs []map[string]any
	if err := s.get("/api/jobs", &jobs); err != nil {
		s.t.Helper()
		s.t.Fatal(err)
	}
	return jobs
}

// check runs the program's own check over the database of a stopped server.
func (s *shop) check() {
	s.t.Helper()
	if code, out, errs := command(s.t, "check", filepath.Join(s.dir, "tubewright.db")); code != exitDone {
		s.t.Errorf("check: exit %d: %s%s", code, out, errs)
	}
}
