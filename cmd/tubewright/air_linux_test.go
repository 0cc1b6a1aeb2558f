package main

import (
	"bufio"
	"fmt"
	"net"
	"os"
	"os/exec"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
)

// The air between a tablet and the shop machine, as three network namespaces in a
// row: shop, air, tablet. Only the air passes packets on, and only while it is told
// to: when it stops, both ends keep their link and their addresses and hear nothing
// more, neither an end nor an error, as where a tablet is carried out of reach.
//
// The server listens on loopback only. So at each end stands a forwarder with the
// same port, and what goes between the forwarders crosses the air:
//
//	browser → 127.0.0.1:P (tablet's forwarder) → air → 10.97.1.1:P (shop's forwarder) → 127.0.0.1:P (server)
//
// The test starts itself again inside the tablet's namespace, browser and all.

const (
	airEnv = "TUBEWRIGHT_TEST_AIR" // first part of the namespaces' names, in the inner run

	shopSide, tabletSide = "10.97.1.1", "10.97.2.1"
)

var airs atomic.Int64

// air is the inner run's hold on its namespaces.
type air struct {
	t    *testing.T
	name string
}

// throughTheAir runs the test again in a tablet's namespace and returns nil when
// that is done; in that inner run it returns the air at once.
func throughTheAir(t *testing.T) *air {
	t.Helper()
	if name := os.Getenv(airEnv); name != "" {
		return &air{t, name}
	}
	build(t)
	if os.Geteuid() != 0 {
		t.Skip("SKIPPED: the network can be cut between two ends by root only")
	}
	if _, err := exec.LookPath("ip"); err != nil {
		t.Skip("SKIPPED: the network cannot be cut, because ip is missing (Debian: apt-get install iproute2)")
	}
	a := air{t, fmt.Sprintf("tw%d-%d", os.Getpid(), airs.Add(1))}
	t.Cleanup(func() {
		for _, ns := range []string{"shop", "air", "tablet"} {
			exec.Command("ip", "netns", "del", a.ns(ns)).Run() // what was not made cannot be deleted
		}
	})
	shop, mid, tablet := a.ns("shop"), a.ns("air"), a.ns("tablet")
	for _, line := range []string{
		"netns add " + shop, "netns add " + mid, "netns add " + tablet,
		"-n " + shop + " link add uplink type veth peer name shop netns " + mid,
		"-n " + tablet + " link add uplink type veth peer name tablet netns " + mid,
		"-n " + shop + " addr add " + shopSide + "/24 dev uplink", "-n " + mid + " addr add 10.97.1.2/24 dev shop",
		"-n " + tablet + " addr add " + tabletSide + "/24 dev uplink", "-n " + mid + " addr add 10.97.2.2/24 dev tablet",
		"-n " + shop + " link set lo up", "-n " + tablet + " link set lo up",
		"-n " + shop + " link set uplink up", "-n " + tablet + " link set uplink up",
		"-n " + mid + " link set shop up", "-n " + mid + " link set tablet up",
		"-n " + shop + " route add default via 10.97.1.2", "-n " + tablet + " route add default via 10.97.2.2",
	} {
		if out, err := exec.Command("ip", strings.Fields(line)...).CombinedOutput(); err != nil {
			t.Skipf("SKIPPED: the network cannot be cut here: ip %s: %v: %s", line, err, out)
		}
	}
	inner := a.in("tablet", os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v", "-test.timeout=5m")
	inner.Env = append(os.Environ(), airEnv+"="+a.name, productEnv+"="+product.dir)
	out, err := inner.CombinedOutput()
	t.Logf("inside the tablet's namespace:\n%s", out)
	switch {
	case err != nil:
		t.Fatal(err)
	case strings.Contains(string(out), "--- SKIP"):
		t.Skip("SKIPPED: what the tablet's namespace said")
	case !strings.Contains(string(out), "--- PASS: "+t.Name()):
		t.Fatal("the test did not run there")
	}
	return nil
}

func (a *air) ns(side string) string { return a.name + "-" + side }

// in is a command that runs on one side and ends with this test.
func (a *air) in(side, program string, args ...string) *exec.Cmd {
	cmd := exec.Command("ip", append([]string{"netns", "exec", a.ns(side), program}, args...)...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	return cmd
}

// carry makes the air pass packets on, or lose them all without a word.
func (a *air) carry(does bool) {
	a.t.Helper()
	set := map[bool]string{true: "1", false: "0"}[does]
	if out, err := a.in("air", "sh", "-c", "echo "+set+" >/proc/sys/net/ipv4/ip_forward").CombinedOutput(); err != nil {
		a.t.Fatalf("the air: %v: %s", err, out)
	}
}

// forward starts the shop's forwarder, from the shop's address to its loopback.
func (a *air) forward(port string) {
	a.t.Helper()
	cmd := a.in("shop", os.Args[0])
	cmd.Env = append(os.Environ(), forwardEnv+"="+net.JoinHostPort(shopSide, port)+" "+net.JoinHostPort("127.0.0.1", port))
	out, err := cmd.StdoutPipe()
	if err != nil {
		a.t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		a.t.Fatal(err)
	}
	a.t.Cleanup(func() {
		cmd.Process.Kill()
		cmd.Wait()
	})
	if line, err := bufio.NewReader(out).ReadString('\n'); err != nil {
		a.t.Fatalf("the shop's forwarder said %q: %v", line, err)
	}
}

// newShop starts the server on the far side of the air, with both forwarders.
func (a *air) newShop() *shop {
	a.t.Helper()
	near, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		a.t.Fatal(err)
	}
	a.t.Cleanup(func() { near.Close() })
	_, port, _ := net.SplitHostPort(near.Addr().String())
	go pass(near, net.JoinHostPort(shopSide, port))
	a.carry(true)
	a.forward(port)
	build(a.t)
	return startShop(a.t, near.Addr().String(), func(program string, args ...string) *exec.Cmd {
		return a.in("shop", program, args...)
	})
}
