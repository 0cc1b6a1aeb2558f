package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tubewright/server/certs"
)

// started is "tubewright serve" running in this process.
type started struct {
	*testing.T
	out, log *saying
	stop     func() int

	shop, trust, origin string // addresses as the start said them
}

// start runs serve on free ports of this machine, on a folder that may be new.
func start(t *testing.T, data string, args ...string) *started {
	t.Helper()
	s := &started{T: t, out: &saying{}, log: &saying{}}
	ctx, cancel := context.WithCancel(t.Context())
	code := make(chan int, 1)
	args = append([]string{"serve", "-data", data, "-addr", "127.0.0.1:0", "-trust-addr", "127.0.0.1:0", "-shop-addr", "127.0.0.1:0"}, args...)
	go func() { code <- run(ctx, args, s.out, s.log) }()
	s.stop = func() int {
		cancel()
		got, open := <-code
		if open {
			close(code)
		}
		return got
	}
	t.Cleanup(func() {
		s.stop()
		if t.Failed() {
			t.Logf("it printed:\n%s\nand logged:\n%s", s.out, s.log)
		}
	})
	for range 200 {
		if s.shop = s.said(`(http://localhost:\d+/)shop`); strings.Contains(s.out.String(), "Backups ") {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	s.trust, s.origin = s.said(`(http://127\.0\.0\.1:\d+)/`), s.said(`(https://\S+?)/\n`)
	if s.shop == "" || s.origin == "" {
		t.Fatal("it did not start")
	}
	s.shop = strings.TrimSuffix(s.shop, "/")
	return s
}

func (s *started) said(pattern string) string {
	if m := regexp.MustCompile(pattern).FindStringSubmatch(s.out.String()); m != nil {
		return m[1]
	}
	return ""
}

// answer is what came back.
type answer struct {
	status int
	header http.Header
	body   string
}

func (s *started) do(c *http.Client, method, link, origin, kind, body string) answer {
	s.Helper()
	r, err := http.NewRequestWithContext(s.Context(), method, link, strings.NewReader(body))
	if err != nil {
		s.Fatal(err)
	}
	if origin != "" {
		r.Header.Set("Origin", origin)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	res, err := c.Do(r)
	if err != nil {
		s.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		s.Fatal(err)
	}
	return answer{res.StatusCode, res.Header, string(b)}
}

func (s *started) get(c *http.Client, link string) answer {
	s.Helper()
	return s.do(c, "GET", link, "", "", "")
}

// tablet trusts one authority and nothing else, and finds the name as the shop's
// network would tell it.
func tabletClient(t *testing.T, authority []byte) *http.Client {
	t.Helper()
	cert, err := x509.ParseCertificate(authority)
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(cert)
	tr := &http.Transport{
		TLSClientConfig: &tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS12},
		DialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
			_, port, err := net.SplitHostPort(addr)
			if err != nil {
				return nil, err
			}
			return new(net.Dialer).DialContext(ctx, network, net.JoinHostPort("127.0.0.1", port))
		},
		ForceAttemptHTTP2: true, // as browsers do: the server has to say no
	}
	t.Cleanup(tr.CloseIdleConnections)
	return &http.Client{Transport: tr, Timeout: 10 * time.Second}
}

// From the first start on an empty folder to a tablet that has a token, by the
// addresses that are printed and shown.
func TestFirstStartLetsATabletIn(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	s := start(t, data)
	page := s.get(http.DefaultClient, s.shop+"/shop")
	if page.status != http.StatusOK || !strings.Contains(page.body, s.trust+"/") || !strings.Contains(page.body, s.origin+"/") {
		t.Fatalf("shop page: %d %s", page.status, page.body)
	}
	if !strings.HasPrefix(s.origin, "https://tubewright.local:") {
		t.Errorf("the origin is %s", s.origin)
	}
	authority := s.get(http.DefaultClient, s.trust+"/tubewright-shop.crt")
	profile := s.get(http.DefaultClient, s.trust+"/tubewright-shop.mobileconfig")
	if authority.status != http.StatusOK || profile.status != http.StatusOK || authority.header.Get("Content-Type") != "application/x-x509-ca-cert" {
		t.Fatalf("authority: %d, profile: %d", authority.status, profile.status)
	}
	tablet := tabletClient(t, []byte(authority.body))
	if a := s.get(tablet, s.origin+"/"); a.status == http.StatusMisdirectedRequest || a.header.Get("Content-Security-Policy") == "" {
		t.Errorf("the app by its name: %d %v", a.status, a.header)
	}

	// A code, made with the form that the page has, is shown and taken once.
	form := "application/x-www-form-urlencoded"
	code := s.do(http.DefaultClient, "POST", s.shop+"/shop/code", s.shop, form, url.Values{"name": {"Yard"}, "role": {"measure"}}.Encode())
	m := regexp.MustCompile(`class="short">([A-Z2-9]{4}) ([A-Z2-9]{4})<`).FindStringSubmatch(code.body)
	if code.status != http.StatusOK || m == nil {
		t.Fatalf("code: %d %s", code.status, code.body)
	}
	claim := `{"code":"` + m[1] + m[2] + `","dev":"tab-1","checks":{"worker":true,"socket":true,"secure":true,"strict":true,"persisted":true,"clock_ms":0}}`
	got := s.do(tablet, "POST", s.origin+"/pair/claim", s.origin, "application/json", claim)
	var claimed struct{ Token, Role, Name string }
	if err := json.Unmarshal([]byte(got.body), &claimed); got.status != http.StatusOK || err != nil || len(claimed.Token) != 43 || claimed.Role != "measure" || claimed.Name != "Yard" {
		t.Fatalf("claim: %d %s", got.status, got.body)
	}
	if again := s.do(tablet, "POST", s.origin+"/pair/claim", s.origin, "application/json", claim); again.status == http.StatusOK {
		t.Error("the code was taken twice")
	}
	if page := s.get(http.DefaultClient, s.shop+"/shop"); !strings.Contains(page.body, "<b>Yard</b>") {
		t.Error("the device is not on the shop page")
	}
	if strings.Contains(s.log.String()+s.out.String(), claimed.Token) || strings.Contains(s.log.String()+s.out.String(), m[1]+m[2]) {
		t.Error("a token or a code went into the log")
	}
	if code := s.stop(); code != exitDone {
		t.Errorf("it ended with %d", code)
	}

	// Keys are the owner's; the next start has the same authority.
	for name, mode := range map[string]os.FileMode{".": 0o700, "tls": 0o700, "tls/authority.key": 0o600, "tls/server.key": 0o600} {
		info, err := os.Stat(filepath.Join(data, name))
		if err != nil || info.Mode().Perm() != mode {
			t.Errorf("%s: %v, %v, want %v", name, info.Mode(), err, mode)
		}
	}
	again := start(t, data)
	if a := again.get(http.DefaultClient, again.trust+"/tubewright-shop.crt"); a.body != authority.body {
		t.Error("the next start has another authority")
	}
	// A free port is another one: the tablets would not find this machine.
	if again.origin != s.origin && (!strings.Contains(again.out.String(), "!! The tablets know this machine as "+s.origin) ||
		!strings.Contains(again.get(http.DefaultClient, again.shop+"/shop").body, s.origin)) {
		t.Error("ST10: that the port is another one than before is not said")
	}
}

// Whoever ends it, or starts it twice, is told what happened.
func TestStopAndSecondStartAreSaid(t *testing.T) {
	s := start(t, t.TempDir())
	port := func(link string) string { return "127.0.0.1" + link[strings.LastIndexByte(link, ':'):] }
	for flag, addr := range map[string]string{"-shop-addr": port(s.shop), "-addr": port(s.origin), "-trust-addr": port(s.trust)} {
		args := []string{"serve", "-data", t.TempDir(), "-addr", "127.0.0.1:0", "-trust-addr", "127.0.0.1:0", "-shop-addr", "127.0.0.1:0", flag, addr}
		var out, errs bytes.Buffer
		if code := run(t.Context(), args, &out, &errs); code != exitFailed || !strings.Contains(errs.String(), "is Tubewright running already?") || !strings.Contains(errs.String(), addr) {
			t.Errorf("%s %s: exit %d, said %q", flag, addr, code, errs.String())
		}
	}
	if code := s.stop(); code != exitDone || !strings.HasSuffix(s.out.String(), "\nThe shop machine has stopped. What came in is on the disk.\n") {
		t.Errorf("exit %d", code)
	}
}

// Each way in shows what belongs there and nothing else.
func TestTL7EachListenerServesItsOwn(t *testing.T) {
	s := start(t, t.TempDir())
	authority := s.get(http.DefaultClient, s.trust+"/tubewright-shop.crt")
	tablet := tabletClient(t, []byte(authority.body))
	appPort := s.origin[strings.LastIndexByte(s.origin, ':'):]
	for _, c := range []struct {
		what   string
		client *http.Client
		link   string
		status int
	}{
		{"jobs from the network without a token", tablet, s.origin + "/api/jobs", http.StatusUnauthorized},
		{"the app by an address", tablet, "https://127.0.0.1" + appPort + "/", http.StatusMisdirectedRequest},
		{"the app by localhost", tablet, "https://localhost" + appPort + "/", http.StatusMisdirectedRequest},
		{"the app on the trust page", http.DefaultClient, s.trust + "/wall", http.StatusNotFound},
		{"jobs on the trust page", http.DefaultClient, s.trust + "/api/jobs", http.StatusNotFound},
		{"the shop page on the trust page", http.DefaultClient, s.trust + "/shop", http.StatusNotFound},
		{"the app without encryption", &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}, "http://127.0.0.1" + appPort + "/", http.StatusTemporaryRedirect},
		{"jobs on this machine", http.DefaultClient, s.shop + "/api/jobs", http.StatusOK},
	} {
		if a := s.get(c.client, c.link); a.status != c.status {
			t.Errorf("%s: %d, want %d: %.200s", c.what, a.status, c.status, a.body)
		}
	}
	// The app answers there, as under every address that it does not know.
	if a := s.get(tablet, s.origin+"/shop"); strings.Contains(a.body, "/shop/code") {
		t.Error("the shop page is open to the network")
	}
	form := "application/x-www-form-urlencoded"
	for _, origin := range []string{s.origin, s.shop} {
		if a := s.do(tablet, "POST", s.origin+"/shop/code", origin, form, "name=x&role=bench"); a.status < 400 {
			t.Errorf("a code made from the network: %d", a.status)
		}
	}
	if a := s.do(http.DefaultClient, "POST", s.shop+"/shop/code", s.origin, form, "name=x&role=bench"); a.status != http.StatusForbidden {
		t.Errorf("a code made by a page of the app: %d", a.status)
	}
	// Nobody trusts it who did not load the authority, and nothing older than TLS 1.2 is spoken.
	if _, err := http.Get("https://127.0.0.1" + appPort + "/"); err == nil {
		t.Error("a client that trusts nothing here connects")
	}
	_, err := tls.Dial("tcp", "127.0.0.1"+appPort, &tls.Config{InsecureSkipVerify: true, MinVersion: tls.VersionTLS10, MaxVersion: tls.VersionTLS11})
	if err == nil {
		t.Error("TLS 1.1 is spoken")
	}
	c, err := tls.Dial("tcp", "127.0.0.1"+appPort, &tls.Config{InsecureSkipVerify: true, NextProtos: []string{"h2", "http/1.1"}})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if p := c.ConnectionState().NegotiatedProtocol; p != "http/1.1" {
		t.Errorf("it speaks %q, and a websocket needs HTTP/1.1", p)
	}
}

