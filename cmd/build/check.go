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
	"sync"
	"time"
)

const staticcheck = "honnef.co/go/tools/cmd/staticcheck@v0.8.2"

// checker is the whole check of the project in root.
type checker struct {
	root     string
	fuzztime time.Duration
	short    bool
	behind   bool          // what it starts leaves the processors to others
	others   *sync.RWMutex // held for reading by what may run beside others, for writing by what must be alone
}

func checkCommand(ctx context.Context, root string, args []string) error {
	flags := flag.NewFlagSet("test", flag.ContinueOnError)
	c := checker{root: root, others: new(sync.RWMutex)}
	flags.BoolVar(&c.short, "short", false, "leave fuzzing out")
	flags.DurationVar(&c.fuzztime, "fuzztime", 3*time.Second, "time for each fuzz target")
	if err := flags.Parse(args); err != nil {
		return exitOf(err)
	}
	return c.check(ctx, os.Stdout)
}

// check runs everything and prints a section a step; it fails at the end with a list.
// Two lanes keep two processors at work: fetching waits for the network while the compiler
// reads, the best packing is one long thread, and the browser tests of the program, of
// which there is one at a time, wait for pages.
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
	behind := c
	behind.behind = true
	o.together(ctx,
		[]step{{"build", func(ctx context.Context, _ io.Writer) (tally, error) {
			_, err := buildAll(ctx, c.root)
			return tally{}, err
		}}},
		[]step{{"calculation as wasm", behind.wasmTests}},
	)
	lane := []step{{"go test of app and tools", c.toolTests}}
	if c.short {
		fmt.Fprintln(out, "SKIPPED: fuzzing, because of -short")
	} else {
		lane = append(lane, step{"fuzz", c.beside(c.fuzz)})
	}
	// The tests come last, so that their lines stand at the end of a log.
	o.together(ctx,
		[]step{{"go test of the program", c.programTests}},
		append(lane, step{"go test", behind.productTests}),
	)

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

// start makes a command of the check that is run in the root.
func (c checker) start(ctx context.Context, name string, args ...string) *exec.Cmd {
	if _, err := exec.LookPath("nice"); err == nil && c.behind {
		name, args = "nice", append([]string{name}, args...)
	}
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = c.root
	return cmd
}

// beside makes a step wait while something has to be alone.
func (c checker) beside(run func(context.Context, io.Writer) (tally, error)) func(context.Context, io.Writer) (tally, error) {
	return func(ctx context.Context, w io.Writer) (tally, error) {
		c.others.RLock()
		defer c.others.RUnlock()
		return run(ctx, w)
	}
}

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
