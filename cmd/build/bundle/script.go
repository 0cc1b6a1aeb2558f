package bundle

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// entry is one page: its html file and the script it starts.
type entry struct{ html, script string }

var entries = []entry{{"index.html", "app.tsx"}, {"wall.html", "wall.tsx"}}

// pages bundles the worker and the pages and puts the names of what they need into
// their html; later names what no page starts with. The worker comes first, because
// its name stands in the app.
func pages(root string, programs modules) (files map[string][]byte, later map[string]bool, err error) {
	pwa, err := filepath.Abs(filepath.Join(root, "pwa"))
	if err != nil {
		return nil, nil, fmt.Errorf("find pwa: %w", err)
	}
	loader := hashed("wasm_exec", ".js", programs.loader)
	calc, long := hashed("calc", ".wasm", programs.wasm["calc"]), hashed("long", ".wasm", programs.wasm["long"])
	files = map[string][]byte{loader: programs.loader, calc: programs.wasm["calc"], long: programs.wasm["long"]}
	define := map[string]string{
		"BUILT_WASM_EXEC": strconv.Quote("/" + loader),
		"BUILT_WASM":      strconv.Quote("/" + calc),
		"BUILT_LONG_WASM": strconv.Quote("/" + long),
	}

	worker, _, err := script(pwa, api.BuildOptions{
		EntryPoints: []string{"lib/calcworker.ts"},
		Outdir:      pwa,
		EntryNames:  "[name]-[hash]",
		Format:      api.FormatIIFE, // classic, so that it can import the loader in every engine
		Define:      define,
	})
	if err != nil {
		return nil, nil, err
	}
	maps.Copy(files, worker)
	define["BUILT_CALCWORKER"] = strconv.Quote("/" + slices.Collect(maps.Keys(worker))[0])

	scripts, meta, err := script(pwa, api.BuildOptions{
		EntryPoints: []string{entries[0].script, entries[1].script},
		Outdir:      pwa,
		EntryNames:  "[name]-[hash]",
		ChunkNames:  "chunk-[hash]",
		AssetNames:  "[name]-[hash]",
		Format:      api.FormatESModule,
		Splitting:   true,
		Define:      define,
	})
	if err != nil {
		return nil, nil, err
	}
	maps.Copy(files, scripts)
	for _, e := range entries {
		page, err := os.ReadFile(filepath.Join(pwa, e.html))
		if err != nil {
			return nil, nil, fmt.Errorf("read the page: %w", err)
		}
		head, err := meta.head(e.script)
		if err != nil {
			return nil, nil, err
		}
		files[e.html] = []byte(strings.Replace(string(page), "{{head}}", head, 1))
	}
	later = meta.later()
	later[long] = true
	return files, later, nil
}

// script runs esbuild with what all bundles share and returns the files by name.
func script(pwa string, o api.BuildOptions) (map[string][]byte, metafile, error) {
	o.AbsWorkingDir = pwa
	o.Bundle = true
	o.Target = api.ES2022
	o.MinifyWhitespace, o.MinifyIdentifiers, o.MinifySyntax = true, true, true
	o.LegalComments = api.LegalCommentsNone // NOTICE holds them
	o.Charset = api.CharsetUTF8
	o.PublicPath = "/"
	o.Metafile = true
	o.Loader = map[string]api.Loader{".svg": api.LoaderFile, ".woff2": api.LoaderFile}
	got := api.Build(o)
	if len(got.Errors) > 0 {
		said := api.FormatMessages(got.Errors, api.FormatMessagesOptions{Kind: api.ErrorMessage})
		return nil, metafile{}, fmt.Errorf("bundle %s:\n%s", strings.Join(o.EntryPoints, ", "), strings.TrimSpace(strings.Join(said, "")))
	}
	files := map[string][]byte{}
	for _, f := range got.OutputFiles {
		files[filepath.Base(f.Path)] = f.Contents
	}
	var meta metafile
	if err := json.Unmarshal([]byte(got.Metafile), &meta); err != nil {
		return nil, metafile{}, fmt.Errorf("read esbuild's metafile: %w", err)
	}
	return files, meta, nil
}

// metafile is what we use of esbuild's report.
type metafile struct {
	Inputs  map[string]struct{} `json:"inputs"`
	Outputs map[string]struct {
		EntryPoint string `json:"entryPoint"`
		CSSBundle  string `json:"cssBundle"`
		Imports    []struct{ Path, Kind string }
	} `json:"outputs"`
}

// head returns the links that a page needs: its styles, the chunks its script
// imports, so that they are fetched at once, and the script.
func (m metafile) head(entryPoint string) (string, error) {
	for name, out := range m.Outputs {
		if out.EntryPoint != entryPoint {
			continue
		}
		var b strings.Builder
		if out.CSSBundle != "" {
			fmt.Fprintf(&b, "<link rel=\"stylesheet\" href=\"/%s\">\n\t\t", path.Base(out.CSSBundle))
		}
		for _, chunk := range out.Imports {
			if chunk.Kind == "import-statement" {
				fmt.Fprintf(&b, "<link rel=\"modulepreload\" href=\"/%s\">\n\t\t", path.Base(chunk.Path))
			}
		}
		fmt.Fprintf(&b, "<script type=\"module\" src=\"/%s\"></script>", path.Base(name))
		return b.String(), nil
	}
	return "", fmt.Errorf("bundle: no output for %s", entryPoint)
}

// later returns the scripts that are imported only when a person asks for them.
func (m metafile) later() map[string]bool {
	atOnce := map[string]bool{}
	var start func(name string)
	start = func(name string) {
		if atOnce[name] {
			return
		}
		atOnce[name] = true
		for _, chunk := range m.Outputs[name].Imports {
			if chunk.Kind == "import-statement" {
				start(chunk.Path)
			}
		}
	}
	for name := range m.Outputs {
		if slices.ContainsFunc(entries, func(e entry) bool { return e.script == m.Outputs[name].EntryPoint }) {
			start(name)
		}
	}
	later := map[string]bool{}
	for name := range m.Outputs {
		if path.Ext(name) == ".js" && !atOnce[name] {
			later[path.Base(name)] = true
		}
	}
	return later
}

// Packages returns the npm packages of which something is in the bundles, by name.
func Packages(root string) ([]string, error) {
	pwa, err := filepath.Abs(filepath.Join(root, "pwa"))
	if err != nil {
		return nil, fmt.Errorf("find pwa: %w", err)
	}
	_, meta, err := script(pwa, api.BuildOptions{
		EntryPoints: []string{entries[0].script, entries[1].script, "lib/calcworker.ts", "sw.ts"},
		Outdir:      pwa,
		Format:      api.FormatESModule,
	})
	if err != nil {
		return nil, err
	}
	found := map[string]bool{}
	for input := range meta.Inputs {
		_, in, ok := strings.Cut(input, "node_modules/")
		if !ok {
			continue
		}
		parts := strings.SplitN(in, "/", 3)
		name := parts[0]
		if strings.HasPrefix(name, "@") {
			name += "/" + parts[1]
		}
		found[name] = true
	}
	return slices.Sorted(maps.Keys(found)), nil
}