func TestServeRefusesWhatWouldStrandTablets(t *testing.T) {
	data := t.TempDir()
	start(t, data, "-name", "shop.home.arpa").stop()
	for _, c := range []struct {
		what string
		args []string
		exit int
		part string
	}{
		{"another name", []string{"-name", "tubewright.local"}, exitFailed, "cannot become"},
		{"an address for a name", []string{"-name", "192.168.1.20"}, exitFailed, "cannot become"},
		{"a public address for ever", []string{"-fixed-lease", "8.8.8.8"}, exitUnusable, "-fixed-lease"},
		{"no address for ever", []string{"-fixed-lease", "shop"}, exitUnusable, "-fixed-lease"},
		{"a certificate without its key", []string{"-cert", "x.crt"}, exitUnusable, "go together"},
		{"a certificate without a name", []string{"-cert", "x.crt", "-key", "x.key"}, exitUnusable, "-name"},
		{"a certificate for an address", []string{"-cert", "x.crt", "-key", "x.key", "-name", "10.0.0.5"}, exitFailed, "is an address"},
		{"the shop page for the network", []string{"-shop-addr", "0.0.0.0:0"}, exitFailed, "only this machine itself"},
	} {
		var out, errs bytes.Buffer
		args := append([]string{"serve", "-data", data, "-addr", "127.0.0.1:0", "-trust-addr", "127.0.0.1:0", "-shop-addr", "127.0.0.1:0"}, c.args...)
		if code := run(t.Context(), args, &out, &errs); code != c.exit || !strings.Contains(errs.String(), c.part) {
			t.Errorf("%s: exit %d, said %q", c.what, code, errs.String())
		}
	}
	// The address that is given for ever becomes the origin, with a warning that is not passed over.
	s := start(t, t.TempDir(), "-fixed-lease", "10.254.254.9")
	if !strings.HasPrefix(s.origin, "https://10.254.254.9:") {
		t.Errorf("the origin is %s", s.origin)
	}
	authority := s.get(http.DefaultClient, s.trust+"/tubewright-shop.crt")
	if a := s.get(tabletClient(t, []byte(authority.body)), s.origin+"/"); a.status == http.StatusMisdirectedRequest {
		t.Errorf("the app by the fixed address: %d", a.status)
	}
	if !strings.Contains(s.out.String(), "!! Tablets are paired by the address 10.254.254.9.") || !strings.Contains(s.out.String(), "!! This machine does not have the address 10.254.254.9 now") {
		t.Error("what a fixed address costs is not said")
	}
}

