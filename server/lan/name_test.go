package lan

import (
	"context"
	"net"
	"strings"
	"testing"
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
	own := ips("192.168.1.20", "10.0.0.5")
	for _, c := range []struct {
		name  string
		found router
		want  []string // parts of what is said; none: nothing is said
	}{
		{"right", router{"shop.home.arpa": ips("10.0.0.5")}, nil},
		{"one of two is right", router{"shop.home.arpa": ips("192.168.1.77", "192.168.1.20")}, nil},
		{"missing", router{}, []string{"shop.home.arpa is not found", "192.168.1.20 and 10.0.0.5"}},
		{"another machine", router{"shop.home.arpa": ips("192.168.1.77")}, []string{"leads to 192.168.1.77", "has 192.168.1.20 and 10.0.0.5"}},
	} {
		got := Astray(t.Context(), c.found, "shop.home.arpa", own)
		if (got == "") != (c.want == nil) {
			t.Errorf("%s: said %q", c.name, got)
		}
		for _, part := range c.want {
			if !strings.Contains(got, part) {
				t.Errorf("%s: %q lacks %q", c.name, got, part)
			}
		}
	}
	if got := Astray(t.Context(), router{}, "shop.home.arpa", nil); !strings.Contains(got, "no address in the shop's network") {
		t.Errorf("without a network: %q", got)
	}
	if !IsAnnounced("tubewright.local") || IsAnnounced("shop.home.arpa") || IsAnnounced("local.example") {
		t.Error("names ending in .local, and no others, are answered for here")
	}
}
