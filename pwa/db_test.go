package pwa_test

import (
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// The database's claims can only be checked where there is a real one. The page is
// opened twice; in between its process is killed, where that can be done.
func TestDatabaseKeepsItsClaims(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: browsers, because of -short")
	}
	script := bundled(t, "db.entry.ts")
	shop := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/entry.js" {
			w.Header().Set("Content-Type", "text/javascript")
			w.Write(script)
			return
		}
		w.Header().Set("Content-Type", "text/html")
		w.Write([]byte(`<!doctype html><title>Claims</title><script type="module" src="/entry.js"></script>`))
	}))
	defer shop.Close()
	for _, e := range drive.Engines {
		t.Run(e.Name, func(t *testing.T) {
			b, skip, err := e.Start(t.Context(), drive.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if skip != "" {
				t.Skip(skip)
			}
			defer b.Close()
			checkPage(t, b, shop.URL+"/")
			if err := killPage(b); err != nil {
				t.Fatal(err)
			}
			checkPage(t, b, shop.URL+"/?again")
		})
	}
}

// killPage ends the page at once: its process, or the browser. WebKitGTK's test
// sessions forget everything at their end, so there the page only goes.
func killPage(b drive.Browser) error {
	switch b.Name() {
	case "Chromium":
		return b.KillTab()
	case "Firefox":
		b.Kill()
		return b.Restart()
	}
	return b.Open("about:blank")
}

func checkPage(t *testing.T, b drive.Browser, url string) {
	t.Helper()
	if err := b.Open(url); err != nil {
		t.Fatal(err)
	}
	if err := b.WaitFor(2*time.Minute, "return globalThis.results !== undefined"); err != nil {
		t.Fatal(err)
	}
	var results map[string]string
	if err := b.Eval(&results, "return globalThis.results"); err != nil {
		t.Fatal(err)
	}
	for name, wrong := range results {
		if wrong != "" {
			t.Errorf("%s: %s", name, wrong)
		}
	}
	if len(results) == 0 {
		t.Error("no claim was checked")
	}
}
