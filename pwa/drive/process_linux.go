package drive

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// process is a driver or a browser that we started, with all it starts. Its home is a
// folder of its own, so that what it left behind can be told from others' processes.
type process struct {
	cmd  *exec.Cmd
	home string
	tmp  string
	log  *saying
	done chan struct{}
}

// spawn starts a program with home as HOME and a temporary folder that kill deletes.
// env are more settings, "NAME=value".
func spawn(home string, env []string, name string, args ...string) (*process, error) {
	return spawnWith(home, env, nil, name, args...)
}

func spawnWith(home string, env []string, extra []*os.File, name string, args ...string) (*process, error) {
	tmp, err := os.MkdirTemp("", "tw-") // short: names of sockets have 107 bytes at most
	if err != nil {
		return nil, fmt.Errorf("start %s: %w", name, err)
	}
	p := &process{cmd: exec.Command(name, args...), home: home, tmp: tmp, log: &saying{}, done: make(chan struct{})}
	p.cmd.Env = append(os.Environ(), append([]string{"HOME=" + home, "TMPDIR=" + tmp, "XDG_RUNTIME_DIR=" + tmp}, env...)...)
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
	p.cmd.Stdout, p.cmd.Stderr = p.log, p.log
	p.cmd.ExtraFiles = extra
	p.cmd.WaitDelay = time.Second
	if err := p.cmd.Start(); err != nil {
		return nil, fmt.Errorf("start %s: %w", name, err)
	}
	go func() {
		_ = p.cmd.Wait() // it was killed, or its end shows in the next command
		close(p.done)
	}()
	return p, nil
}

// saying keeps what a process printed, for the error when it does not start.
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
	return strings.TrimSpace(s.buf.String())
}

// kill ends the process and everything below it at once, without asking.
func (p *process) kill() {
	for _, c := range append(p.below(), p.strays()...) {
		_ = syscall.Kill(c.pid, syscall.SIGKILL) // gone already is as good
	}
	_ = syscall.Kill(p.cmd.Process.Pid, syscall.SIGKILL)
	<-p.done
	os.RemoveAll(p.tmp)
}

type child struct {
	pid, parent int
	args        string
}

// below returns all processes that descend from p.
func (p *process) below() []child {
	all := processes()
	ours := map[int]bool{p.cmd.Process.Pid: true}
	var found []child
	for grew := true; grew; {
		grew = false
		for _, c := range all {
			if ours[c.parent] && !ours[c.pid] {
				ours[c.pid] = true
				found = append(found, c)
				grew = true
			}
		}
	}
	return found
}

// strays returns processes that left the tree and name our home folder.
func (p *process) strays() []child {
	var found []child
	for _, c := range processes() {
		if strings.Contains(c.args, p.home+"/") {
			found = append(found, c)
		}
	}
	return found
}

func processes() []child {
	dirs, err := filepath.Glob("/proc/[0-9]*")
	if err != nil {
		return nil
	}
	var all []child
	for _, dir := range dirs {
		pid, err := strconv.Atoi(filepath.Base(dir))
		if err != nil || pid == os.Getpid() {
			continue
		}
		stat, err := os.ReadFile(dir + "/stat")
		if err != nil {
			continue
		}
		// pid (name) state parent …; the name may hold spaces and brackets
		after := strings.Fields(string(stat[bytes.LastIndexByte(stat, ')')+1:]))
		if len(after) < 2 {
			continue
		}
		parent, err := strconv.Atoi(after[1])
		if err != nil {
			continue
		}
		args, err := os.ReadFile(dir + "/cmdline")
		if err != nil {
			continue
		}
		all = append(all, child{pid, parent, strings.ReplaceAll(string(args), "\x00", " ")})
	}
	return all
}

func killOne(pid int) error { return syscall.Kill(pid, syscall.SIGKILL) }

// freePort returns a port that nothing listened on a moment ago.
func freePort() (int, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, fmt.Errorf("find a free port: %w", err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port, nil
}

// reach waits until something listens on the port.
func reach(ctx context.Context, p *process, port int) error {
	addr := net.JoinHostPort("127.0.0.1", strconv.Itoa(port))
	for {
		conn, err := net.DialTimeout("tcp", addr, time.Second)
		if err == nil {
			return conn.Close()
		}
		select {
		case <-p.done:
			return fmt.Errorf("%s ended: %s", p.cmd.Path, p.log.String())
		case <-ctx.Done():
			return fmt.Errorf("reach %s: %w", p.cmd.Path, ctx.Err())
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// profile returns the folder of a start and what deletes it when it is ours.
func profile(o Options) (dir string, drop func(), err error) {
	if o.Profile != "" {
		dir, err = filepath.Abs(o.Profile)
		if err == nil {
			err = os.MkdirAll(dir, 0o700)
		}
		return dir, func() {}, err
	}
	dir, err = os.MkdirTemp("", "tubewright-browser-")
	return dir, func() { os.RemoveAll(dir) }, err
}

// lacking returns why programs cannot be started here, "" when they can.
func lacking(programs ...string) string {
	for _, name := range programs {
		if _, err := exec.LookPath(name); err != nil {
			return "SKIPPED: " + name + " is not installed"
		}
	}
	return ""
}

// engine is a browser that can start itself in its profile.
type engine interface {
	Browser
	start() error
}

// launch starts an engine in a profile; skip says which program is missing.
func launch[E engine](o Options, programs []string, in func(home string, drop func()) E) (b Browser, skip string, err error) {
	if skip := lacking(programs...); skip != "" {
		return nil, skip, nil
	}
	home, drop, err := profile(o)
	if err != nil {
		return nil, "", fmt.Errorf("make a profile: %w", err)
	}
	e := in(home, drop)
	err = e.start()
	if err != nil { // on a machine with much to do a browser sometimes hangs as it starts
		e.Kill()
		err = e.start()
	}
	if err != nil {
		e.Close()
		return nil, "", err
	}
	return e, "", nil
}

// restart starts an engine again with its profile, as large as it was.
func restart(e engine, size [2]int) error {
	e.Kill()
	if err := e.start(); err != nil || size == [2]int{} {
		return err
	}
	return e.SetSize(size[0], size[1])
}
