package server

import (
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
)

// A page under a rebound name passes the usual comparison of Origin with Host.
func TestTL7OnlyOurPagesUnderOurNamesReachTheShop(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	_, port, _ := strings.Cut(s.host, ":")
	for _, c := range []struct {
		name, host, origin string
		want               int
	}{
		{"our page by address", "127.0.0.1:" + port, "http://127.0.0.1:" + port, 101},
		{"our page by name", "localhost:" + port, "http://localhost:" + port, 101},
		{"our page by IPv6 address", "[::1]:" + port, "http://[::1]:" + port, 101},
		{"name in capitals", "LOCALHOST:" + port, "http://localhost:" + port, 101},
		{"foreign page", "localhost:" + port, "http://evil.test", 403},
		{"no origin", "localhost:" + port, "", 403},
		{"origin null, as from a file", "localhost:" + port, "null", 403},
		{"our name on another port", "localhost:" + port, "http://localhost:1", 403},
		{"https where we speak http", "localhost:" + port, "https://localhost:" + port, 403},
		{"name and address mixed", "127.0.0.1:" + port, "http://localhost:" + port, 403},
		{"rebound name, equal origin", "evil.test:" + port, "http://evil.test:" + port, 421},
		{"our name without the port", "localhost", "http://localhost", 421},
		{"our name as a part of another", "localhost.evil.test:" + port, "http://localhost.evil.test:" + port, 421},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := http.NewRequest("GET", "http://"+s.host+"/sync", nil)
			if err != nil {
				t.Fatal(err)
			}
			r.Host = c.host
			for k, v := range map[string]string{"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13", "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA==", "Origin": c.origin} {
				if v != "" {
					r.Header.Set(k, v)
				}
			}
			resp, err := http.DefaultTransport.RoundTrip(r)
			if err != nil {
				t.Fatal(err)
			}
			resp.Body.Close()
			if resp.StatusCode != c.want {
				t.Errorf("Host %s, Origin %q: %d, want %d", c.host, c.origin, resp.StatusCode, c.want)
			}
			// Whatever else changes something is held to the same.
			for path, ours := range map[string]int{"POST /sync/open": 200, "POST /sync/up": 404, "POST /sync/down": 404, "POST /sync/close": 404, "PUT /blob/" + shaOf(nil) + "/0": 404, "PUT /blob/" + shaOf(nil) + "/manifest": 422} {
				method, path, _ := strings.Cut(path, " ")
				r := httptest.NewRequest(method, path, strings.NewReader("{}"))
				r.Host = c.host
				if c.origin != "" {
					r.Header.Set("Origin", c.origin)
				}
				want := c.want
				if want == 101 {
					want = ours
				}
				w := httptest.NewRecorder()
				s.handler.ServeHTTP(w, r)
				if w.Code != want {
					t.Errorf("%s %s from Host %s, Origin %q: %d, want %d", method, path, c.host, c.origin, w.Code, want)
				}
			}
		})
	}
}

func TestListenRefusesOtherMachines(t *testing.T) {
	for _, addr := range []string{"0.0.0.0:0", ":0", "[::]:0", "192.0.2.7:0", "shop.example:0", "8411"} {
		if l, err := Listen(addr); err == nil {
			l.Close()
			t.Errorf("Listen(%q) opened", addr)
		} else if !strings.Contains(err.Error(), addr) {
			t.Errorf("Listen(%q): %v does not name it", addr, err)
		}
	}
}

func TestLoopbackNamesLeaveOutTheUsualPort(t *testing.T) {
	if got := strings.Join(Loopback(fakeAddr("127.0.0.1:80")), " "); got != "localhost 127.0.0.1 [::1]" {
		t.Error(got)
	}
	if got := strings.Join(Loopback(fakeAddr("127.0.0.1:8411")), " "); got != "localhost:8411 127.0.0.1:8411 [::1]:8411" {
		t.Error(got)
	}
}

type fakeAddr string

func (fakeAddr) Network() string  { return "tcp" }
func (a fakeAddr) String() string { return string(a) }

func get(t *testing.T, s *shop, method, path string, header ...string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(method, path, nil)
	r.Host = s.host
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	if method != "GET" && method != "HEAD" {
		r.Header.Set("Origin", "http://"+s.host)
	}
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	return w
}

func TestEveryAnswerCarriesTheRulesForPages(t *testing.T) {
	s := openShop(t, openLog(t), quick(), fstest.MapFS{"index.html": {Data: []byte("<p>app")}})
	for _, path := range []string{"/", "/api/jobs", "/api/none", "/none.js", "/sync"} {
		h := get(t, s, "GET", path).Header()
		want := "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
			"connect-src 'self' ws://" + s.host + "; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
		if got := h.Get("Content-Security-Policy"); got != want {
			t.Errorf("%s: policy is %q", path, got)
		}
		if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Referrer-Policy") != "no-referrer" {
			t.Errorf("%s: headers %v", path, h)
		}
	}
}

func TestTimeLimitsAreSet(t *testing.T) {
	h := openShop(t, openLog(t), quick(), nil).srv.listener(Door{})
	if h.ReadHeaderTimeout == 0 || h.ReadTimeout == 0 || h.WriteTimeout == 0 || h.IdleTimeout == 0 || h.MaxHeaderBytes == 0 {
		t.Errorf("a limit of %+v is missing", h)
	}
}

func TestServerNeedsItsParts(t *testing.T) {
	if _, err := New(Config{}); err == nil {
		t.Error("a server without a log was made")
	}
}

func body(t *testing.T, r io.Reader) string {
	t.Helper()
	b, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Who came under another name can tap the right one.
func TestOtherNameLeadsToOurs(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	r := httptest.NewRequest("GET", "/", nil)
	r.Host = "evil.test"
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	_, port, _ := strings.Cut(s.host, ":")
	if link := `<a href="http://localhost:` + port + `">`; w.Code != 421 || !strings.Contains(w.Body.String(), link) && !strings.Contains(w.Body.String(), `<a href="http://`+s.host+`">`) || strings.Contains(w.Body.String(), "evil") {
		t.Errorf("%d %s, want a link to ours", w.Code, w.Body)
	}
	if kind, policy := w.Header().Get("Content-Type"), w.Header().Get("Content-Security-Policy"); !strings.HasPrefix(kind, "text/html") || !strings.HasPrefix(policy, "default-src 'none'") {
		t.Errorf("%q under %q", kind, policy)
	}
}
