package lan

import (
	"cmp"
	"net"
	"slices"
	"strings"
)

// Card is a network interface of this machine with the addresses it has.
type Card struct {
	net.Interface
	IPs []net.IP
}

// virtual are the beginnings of the names of cards behind which there are
// containers, virtual machines or tunnels, and no tablet. From memory.
var virtual = []string{"docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "vethernet", "cni", "flannel", "tun", "tap", "utun", "wg", "tailscale", "zt"}

// Cards returns the cards that are up and may have tablets behind them, those with
// nothing but containers or tunnels behind them left out.
func Cards() []Card {
	all, err := net.Interfaces()
	if err != nil {
		return nil // as a machine without a network
	}
	var cards []Card
	for _, i := range all {
		if i.Flags&net.FlagUp == 0 || i.Flags&(net.FlagLoopback|net.FlagPointToPoint) != 0 || isVirtual(i.Name) {
			continue
		}
		addrs, err := i.Addrs()
		if err != nil {
			continue // it was taken out meanwhile
		}
		c := Card{Interface: i}
		for _, a := range addrs {
			if n, ok := a.(*net.IPNet); ok {
				c.IPs = append(c.IPs, n.IP)
			}
		}
		cards = append(cards, c)
	}
	return cards
}

func isVirtual(name string) bool {
	name = strings.ToLower(name)
	return slices.ContainsFunc(virtual, func(start string) bool { return strings.HasPrefix(name, start) })
}

// Reachable returns the addresses under which a tablet in the shop's network may
// reach this machine, the likeliest first. They are IPv4 and private (RFC 1918): a
// person may have to type them.
func Reachable() []net.IP { return likeliest(Cards(), routed()) }

// likeliest puts the address first from which this machine sends to other networks.
func likeliest(cards []Card, routed net.IP) []net.IP {
	var ips []net.IP
	for _, c := range cards {
		for _, ip := range c.IPs {
			if ip4 := ip.To4(); ip4 != nil && ip4.IsPrivate() && !slices.ContainsFunc(ips, ip4.Equal) {
				ips = append(ips, ip4)
			}
		}
	}
	slices.SortStableFunc(ips, func(a, b net.IP) int { return cmp.Compare(rank(a, routed), rank(b, routed)) })
	return ips
}

func rank(ip, routed net.IP) int {
	if ip.Equal(routed) {
		return 0
	}
	return 1
}

// routed returns the address from which this machine would send to another network,
// nil when it knows no way there. Nothing is sent: to connect a datagram socket only
// looks the way up. The address is one that nobody has (RFC 5737).
func routed() net.IP {
	c, err := net.Dial("udp4", "192.0.2.1:9")
	if err != nil {
		return nil
	}
	defer c.Close()
	if a, ok := c.LocalAddr().(*net.UDPAddr); ok {
		return a.IP
	}
	return nil
}
