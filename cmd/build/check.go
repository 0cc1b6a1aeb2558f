package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

const staticcheck = "honnef.co/go/tools/cmd/staticcheck@v0.8.2"

// checker is the whole check of the project in root.
type checker struct {
	root     string
	fuzztime time.Duration
	short    bool
}

func checkCommand(ctx context.Context, root string, args []string) error {
	flags := flag.NewFlagSet("test", flag.ContinueOnError)
	c := checker{root: root}
	flags.BoolVar(&c.short, "short", false, "leave fuzzing out")
	flags.DurationVar(&c.fuzztime, "fuzztime", 3*time.Second, "time for each fuzz target")
	if err := flags.Parse(args); err != nil {
		return exitOf(err)
	}
	return c.check(ctx, os.Stdout)
}

// check runs everything and prints a section a step; it fails at the end with a list.
// Fetching and reading go side by side on two lanes, since one waits for the network
// and the other for the compiler.
func (c checker) check(ctx context.Context, out io.Writer) error {
	began := time.Now()
	o := &outcome{out: out}
	o.together(ctx,
		[]step{
			{"what the machine has", c.machine},
			{"packages", func(ctx context.Context, _ io.Writer) (tally, error) { return tally{}, fetchPackages(ctx, c.root) }},
			{"types of the app (tsc)", c.tool("tsc", "-p", ".")},
			{"lint of the app (biome)", c.tool("biome", "check", ".")},
		},
		[]step{
			{"gofmt", c.gofmt},
			{"go vet", c.command(nil, "go", "vet", "./...")},
			{"go vet of the wasm", c.command(wasmEnv, "go", "vet", "./cmd/calcwasm", "./cmd/longwasm", "./calc/...")},
			{"staticcheck", c.command(nil, "go", "run", staticcheck, "./...")},
		},
	)
	steps := []step{
		{"build", func(ctx context.Context, _ io.Writer) (tally, error) {
			_, err := buildAll(ctx, c.root)
			return tally{}, err
		}},
		{"calculation as wasm", c.wasmTests},
	}
	if c.short {
		fmt.Fprintln(out, "SKIPPED: fuzzing, because of -short")
	} else {
		steps = append(steps, step{"fuzz", c.fuzz})
	}
	// The tests come last, so that their lines stand at the end of a log.
	o.lane(ctx, append(steps, step{"go test of app and tools", c.toolTests}, step{"go test", c.productTests}))

	if err := ctx.Err(); err != nil {
		o.failed = append(o.failed, "stopped before the end")
	}
	fmt.Fprintf(out, "\nall in %s\n", time.Since(began).Round(time.Second))
	for _, f := range o.failed {
		first, _, _ := strings.Cut(f, "\n")
		fmt.Fprintln(out, "FAILED:", first)
	}
	fmt.Fprintln(out, o.sum)
	if len(o.failed) > 0 {
		return exitCode(1)
	}
	return nil
}

var wasmEnv = []string{"GOOS=js", "GOARCH=wasm"}

// command makes a step of one command run in the root.
func (c checker) command(env []string, name string, args ...string) func(context.Context, io.Writer) (tally, error) {
	return func(ctx context.Context, w io.Writer) (tally, error) {
		cmd := exec.CommandContext(ctx, name, args...)
		cmd.Dir = c.root
		cmd.Env = append(os.Environ(), env...)
		cmd.Stdout, cmd.Stderr = w, w
		return tally{}, cmd.Run()
	}
}

// tool makes a step of a tool that npm ci brought.
func (c checker) tool(name string, args ...string) func(context.Context, io.Writer) (tally, error) {
	return func(ctx context.Context, w io.Writer) (tally, error) {
		path, err := exec.LookPath(packageTool(c.root, name))
		if err != nil {
			return tally{}, fmt.Errorf("%s is missing: npm ci did not bring it", name)
		}
		cmd := exec.CommandContext(ctx, path, args...)
		cmd.Dir = filepath.Join(c.root, "pwa")
		cmd.Stdout, cmd.Stderr = w, w
		return tally{}, cmd.Run()
	}
}

// gofmt fails on files that it would change; packages of others are not ours to format.
func (c checker) gofmt(ctx context.Context, w io.Writer) (tally, error) {
	cmd := exec.CommandContext(ctx, "gofmt", "-l", "calc", "cmd", "pwa/drive", "pwa/embed.go", "server", "store")
	cmd.Dir = c.root
	cmd.Stderr = w
	out, err := cmd.Output()
	if err != nil {
		return tally{}, err
	}
	if len(out) > 0 {
		fmt.Fprintf(w, "%s", out)
		return tally{}, errors.New("these files are not as gofmt writes them")
	}
	return tally{}, nil
}
