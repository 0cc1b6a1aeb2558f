package server

import (
	"net/http"
	"slices"
	"strings"
)

// Door is one way into the server: a listener with its own names and rules.
type Door struct {
	// Hosts are the Host headers that are ours there, lower-case, with the port:
	// "tubewright.local:8411". At least one is needed.
	Hosts []string
	// Origin is the only Origin accepted there: "https://tubewright.local:8411".
	// Empty stands for the very scheme and host of the request.
	Origin string
	// Open means that whoever reaches the listener may do everything, in the role
	// that it names: for the shop machine itself, never for a network.
	Open bool
	// Pages, if any, answers /shop and what lies below it.
	Pages http.Handler
}

// entry is the server as one door shows it.
type entry struct {
	*Server
	door Door
}

// knownHost says whether the request came under one of our own names. A name
// that someone else's DNS points at this machine is not one of them.
func (d Door) knownHost(r *http.Request) bool {
	return slices.Contains(d.Hosts, strings.ToLower(r.Host))
}

// page returns the address to open instead, for somebody who came under another name.
func (d Door) page(r *http.Request) string {
	if d.Origin != "" {
		return d.Origin
	}
	return scheme(r, "http") + "://" + d.Hosts[0]
}

// ownOrigin says whether the page that asks came from here, under the very name
// that it now uses. Every browser sends Origin with a websocket and with whatever
// is no GET or HEAD; a request of these kinds without one is refused.
func (d Door) ownOrigin(r *http.Request) bool {
	want := d.Origin
	if want == "" {
		want = scheme(r, "http") + "://" + strings.ToLower(r.Host)
	}
	o := r.Header["Origin"]
	return len(o) == 1 && o[0] == want
}

// seat takes a place for a connection. known is called once a token has let it in,
// leave when it is over; it is not ok when there is no place.
func (e entry) seat(r *http.Request) (known, leave func(), ok bool) {
	known = func() {}
	if !e.door.Open {
		if known, ok = e.hub.knock(r.RemoteAddr); !ok {
			return nil, nil, false
		}
	}
	if !e.hub.seat() {
		known()
		return nil, nil, false
	}
	return known, func() { known(); e.hub.leaveSeat() }, true
}

// scheme returns http or ws, with an s where the request came encrypted.
func scheme(r *http.Request, plain string) string {
	if r.TLS != nil {
		return plain + "s"
	}
	return plain
}