// A shop that has a certificate of its own needs no trust page, and gets none.
func TestCertificateOfTheShopsOwnIsServed(t *testing.T) {
	folder := t.TempDir()
	authority, err := certs.OpenAuthority(folder, "shop.example.com", time.Now())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := certs.OpenLeaf(authority, folder, time.Now, func() []net.IP { return nil }, func(time.Time, error) {}); err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(t.TempDir(), "data")
	s := start(t, data, "-name", "shop.example.com", "-cert", filepath.Join(folder, "server.crt"), "-key", filepath.Join(folder, "server.key"))
	if !strings.HasPrefix(s.origin, "https://shop.example.com:") || s.trust != "" || strings.Contains(s.out.String(), "Fingerprint") {
		t.Errorf("origin %s, trust page %q", s.origin, s.trust)
	}
	if a := s.get(tabletClient(t, authority.DER()), s.origin+"/"); a.status == http.StatusMisdirectedRequest {
		t.Errorf("the app by its name: %d", a.status)
	}
	if page := s.get(http.DefaultClient, s.shop+"/shop"); page.status != http.StatusOK || strings.Contains(page.body, "ingerprint") || !strings.Contains(page.body, "Certificate ends") {
		t.Errorf("shop page: %d", page.status)
	}
	if _, err := os.Stat(filepath.Join(data, "tls")); err == nil {
		t.Error("an authority was made that nobody asked for")
	}
}
