package main

import (
	"net"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/pwa/drive"
)

// The air stops carrying: nobody hears an end. The tablet notices by the silence
// within 25 s, keeps what is measured, and has sent it within 10 s after the air
// is back.
func TestSY12TabletNoticesDeadAir(t *testing.T) {
	t.Parallel()
	air := throughTheAir(t)
	if air == nil {
		return
	}
	s := air.newShop()
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.link("live")
	job := a.newJob()
	a.unsent(0)
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	time.Sleep(3 * time.Second) // a tablet that was just named connects once more after 2 s
	a.link("live")
	air.carry(false)
	dead := time.Now()
	a.enter("engine/self/bore", "83.4 mm")
	a.unsent(1)
	a.link("offline")
	noticed := time.Since(dead)
	if noticed < 10*time.Second || noticed > 27*time.Second {
		t.Errorf("noticed after %v, want within 25 s, and by silence alone", noticed)
	}
	a.unsent(1)
	time.Sleep(2 * time.Second)
	air.carry(true)
	back := time.Now()
	a.link("live")
	a.unsent(0)
	if took := time.Since(back); took > 10*time.Second {
		t.Errorf("sent %v after the air was back, want within 10 s", took)
	}
	t.Logf("noticed after %v, recovered in %v", noticed.Round(time.Millisecond), time.Since(back).Round(time.Millisecond))
	s.kill()
	if n := countSlot(t, s, "engine/self/bore"); n != 1 {
		t.Errorf("the reading is %d times on the server, want once", n)
	}
}

// The server ends a socket whose other end has gone within 40 s by its pings; a
// plain connection over the same air notices nothing, and its writes succeed.
func TestDB5ServerEndsHalfOpenSockets(t *testing.T) {
	t.Parallel()
	air := throughTheAir(t)
	if air == nil {
		return
	}
	s := air.newShop()
	// A plain pair of sockets, as the control: the near end only waits and writes.
	_, port, _ := net.SplitHostPort(s.addr)
	plain, err := net.Dial("tcp", net.JoinHostPort(shopSide, port))
	if err != nil {
		t.Fatal(err)
	}
	defer plain.Close()
	if _, err := plain.Write([]byte("GET /sync HTTP/1.1\r\n")); err != nil {
		t.Fatal(err)
	}
	c := s.open("tab-1", "Yard")
	defer c.Close()
	go c.ReadMessage() // answers pings while there is air
	air.carry(false)
	dead := time.Now()
	ended := make(chan error, 1)
	go func() {
		_, err := plain.Read(make([]byte, 1))
		ended <- err
	}()
	for s.said.lines("socket closed", "dev=tab-1") == 0 {
		if time.Since(dead) > 43*time.Second {
			t.Fatal("the server still holds the socket of a tablet that is gone")
		}
		time.Sleep(50 * time.Millisecond)
	}
	took := time.Since(dead)
	if took < 10*time.Second || took > 42*time.Second {
		t.Errorf("the server ended the socket after %v, want up to 40 s", took)
	}
	select {
	case err := <-ended:
		t.Errorf("the plain connection noticed: %v; then the air is not dead but closed", err)
	default:
	}
	if _, err := plain.Write([]byte("Host: x\r\n")); err != nil {
		t.Errorf("the plain connection's write failed: %v; then the air is not dead but closed", err)
	}
	t.Logf("ended after %v", took.Round(time.Millisecond))
}

// A tablet whose page stands still answers pings all the same. The wall calls it
// silent within 25 s while the server still has its socket, and hears it again.
func TestSY13FrozenTabletIsSilentOnTheWall(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.link("live")
	w := newTablet(t, drive.Chromium, s)
	w.must(w.b.Open(s.url("/wall")))
	silent := `return document.querySelector("[data-test=wall-tablet]")?.dataset.state === arguments[0]`
	w.must(w.b.WaitFor(wait, silent, "heard"))
	closed := s.said.lines("socket closed", "role=bench")
	thaw := freeze(t, a.b)
	frozen := time.Now()
	w.must(w.b.WaitFor(40*time.Second, silent, "silent"))
	took := time.Since(frozen)
	if took > 27*time.Second {
		t.Errorf("the wall calls the tablet silent after %v, want 25 s", took)
	}
	w.says("wall-tablet", "last heard")
	// The server gives a socket up after 40 s without a frame, pongs included.
	time.Sleep(time.Until(frozen.Add(42 * time.Second)))
	if s.said.lines("socket closed", "role=bench") > closed {
		t.Error("the socket of the frozen tablet is closed: no pongs came, so this test shows nothing")
	}
	thaw()
	w.must(w.b.WaitFor(wait, silent, "heard"))
	t.Logf("silent after %v", took.Round(time.Millisecond))
}

