package main

import (
	"bytes"
	"context"
	"debug/buildinfo"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"tubewright/cmd/build/bundle"
)

// papers lie in a release beside the programs; a folder goes in whole.
var papers = []string{"README.md", "CHANGES.md", "SECURITY.md", "LICENSE", "NOTICE", "docs"}

func releaseCommand(ctx context.Context, root string, args []string) error {
	flags := flag.NewFlagSet("release", flag.ContinueOnError)
	toolchain := flags.String("toolchain", releaseToolchain, "Go toolchain to build with; local is the Go at hand")
	stamp := flags.String("version", "", "version to stamp in, instead of what git says")
	only := flags.String("for", "", "build for one machine only, such as linux-amd64")
	to := flags.String("to", filepath.Join(root, "bin", "release"), "folder that becomes the release; what is in it goes")
	quick := flags.Bool("quick", false, "leave out the vulnerability check and the second build; not for giving away")
	if err := flags.Parse(args); err != nil {
		return exitOf(err)
	}
	if *stamp != "" && !stampable.MatchString(*stamp) {
		return fmt.Errorf("version %q: letters, digits, . _ + and - only", *stamp)
	}
	folder, err := filepath.Abs(*to)
	if err != nil {
		return fmt.Errorf("find the folder of the release: %w", err)
	}
	r := releaser{root: root, version: *stamp, to: folder, platforms: platforms, quick: *quick}
	if *only != "" {
		r.platforms = slices.DeleteFunc(slices.Clone(platforms), func(p platform) bool { return p.String() != *only })
		if len(r.platforms) == 0 {
			return fmt.Errorf("release for %q: there are %v", *only, platforms)
		}
	}
	there := os.Getenv("GOTOOLCHAIN") == *toolchain
	if err := useToolchain(*toolchain); err != nil {
		return err
	}
	if *toolchain != "local" && runtime.Version() != *toolchain {
		if there {
			return fmt.Errorf("GOTOOLCHAIN is %s, and yet the go command is %s", *toolchain, runtime.Version())
		}
		// This program packs the app, so it too has to come from that compiler.
		err := goCommand(ctx, root, hostEnv(), "run", "./cmd/build", "release", "-toolchain", *toolchain,
			"-version", *stamp, "-for", *only, "-to", folder, "-quick="+strconv.FormatBool(*quick))
		if err != nil {
			return fmt.Errorf("release with %s: %w", *toolchain, err)
		}
		return nil
	}
	return r.release(ctx)
}

// useToolchain chooses the compiler; every go command from here on obeys.
func useToolchain(name string) error {
	if err := os.Setenv("GOTOOLCHAIN", name); err != nil {
		return fmt.Errorf("set the toolchain: %w", err)
	}
	return nil
}

// releaser makes one release of the sources in root.
type releaser struct {
	root      string
	version   string    // "" asks git
	at        time.Time // of the commit; zero when there is none
	to        string
	platforms []platform
	quick     bool
}

