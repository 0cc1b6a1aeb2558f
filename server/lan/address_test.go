package lan

import (
	"net"
	"slices"
	"testing"
)

func ips(texts ...string) (all []net.IP) {
	for _, t := range texts {
		all = append(all, net.ParseIP(t))
	}
	return all
}

func card(name string, addresses ...string) Card {
	return Card{Interface: net.Interface{Name: name, Flags: net.FlagUp | net.FlagMulticast}, IPs: ips(addresses...)}
}

func TestLikeliestAddressComesFirst(t *testing.T) {
	two := []Card{card("eth0", "10.0.0.5", "fe80::1", "203.0.113.9"), card("wlan0", "192.168.1.20", "2001:db8::1", "169.254.7.7")}
	for _, c := range []struct {
		name   string
		cards  []Card
		routed net.IP
		want   []net.IP
	}{
		{"no network", nil, nil, nil},
		{"no way to other networks", two, nil, ips("10.0.0.5", "192.168.1.20")},
		{"the second card leads out", two, net.ParseIP("192.168.1.20"), ips("192.168.1.20", "10.0.0.5")},
		{"a tunnel leads out", two, net.ParseIP("100.64.0.3"), ips("10.0.0.5", "192.168.1.20")},
		{"one address on two cards", []Card{card("eth0", "10.0.0.5"), card("wlan0", "10.0.0.5")}, nil, ips("10.0.0.5")},
		{"172.16.0.0/12 is private too (RFC 1918)", []Card{card("eth0", "172.31.0.9", "172.32.0.9")}, nil, ips("172.31.0.9")},
	} {
		if got := likeliest(c.cards, c.routed); !slices.EqualFunc(got, c.want, net.IP.Equal) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

func TestCardsOfContainersAreLeftOut(t *testing.T) {
	for name, want := range map[string]bool{
		"eth0": false, "enp3s0": false, "wlan0": false, "Wi-Fi": false, "Ethernet": false, "en0": false, "br0": false,
		"docker0": true, "br-1f2e": true, "veth9": true, "vEthernet (WSL)": true, "tun0": true, "utun3": true, "wg0": true,
	} {
		if isVirtual(name) != want {
			t.Errorf("%s: %v", name, !want)
		}
	}
	for _, c := range Cards() {
		if c.Flags&net.FlagLoopback != 0 || c.Flags&net.FlagUp == 0 || isVirtual(c.Name) {
			t.Errorf("%s is among the cards", c.Name)
		}
	}
}
