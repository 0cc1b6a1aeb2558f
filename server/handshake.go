package server

import (
	"log"
	"log/slog"
	"net"
	"strings"
	"sync"
	"time"
)

const (
	handshakeEvery = time.Minute // of one address
	handshakeHosts = 256         // addresses remembered
)

// handshakes is where net/http writes what it cannot answer for. A tablet that does
// not trust the shop yet fails dozens of handshakes a second, so that of one address
// one is said a minute; all else is passed on.
type handshakes struct {
	log *slog.Logger
	now func() time.Time

	mu   sync.Mutex
	said map[string]time.Time // by address
}

func newErrorLog(to *slog.Logger, now func() time.Time) *log.Logger {
	return log.New(&handshakes{log: to, now: now, said: map[string]time.Time{}}, "", 0)
}

func (w *handshakes) Write(b []byte) (int, error) {
	line := strings.TrimSpace(string(b))
	rest, failed := strings.CutPrefix(line, "http: TLS handshake error from ")
	addr, why, whole := strings.Cut(rest, ": ")
	host, _, err := net.SplitHostPort(addr)
	switch {
	case !failed || !whole || err != nil:
		w.log.Warn(line)
	case !w.isDue(host):
	case strings.Contains(why, "certificate"):
		w.log.Warn("a device does not trust the shop's certificate", "from", host, "why", why)
	default:
		w.log.Warn("no encrypted connection came about", "from", host, "why", why)
	}
	return len(b), nil
}

// isDue tells whether an address may be named again.
func (w *handshakes) isDue(host string) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	now := w.now()
	if last, ok := w.said[host]; ok && now.Sub(last) < handshakeEvery && !now.Before(last) {
		return false
	}
	if len(w.said) >= handshakeHosts {
		clear(w.said)
	}
	w.said[host] = now
	return true
}
