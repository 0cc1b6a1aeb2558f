package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/evanw/esbuild/pkg/api"

	"tubewright/pwa/drive"
	"tubewright/server/history"
)

// harness is a folder of an app that is not the app: a page with several tablets
// in it, made of the app's own storage, writer and sync (real.entry.ts).
func harness(t *testing.T) (folder string) {
	t.Helper()
	const lib = "../../pwa/lib/test"
	made := api.Build(api.BuildOptions{
		EntryPoints: []string{filepath.Join(lib, "real.entry.ts")}, Bundle: true, Format: api.FormatESModule, Target: api.ES2022, LogLevel: api.LogLevelSilent,
	})
	for _, e := range made.Errors {
		t.Fatalf("bundle the harness: %s %+v", e.Text, e.Location)
	}
	folder = t.TempDir()
	for name, text := range map[string][]byte{
		"real.js":    made.OutputFiles[0].Contents,
		"index.html": []byte(`<!doctype html><title>Tablets</title><script type="module" src="/real.js"></script>`),
	} {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// badNetwork is the program with the harness, behind a proxy.
func badNetwork(t *testing.T) (*shop, *history.Proxy) {
	t.Helper()
	s := newShop(t)
	s.kill()
	s.app = harness(t)
	s.start()
	net, err := history.NewProxy(s.addr)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(net.Close)
	return s, net
}

// openTablets starts a browser on the harness.
func openTablets(t *testing.T, net *history.Proxy) drive.Browser {
	t.Helper()
	b, skip, err := drive.Chromium(t.Context(), drive.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if skip != "" {
		t.Skip(skip)
	}
	t.Cleanup(b.Close)
	if err := b.Open("http://" + net.Addr + "/"); err != nil {
		t.Fatal(err)
	}
	if err := b.WaitFor(30*time.Second, "return globalThis.real !== undefined"); err != nil {
		t.Fatal(err)
	}
	return b
}
