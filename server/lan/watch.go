package lan

import (
	"context"
	"net"
	"sync"
	"time"
)

const watchEvery = time.Minute // between two lookups

// Watch looks a name up in the background and keeps what was wrong with it last: a
// lookup may take seconds, which no page is to wait for.
type Watch struct {
	resolver  Resolver
	name      string
	addresses func() (enter, own []net.IP)
	told      func(string)

	mu   sync.Mutex
	said string
}

// NewWatch makes a Watch of a name; addresses returns what Astray compares with, and
// told is called when something else is wrong than before.
func NewWatch(r Resolver, name string, addresses func() (enter, own []net.IP), told func(string)) *Watch {
	return &Watch{resolver: r, name: name, addresses: addresses, told: told}
}

// Run looks until ctx ends, at once and then every minute.
func (w *Watch) Run(ctx context.Context) {
	every := time.NewTicker(watchEvery)
	defer every.Stop()
	for {
		w.look(ctx)
		select {
		case <-ctx.Done():
			return
		case <-every.C:
		}
	}
}

func (w *Watch) look(ctx context.Context) {
	enter, own := w.addresses()
	said := Astray(ctx, w.resolver, w.name, enter, own)
	if ctx.Err() != nil {
		return // cut off, not answered
	}
	w.mu.Lock()
	isNew := said != w.said
	w.said = said
	w.mu.Unlock()
	if isNew && said != "" {
		w.told(said)
	}
}

// Said returns what Astray said last; empty before the first lookup has ended.
func (w *Watch) Said() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.said
}
