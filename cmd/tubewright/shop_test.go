package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// product is the program and the app as a user gets them, built once per run
// into a folder of the test's own, beside the program that builds the app.
var product struct {
	once    sync.Once
	dir     string
	program string
	app     string
	skip    string
	err     error
}

func TestMain(m *testing.M) {
	if said := os.Getenv(forwardEnv); said != "" {
		fmt.Fprintln(os.Stderr, forwarder(said))
		os.Exit(1)
	}
	code := m.Run()
	if product.dir != "" && product.dir != os.Getenv(productEnv) {
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
		if dir := os.Getenv(productEnv); dir != "" { // built by the run that started this one
			product.dir, product.program, product.app = dir, filepath.Join(dir, "tubewright"), filepath.Join(dir, "app")
			return
		}
		if _, err := os.Stat(filepath.Join(root, "pwa", "node_modules")); err != nil {
			product.skip = "SKIPPED: the app's packages are not fetched; go run ./cmd/build fetches them"
			return
		}
		if product.dir, product.err = os.MkdirTemp("", "tubewright-test-"); product.err != nil {
			return
		}
		product.program, product.app = filepath.Join(product.dir, "tubewright"), filepath.Join(product.dir, "app")
		for _, p := range []string{".", "../build"} {
			if out, err := exec.Command("go", "build", "-buildvcs=false", "-o", product.dir, p).CombinedOutput(); err != nil {
				product.err = fmt.Errorf("build the program in %s: %w: %s", p, err, out)
				return
			}
		}
		product.err = buildApp(root, product.app, filepath.Join(root, "pwa", "dist"), "-quick")
	})
	if product.skip != "" {
		t.Skip(product.skip)
	}
	if product.err != nil {
		t.Fatal(product.err)
	}
	return product.program, product.app
}

// buildApp builds the app of the sources in root into the folder out, in a process without
// the race detector. What an earlier build in had is the same is not packed again.
func buildApp(root, out, had string, flags ...string) error {
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	if err := os.CopyFS(out, os.DirFS(had)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("take over an earlier build: %w", err)
	}
	cmd := exec.Command(filepath.Join(product.dir, "build"), slices.Concat([]string{"app"}, flags, []string{out})...)
	cmd.Dir = root
	if said, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("build the app: %w: %s", err, said)
	}
	return nil
}

// shop is the shop machine: the real program, in a process that can be killed. Its
// tablets come in by the way for the shop machine itself, where none has to be paired.
type shop struct {
	t       *testing.T
	dir     string
	addr    string
	app     string // folder of the app that it serves
	command func(program string, args ...string) *exec.Cmd
	cmd     *exec.Cmd
	said    *saying
}

// saying keeps what the server prints, to be read while it runs.
type saying struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (s *saying) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.buf.Write(b)
}

func (s *saying) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.buf.String()
}

// lines counts the lines that hold all parts.
func (s *saying) lines(parts ...string) (n int) {
	for line := range strings.Lines(s.String()) {
		if !slices.ContainsFunc(parts, func(part string) bool { return !strings.Contains(line, part) }) {
			n++
		}
	}
	return n
}

// newShop finds a port that is free and starts the server on an empty database.
func newShop(t *testing.T) *shop {
	t.Helper()
	build(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr := l.Addr().String()
	l.Close()
	return startShop(t, addr, exec.Command)
}

// startShop starts a server on an empty database at an address; command makes the
// command of a program, which may run it somewhere else.
func startShop(t *testing.T, addr string, command func(program string, args ...string) *exec.Cmd) *shop {
	t.Helper()
	s := &shop{t: t, dir: t.TempDir(), addr: addr, app: product.app, command: command, said: &saying{}}
	t.Cleanup(func() {
		s.kill()
		if t.Failed() {
			t.Logf("the server said:\n%s", s.said)
		}
	})
	s.start()
	return s
}

func (s *shop) start() {
	s.t.Helper()
	s.cmd = s.command(product.program, "serve", "-shop-addr", s.addr, "-addr", "127.0.0.1:0", "-trust-addr", "", "-data", s.dir, "-assets", s.app)
	s.cmd.Stdout, s.cmd.Stderr = s.said, s.said
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	for range 200 {
		if s.get("/api/health", new(map[string]any)) == nil {
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
