package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"
)

// lockStamp is the copy, in pwa/node_modules, of the lock file it was made from.
const lockStamp = ".tubewright-lock.json"

// fetchPackages runs npm ci when pwa/node_modules is missing or was made from another
// lock file; a copy of that lock file in it tells. No package's own scripts are run.
func fetchPackages(ctx context.Context, root string) error {
	pwa := filepath.Join(root, "pwa")
	want, err := os.ReadFile(filepath.Join(pwa, "package-lock.json"))
	if err != nil {
		return fmt.Errorf("read the lock file: %w", err)
	}
	stamp := filepath.Join(pwa, "node_modules", lockStamp)
	if got, err := os.ReadFile(stamp); err == nil && bytes.Equal(got, want) {
		return nil
	}
	npm, err := exec.LookPath("npm")
	if err != nil {
		return errors.New("npm is missing: install Node.js 20 or newer, which brings it, and run this again")
	}
	began := time.Now()
	cmd := exec.CommandContext(ctx, npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	cmd.Dir = pwa
	if said, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("fetch the packages of the app (npm ci in pwa): %w\n%s", err, bytes.TrimSpace(said))
	}
	if err := os.WriteFile(stamp, want, 0o644); err != nil {
		return fmt.Errorf("note the lock file: %w", err)
	}
	say("packages", time.Since(began))
	return nil
}

// packageTool returns the path of a tool that npm ci brought.
func packageTool(root, name string) string {
	return filepath.Join(root, "pwa", "node_modules", ".bin", name)
}
