package bundle

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// Programs are the programs of cmd that tablets run, by the names of their modules:
// calc answers at once and every tablet starts with it; what takes long is in long,
// which comes later and runs beside it.
var Programs = map[string]string{"calc": "calcwasm", "long": "longwasm"}

// modules are the programs as wasm, by name, and the loader that belongs to their compiler.
type modules struct {
	wasm   map[string][]byte
	loader []byte
}

// inLine are the packages in which the time of a plan goes, and so calls are put in line.
var inLine = []string{"cmp", "math", "math/bits", "slices", "sort", "runtime", "runtime/...", "internal/runtime/...",
	"tubewright/calc/clear", "tubewright/calc/geom", "tubewright/calc/num", "tubewright/calc/tube"}

// Small returns the flags by which the compiler puts no calls in line but in those
// packages. The calculation is 8 % less on the wire for it, and plans take as long
// (three jobs, measured by turns).
func Small() (flags []string) {
	for _, p := range []string{"std", "tubewright/calc/...", "tubewright/cmd/..."} {
		flags = append(flags, "-gcflags="+p+"=-l")
	}
	for _, p := range inLine {
		flags = append(flags, "-gcflags="+p+"=") // the last that fits a package counts
	}
	return flags
}

// compileAll builds the programs for tablets.
func compileAll(ctx context.Context, root string) (modules, error) {
	loader, err := loader(ctx, root)
	if err != nil {
		return modules{}, err
	}
	made := modules{map[string][]byte{}, loader}
	for name, program := range Programs {
		if made.wasm[name], err = compile(ctx, root, program, loader); err != nil {
			return modules{}, err
		}
	}
	return made, nil
}

// compile builds one program. The same sources and compiler give the same bytes on
// every machine: paths are trimmed and no commit is stamped in.
func compile(ctx context.Context, root, program string, loader []byte) ([]byte, error) {
	build, err := sourceHash(root, program, loader)
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("", "tubewright-wasm-")
	if err != nil {
		return nil, fmt.Errorf("make a folder for the wasm: %w", err)
	}
	defer os.RemoveAll(dir)
	to := filepath.Join(dir, program)
	args := append([]string{"build", "-trimpath", "-buildvcs=false",
		"-ldflags", "-s -w -X main.build=" + build, "-o", to}, Small()...)
	cmd := exec.CommandContext(ctx, "go", append(args, "./cmd/"+program)...)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if said, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("compile cmd/%s: %w\n%s", program, err, bytes.TrimSpace(said))
	}
	wasm, err := os.ReadFile(to)
	if err != nil {
		return nil, fmt.Errorf("read the compiled wasm: %w", err)
	}
	return JoinSegments(wasm)
}

// loader returns wasm_exec.js of the compiler that the go command uses in root.
func loader(ctx context.Context, root string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, "go", "env", "GOROOT")
	cmd.Dir = root
	goroot, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("ask the go command for GOROOT: %w", err)
	}
	b, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, fmt.Errorf("read the loader of the compiler: %w", err)
	}
	return b, nil
}

// sourceHash names a build of a program before it is compiled, so that it can be put
// into it: twelve hex digits over its sources and its loader.
func sourceHash(root, program string, loader []byte) (string, error) {
	sum := sha256.New()
	sum.Write(loader)
	for _, dir := range []string{"calc", filepath.Join("cmd", program)} {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return nil
			}
			b, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			rel, err := filepath.Rel(root, path)
			if err != nil {
				return err
			}
			fmt.Fprintf(sum, "%s %d\n", filepath.ToSlash(rel), len(b))
			sum.Write(b)
			return nil
		})
		if err != nil {
			return "", fmt.Errorf("read the sources of the calculation: %w", err)
		}
	}
	return hex.EncodeToString(sum.Sum(nil))[:12], nil
}
