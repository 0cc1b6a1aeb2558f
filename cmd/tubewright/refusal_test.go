package main

import (
	"archive/zip"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"

	"tubewright/pwa/drive"
)

// A network that lets no websocket through: the tablet becomes live all the same,
// by plain requests, and goes back to the socket when that goes again.
func TestLinkOverRequestsWhereSocketsAreRefused(t *testing.T) {
	s := newShop(t)
	to, err := url.Parse(strings.TrimSuffix(s.url("/"), "/"))
	if err != nil {
		t.Fatal(err)
	}
	var refusing atomic.Bool
	var upgrades, asked atomic.Int64
	refusing.Store(true)
	through := &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(to) // the Host header too
		if r.Out.Header.Get("Origin") != "" {
			r.Out.Header.Set("Origin", to.String())
		}
	}}
	proxy := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Upgrade") != "" {
			upgrades.Add(1)
			if refusing.Load() {
				http.Error(w, "no websockets here", http.StatusForbidden)
				return
			}
		}
		if strings.HasPrefix(r.URL.Path, "/sync/") {
			asked.Add(1)
		}
		if csp := r.URL.Path; csp == "/" {
			w = &ownSocket{w, r.Host}
		}
		through.ServeHTTP(w, r)
	}))
	defer proxy.Close()
	behindProxy := &shop{t: t, addr: strings.Replace(proxy.Listener.Addr().String(), "127.0.0.1", "localhost", 1), dir: s.dir}
	a := newTablet(t, drive.Chromium, behindProxy)
	a.first("Rowan")
	a.link("live")
	job := a.newJob()
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.enter("engine/self/bore", "84.5 mm")
	a.unsent(0)
	if upgrades.Load() < 2 || asked.Load() < 3 {
		t.Errorf("%d sockets were tried, %d requests asked for frames", upgrades.Load(), asked.Load())
	}
	if jobs := s.jobs(); len(jobs) != 1 || jobs[0]["name"] != "Heron four" {
		t.Errorf("the server knows %v", jobs)
	}
	refusing.Store(false)
	before := asked.Load()
	a.must(a.b.Eval(nil, `document.dispatchEvent(new Event("visibilitychange"))`))
	a.link("live")
	a.goTo("measure", "job="+job+"&slot=engine/self/stroke")
	a.enter("engine/self/stroke", "91 mm")
	a.unsent(0)
	t.Logf("%d requests before, %d after sockets went again, %d sockets tried", before, asked.Load(), upgrades.Load())
	s.kill()
	if n := countSlot(t, s, "engine/self/bore") + countSlot(t, s, "engine/self/stroke"); n != 2 {
		t.Errorf("%d readings on the server, want 2", n)
	}
}

// ownSocket names the proxy in the page's policy, as a shop behind it would.
type ownSocket struct {
	http.ResponseWriter
	host string
}

func (o *ownSocket) WriteHeader(code int) {
	h := o.Header()
	h.Set("Content-Security-Policy", strings.ReplaceAll(h.Get("Content-Security-Policy"), "connect-src 'self'", "connect-src 'self' ws://"+o.host))
	o.ResponseWriter.WriteHeader(code)
}

// zipEntry reads one entry of an archive.
func zipEntry(file, name string) ([]byte, error) {
	z, err := zip.OpenReader(file)
	if err != nil {
		return nil, err
	}
	defer z.Close()
	f, err := z.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}
