package lan

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/miekg/dns"
)

// Started again in a namespace of its own, this program answers for the name.
const announceEnv = "TUBEWRIGHT_TEST_ANNOUNCE"

func TestMain(m *testing.M) {
	if name := os.Getenv(announceEnv); name != "" {
		a := NewAnnouncer(name, func(on []string, err error) { fmt.Println("on", on, err) })
		a.every = 200 * time.Millisecond
		a.Run(context.Background())
	}
	os.Exit(m.Run())
}

// A tablet in the same network finds the shop machine by its .local name; also when
// the network came up after the program.
func TestTL4NameIsAnsweredForAcrossTheNetwork(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("SKIPPED: two ends of a network can be made by root only")
	}
	if _, err := exec.LookPath("ip"); err != nil {
		t.Skip("SKIPPED: two ends of a network cannot be made, because ip is missing (Debian: apt-get install iproute2)")
	}
	shop, tablet := fmt.Sprintf("twm%d-shop", os.Getpid()), fmt.Sprintf("twm%d-tablet", os.Getpid())
	t.Cleanup(func() {
		for _, ns := range []string{shop, tablet} {
			exec.Command("ip", "netns", "del", ns).Run() // what was not made cannot be deleted
		}
	})
	ip := func(line string) error {
		if out, err := exec.Command("ip", strings.Fields(line)...).CombinedOutput(); err != nil {
			return fmt.Errorf("ip %s: %w: %s", line, err, out)
		}
		return nil
	}
	for _, line := range []string{
		"netns add " + shop, "netns add " + tablet,
		"-n " + shop + " link add net0 type veth peer name net0 netns " + tablet,
		"-n " + tablet + " link set lo up", "-n " + tablet + " addr add 10.98.1.2/24 dev net0", "-n " + tablet + " link set net0 up",
	} {
		if err := ip(line); err != nil {
			t.Skipf("SKIPPED: two ends of a network cannot be made here: %v", err)
		}
	}
	cmd := exec.Command("ip", "netns", "exec", shop, os.Args[0])
	cmd.Env = append(os.Environ(), announceEnv+"=tubewright.local")
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	runtime.LockOSThread() // the child dies with the thread it was started from, and askIn ends threads
	said := &strings.Builder{}
	cmd.Stdout, cmd.Stderr = said, said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { // after which said can be read
		cmd.Process.Kill()
		cmd.Wait()
		t.Logf("the shop said:\n%s", said)
	})
	time.Sleep(300 * time.Millisecond) // it starts without a network
	for _, line := range []string{"-n " + shop + " addr add 10.98.1.1/24 dev net0", "-n " + shop + " link set net0 up"} {
		if err := ip(line); err != nil {
			t.Fatal(err)
		}
	}
	for range 50 {
		for _, a := range askIn(t, tablet, "tubewright.local.") {
			if a.Equal(net.IPv4(10, 98, 1, 1)) {
				return
			}
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Error("no answer for tubewright.local within 5 s")
}

// askIn sends one question to the group of RFC 6762 from inside a namespace, by a
// socket that is made there, and returns the addresses in the answer.
func askIn(t *testing.T, ns, name string) []net.IP {
	t.Helper()
	c := inNamespace(t, ns, func() (net.PacketConn, error) {
		return net.ListenPacket("udp4", "10.98.1.2:0")
	})
	defer c.Close()
	var q dns.Msg
	q.SetQuestion(name, dns.TypeA)
	b, err := q.Pack()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.WriteTo(b, &net.UDPAddr{IP: net.IPv4(224, 0, 0, 251), Port: 5353}); err != nil {
		return nil // the link is not up yet
	}
	c.SetReadDeadline(time.Now().Add(200 * time.Millisecond))
	buf := make([]byte, 9000)
	n, _, err := c.ReadFrom(buf)
	if err != nil {
		return nil
	}
	var a dns.Msg
	if err := a.Unpack(buf[:n]); err != nil {
		t.Fatal(err)
	}
	var ips []net.IP
	for _, rr := range a.Answer {
		if rr, ok := rr.(*dns.A); ok {
			ips = append(ips, rr.A)
		}
	}
	return ips
}
