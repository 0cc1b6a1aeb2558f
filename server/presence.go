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
}

func newPresence() *presence { return &presence{tablets: map[string]tablet{}} }

// load takes up what an earlier run of the server had heard.
func (p *presence) load(devices []Device) {
	for _, d := range devices {
		p.heard(d.Dev, d.Name, d.Heard, nil)
	}
}

// heard notes that a tablet spoke; unsent nil keeps what it last said of its
// outbox. Above knownNames devices, the one silent for longest is forgotten.
func (p *presence) heard(dev, name string, at time.Time, unsent *int64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	t := p.tablets[dev]
	t.name, t.last = name, at
	if unsent != nil {
		t.unsent = *unsent
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

// last returns when the device last spoke.
func (p *presence) last(dev string) (time.Time, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	t, ok := p.tablets[dev]
	return t.last, ok
}

// board returns the tablets as the wall board shows them, by name.
func (p *presence) board() []boardTablet {
	p.mu.Lock()
	defer p.mu.Unlock()
	out := make([]boardTablet, 0, len(p.tablets))
	for _, t := range p.tablets {
		out = append(out, boardTablet{Name: t.name, LastMS: t.last.UnixMilli(), Unsent: t.unsent})
	}
	slices.SortFunc(out, func(a, b boardTablet) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(b.LastMS, a.LastMS), cmp.Compare(a.Unsent, b.Unsent))
	})
	return out
}
