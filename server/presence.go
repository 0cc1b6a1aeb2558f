package server

import (
	"cmp"
	"slices"
	"sync"
	"time"
)

// presence knows when each tablet's program last spoke.
type presence struct {
	mu      sync.Mutex
	tablets map[string]tablet
}

type tablet struct {
	name   string
	last   time.Time
	unsent int64
	offMS  int64 // its clock less ours when it last told, 0 when it never did
	noted  bool  // the log knows of last
	hidden bool  // revoked, or a wall itself: not for the wall
}

func newPresence() *presence { return &presence{tablets: map[string]tablet{}} }

// load takes up what an earlier run of the server had heard.
func (p *presence) load(devices []Device) {
	for _, d := range devices {
		p.heard(d.Dev, d.Name, d.Heard, nil, nil)
	}
	p.unnoted()
}

// heard notes that a tablet spoke. An empty name keeps the one that is known, unsent
// nil what it last said of its outbox, and clockMS nil what it said of its clock. Above knownNames devices, the one silent for longest is forgotten.
func (p *presence) heard(dev, name string, at time.Time, unsent, clockMS *int64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	t := p.tablets[dev]
	t.last, t.noted = at, false
	if name != "" {
		t.name = name
	}
	if unsent != nil {
		t.unsent = *unsent
	}
	if clockMS != nil { // any clock: one may be wrong by whole ages
		t.offMS = safe(safe(*clockMS) - at.UnixMilli())
	}
	p.tablets[dev] = t
	if len(p.tablets) <= knownNames {
		return
	}
	oldest := dev
	for d, t := range p.tablets {
		if t.last.Before(p.tablets[oldest].last) {
			oldest = d
		}
	}
	delete(p.tablets, oldest)
}

// heardWall notes that a wall board spoke; the wall does not show it.
func (p *presence) heardWall(dev, name string, at time.Time) {
	p.mu.Lock()
	t := p.tablets[dev]
	t.hidden = true
	p.tablets[dev] = t
	p.mu.Unlock()
	p.heard(dev, name, at, nil, nil)
}

// of returns what is known of a device; last is zero when it was never heard.
func (p *presence) of(dev string) tablet {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.tablets[dev]
}

// change changes what is known of a device that was heard.
func (p *presence) change(dev string, how func(*tablet)) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if t, known := p.tablets[dev]; known {
		how(&t)
		p.tablets[dev] = t
	}
}

func (p *presence) rename(dev, name string) {
	p.change(dev, func(t *tablet) { t.name, t.noted = name, false })
}

// hide takes a device from the wall board, or puts it there again.
func (p *presence) hide(dev string, hidden bool) {
	p.change(dev, func(t *tablet) { t.hidden = hidden })
}

// forget forgets what a device said of its outbox under a pairing that is over.
func (p *presence) forget(dev string) {
	p.change(dev, func(t *tablet) { t.unsent = 0 })
}

// safe is the nearest integer that every reader of JSON keeps exactly.
func safe(n int64) int64 { return min(max(n, -safeInteger), safeInteger) }

// unnoted returns the devices that spoke since it was last called.
func (p *presence) unnoted() []Device {
	p.mu.Lock()
	defer p.mu.Unlock()
	var out []Device
	for dev, t := range p.tablets {
		if !t.noted {
			out = append(out, Device{Dev: dev, Name: t.name, Heard: t.last})
			t.noted = true
			p.tablets[dev] = t
		}
	}
	return out
}

// board returns the tablets as the wall board shows them, by name.
func (p *presence) board() []boardTablet {
	p.mu.Lock()
	defer p.mu.Unlock()
	out := make([]boardTablet, 0, len(p.tablets))
	for _, t := range p.tablets {
		if t.hidden {
			continue
		}
		b := boardTablet{Name: t.name, LastMS: t.last.UnixMilli(), Unsent: t.unsent}
		if max(t.offMS, -t.offMS) > clockOff.Milliseconds() {
			b.ClockMS = t.offMS
		}
		out = append(out, b)
	}
	slices.SortFunc(out, func(a, b boardTablet) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(b.LastMS, a.LastMS), cmp.Compare(a.Unsent, b.Unsent))
	})
	return out
}

// runHeard puts into the log now and then who spoke when, for the wall board
// after a restart. It has its own goroutine so that no tablet waits for it;
// failing costs nothing else.
func (s *Server) runHeard() {
	every := time.NewTicker(s.lim.heard)
	defer every.Stop()
	for {
		select {
		case <-s.ctx.Done():
			return
		case <-every.C:
			s.noteHeard()
		}
	}
}

func (s *Server) noteHeard() {
	for _, d := range s.people.unnoted() {
		ctx, cancel := s.limited()
		err := s.cfg.Log.Heard(ctx, d.Dev, d.Name, d.Heard)
		cancel()
		if err != nil {
			s.log.Warn("last heard not noted", "dev", d.Dev, "error", err)
		}
	}
}
