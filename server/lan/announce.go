package lan

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"slices"
	"time"

	"github.com/hashicorp/mdns"
)

const lookEvery = 30 * time.Second // at the cards: a network may come up after this program

// Announcer answers for a .local name on every card of this machine.
type Announcer struct {
	name  string
	cards func() []Card
	every time.Duration
	told  func(on []string, err error)
}

// NewAnnouncer makes one for a name such as tubewright.local. told hears on which
// cards the name is answered for whenever that changes, and of a card where it
// cannot be.
func NewAnnouncer(name string, told func(on []string, err error)) *Announcer {
	return &Announcer{name: name, cards: multicast, every: lookEvery, told: told}
}

// multicast are the cards over which the name can be asked for.
func multicast() []Card {
	return slices.DeleteFunc(Cards(), func(c Card) bool {
		return c.Flags&net.FlagMulticast == 0 || len(likeliest([]Card{c}, nil)) == 0
	})
}

// Run answers until ctx ends. It never fails: where no question comes in, the
// router's names are what is left.
func (a *Announcer) Run(ctx context.Context) {
	tick := time.NewTicker(a.every)
	defer tick.Stop()
	var before []Card
	var running []*mdns.Server
	first := true
	for {
		if now := a.cards(); first || !slices.EqualFunc(before, now, sameCard) {
			stop(running)
			running = a.start(now)
			before, first = now, false
		}
		select {
		case <-ctx.Done():
			stop(running)
			return
		case <-tick.C:
		}
	}
}

// start listens on every card: one that listened to all would hear nothing on the
// cards that are not the system's first choice.
func (a *Announcer) start(cards []Card) []*mdns.Server {
	var running []*mdns.Server
	var on []string
	var faults []error
	z := zone{a.name, func() []net.IP { return likeliest(cards, routed()) }}
	for _, c := range cards {
		server, err := mdns.NewServer(&mdns.Config{Zone: z, Iface: &c.Interface, Logger: log.New(io.Discard, "", 0)})
		if err != nil {
			faults = append(faults, fmt.Errorf("answer for %s on %s: %w", a.name, c.Name, err))
			continue
		}
		running, on = append(running, server), append(on, c.Name)
	}
	a.told(on, errors.Join(faults...))
	return running
}

func stop(running []*mdns.Server) {
	for _, s := range running {
		s.Shutdown() // closes its sockets, and has nothing to say
	}
}

func sameCard(a, b Card) bool {
	return a.Index == b.Index && slices.EqualFunc(a.IPs, b.IPs, net.IP.Equal)
}
