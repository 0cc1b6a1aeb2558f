package server

import (
	"net"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"tubewright/calc/ledger"
)

// hub knows the open sessions. It tells them that there is more to read and
// never carries a record itself.
type hub struct {
	lim  limits
	high atomic.Int64 // newest position that is known to be on disk

	mu      sync.Mutex
	closing bool
	seats   int           // sockets, from before the upgrade on, and links
	stopped chan struct{} // closed when nobody is let in any more
	open    map[*session]bool
	devices map[string]*device // with sessions whose hello was taken
	unknown map[string]int     // connections that no token has let in yet, by their address
	empty   sync.Cond          // seats reached 0
}

// device is what the sockets of one device id share.
type device struct {
	sessions []*session
	pace     pace
}

func newHub(lim limits) *hub {
	h := &hub{lim: lim, stopped: make(chan struct{}), open: map[*session]bool{}, devices: map[string]*device{}, unknown: map[string]int{}}
	h.empty.L = &h.mu
	return h
}

// seat takes one of the places for sockets; false when there is none.
func (h *hub) seat() bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closing || h.seats >= h.lim.sockets {
		return false
	}
	h.seats++
	return true
}

func (h *hub) leaveSeat() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.seats--; h.seats == 0 {
		h.empty.Broadcast()
	}
}

// knock counts a connection from an address until known is called, which may be
// more than once. It is not ok when that address has too many that no token has let
// in: one machine that opens sockets and says nothing would take all places.
func (h *hub) knock(address string) (known func(), ok bool) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		host = address
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.unknown[host] >= h.lim.unknown {
		return nil, false
	}
	h.unknown[host]++
	return sync.OnceFunc(func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		if h.unknown[host]--; h.unknown[host] == 0 {
			delete(h.unknown, host)
		}
	}), true
}

// enter takes note of a socket that has not said hello yet, and turns it away
// when the server is being shut down.
func (h *hub) enter(s *session) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.open[s] = true
	if h.closing {
		s.out.end(stopping)
	}
}

// join gives a session its device. When its device has all the sockets it may
// have, one that has been silent long enough to be dead makes room: a tablet
// that moves between dead spots leaves such sockets behind and must not be
// locked out by them. Otherwise the newcomer is refused.
func (h *hub) join(s *session) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	d := h.devices[s.dev]
	if d == nil {
		d = &device{}
		h.devices[s.dev] = d
	}
	if len(d.sessions) >= h.lim.perDevice {
		i := slices.IndexFunc(d.sessions, func(one *session) bool { return one.quiet() > h.lim.silent })
		if i < 0 {
			return refuse("full", "this tablet has %d connections open; allowed 1 to %d. Close the app where it is open twice", len(d.sessions), h.lim.perDevice)
		}
		d.sessions[i].conn.Close()
		d.sessions = slices.Delete(d.sessions, i, i+1)
	}
	d.sessions = append(d.sessions, s)
	s.pace = &d.pace
	return nil
}

func (h *hub) leave(s *session) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.open, s)
	d := h.devices[s.dev]
	if d == nil {
		return
	}
	d.sessions = slices.DeleteFunc(d.sessions, func(one *session) bool { return one == s })
	if len(d.sessions) == 0 {
		delete(h.devices, s.dev)
	}
}

// sendOff says bye to every connection of a device that a token let in.
func (h *hub) sendOff(dev string, bye []byte) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if d := h.devices[dev]; d != nil {
		for _, s := range d.sessions {
			if !s.door.Open {
				s.part(bye) // what it still pushes is no longer looked at
			}
		}
	}
}

// live returns how many connections of a device are open.
func (h *hub) live(dev string) int {
	h.mu.Lock()
	defer h.mu.Unlock()
	if d := h.devices[dev]; d != nil {
		return len(d.sessions)
	}
	return 0
}

// isCopied tells whether two programs speak as one device at the same time, as
// they do when a tablet was copied with all it holds. A tablet that lost its
// connection and came back speaks on the newer one only: so both must have spoken
// lately, and the newer one must have been there the whole time.
func (h *hub) isCopied(dev string) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.devices[dev].isCopied(h.lim)
}

// copied returns how many devices are.
func (h *hub) copied() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	n := 0
	for _, d := range h.devices {
		if d.isCopied(h.lim) {
			n++
		}
	}
	return n
}

func (d *device) isCopied(lim limits) bool {
	if d == nil {
		return false
	}
	lasting, isOld := 0, false
	for _, s := range d.sessions { // walls hold nothing that could be copied
		if age := time.Since(s.opened); s.role != ledger.Board && s.quiet() < lim.lately && age > lim.lately {
			lasting++
			isOld = isOld || age > lim.old
		}
	}
	return lasting > 1 && isOld
}

// all returns the sessions whose hello was taken.
func (h *hub) all() []*session {
	h.mu.Lock()
	defer h.mu.Unlock()
	var out []*session
	for _, d := range h.devices {
		out = append(out, d.sessions...)
	}
	return out
}

// reach says that the log is on disk up to pos, and wakes whoever follows it.
func (h *hub) reach(pos int64) {
	for {
		old := h.high.Load()
		if pos <= old {
			return
		}
		if h.high.CompareAndSwap(old, pos) {
			break
		}
	}
	for _, s := range h.all() {
		s.out.wake()
	}
}

var stopping = bye("stop", "the shop machine is being shut down; this tablet goes on by itself and connects again")

// close lets nobody in any more and says bye to all.
func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.closing {
		h.closing = true
		close(h.stopped)
	}
	for s := range h.open {
		s.out.end(stopping)
	}
}

// cut ends every socket without a word.
func (h *hub) cut() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for s := range h.open {
		s.conn.Close()
	}
}

// wait returns when the last socket is gone.
func (h *hub) wait() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for h.seats > 0 {
		h.empty.Wait()
	}
}

// pace spreads the frames of one device. The zero value is at rest.
type pace struct {
	mu   sync.Mutex
	free time.Time // when the next frame is due if all came evenly
}

// delay returns how long to wait before taking one more frame, so that no more
// than rate a second are taken after a burst of rate. A fast sender is made to
// wait rather than refused: it then still gets everything across.
func (p *pace) delay(now time.Time, rate int) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.free.Before(now) {
		p.free = now
	}
	p.free = p.free.Add(time.Second / time.Duration(rate))
	return max(0, p.free.Sub(now)-time.Second)
}
