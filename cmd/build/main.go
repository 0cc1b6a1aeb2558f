// Build is the one program for people: it builds the app and the program, opens the
// demo, runs the whole check and makes the release. It needs Go, git and Node with
// npm; what it makes needs none of them.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"
)

const usage = `go run ./cmd/build [COMMAND]

  (none)   build the app into pwa/dist and the program into bin
  demo     build, then open an invented job; more flags go to "tubewright demo"
  serve    build, then run the server; more flags go to "tubewright serve"
  test     run the whole check; -short leaves fuzzing out, -fuzztime 10s sets its time
  app      build the app alone into a folder, for tests: app DIR; -quick packs it quickly
  release  make bin/release: the program for every machine, papers, sums; -h lists its flags
  vuln     look for known vulnerabilities in what ships, offline; -toolchain sets the compiler
  notice   write NOTICE: what ships, its versions and licences
  help     this text
`

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx, os.Args[1:])
	stop()
	var exit exitCode
	switch {
	case err == nil:
	case errors.As(err, &exit):
		os.Exit(int(exit))
	default:
		fmt.Fprintln(os.Stderr, "build:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string) error {
	root, err := findRoot()
	if err != nil {
		return err
	}
	command := ""
	if len(args) > 0 {
		command, args = args[0], args[1:]
	}
	switch command {
	case "":
		_, err := buildAll(ctx, root)
		return err
	case "demo", "serve":
		program, err := buildAll(ctx, root)
		if err != nil {
			return err
		}
		return start(root, program, append([]string{command}, args...))
	case "test":
		return checkCommand(ctx, root, args)
	case "app":
		return appCommand(ctx, root, args)
	case "release":
		return releaseCommand(ctx, root, args)
	case "vuln":
		return vulnCommand(ctx, root, args)
	case "notice":
		return writeNotice(ctx, root)
	case "help", "-h", "-help", "--help":
		fmt.Print(usage)
		return nil
	}
	fmt.Fprint(os.Stderr, usage)
	return fmt.Errorf("no command %q", command)
}

// findRoot returns the folder of our go.mod, upward from the working directory.
func findRoot() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", fmt.Errorf("find the project: %w", err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "cmd", "build", "bundle")); err == nil {
			return dir, nil
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", errors.New("run this inside the project's folder")
		}
		dir = up
	}
}

// say prints one line for a step that is done.
func say(step string, took time.Duration) {
	fmt.Printf("%-28s %6.1f s\n", step, took.Seconds())
}
