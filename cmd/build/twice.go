package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"

	"tubewright/cmd/build/bundle"
)

// builtAgain builds the program for p once more, app and all, from a copy of the
// sources in another folder with an empty build cache, and fails when its bytes are
// not those of the file first. Whoever has the sources can prove a release that way.
func builtAgain(ctx context.Context, root string, p platform, version, first string) (err error) {
	dir, err := os.MkdirTemp("", "tubewright-again-")
	if err != nil {
		return fmt.Errorf("make a folder to build again: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	sources, release := filepath.Join(dir, "sources"), filepath.Join(dir, "release")
	if err := copySources(root, sources); err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, "go", "run", "./cmd/build", "release", "-quick",
		"-toolchain", os.Getenv("GOTOOLCHAIN"), "-for", p.String(), "-version", version, "-to", release)
	cmd.Dir = sources
	cmd.Env = append(os.Environ(), append(hostEnv(), "GOCACHE="+filepath.Join(dir, "cache"))...)
	if said, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("build again from a copy: %w\n%s", err, said)
	}
	return sameBytes(first, filepath.Join(release, p.file()))
}

func sameBytes(a, b string) error {
	sumA, err := sumOf(a)
	if err != nil {
		return err
	}
	sumB, err := sumOf(b)
	if err != nil {
		return err
	}
	if sumA != sumB {
		return fmt.Errorf("%s differs when it is built again from the same sources: sums %s and %s", filepath.Base(a), sumA, sumB)
	}
	return nil
}

// copySources copies what a build reads: everything but what git, npm and builds
// made, and of npm's packages those that ship.
func copySources(root, to string) error {
	packages, err := bundle.Packages(root)
	if err != nil {
		return err
	}
	modules := filepath.Join("pwa", "node_modules")
	skip := []string{".git", "bin", filepath.Join("pwa", "dist"), modules, filepath.Join("testdata", "bench", "node_modules")}
	if err := copyFolder(root, to, skip); err != nil {
		return err
	}
	// Without the one file that is kept in pwa/dist nothing could be embedded there yet.
	for _, name := range []string{filepath.Join("pwa", "dist", ".gitkeep"), filepath.Join(modules, lockStamp)} {
		if err := copyFile(filepath.Join(root, name), filepath.Join(to, name)); err != nil {
			return err
		}
	}
	for _, name := range packages {
		inside := filepath.Join(modules, filepath.FromSlash(name))
		if err := copyFolder(filepath.Join(root, inside), filepath.Join(to, inside), nil); err != nil {
			return err
		}
	}
	return nil
}

// copyFolder copies files and folders below from, but for those named in skip; what
// is neither, such as a link, is left out.
func copyFolder(from, to string, skip []string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(from, path)
		switch {
		case err != nil:
			return err
		case slices.Contains(skip, rel):
			return fs.SkipDir
		case !d.Type().IsRegular():
			return nil
		}
		return copyFile(path, filepath.Join(to, rel))
	})
}

func copyFile(from, to string) error {
	b, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	return os.WriteFile(to, b, 0o644)
}
