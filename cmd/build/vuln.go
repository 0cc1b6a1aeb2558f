package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"time"
)

// The vulnerabilities known on the day of vulnDataVersion, and what looks for them.
// Newer data is taken by writing its version here.
const (
	vulnData        = "golang.org/x/vulndb"
	vulnDataVersion = "v0.0.0-20261105234957-e22db6528018"
	govulncheck     = "golang.org/x/vuln/cmd/govulncheck@v1.9.0"
)

func vulnCommand(ctx context.Context, root string, args []string) error {
	flags := flag.NewFlagSet("vuln", flag.ContinueOnError)
	toolchain := flags.String("toolchain", releaseToolchain, "Go toolchain to ask about; local is the Go at hand")
	if err := flags.Parse(args); err != nil {
		return exitOf(err)
	}
	if err := useToolchain(*toolchain); err != nil {
		return err
	}
	return checkVulnerabilities(ctx, root)
}

// vulnRun is one question: which known vulnerabilities does the code reach there.
type vulnRun struct {
	platform
	packages string
}

// vulnRuns are what ships, on each system once, and with the first all that builds
// and tests it too.
func vulnRuns() []vulnRun {
	runs := []vulnRun{{platform{"js", "wasm"}, "./cmd/calcwasm"}, {platform{"js", "wasm"}, "./cmd/longwasm"}}
	seen := map[string]bool{}
	for i, p := range platforms {
		packages := "./cmd/tubewright"
		if i == 0 {
			packages = "./..."
		}
		if !seen[p.goos] {
			runs = append(runs, vulnRun{p, packages})
		}
		seen[p.goos] = true
	}
	return runs
}

// checkVulnerabilities fails when code of ours reaches a vulnerability that the data
// knows, and prints which and how. It asks nobody: the data is a Go module, indexed
// here once, below bin.
func checkVulnerabilities(ctx context.Context, root string) error {
	began := time.Now()
	db, err := vulnIndex(ctx, root)
	if err != nil {
		return err
	}
	say("vulnerabilities, index", time.Since(began))
	tool, remove, err := buildGovulncheck(ctx, root)
	if err != nil {
		return err
	}
	defer remove()
	for _, r := range vulnRuns() {
		began := time.Now()
		cmd := exec.CommandContext(ctx, tool, "-db", fileURL(db), r.packages)
		cmd.Dir = root
		cmd.Env = append(os.Environ(), r.env()...)
		said, err := cmd.CombinedOutput()
		if err != nil {
			return fmt.Errorf("vulnerabilities of %s on %s: %w\n%s", r.packages, r.platform, err, firstTraces(string(said)))
		}
		say("vulnerabilities, "+r.String(), time.Since(began))
	}
	fmt.Println("No known vulnerability is reached.")
	return nil
}

// furtherTrace is a line of govulncheck's that shows one more way to the same fault;
// a fault of the standard library has hundreds.
var furtherTrace = regexp.MustCompile(`^ +#([2-9]|\d\d+): `)

// firstTraces returns what govulncheck said with one way to each fault.
func firstTraces(said string) string {
	var short strings.Builder
	for line := range strings.Lines(strings.TrimSpace(said)) {
		if !furtherTrace.MatchString(line) {
			short.WriteString(line)
		}
	}
	return short.String()
}

// vulnIndex returns the folder of the indexed data, making it when it is not there.
func vulnIndex(ctx context.Context, root string) (string, error) {
	dir := filepath.Join(root, "bin", "vulndb-"+vulnDataVersion)
	if _, err := os.Stat(dir); err == nil {
		return dir, nil
	}
	module := vulnData + "@" + vulnDataVersion
	cmd := exec.CommandContext(ctx, "go", "mod", "download", "-json", module)
	cmd.Dir = root
	said, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("fetch the known vulnerabilities (%s): %w\n%s", module, err, bytes.TrimSpace(said))
	}
	var got struct{ Dir string }
	if err := json.Unmarshal(said, &got); err != nil || got.Dir == "" {
		return "", fmt.Errorf("fetch the known vulnerabilities (%s): the go command names no folder", module)
	}
	part := dir + ".part"
	if err := os.RemoveAll(part); err != nil {
		return "", fmt.Errorf("clear an unfinished index: %w", err)
	}
	if err := os.MkdirAll(part, 0o755); err != nil {
		return "", fmt.Errorf("make the folder of the index: %w", err)
	}
	if err := goCommand(ctx, root, hostEnv(), "run", vulnData+"/cmd/indexdb@"+vulnDataVersion,
		"-vulns", filepath.Join(got.Dir, "data", "osv"), "-out", part); err != nil {
		return "", fmt.Errorf("index the known vulnerabilities: %w", err)
	}
	if err := os.Rename(part, dir); err != nil {
		return "", fmt.Errorf("finish the index: %w", err)
	}
	return dir, nil
}

// buildGovulncheck builds the checker for this machine with the compiler in use, since
// it has to read that compiler's library, and returns its path and what removes it.
func buildGovulncheck(ctx context.Context, root string) (path string, remove func(), err error) {
	dir, err := os.MkdirTemp("", "tubewright-vuln-")
	if err != nil {
		return "", nil, fmt.Errorf("make a folder for govulncheck: %w", err)
	}
	remove = func() { os.RemoveAll(dir) }
	if err := goCommand(ctx, root, append(hostEnv(), "GOBIN="+dir), "install", govulncheck); err != nil {
		remove()
		return "", nil, fmt.Errorf("build govulncheck: %w", err)
	}
	path = filepath.Join(dir, "govulncheck")
	if runtime.GOOS == "windows" {
		path += ".exe"
	}
	return path, remove, nil
}

// hostEnv makes the go command build for this machine, whatever is being released.
func hostEnv() []string { return []string{"GOOS=" + runtime.GOOS, "GOARCH=" + runtime.GOARCH} }

// fileURL returns the URL of a folder; on Windows its path begins with a drive.
func fileURL(path string) string {
	path = filepath.ToSlash(path)
	if path[0] != '/' {
		path = "/" + path
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}
