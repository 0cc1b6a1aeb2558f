package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"syscall"
	"time"

	"tubewright/cmd/build/bundle"
)

// exitCode ends the program with the code of what it ran, which has said why.
type exitCode int

func (e exitCode) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

// exitOf is for flags that were not taken: to ask for help is no mistake.
func exitOf(err error) error {
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	return exitCode(2)
}

// buildAll fetches packages when the lock file changed, builds the app and the
// program, and returns the program's path.
func buildAll(ctx context.Context, root string) (string, error) {
	start := time.Now()
	if err := fetchPackages(ctx, root); err != nil {
		return "", err
	}
	if _, err := bundle.Build(ctx, root, filepath.Join(root, "pwa", "dist"), say); err != nil {
		return "", err
	}
	program := filepath.Join(root, "bin", "tubewright")
	if runtime.GOOS == "windows" {
		program += ".exe"
	}
	began := time.Now()
	// No commit is stamped in: a build after a commit that changed nothing links nothing.
	if err := goCommand(ctx, root, nil, "build", "-buildvcs=false", "-o", program, "./cmd/tubewright"); err != nil {
		return "", fmt.Errorf("build the program: %w", err)
	}
	say("program", time.Since(began))
	say("all", time.Since(start))
	return program, nil
}

// appCommand builds the app alone. Tests run it in a process of its own: under the race
// detector bundling takes ten times as long, and packing minutes.
func appCommand(ctx context.Context, root string, args []string) error {
	flags := flag.NewFlagSet("app", flag.ContinueOnError)
	quick := flags.Bool("quick", false, "pack quickly what is not there already")
	if err := flags.Parse(args); err != nil {
		return exitOf(err)
	}
	if flags.NArg() != 1 {
		return fmt.Errorf("app takes one folder, not %q", flags.Args())
	}
	build := bundle.Build
	if *quick {
		build = bundle.BuildQuickly
	}
	_, err := build(ctx, root, flags.Arg(0), say)
	return err
}

// goCommand runs the go command in root with what it says shown.
func goCommand(ctx context.Context, root string, env []string, args ...string) error {
	cmd := exec.CommandContext(ctx, "go", args...)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), env...)
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	return cmd.Run()
}

// start runs the program until it ends. A terminal sends its interrupt to the program
// too, so here it is only kept from ending us first; a request to end is passed on.
func start(root, program string, args []string) error {
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	defer signal.Stop(signals)
	cmd := exec.Command(program, args...)
	cmd.Dir = root
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("start the program: %w", err)
	}
	go func() {
		for s := range signals {
			if s == syscall.SIGTERM {
				_ = cmd.Process.Signal(s) // where it is gone already, Wait says so
			}
		}
	}()
	err := cmd.Wait()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return exitCode(max(1, exit.ExitCode()))
	}
	return err
}
