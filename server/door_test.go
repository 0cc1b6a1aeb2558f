package server

import (
	"io"
	"net"
	"net/http"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// The door for tablets has one name and one origin. All twelve pairs of a Host (the
// name; an address that also leads there; a name that somebody's DNS points here)
// and an Origin (ours; that of the very Host, as after rebinding; another; none).
func TestTL7TwelvePairsOfHostAndOriginAtTheDoorForTablets(t *testing.T) {
	s := openShop(t, openLog(t), quick(), fstest.MapFS{"index.html": {Data: []byte("<p>app")}})
	const ours, address, rebound = "tubewright.local:8411", "192.168.7.20:8411", "evil.test:8411"
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go s.srv.Serve(l, Door{Hosts: []string{ours, address}, Origin: "https://" + ours})
	do := func(method, path, host, origin string) int {
		t.Helper()
		isSocket := path == "/sync" || path == "/pair/probe"
		body := io.Reader(strings.NewReader("{}"))
		if isSocket {
			body = nil
		}
		r, err := http.NewRequest(method, "http://"+l.Addr().String()+path, body)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		if origin != "" {
			r.Header.Set("Origin", origin)
		}
		if isSocket {
			for k, v := range map[string]string{"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13", "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA=="} {
				r.Header.Set(k, v)
			}
		}
		resp, err := http.DefaultTransport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		return resp.StatusCode
	}
	pairs := 0
	for _, host := range []string{ours, address, rebound} {
		for _, origin := range []string{"https://" + ours, "http://" + host, "https://elsewhere.test", ""} {
			pairs++
			socket, other, page := 403, []int{403}, 200
			switch {
			case host == rebound:
				socket, other, page = 421, []int{421}, 421
			case host == ours && origin == "https://"+ours:
				socket, other = 101, []int{200, 401, 404, 422}
			case origin == "https://"+ours: // which no browser sends to an address
				other = []int{200, 401, 404, 422}
			}
			for _, path := range []string{"/sync", "/pair/probe"} {
				if got := do("GET", path, host, origin); got != socket {
					t.Errorf("GET %s, Host %s, Origin %q: %d, want %d", path, host, origin, got, socket)
				}
			}
			sha := shaOf(nil)
			for _, path := range []string{"POST /sync/open", "POST /sync/up", "POST /sync/down", "POST /sync/close", "POST /pair/claim", "PUT /blob/" + sha + "/0", "PUT /blob/" + sha + "/manifest", "DELETE /api/jobs", "POST /shop"} {
				method, path, _ := strings.Cut(path, " ")
				want := other
				if len(other) > 1 && (path == "/shop" || path == "/pair/claim") {
					want = []int{405, 400, 422}
				}
				if got := do(method, path, host, origin); !slices.Contains(want, got) {
					t.Errorf("%s %s, Host %s, Origin %q: %d, want one of %v", method, path, host, origin, got, want)
				}
			}
			if got := do("GET", "/", host, origin); got != page {
				t.Errorf("GET /, Host %s, Origin %q: %d, want %d", host, origin, got, page)
			}
			if got := do("GET", "/api/jobs", host, origin); got != 401 && page == 200 || got != 421 && page == 421 {
				t.Errorf("GET /api/jobs without a token, Host %s, Origin %q: %d", host, origin, got)
			}
		}
	}
	if pairs != 12 {
		t.Errorf("%d pairs", pairs)
	}
}

// The shop page is behind the door that has it, and behind no other.
func TestShopPageIsBehindItsOwnDoorOnly(t *testing.T) {
	s := openShop(t, openLog(t), quick(), fstest.MapFS{"index.html": {Data: []byte("<p>app")}})
	page := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { w.Write([]byte("shop page " + r.Method)) })
	own := &shop{t: t, srv: s.srv, host: "127.0.0.1:8412", handler: s.srv.Handler(Door{Hosts: []string{"127.0.0.1:8412"}, Open: true, Pages: page})}
	for _, path := range []string{"/shop", "/shop/", "/shop/devices"} {
		if w := get(t, own, "GET", path); w.Body.String() != "shop page GET" {
			t.Errorf("%s: %d %s", path, w.Code, w.Body)
		}
		if w := get(t, own, "POST", path); w.Body.String() != "shop page POST" {
			t.Errorf("POST %s: %d %s", path, w.Code, w.Body)
		}
		if w := get(t, s, "GET", path); strings.Contains(w.Body.String(), "shop page") {
			t.Errorf("%s at another door: %s", path, w.Body)
		}
	}
	own.host = "evil.test:8412"
	if w := get(t, own, "GET", "/shop"); w.Code != 421 {
		t.Errorf("under another name: %d", w.Code)
	}
}

func TestDoorsWithoutANameAreRefused(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if err := s.srv.Serve(l, Door{Open: true}); err == nil {
		t.Error("a door without names was opened")
	}
}
