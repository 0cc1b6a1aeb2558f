package lan

import (
	"context"
	"errors"
	"fmt"
	"net"
	"slices"
	"strings"
	"time"
)

const lookTime = 3 * time.Second // for the router to answer

// IsAnnounced says whether a name is one for which this program answers itself.
func IsAnnounced(name string) bool { return strings.HasSuffix(name, ".local") }

// Resolver looks names up; *net.Resolver is one.
type Resolver interface {
	LookupIP(ctx context.Context, network, host string) ([]net.IP, error)
}

// Astray says in a sentence what is wrong when the answer for a name does not lead to
// one of this machine's own addresses, and nothing when it does. enter are those that
// a person may enter in the router: tablets reach this machine there.
func Astray(ctx context.Context, r Resolver, name string, enter, own []net.IP) string {
	ctx, cancel := context.WithTimeout(ctx, lookTime)
	defer cancel()
	found, err := r.LookupIP(ctx, "ip", name)
	var missing *net.DNSError
	switch {
	case errors.As(err, &missing) && missing.IsNotFound:
		return fmt.Sprintf("The name %s is not found in this network. %s", name, advice(enter))
	case err != nil:
		return fmt.Sprintf("No name service answers here, so nobody can tell whether the name %s leads to this machine. %s", name, advice(enter))
	case slices.ContainsFunc(found, func(ip net.IP) bool { return slices.ContainsFunc(own, ip.Equal) }):
		return ""
	}
	return fmt.Sprintf("The name %s leads to %s, and this machine has %s. Tablets will not get here: set the router's entry right.", name, list(found), list(enter))
}

func advice(enter []net.IP) string {
	if len(enter) == 0 {
		return "This machine has no address in the shop's network yet; join it, then give the name to this machine in the router."
	}
	return "Give it to this machine in the router, with " + list(enter) + "."
}

func list(ips []net.IP) string {
	if len(ips) == 0 {
		return "no address in the shop's network"
	}
	texts := make([]string, len(ips))
	for i, ip := range ips {
		texts[i] = ip.String()
	}
	return strings.Join(texts, " and ")
}
