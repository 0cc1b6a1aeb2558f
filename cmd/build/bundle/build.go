package bundle

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// Report is told of each step that is done: its name and how long it took.
type Report func(step string, took time.Duration)

// Build builds the app of the project in root into the folder out, which may be
// missing, and returns the set of files. What is there and not of the set is
// deleted, except .gitkeep. It needs pwa/node_modules (npm ci) and the go command.
func Build(ctx context.Context, root, out string, report Report) (Set, error) {
	return buildPacked(ctx, root, out, best, report)
}

// BuildQuickly does the same for tests: what it has to pack is a fifth larger on the wire.
func BuildQuickly(ctx context.Context, root, out string, report Report) (Set, error) {
	return buildPacked(ctx, root, out, quick, report)
}

func buildPacked(ctx context.Context, root, out string, quality int, report Report) (Set, error) {
	start := time.Now()
	step := func(name string) {
		report(name, time.Since(start))
		start = time.Now()
	}
	programs, err := compileAll(ctx, root)
	if err != nil {
		return Set{}, err
	}
	step("wasm")
	files, later, err := pages(root, programs)
	if err != nil {
		return Set{}, err
	}
	if err := addIcons(files); err != nil {
		return Set{}, err
	}
	manifest, err := os.ReadFile(filepath.Join(root, "pwa", "manifest.webmanifest"))
	if err != nil {
		return Set{}, fmt.Errorf("read the manifest: %w", err)
	}
	files["manifest.webmanifest"] = manifest
	set, err := seal(root, files, later)
	if err != nil {
		return Set{}, err
	}
	step("bundles and icons")
	if err := write(out, files, quality); err != nil {
		return Set{}, err
	}
	step("packed files")
	return set, nil
}
