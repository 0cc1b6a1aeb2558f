package shop

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tubewright/server/certs"
)

func newTrust(t *testing.T) (*certs.Authority, http.Handler) {
	t.Helper()
	a, err := certs.OpenAuthority(filepath.Join(t.TempDir(), "tls"), "tubewright.local", noon)
	if err != nil {
		t.Fatal(err)
	}
	return a, Trust(a, "https://tubewright.local:8411")
}

func ask(h http.Handler, method, host, path string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://"+host+path, nil)
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestTL2TrustPageHandsOutTheAuthority(t *testing.T) {
	a, h := newTrust(t)
	// Any name and any address will do: a tablet has nothing else to go by yet.
	for _, host := range []string{"192.168.1.20:8410", "tubewright.local:8410", "anything.example", "[fd00::1]:8410"} {
		w := ask(h, "GET", host, "/")
		says(t, w, http.StatusOK, "https://tubewright.local:8411/", "Certificate Trust Settings", "What that is for", "CA certificate")
		for _, g := range groups(a.Fingerprint()) {
			if !strings.Contains(w.Body.String(), "<li>"+g+"</li>") {
				t.Errorf("the fingerprint lacks %s", g)
			}
		}
	}
	w := ask(h, "GET", "192.168.1.20:8410", certPath)
	if w.Header().Get("Content-Type") != "application/x-x509-ca-cert" || !bytes.Equal(w.Body.Bytes(), a.DER()) {
		t.Errorf("certificate: %v", w.Header())
	}
	w = ask(h, "GET", "192.168.1.20:8410", profilePath)
	if w.Header().Get("Content-Type") != "application/x-apple-aspen-config" || !bytes.Equal(w.Body.Bytes(), a.Profile()) || w.Header().Get("Content-Disposition") != "" {
		t.Errorf("profile: %v", w.Header())
	}
	for _, path := range []string{"/", certPath, profilePath} {
		w := ask(h, "HEAD", "192.168.1.20:8410", path)
		if w.Code != http.StatusOK || w.Header().Get("X-Content-Type-Options") != "nosniff" || w.Header().Get("Content-Length") == "" {
			t.Errorf("HEAD %s: %d %v", path, w.Code, w.Header())
		}
		for _, method := range []string{"POST", "PUT", "DELETE", "OPTIONS"} {
			if w := ask(h, method, "192.168.1.20:8410", path); w.Code != http.StatusMethodNotAllowed {
				t.Errorf("%s %s: %d", method, path, w.Code)
			}
		}
	}
}

func TestTrustPageServesNothingElse(t *testing.T) {
	_, h := newTrust(t)
	for _, path := range []string{"/index.html", "/shop", "/sync", "/api/health", "/blob/", "/pair/claim", "/wall", "/authority.key", "/tls/authority.key",
		"//", "/./", "/../tls/authority.key", "/%2e%2e/tls/authority.key", certPath + "/", profilePath + ".bak", "/TUBEWRIGHT-SHOP.CRT", "/generate_204"} {
		for _, method := range []string{"GET", "POST", "HEAD"} {
			w := ask(h, method, "192.168.1.20:8410", path)
			if w.Code != http.StatusNotFound || w.Body.Len() > 100 {
				t.Errorf("%s %s: %d, %d bytes", method, path, w.Code, w.Body.Len())
			}
		}
	}
}

// The policy lets in the one style sheet that stands in the page, and it stands
// there exactly as the policy says.
func TestPolicyNamesTheStyleSheetThatIsThere(t *testing.T) {
	_, h := newTrust(t)
	w := ask(h, "GET", "192.168.1.20:8410", "/")
	_, css, _ := strings.Cut(w.Body.String(), "<style>")
	css, _, found := strings.Cut(css, "</style>")
	sum := sha256.Sum256([]byte(css))
	if source := "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !found || !strings.Contains(w.Header().Get("Content-Security-Policy"), source) {
		t.Errorf("%s is not in %q", source, w.Header().Get("Content-Security-Policy"))
	}
	if strings.Contains(w.Body.String(), "<script") || strings.Contains(w.Body.String(), " style=") || strings.Contains(w.Body.String(), "ZgotmplZ") {
		t.Error("something in the page will not work under its policy")
	}
}

// One set of colours and sizes for app and pages.
func TestTokensAreTheApps(t *testing.T) {
	app, err := os.ReadFile("../../pwa/css/tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	own, err := os.ReadFile("css/tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(app, own) {
		t.Error("css/tokens.css is not pwa/css/tokens.css: copy it")
	}
}

func TestFingerprintIsCutIntoGroupsOfFourPairs(t *testing.T) {
	for in, want := range map[string]string{"AB:CD": "AB CD", "01:02:03:04:05": "01 02 03 04|05", strings.TrimSuffix(strings.Repeat("FF:", 32), ":"): strings.TrimSuffix(strings.Repeat("FF FF FF FF|", 8), "|")} {
		if got := strings.Join(groups(in), "|"); got != want {
			t.Errorf("%s: %s", in, got)
		}
	}
}
