package server

import (
	"fmt"
	"html/template"
	"net"
	"net/http"
	"strconv"
	"strings"

	"github.com/gorilla/websocket"
)

// Listen opens an address for a Door that is open. Whoever can reach the port can
// read and write every job; so only an address of this machine itself is accepted.
func Listen(addr string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, fmt.Errorf("listen on %q: write it as 127.0.0.1:8411", addr)
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, fmt.Errorf("listen on %q: without pairing only this machine itself may connect; use 127.0.0.1, ::1 or localhost", addr)
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("listen on %q: %w", addr, err)
	}
	return l, nil
}

// Loopback returns the names under which a browser on this machine reaches a
// listener, as they stand in the Host header: for Door.Hosts.
func Loopback(addr net.Addr) []string {
	names := []string{"localhost", "127.0.0.1", "[::1]"}
	_, port, err := net.SplitHostPort(addr.String())
	if err != nil || port == strconv.Itoa(80) { // browsers leave the usual port out
		return names
	}
	for i := range names {
		names[i] += ":" + port
	}
	return names
}

// bodyLimit is how many bytes a request may bring.
func bodyLimit(r *http.Request) int64 {
	switch {
	case r.URL.Path == "/sync/up":
		return anyFrame
	case r.Method == http.MethodPost && r.URL.Path == "/shop/import":
		return archiveBytes
	case r.Method == http.MethodPut && strings.HasPrefix(r.URL.Path, "/blob/"):
		return chunkBytes
	}
	return 64 << 10
}

var otherPage = template.Must(template.New("").Parse(`<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Tubewright</title>
<p>Tubewright does not answer under that name. What a tablet holds belongs to one address; open
<p><a href="{{.}}">{{.}}</a>
`))

// otherName answers who came under a name that is not ours with the address to open.
func otherName(w http.ResponseWriter, page string) {
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Security-Policy", "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusMisdirectedRequest)
	otherPage.Execute(w, page)
}

// guard stands before every route: our names only, our own pages only, small
// bodies, and the headers that tell a browser what a page from here may do.
func (e entry) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !e.door.knownHost(r) {
			otherName(w, e.door.page(r))
			return
		}
		socket := scheme(r, "ws") + "://" + strings.ToLower(r.Host)
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; "+
			"style-src 'self'; img-src 'self' data: blob:; connect-src 'self' "+socket+"; manifest-src 'self'; "+
			"base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		isSocket := r.URL.Path == "/sync" || websocket.IsWebSocketUpgrade(r)
		if (isSocket || r.Method != http.MethodGet && r.Method != http.MethodHead) && !e.door.ownOrigin(r) {
			h.Set("Cache-Control", "no-store")
			writeWhy(w, http.StatusForbidden, "origin", "a page from elsewhere may not do this")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, bodyLimit(r))
		next.ServeHTTP(w, r)
	})
}
