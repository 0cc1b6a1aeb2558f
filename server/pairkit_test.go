package server

import (
	"bytes"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"testing"

	"tubewright/calc/ledger"
)

// lan opens a door as tablets reach it, at which everybody needs a token.
func (s *shop) lan() *shop {
	s.t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		s.t.Fatal(err)
	}
	host := l.Addr().String()
	door := Door{Hosts: []string{host}, Origin: "http://" + host}
	go s.srv.Serve(l, door) // until the shop is shut down
	return &shop{t: s.t, srv: s.srv, handler: s.srv.Handler(door), host: host, log: s.log}
}

// openLAN starts a shop and returns its door for tablets.
func openLAN(t testing.TB) *shop {
	t.Helper()
	return openShop(t, openLog(t), quick(), nil).lan()
}

var passed = checks{Worker: true, Socket: true, Secure: true, Strict: true, Persisted: true, ClockMS: testClock.UnixMilli()}

// claimWith sends a code and returns the status and the answer.
func (s *shop) claimWith(code, dev string, ck checks) (int, []byte) {
	s.t.Helper()
	return s.ask("POST", "/pair/claim", "", encode(claim{Code: code, Dev: dev, Checks: ck}))
}

// ask sends a request as the page of this shop does.
func (s *shop) ask(method, path, token string, body []byte) (int, []byte) {
	s.t.Helper()
	r, err := http.NewRequest(method, "http://"+s.host+path, bytes.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	r.Header.Set("Origin", "http://"+s.host)
	if token != "" {
		r.Header.Set("Authorization", "Tubewright "+token)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return resp.StatusCode, b
}

// pair lets a device in and returns it, not connected yet.
func (s *shop) pair(dev string, role ledger.Role) *peer {
	s.t.Helper()
	status, b := s.claimWith(s.srv.NewCode(role, "paired "+dev).Secret, dev, passed)
	var got claimed
	if err := json.Unmarshal(b, &got); err != nil || status != 200 || len(got.Token) != 43 || got.Role != role {
		s.t.Fatalf("claim: %d %s", status, b)
	}
	return &peer{t: s.t, dev: dev, token: got.Token, whole: map[string]string{}, stubs: map[string]string{}}
}

// paired lets a device in and connects it.
func (s *shop) paired(dev string, role ledger.Role) *peer {
	s.t.Helper()
	p := s.again(s.pair(dev, role))
	if f := p.want("welcome"); f.Role != role || f.Name != "paired "+dev || f.Revoked {
		s.t.Fatalf("welcome: %s", f.raw)
	}
	return p
}

func whyOf(b []byte) string {
	var no struct{ Why, Text string }
	if json.Unmarshal(b, &no) != nil || no.Text == "" {
		return ""
	}
	return no.Why
}

// line returns how the shop page shows a device.
func (s *shop) line(dev string) DeviceLine {
	s.t.Helper()
	lines, err := s.srv.Paired(s.t.Context())
	if err != nil {
		s.t.Fatal(err)
	}
	for _, l := range lines {
		if l.Dev == dev {
			return l
		}
	}
	s.t.Fatalf("%s is not in %+v", dev, lines)
	return DeviceLine{}
}
