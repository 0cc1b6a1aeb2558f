package main

import (
	"context"
	"crypto/tls"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"tubewright/server"
	"tubewright/server/certs"
	"tubewright/server/lan"
	pages "tubewright/server/shop"
)

const (
	// One name and one port for ever: what a tablet holds belongs to them.
	defaultName  = "tubewright.local"
	defaultAddr  = ":8411"
	defaultTrust = ":8410"

	endsSoon = 30 * 24 * time.Hour // left of a certificate that nobody here renews, when it is said
)

// networkFlags are how the shop's network is to reach this machine.
type networkFlags struct {
	name, addr, trust string
	cert, key         string
	fixed             string
}

func (f *networkFlags) define(fs *flag.FlagSet) {
	fs.StringVar(&f.name, "name", "", "`name` of this machine in the shop's network, fixed by the first start; "+defaultName+" unless given")
	fs.StringVar(&f.addr, "addr", defaultAddr, "`address` to listen on for tablets, over HTTPS")
	fs.StringVar(&f.trust, "trust-addr", defaultTrust, "`address` of the page from which a tablet learns to trust this machine; empty: none")
	fs.StringVar(&f.cert, "cert", "", "`file` with a certificate of your own for -name, with those above it, in PEM; read again when it changes")
	fs.StringVar(&f.key, "key", "", "`file` with the key of -cert")
	fs.StringVar(&f.fixed, "fixed-lease", "", "`address` under which tablets know this machine instead of a name; only where the router gives it the same one for ever")
}

// network is this machine as tablets find it.
type network struct {
	host      string // name, or the fixed address
	origin    string // https://tubewright.local:8411
	isFixed   bool
	app       net.Listener // TLS
	trust     net.Listener // of the trust page; nil: none
	authority *certs.Authority
	own       *certs.Own // instead of the authority
	watch     *lan.Watch // of a name that others answer for; nil: none
}

// openNetwork makes or reads what tablets are to trust, and listens.
func openNetwork(f networkFlags, folder string, log *slog.Logger) (n *network, err error) {
	n = &network{host: f.name}
	defer func() {
		if err != nil {
			n.close()
		}
	}()
	told := func(until time.Time, err error) {
		if err != nil {
			log.Error("the server's certificate", "error", err)
			return
		}
		log.Info("the server has a new certificate", "until", until)
	}
	var get func(*tls.ClientHelloInfo) (*tls.Certificate, error)
	if f.cert != "" || f.key != "" {
		get, err = n.bring(f, told)
	} else {
		get, err = n.vouch(f, folder, told)
	}
	if err != nil {
		return n, err
	}
	l, err := net.Listen("tcp", f.addr)
	if err != nil {
		return n, fmt.Errorf("listen for tablets (-addr): %w", taken(err))
	}
	n.app = l
	n.origin = n.door().Origin
	// HTTP/1.1 only: a websocket takes its connection over.
	n.app = tls.NewListener(server.SendOn(l, n.origin), &tls.Config{MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}, GetCertificate: get})
	if !n.isFixed && n.isOpen() && !lan.IsAnnounced(n.host) {
		n.watch = lan.NewWatch(net.DefaultResolver, n.host, nameAddresses, func(s string) { log.Warn(s) })
	}
	if n.authority == nil || f.trust == "" {
		return n, nil
	}
	if n.trust, err = net.Listen("tcp", f.trust); err != nil {
		return n, fmt.Errorf("listen for the trust page (-trust-addr): %w", taken(err))
	}
	return n, nil
}

// bring takes a certificate of the shop's own.
func (n *network) bring(f networkFlags, told func(time.Time, error)) (func(*tls.ClientHelloInfo) (*tls.Certificate, error), error) {
	switch {
	case f.cert == "" || f.key == "":
		return nil, fmt.Errorf("-cert and -key go together: %w", errUnusable)
	case f.fixed != "":
		return nil, fmt.Errorf("-fixed-lease goes without a certificate of your own: %w", errUnusable)
	case f.name == "":
		return nil, fmt.Errorf("-cert needs -name, the name that it is for: %w", errUnusable)
	}
	if err := certs.CheckName(f.name); err != nil {
		return nil, err
	}
	own, err := certs.OpenOwn(f.cert, f.key, f.name, time.Now, told)
	if err != nil {
		return nil, err
	}
	n.own = own
	return own.GetCertificate, nil
}

// vouch makes or reads the shop's own authority and a certificate under it.
func (n *network) vouch(f networkFlags, folder string, told func(time.Time, error)) (func(*tls.ClientHelloInfo) (*tls.Certificate, error), error) {
	name, addresses := f.name, certs.Addresses
	if name == "" && !certs.HasAuthority(folder) {
		name = defaultName
	}
	if f.fixed != "" {
		ip := net.ParseIP(f.fixed).To4()
		if ip == nil || !ip.IsPrivate() {
			return nil, fmt.Errorf("-fixed-lease %q: want an IPv4 address of the shop's network, in 10.0.0.0/8, 172.16.0.0/12 or 192.168.0.0/16: %w", f.fixed, errUnusable)
		}
		// The certificate names it also while the network is not up yet.
		addresses = func() []net.IP { return append(certs.Addresses(), ip) }
		n.isFixed, n.host = true, ip.String()
	}
	authority, err := certs.OpenAuthority(folder, name, time.Now())
	if err != nil {
		return nil, err
	}
	leaf, err := certs.OpenLeaf(authority, folder, time.Now, addresses, told)
	if err != nil {
		return nil, err
	}
	n.authority = authority
	if !n.isFixed {
		n.host = authority.Name()
	}
	return leaf.GetCertificate, nil
}

