package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

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
	parts, err := shipped(ctx, root)
	if err != nil {
		return nil, err
	}
	return noticeOf(parts), nil
}

func noticeOf(parts []part) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "Tubewright contains work of others. What ships, by name, version, licence and place;")
	fmt.Fprintln(&b, "their licences follow in full. Written by: go run ./cmd/build notice")
	fmt.Fprintln(&b)
	for _, p := range parts {
		name, version := p.inNotice()
		fmt.Fprintf(&b, "%-40s %-36s %-13s %s\n", name, version, p.licence, p.where)
	}
	for _, p := range parts {
		fmt.Fprintf(&b, "\n%s\n%s\n", p.heading(), p.text)
	}
	return b.Bytes()
}

// heading is what stands above the licence of p in NOTICE.
func (p part) heading() string {
	name, version := p.inNotice()
	return strings.Repeat("=", 78) + "\n" + name + " " + version + "\n"
}

// inNotice returns name and version as NOTICE has them. The version of Go itself is
// the compiler's, which stands in every program, and not the same in all.
func (p part) inNotice() (name, version string) {
	if p.kind == goStandard {
		return "Go standard library and wasm_exec.js", "as built (go version -m FILE)"
	}
	return p.name, p.version
}
