package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"tubewright/cmd/build/bundle"
)

// part is something of others that ships inside the program or the app.
type part struct {
	name, version, licence, where string
	text                          string // its licence, as it came
}

func writeNotice(ctx context.Context, root string) error {
	began := time.Now()
	if err := fetchPackages(ctx, root); err != nil {
		return err
	}
	b, err := notice(ctx, root)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(root, "NOTICE"), b, 0o644); err != nil {
		return fmt.Errorf("write NOTICE: %w", err)
	}
	say("NOTICE", time.Since(began))
	return nil
}

// notice returns what NOTICE must say: a list of what ships, then each licence.
func notice(ctx context.Context, root string) ([]byte, error) {
	parts, err := modules(ctx, root)
	if err != nil {
		return nil, err
	}
	packages, err := packages(root)
	if err != nil {
		return nil, err
	}
	goPart, err := goItself(ctx, root)
	if err != nil {
		return nil, err
	}
	parts = append(append(parts, packages...), goPart)
	slices.SortFunc(parts, func(a, b part) int { return cmp.Compare(a.name, b.name) })

	var b bytes.Buffer
	fmt.Fprintln(&b, "Tubewright contains work of others. What ships, by name, version, licence and place;")
	fmt.Fprintln(&b, "their licences follow in full. Written by: go run ./cmd/build notice")
	fmt.Fprintln(&b)
	for _, p := range parts {
		fmt.Fprintf(&b, "%-40s %-36s %-13s %s\n", p.name, p.version, p.licence, p.where)
	}
	for _, p := range parts {
		fmt.Fprintf(&b, "\n%s\n%s %s\n\n%s\n", strings.Repeat("=", 78), p.name, p.version, p.text)
	}
	return b.Bytes(), nil
}

// modules returns the Go modules linked into the program on the machines we build
// for, and into the wasm.
func modules(ctx context.Context, root string) ([]part, error) {
	builds := []struct{ goos, goarch, main, where string }{
		{"linux", "amd64", "./cmd/tubewright", "program"},
		{"windows", "amd64", "./cmd/tubewright", "program"},
		{"darwin", "arm64", "./cmd/tubewright", "program"},
		{"js", "wasm", "./cmd/calcwasm", "calculation"},
	}
	found := map[string]part{}
	for _, b := range builds {
		cmd := exec.CommandContext(ctx, "go", "list", "-deps", "-f",
			"{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", b.main)
		cmd.Dir = root
		cmd.Env = append(os.Environ(), "GOOS="+b.goos, "GOARCH="+b.goarch, "CGO_ENABLED=0")
		var said bytes.Buffer
		cmd.Stderr = &said
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("list the modules of %s: %w\n%s", b.main, err, bytes.TrimSpace(said.Bytes()))
		}
		for line := range strings.Lines(string(out)) {
			f := strings.Split(strings.TrimSpace(line), "\t")
			if len(f) != 3 {
				continue // a package of ours or of Go itself
			}
			p, seen := found[f[0]]
			if !seen {
				text, licence, err := licenceIn(f[2])
				if err != nil {
					return nil, fmt.Errorf("module %s: %w", f[0], err)
				}
				p = part{name: f[0], version: f[1], licence: licence, text: text}
			}
			if !strings.Contains(p.where, b.where) {
				p.where = strings.TrimPrefix(p.where+", "+b.where, ", ")
			}
			found[f[0]] = p
		}
	}
	var all []part
	for _, p := range found {
		all = append(all, p)
	}
	return all, nil
}

// goItself is Go's standard library, runtime and wasm loader. Its version is the
// compiler's and stands in every program; "go version -m FILE" prints it.
func goItself(ctx context.Context, root string) (part, error) {
	cmd := exec.CommandContext(ctx, "go", "env", "GOROOT")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		return part{}, fmt.Errorf("ask the go command for GOROOT: %w", err)
	}
	text, licence, err := licenceIn(strings.TrimSpace(string(out)))
	if err != nil {
		return part{}, fmt.Errorf("go itself: %w", err)
	}
	return part{"Go standard library and wasm_exec.js", "as built (go version -m FILE)", licence, "program, calculation, app", text}, nil
}

// packages returns the npm packages of which something is in the bundles.
func packages(root string) ([]part, error) {
	names, err := bundle.Packages(root)
	if err != nil {
		return nil, err
	}
	var all []part
	for _, name := range names {
		dir := filepath.Join(root, "pwa", "node_modules", filepath.FromSlash(name))
		b, err := os.ReadFile(filepath.Join(dir, "package.json"))
		if err != nil {
			return nil, fmt.Errorf("package %s: %w", name, err)
		}
		var says struct{ Version, License string }
		if err := json.Unmarshal(b, &says); err != nil {
			return nil, fmt.Errorf("package %s: read package.json: %w", name, err)
		}
		text, licence, err := licenceIn(dir)
		if err != nil {
			return nil, fmt.Errorf("package %s: %w", name, err)
		}
		if licence != says.License {
			return nil, fmt.Errorf("package %s: package.json says %s, its licence reads like %s", name, says.License, licence)
		}
		all = append(all, part{name, says.Version, licence, "app", text})
	}
	return all, nil
}

// licenceIn returns the licence in a folder and its short name (SPDX), told by
// sentences that only that licence has.
func licenceIn(dir string) (text, licence string, err error) {
	for _, name := range []string{"LICENSE", "LICENSE.txt", "LICENSE.md", "LICENCE", "COPYING"} {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			continue
		}
		text := strings.TrimSpace(strings.ReplaceAll(string(b), "\r\n", "\n"))
		flat := strings.Join(strings.Fields(text), " ")
		has := func(s string) bool { return strings.Contains(flat, s) }
		switch {
		case has("Apache License") && has("Version 2.0"):
			return text, "Apache-2.0", nil
		case has("Permission is hereby granted, free of charge"):
			return text, "MIT", nil
		case has("Permission to use, copy, modify, and/or distribute"):
			return text, "ISC", nil
		case has("Redistributions in binary form") && (has("Neither the name") || has("the names of its contributors")):
			return text, "BSD-3-Clause", nil
		case has("Redistributions in binary form"):
			return text, "BSD-2-Clause", nil
		}
		return "", "", fmt.Errorf("%s in %s is of a kind not known here; read it and add it", name, dir)
	}
	return "", "", errors.New("no licence in " + dir)
}
