package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/evanw/esbuild/pkg/api"

	"tubewright/pwa/drive"
	"tubewright/server/history"
)

// harness is a folder of an app that is not the app: a page with several tablets
// in it, made of the app's own storage, writer and sync (real.entry.ts).
func harness(t *testing.T, broken ...swap) (folder string) {
	t.Helper()
	const lib = "../../pwa/lib/test"
	made := api.Build(api.BuildOptions{
		EntryPoints: []string{filepath.Join(lib, "real.entry.ts")}, Bundle: true, Format: api.FormatESModule, Target: api.ES2022, LogLevel: api.LogLevelSilent,
		Plugins: []api.Plugin{breaking(t, broken)},
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

// swap is a broken variant: in one file of the app's modules, old is replaced by new.
type swap struct{ file, old, new string }

func breaking(t *testing.T, broken []swap) api.Plugin {
	return api.Plugin{Name: "breaking", Setup: func(b api.PluginBuild) {
		for _, s := range broken {
			b.OnLoad(api.OnLoadOptions{Filter: `lib/` + s.file + `\.ts$`}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
				src, err := os.ReadFile(a.Path)
				if err != nil {
					return api.OnLoadResult{}, err
				}
				if strings.Count(string(src), s.old) != 1 {
					t.Fatalf("%s: %q does not stand there exactly once", a.Path, s.old)
				}
				text := strings.Replace(string(src), s.old, s.new, 1)
				return api.OnLoadResult{Contents: &text, Loader: api.LoaderTS}, nil
			})
		}
	}}
}

// badNetwork is the program with the harness, behind a proxy.
func badNetwork(t *testing.T, broken ...swap) (*shop, *history.Proxy) {
	t.Helper()
	s := newShop(t)
	s.kill()
	s.app = harness(t, broken...)
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