// close stops listening.
func (n *network) close() {
	for _, l := range []net.Listener{n.app, n.trust} {
		if l != nil {
			l.Close() // it is closed already where it was served
		}
	}
}

// door is the way in for tablets.
func (n *network) door() server.Door {
	host := n.host
	if port := boundPort(n.app); port != 443 { // browsers leave the usual port out
		host += ":" + strconv.Itoa(port)
	}
	return server.Door{Hosts: []string{host}, Origin: "https://" + host}
}

func boundPort(l net.Listener) int { return l.Addr().(*net.TCPAddr).Port }

// trustPage is the server of the trust page: a page of its own, so that nothing of
// the shop can be reached without encryption.
func (n *network) trustPage(log *slog.Logger) *http.Server {
	return &http.Server{
		Handler:           pages.Trust(n.authority, n.origin),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       10 * time.Second,
		WriteTimeout:      30 * time.Second,
		IdleTimeout:       30 * time.Second,
		MaxHeaderBytes:    8 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelDebug),
	}
}

// trustLinks are where the trust page is found now, the likeliest first.
func (n *network) trustLinks() []string {
	if n.trust == nil {
		return nil
	}
	bound := n.trust.Addr().(*net.TCPAddr)
	ips := []net.IP{bound.IP}
	if bound.IP.IsUnspecified() {
		ips = lan.Reachable()
	}
	links := make([]string, len(ips))
	for i, ip := range ips {
		links[i] = "http://" + net.JoinHostPort(ip.String(), strconv.Itoa(bound.Port)) + "/"
	}
	return links
}

// fingerprint is that of the shop's authority, empty with a certificate of its own.
func (n *network) fingerprint() string {
	if n.authority == nil {
		return ""
	}
	return n.authority.Fingerprint()
}

// until is when what tablets trust ends.
func (n *network) until() time.Time {
	if n.own != nil {
		return n.own.Until()
	}
	return n.authority.Until()
}

// isOpen says whether other machines can reach the listener for tablets.
func (n *network) isOpen() bool { return !n.app.Addr().(*net.TCPAddr).IP.IsLoopback() }

// nameAddresses are those that a person may enter in the router, and all that a name
// may lead to.
func nameAddresses() (enter, own []net.IP) {
	enter = lan.Reachable()
	return enter, append(certs.Addresses(), enter...)
}

// look looks until ctx ends whether a name that others answer for leads here.
func (n *network) look(ctx context.Context) {
	if n.watch != nil {
		n.watch.Run(ctx)
	}
}

// announce answers for a .local name until ctx ends.
func (n *network) announce(ctx context.Context, log *slog.Logger) {
	if n.isFixed || !lan.IsAnnounced(n.host) || !n.isOpen() {
		return
	}
	lan.NewAnnouncer(n.host, func(on []string, err error) {
		if err != nil {
			log.Warn("the name is not answered for on every network card", "error", err)
		}
		if len(on) == 0 {
			log.Warn("nobody can ask for the name: this machine is in no shop's network yet", "name", n.host)
			return
		}
		log.Info("the name is answered for", "name", n.host, "cards", strings.Join(on, " "))
	}).Run(ctx)
}

// warnings are what is wrong with the ways here now, in sentences.
func (n *network) warnings(now time.Time) []string {
	var all []string
	switch {
	case n.isFixed:
		all = append(all, "Tablets are paired by the address "+n.host+". If the router ever gives this machine another one, every tablet opens an empty app and what it has not sent stays behind under the old address. Fix the address in the router, or start without -fixed-lease and use a name.")
		if !slices.ContainsFunc(lan.Reachable(), func(ip net.IP) bool { return ip.String() == n.host }) {
			all = append(all, "This machine does not have the address "+n.host+" now: tablets cannot reach it.")
		}
	case n.watch != nil:
		if s := n.watch.Said(); s != "" {
			all = append(all, s)
		}
	}
	if end := n.until(); end.Sub(now) < endsSoon && n.own != nil {
		all = append(all, fmt.Sprintf("The certificate is good until %s. Put a new one in its place; it is read without a restart.", end.Local().Format(time.DateOnly)))
	} else if end.Sub(now) < 365*24*time.Hour {
		all = append(all, fmt.Sprintf("The shop's authority ends on %s. Before that every tablet has to trust a new one: see README, \"When the authority ends\".", end.Local().Format(time.DateOnly)))
	}
	return all
}

// tlsFolder is where authority and certificate lie.
func tlsFolder(data string) string { return filepath.Join(data, "tls") }

// serveTrust answers on the trust page's listener until it is told to stop.
func serveTrust(h *http.Server, l net.Listener) error {
	if err := h.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve the trust page: %w", err)
	}
	return nil
}
