package lan

import (
	"context"
	"errors"
	"net"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

// router answers for one name, as a shop's router does.
type router map[string][]net.IP

func (r router) LookupIP(_ context.Context, _, host string) ([]net.IP, error) {
	if found := r[host]; found != nil {
		return found, nil
	}
	return nil, &net.DNSError{Err: "no such host", Name: host, IsNotFound: true}
}

func TestTL4NameThatLeadsElsewhereIsSaid(t *testing.T) {
	enter := ips("192.168.1.20", "10.0.0.5")
	own := append(ips("127.0.0.1", "fe80::1", "192.168.1.20"), enter...)
	for _, c := range []struct {
		name  string
		found router
		want  []string // parts of what is said; none: nothing is said
	}{
		{"right", router{"shop.home.arpa": ips("10.0.0.5")}, nil},
		{"one of two is right", router{"shop.home.arpa": ips("192.168.1.77", "192.168.1.20")}, nil},
		{"missing", router{}, []string{"shop.home.arpa is not found", "with 192.168.1.20 and 10.0.0.5."}},
		{"another machine", router{"shop.home.arpa": ips("192.168.1.77")}, []string{"leads to 192.168.1.77", "has 192.168.1.20 and 10.0.0.5."}},
	} {
		got := Astray(t.Context(), c.found, "shop.home.arpa", enter, own)
		if (got == "") != (c.want == nil) {
			t.Errorf("%s: said %q", c.name, got)
		}
		for _, part := range c.want {
			if !strings.Contains(got, part) {
				t.Errorf("%s: %q lacks %q", c.name, got, part)
			}
		}
	}
	if got := Astray(t.Context(), router{}, "shop.home.arpa", nil, nil); !strings.Contains(got, "no address in the shop's network") {
		t.Errorf("without a network: %q", got)
	}
	if !IsAnnounced("tubewright.local") || IsAnnounced("shop.home.arpa") || IsAnnounced("local.example") {
		t.Error("names ending in .local, and no others, are answered for here")
	}
}

// silent is a network in which nobody answers for names.
type silent struct{ err error }

func (r silent) LookupIP(ctx context.Context, _, host string) ([]net.IP, error) {
	if r.err != nil {
		return nil, r.err
	}
	<-ctx.Done()
	return nil, ctx.Err()
}

func TestNobodyAnsweringForNamesIsNotAMissingName(t *testing.T) {
	for _, err := range []error{
		nil, &net.DNSError{Err: "i/o timeout", IsTimeout: true}, &net.DNSError{Err: "server misbehaving", IsTemporary: true}, errors.New("network is unreachable"),
	} {
		synctest.Test(t, func(t *testing.T) {
			got := Astray(t.Context(), silent{err}, "shop.home.arpa", ips("192.168.1.20"), nil)
			if !strings.Contains(got, "No name service answers here") || strings.Contains(got, "timeout") || !strings.Contains(got, "with 192.168.1.20.") {
				t.Errorf("%v: %q", err, got)
			}
		})
	}
}

// locked is a router whose entries may be changed meanwhile.
type locked struct {
	*sync.Mutex
	router
}

func (r locked) LookupIP(ctx context.Context, network, host string) ([]net.IP, error) {
	r.Lock()
	defer r.Unlock()
	return r.router.LookupIP(ctx, network, host)
}

// Whoever asks what is wrong with the name never waits for a lookup.
func TestWatchKeepsWhatWasLastKnown(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var mu sync.Mutex
		var told []string
		r := router{}
		w := NewWatch(locked{&mu, r}, "shop.home.arpa", func() (enter, own []net.IP) { return ips("10.0.0.5"), ips("10.0.0.5") }, func(s string) { told = append(told, s) })
		if got := w.Said(); got != "" {
			t.Errorf("before the first lookup: %q", got)
		}
		go w.Run(t.Context())
		synctest.Wait()
		if got := w.Said(); !strings.Contains(got, "is not found") {
			t.Errorf("after it: %q", got)
		}
		time.Sleep(3*watchEvery + time.Second)
		synctest.Wait()
		mu.Lock()
		r["shop.home.arpa"] = ips("10.0.0.5")
		mu.Unlock()
		time.Sleep(watchEvery)
		synctest.Wait()
		if got := w.Said(); got != "" {
			t.Errorf("once the router knows it: %q", got)
		}
		if len(told) != 1 {
			t.Errorf("told %q, want what is wrong, once", told)
		}
	})
}