// The server stands still with all its sockets open: the wall goes grey within
// 20 s, says since when, and is live again when the server goes on.
func TestDI2WallGoesGreyWhenTheServerStandsStill(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	w := newTablet(t, drive.Chromium, s)
	w.must(w.b.Open(s.url("/wall")))
	w.must(w.b.WaitFor(wait, `return document.querySelector(".wall-clock")?.textContent !== "" && !document.querySelector("[data-test=wall-grey]")`))
	if err := s.cmd.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	stopped := time.Now()
	w.sees("wall-grey")
	if took := time.Since(stopped); took > 22*time.Second {
		t.Errorf("grey after %v, want within 20 s", took)
	}
	w.says("wall-grey", "not live since")
	if err := s.cmd.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	w.must(w.b.WaitFor(wait, `return document.querySelector("[data-test=wall-grey]") === null`))
}

// The server stands still with the push in its socket, then dies: the tablet
// has no answer and keeps the record until it reads it back.
func TestSY1ServerKilledBetweenPushAndAck(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.link("live")
	jobID := a.newJob()
	a.unsent(0)
	if err := s.cmd.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	a.goTo("measure", "job="+jobID+"&slot=engine/self/bore")
	a.enter("engine/self/bore", "83.4 mm")
	a.unsent(1)
	time.Sleep(300 * time.Millisecond) // for the push to lie in the server's socket
	s.kill()
	a.link("offline")
	s.start()
	a.unsent(0)
	s.kill()
	s.check()
	if n := countSlot(t, s, "engine/self/bore"); n != 1 {
		t.Errorf("the reading is %d times on the server, want once", n)
	}
}

// Two windows of one app, one of them frozen with its socket open: the other
// connects within 10 s and sends.
func TestST12FrozenWindowHoldsUpNoOther(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.unsent(0)
	tabs := a.b.(interface {
		OpenTab() (string, error)
		Drawing() []int
	})
	first := tabs.Drawing()
	_, err := tabs.OpenTab()
	a.must(err)
	a.open()
	a.link("live")
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	stop(t, first)
	frozen := time.Now()
	a.enter("engine/self/bore", "83.4 mm")
	a.unsent(0)
	a.link("live")
	if took := time.Since(frozen); took > 10*time.Second {
		t.Errorf("sent after %v, want within 10 s", took)
	}
	// And from anew, beside the socket that the frozen one holds.
	s.kill()
	a.link("offline")
	s.start()
	a.link("live")
}

// freeze stops the processes that draw pages; what it returns lets them go on.
func freeze(t *testing.T, b drive.Browser) (thaw func()) {
	t.Helper()
	return stop(t, b.(interface{ Drawing() []int }).Drawing())
}

func stop(t *testing.T, pids []int) (goOn func()) {
	t.Helper()
	if len(pids) == 0 {
		t.Fatal("no process draws a page")
	}
	signal := func(sig syscall.Signal) {
		for _, pid := range pids {
			if err := syscall.Kill(pid, sig); err != nil && sig == syscall.SIGSTOP {
				t.Fatal(err)
			}
		}
	}
	signal(syscall.SIGSTOP)
	goOn = func() { signal(syscall.SIGCONT) }
	t.Cleanup(goOn)
	return goOn
}

// open is a socket of a measuring tablet that was welcomed.
func (s *shop) open(dev, name string) *websocket.Conn {
	s.t.Helper()
	head := map[string][]string{"Origin": {strings.TrimSuffix(s.url("/"), "/")}}
	c, _, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(s.url("/sync"), "http"), head)
	if err != nil {
		s.t.Fatal(err)
	}
	if err := c.WriteJSON(frame{T: "hello", Proto: []int{1, 1}, SV: 1, Role: "measure", Dev: dev, Name: name}); err != nil {
		s.t.Fatal(err)
	}
	var welcome struct{ T string }
	if err := c.ReadJSON(&welcome); err != nil || welcome.T != "welcome" {
		s.t.Fatalf("%+v, %v", welcome, err)
	}
	return c
}
