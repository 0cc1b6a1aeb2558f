package main

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha512"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"tubewright/cmd/build/bundle"
)

// part is something of others that ships inside the program or the app.
type part struct {
	kind    kind
	name    string
	version string
	licence string // its short name, SPDX
	where   string // it ships: program, calculation, app
	text    string // its licence as it came, and those of what it contains in turn
	sum     string // goModule: as in go.sum; npmPackage: SHA-512 of the package, hexadecimal digits
}

// kind says where a part comes from.
type kind int

const (
	goModule kind = iota + 1
	goStandard
	npmPackage
)

// shipped returns all that ships of others, by name.
func shipped(ctx context.Context, root string) ([]part, error) {
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
	slices.SortFunc(parts, func(a, b part) int {
		nameA, _ := a.inNotice()
		nameB, _ := b.inNotice()
		return cmp.Compare(nameA, nameB)
	})
	return parts, nil
}

// modules returns the Go modules linked into the program on the machines we build
// for, and into the wasm.
func modules(ctx context.Context, root string) ([]part, error) {
	type build struct {
		platform
		main, where string
	}
	builds := []build{{platform{"js", "wasm"}, "./cmd/calcwasm", "calculation"}, {platform{"js", "wasm"}, "./cmd/longwasm", "calculation"}}
	for _, p := range platforms {
		builds = append(builds, build{p, "./cmd/tubewright", "program"})
	}
	found := map[string]part{}
	for _, b := range builds {
		cmd := exec.CommandContext(ctx, "go", "list", "-deps", "-f",
			"{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}\t{{.Sum}}{{end}}{{end}}", b.main)
		cmd.Dir = root
		cmd.Env = append(os.Environ(), b.env()...)
		var said bytes.Buffer
		cmd.Stderr = &said
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("list the modules of %s: %w\n%s", b.main, err, bytes.TrimSpace(said.Bytes()))
		}
		for line := range strings.Lines(string(out)) {
			f := strings.Split(strings.TrimRight(line, "\r\n"), "\t")
			if len(f) != 4 {
				continue // a package of ours or of Go itself
			}
			p, seen := found[f[0]]
			if !seen {
				text, licence, err := licenceIn(f[2])
				if err != nil {
					return nil, fmt.Errorf("module %s: %w", f[0], err)
				}
				p = part{kind: goModule, name: f[0], version: f[1], licence: licence, text: text, sum: f[3]}
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

// goItself is Go's standard library, runtime and wasm loader.
func goItself(ctx context.Context, root string) (part, error) {
	cmd := exec.CommandContext(ctx, "go", "env", "GOROOT", "GOVERSION")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		return part{}, fmt.Errorf("ask the go command for GOROOT: %w", err)
	}
	goroot, version, _ := strings.Cut(strings.TrimSpace(string(out)), "\n")
	text, licence, err := licenceIn(strings.TrimSpace(goroot))
	if err != nil {
		return part{}, fmt.Errorf("go itself: %w", err)
	}
	return part{kind: goStandard, name: "std", version: strings.TrimPrefix(strings.TrimSpace(version), "go"),
		licence: licence, where: "program, calculation, app", text: text}, nil
}

// packages returns the npm packages of which something is in the bundles.
func packages(root string) ([]part, error) {
	names, err := bundle.Packages(root)
	if err != nil {
		return nil, err
	}
	sums, err := lockedSums(root)
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
		all = append(all, part{npmPackage, name, says.Version, licence, "app", text, sums[name]})
	}
	return all, nil
}

// lockedSums returns the SHA-512 of each package in the lock file, which npm ci has
// compared with what it fetched, in hexadecimal digits.
func lockedSums(root string) (map[string]string, error) {
	b, err := os.ReadFile(filepath.Join(root, "pwa", "package-lock.json"))
	if err != nil {
		return nil, fmt.Errorf("read the lock file: %w", err)
	}
	var lock struct {
		Packages map[string]struct{ Integrity string }
	}
	if err := json.Unmarshal(b, &lock); err != nil {
		return nil, fmt.Errorf("read the lock file: %w", err)
	}
	sums := map[string]string{}
	for path, p := range lock.Packages {
		name, isPackage := strings.CutPrefix(path, "node_modules/")
		if !isPackage {
			continue
		}
		sum, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(p.Integrity, "sha512-"))
		if err != nil || len(sum) != sha512.Size {
			return nil, fmt.Errorf("lock file: package %s has no SHA-512 but %q", name, p.Integrity)
		}
		sums[name] = hex.EncodeToString(sum)
	}
	return sums, nil
}
