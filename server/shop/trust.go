package shop

import (
	"net/http"
	"strconv"
)

// Authority is what the trust page hands out; *certs.Authority is one.
type Authority interface {
	Name() string
	DER() []byte         // its certificate
	Profile() []byte     // the same as a configuration profile
	Fingerprint() string // of the certificate, SHA-256
}

const (
	profilePath = "/tubewright-shop.mobileconfig"
	certPath    = "/tubewright-shop.crt"
)

var trustPage = parse("head.html", "drawings.html", "trust.html")

type trustView struct {
	Name, Origin          string
	Fingerprint           []string
	ProfilePath, CertPath string
}

// Trust answers over plain http, under any name and address, with the page, the
// authority as a profile and as a certificate, and with nothing else: it is for
// tablets that trust nothing here yet. origin is where the app is:
// https://tubewright.local:8411.
func Trust(a Authority, origin string) http.Handler {
	view := trustView{a.Name(), origin, groups(a.Fingerprint()), profilePath, certPath}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		var kind string
		var b []byte
		switch r.URL.Path {
		case "/":
		case profilePath:
			kind, b = "application/x-apple-aspen-config", a.Profile()
		case certPath:
			kind, b = "application/x-x509-ca-cert", a.DER()
		default:
			http.NotFound(w, r)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "this page is only for reading", http.StatusMethodNotAllowed)
			return
		}
		if b == nil {
			show(w, http.StatusOK, trustPage, "trust.html", view, "'none'")
			return
		}
		h := w.Header()
		h.Set("Content-Type", kind)
		h.Set("Content-Length", strconv.Itoa(len(b)))
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
		h.Set("Cache-Control", "no-store")
		if kind != "application/x-apple-aspen-config" { // an iPad asks about a profile by its type, and saves an attachment
			h.Set("Content-Disposition", `attachment; filename="`+certPath[1:]+`"`)
		}
		w.Write(b)
	})
}
