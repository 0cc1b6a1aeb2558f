package server

import (
	"bytes"
	"log/slog"
	"strings"
	"testing"
	"time"
)

// A tablet that does not trust the shop is named once a minute, whatever it tries;
// another is named too, and what is no handshake is never left out.
func TestFailedHandshakesAreSaidOnceAMinute(t *testing.T) {
	var out bytes.Buffer
	now := testClock
	to := newErrorLog(slog.New(slog.NewTextHandler(&out, nil)), func() time.Time { return now })
	lines := func(part string) int { return strings.Count(out.String(), part) }
	for i := range 40 {
		to.Printf("http: TLS handshake error from 192.168.1.21:%d: remote error: tls: unknown certificate", 40000+i)
	}
	to.Print("http: TLS handshake error from [fe80::1%wlan0]:40000: EOF")
	to.Print("http: panic serving 192.168.1.21:40001: no reason")
	to.Print("http: panic serving 192.168.1.21:40001: no reason")
	if lines("does not trust") != 1 || lines("from=192.168.1.21 ") != 1 || lines("fe80::1") != 1 || lines("panic serving") != 2 {
		t.Errorf("it says\n%s", &out)
	}
	now = now.Add(handshakeEvery)
	to.Print("http: TLS handshake error from 192.168.1.21:40100: remote error: tls: unknown certificate")
	if lines("does not trust") != 2 {
		t.Errorf("a minute later it says\n%s", &out)
	}
	for i := range 10 * handshakeHosts {
		to.Printf("http: TLS handshake error from 10.0.%d.%d:1: EOF", i/256, i%256)
	}
	if n := len(to.Writer().(*handshakes).said); n > handshakeHosts {
		t.Errorf("%d addresses are remembered", n)
	}
}
