package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"tubewright/cmd/build/bundle"
)

// node runs questions through the module in node, as the tablet's worker would.
const node = `
const fs = require("fs");
require(process.argv[2]);
const go = new Go();
WebAssembly.instantiate(fs.readFileSync(process.argv[3]), go.importObject).then(({ instance }) => {
	go.run(instance);
	const questions = JSON.parse(fs.readFileSync(process.argv[4], "utf8"));
	fs.writeFileSync(process.argv[5], JSON.stringify(questions.map((q) => globalThis.tubewrightCalc(q))));
	process.exit(0);
});`

// wasm answers questions with the module as it is built for tablets.
func wasm(t *testing.T, questions []string) []string {
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
	ask, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"run.js": []byte(node), "questions.json": ask} {
		if err := os.WriteFile(path(name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	size(t, path("calc.wasm"))
	root := run(exec.Command("go", "env", "GOROOT"))
	run(exec.Command("node", path("run.js"), filepath.Join(root, "lib", "wasm", "wasm_exec.js"), path("calc.wasm"), path("questions.json"), path("answers.json")))
	b, err := os.ReadFile(path("answers.json"))
	if err != nil {
		t.Fatal(err)
	}
	var answers []string
	if err := json.Unmarshal(b, &answers); err != nil {
		t.Fatal(err)
	}
	return answers
}

// size holds the module to what a tablet is asked to compile; what comes over the
// wire is held where it is packed.
func size(t *testing.T, file string) {
	t.Helper()
	info, err := os.Stat(file)
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() > 7_700_000 {
		t.Errorf("the module has %d bytes, want at most 7,700,000", info.Size())
	}
	t.Logf("%d bytes", info.Size())
}

// Tablet and shop machine come to the same plan after rounding to 0.001 mm and
// 0.01°: three jobs of four tubes, 310 others made from them by chance, and what 20 readings
// in dispute lead to. Sheets are the same to the letter.
func TestTabletAndShopAgree(t *testing.T) {
	const seed = 1
	file, around, flange := readJob(t, "four"), readJob(t, "around"), readJob(t, "flange")
	files := []string{string(file), string(around), string(flange), `{"tubewright":1,"engine":{"bore":"8 3/ in"}}`, "no job"}
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 200 {
		files = append(files, varied(t, rnd, file))
	}
	for range 50 {
		files = append(files, varied(t, rnd, around))
	}
	for range 60 {
		files = append(files, shaken(t, rnd, flange))
	}
	var questions []string
	for _, f := range files {
		q, err := json.Marshal(question{Op: "plan", File: f})
		if err != nil {
			t.Fatal(err)
		}
		questions = append(questions, string(q))
	}
	questions = append(questions, withQuestions(t, rnd, file, 20)...)
	questions = append(questions, pointsQuestions(t, rnd, 30)...)
	questions = append(questions, sheetQuestions(t)...)
	for i, got := range wasm(t, questions) {
		want := answer(questions[i])
		var a, b any
		if json.Unmarshal([]byte(want), &a) != nil || json.Unmarshal([]byte(got), &b) != nil {
			t.Fatalf("seed %d job %d: no JSON: %s, %s", seed, i, want, got)
		}
		if err := agree("", a, b); err != nil {
			t.Errorf("seed %d job %d: %v", seed, i, err)
		}
	}
}

func readJob(t *testing.T, name string) []byte {
	t.Helper()
	file, err := os.ReadFile("../../testdata/job/" + name + ".job.json")
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// varied changes angles and rotations of a job file by chance.
func varied(t *testing.T, rnd *rand.Rand, file []byte) string {
	t.Helper()
	var j map[string]any
	if err := json.Unmarshal(file, &j); err != nil {
		t.Fatal(err)
	}
	for _, tube := range j["tubes"].([]any) {
		for _, e := range tube.(map[string]any)["path"].([]any) {
			e := e.(map[string]any)
			if _, bend := e["bend"]; bend {
				e["bend"] = 1 + 179*rnd.Float64()
				e["rotation"] = 720*rnd.Float64() - 360
			} else {
				e["straight"] = 300 * rnd.Float64()
			}
		}
	}
	b, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// agree compares two JSON values. Figures may differ by less than half of the
// last digit that is shown, so that two machines show the same or say so.
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

func TestAnswerSaysWhatItCannotDo(t *testing.T) {
	for _, q := range []string{"", "{", `{"op":"weld"}`, `{"op":"view","job":"j","records":["no record"]}`, `{"op":"plan","file":"[]"}`} {
		var r refusal
		if err := json.Unmarshal([]byte(answer(q)), &r); err != nil || r.Error == "" {
			t.Errorf("%q: answered %s", q, answer(q))
		}
	}
	var r struct {
		Faults []struct{ Name, Where, Message string }
	}
	if err := json.Unmarshal([]byte(answer(`{"op":"plan","file":"{\"tubewright\":1,\"engine\":{\"bore\":-1}}"}`)), &r); err != nil || len(r.Faults) != 1 || r.Faults[0].Where != "engine.bore" {
		t.Errorf("faults %+v, %v", r.Faults, err)
	}
}
