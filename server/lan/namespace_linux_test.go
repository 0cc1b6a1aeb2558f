package lan

import (
	"net"
	"os"
	"runtime"
	"syscall"
	"testing"
)

const (
	setNS      = 308        // the number of setns on amd64
	newNetwork = 0x40000000 // CLONE_NEWNET
)

// inNamespace makes a socket in a network namespace: a thread goes in, makes it and
// ends there. The socket stays where it was made.
func inNamespace(t *testing.T, name string, open func() (net.PacketConn, error)) net.PacketConn {
	t.Helper()
	if runtime.GOARCH != "amd64" {
		t.Skip("SKIPPED: going into a network namespace is written for amd64 only")
	}
	f, err := os.Open("/run/netns/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	type made struct {
		conn net.PacketConn
		err  error
	}
	out := make(chan made, 1)
	go func() {
		runtime.LockOSThread() // and never unlocked: the thread ends with its goroutine
		if _, _, no := syscall.RawSyscall(setNS, f.Fd(), newNetwork, 0); no != 0 {
			out <- made{nil, no}
			return
		}
		conn, err := open()
		out <- made{conn, err}
	}()
	m := <-out
	if m.err != nil {
		t.Fatal(m.err)
	}
	return m.conn
}
