// Package wasmtest runs the programs for tablets as a tablet does, to compare them with
// the same code on this machine. It is for tests only.
package wasmtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"tubewright/cmd/build/bundle"
)

// node runs questions through the module in node, as the tablet's worker would, and
// counts what it is told on the way.
const node = `
const fs = require("fs");
require(process.argv[2]);
const go = new Go();
WebAssembly.instantiate(fs.readFileSync(process.argv[3]), go.importObject).then(({ instance }) => {
	go.run(instance);
	const answers = JSON.parse(fs.readFileSync(process.argv[4], "utf8")).map((q) => {
		const done = [];
		const start = performance.now();
		const text = globalThis.tubewrightCalc(q, (d) => done.push(d));
		return { text, done, ms: performance.now() - start };
	});
	fs.writeFileSync(process.argv[5], JSON.stringify(answers));
	process.exit(0);
});`

// Answer is what the module said to one question.
type Answer struct {
	Text string
	Done []float64 // the shares done that it told on the way
	MS   float64   // it took
}

// Limits are what a program for tablets is held to.
type Limits struct {
	Size    int      // bytes that the linker makes: what a tablet is asked to compile, and data without long zeros; what comes over the wire is held where it is packed
	Without []string // functions of ours that it has no use for, "calc/stock.Pack"
}

// Answers builds the program in the test's folder as it is built for tablets, holds it
// to its limits, and asks it.
func Answers(t *testing.T, limits Limits, questions []string) []Answer {
	t.Helper()
	if testing.Short() {
		t.Skip("SKIPPED: builds the module, not in -short")
	}
	if _, err := exec.LookPath("node"); err != nil {
		t.Skip("SKIPPED: node is not installed, so native and wasm figures were not compared")
	}
	dir := t.TempDir()
	path := func(name string) string { return filepath.Join(dir, name) }
	run := func(cmd *exec.Cmd) string {
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %v: %s", cmd.Args, err, out)
		}
		return strings.TrimSpace(string(out))
	}
	build := exec.Command("go", append(append([]string{"build", "-trimpath", "-ldflags", "-s -w", "-o", path("calc.wasm")}, bundle.Small()...), ".")...)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	run(build)
	module, err := os.ReadFile(path("calc.wasm"))
	if err != nil {
		t.Fatal(err)
	}
	if len(module) > limits.Size {
		t.Errorf("the module has %d bytes, want at most %d", len(module), limits.Size)
	}
	t.Logf("%d bytes", len(module))
	for _, f := range limits.Without {
		if bytes.Contains(module, []byte("\x00tubewright/"+f+"\x00")) { // names of functions are kept for panics
			t.Errorf("the module has %s in it", f)
		}
	}
	if module, err = bundle.JoinSegments(module); err != nil {
		t.Fatal(err)
	}
	ask, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"run.js": []byte(node), "questions.json": ask, "calc.wasm": module} {
		if err := os.WriteFile(path(name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	root := run(exec.Command("go", "env", "GOROOT"))
	run(exec.Command("node", path("run.js"), filepath.Join(root, "lib", "wasm", "wasm_exec.js"), path("calc.wasm"), path("questions.json"), path("answers.json")))
	b, err := os.ReadFile(path("answers.json"))
	if err != nil {
		t.Fatal(err)
	}
	var answers []Answer
	if err := json.Unmarshal(b, &answers); err != nil {
		t.Fatal(err)
	}
	return answers
}

// Agree compares two answers, JSON values. Figures may differ by less than half of the
// last digit that is shown, so that two machines show the same or say so.
func Agree(native, wasm string) error {
	var a, b any
	if json.Unmarshal([]byte(native), &a) != nil || json.Unmarshal([]byte(wasm), &b) != nil {
		return fmt.Errorf("no JSON: %s, %s", native, wasm)
	}
	return agree("", a, b)
}

func agree(path string, a, b any) error {
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok || len(a) != len(b) {
			return fmt.Errorf("%s: %v and %v", path, a, b)
		}
		for k, v := range a {
			if err := agree(path+"."+k, v, b[k]); err != nil {
				return err
			}
		}
		return nil
	case []any:
		b, ok := b.([]any)
		if !ok || len(a) != len(b) {
			return fmt.Errorf("%s: %v and %v", path, a, b)
		}
		for i := range a {
			if err := agree(fmt.Sprintf("%s[%d]", path, i), a[i], b[i]); err != nil {
				return err
			}
		}
		return nil
	case float64:
		b, ok := b.(float64)
		if !ok || !(math.Abs(a-b) <= 0.0005) {
			return fmt.Errorf("%s: native %v, wasm %v", path, a, b)
		}
		return nil
	}
	if a != b {
		return fmt.Errorf("%s: %v and %v", path, a, b)
	}
	return nil
}