// release makes the folder r.to, or leaves it as it was when something is wrong.
// It builds from a copy of the sources, so that nothing changes under it and what
// other builds left is not taken in.
func (r releaser) release(ctx context.Context) (err error) {
	if r.version == "" {
		r.version = describe(ctx, r.root)
	}
	r.at = committed(ctx, r.root)
	if err := replaceable(r.to); err != nil {
		return err
	}
	if err := fetchPackages(ctx, r.root); err != nil {
		return err
	}
	if r.quick {
		fmt.Println("SKIPPED: known vulnerabilities and the second build, because of -quick; not for giving away")
	} else if err := checkVulnerabilities(ctx, r.root); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "tubewright-release-")
	if err != nil {
		return fmt.Errorf("make a folder to build in: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	sources := filepath.Join(dir, "sources")
	if err := copySources(r.root, sources); err != nil {
		return fmt.Errorf("copy the sources: %w", err)
	}
	part := filepath.Join(filepath.Dir(r.to), filepath.Base(r.to)+".part")
	if err := os.RemoveAll(part); err != nil {
		return fmt.Errorf("clear an unfinished release: %w", err)
	}
	if err := r.fill(ctx, sources, part); err != nil {
		return err
	}
	if !r.quick {
		began := time.Now()
		first := r.platforms[0]
		if err := builtAgain(ctx, sources, first, r.version, filepath.Join(part, first.file())); err != nil {
			return err
		}
		say("the same again", time.Since(began))
	}
	if err := os.RemoveAll(r.to); err != nil {
		return fmt.Errorf("clear the release before: %w", err)
	}
	if err := os.Rename(part, r.to); err != nil {
		return fmt.Errorf("finish the release: %w", err)
	}
	fmt.Printf("Release %s in %s\n", r.version, r.to)
	return nil
}

// replaceable refuses a folder that holds anything but an older release: it is going
// to be deleted.
func replaceable(dir string) error {
	there, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(there) == 0 {
		return nil
	}
	if err != nil {
		return fmt.Errorf("look into the folder of the release: %w", err)
	}
	if _, err := os.Stat(filepath.Join(dir, sumsFile)); err != nil {
		return fmt.Errorf("%s holds something that is no release; name an empty or a new folder", dir)
	}
	return nil
}

// fill builds everything from sources into the folder part.
func (r releaser) fill(ctx context.Context, sources, part string) error {
	parts, err := shipped(ctx, sources)
	if err != nil {
		return err
	}
	noted, err := os.ReadFile(filepath.Join(sources, "NOTICE"))
	if err != nil {
		return fmt.Errorf("read NOTICE: %w", err)
	}
	if !bytes.Equal(noted, noticeOf(parts)) {
		return errors.New("NOTICE is not what ships now; run: go run ./cmd/build notice, and read the change")
	}
	app, err := bundle.Build(ctx, sources, filepath.Join(sources, "pwa", "dist"), say)
	if err != nil {
		return err
	}
	var programs []program
	for _, p := range r.platforms {
		began := time.Now()
		path := filepath.Join(part, p.file())
		if err := goCommand(ctx, sources, p.env(), "build", "-trimpath", "-buildvcs=false",
			"-ldflags", "-s -w -X main.version="+r.version, "-o", path, "./cmd/tubewright"); err != nil {
			return fmt.Errorf("build for %s: %w", p, err)
		}
		if err := asMeant(path, p, parts); err != nil {
			return err
		}
		if p == (platform{runtime.GOOS, runtime.GOARCH}) {
			if err := saysItself(ctx, path, r.version, app.Build); err != nil {
				return err
			}
		}
		sum, err := sumOf(path)
		if err != nil {
			return err
		}
		programs = append(programs, program{p.file(), sum})
		say(p.file(), time.Since(began))
	}
	for _, name := range papers {
		if err := copyFolder(filepath.Join(sources, name), filepath.Join(part, name), nil); err != nil {
			return fmt.Errorf("lay %s beside the programs: %w", name, err)
		}
	}
	b, err := sbom(r.version, r.at, parts, programs)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(part, sbomFile), b, 0o644); err != nil {
		return fmt.Errorf("write the bill of materials: %w", err)
	}
	list, err := sums(part)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(part, sumsFile), list, 0o644); err != nil {
		return fmt.Errorf("write the sums: %w", err)
	}
	return nil
}

// asMeant reads what a built program says of itself: that it is static and for the
// machine it is meant for, and that every module linked into it is one of parts,
// whose licences ship.
func asMeant(path string, p platform, parts []part) error {
	info, err := buildinfo.ReadFile(path)
	if err != nil {
		return fmt.Errorf("read back %s: %w", filepath.Base(path), err)
	}
	wanted := map[string]string{"GOOS": p.goos, "GOARCH": p.goarch, "CGO_ENABLED": "0", "-trimpath": "true"}
	for _, s := range info.Settings {
		if s.Value == wanted[s.Key] {
			delete(wanted, s.Key)
		}
	}
	if len(wanted) > 0 {
		return fmt.Errorf("%s was not built with %v", filepath.Base(path), wanted)
	}
	listed := map[string]bool{}
	for _, part := range parts {
		listed[part.name+" "+part.version] = true
	}
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		if !listed[m.Path+" "+m.Version] {
			return fmt.Errorf("%s holds %s %s, whose licence is not listed", filepath.Base(path), m.Path, m.Version)
		}
	}
	if !listed["std "+strings.TrimPrefix(info.GoVersion, "go")] {
		return fmt.Errorf("%s was built with %s, which is not the compiler that is listed", filepath.Base(path), info.GoVersion)
	}
	return nil
}

// saysItself runs a program that was built for this machine: it has to know its
// version and hold the app.
func saysItself(ctx context.Context, path, version, build string) error {
	said, err := exec.CommandContext(ctx, path, "version").Output()
	if err != nil {
		return fmt.Errorf("ask %s for its version: %w", filepath.Base(path), err)
	}
	words := strings.Fields(string(said))
	for _, want := range []string{version, build} {
		if !slices.Contains(words, want) {
			return fmt.Errorf("%s does not say that it is version %s with app %s:\n%s", filepath.Base(path), version, build, said)
		}
	}
	return nil
}
