package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/calc/job"
	"tubewright/store"
)

// command runs the program in this process.
func command(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	code = run(t.Context(), args, &out, &err)
	return code, out.String(), err.String()
}

func TestPlanPrintsThePlan(t *testing.T) {
	code, out, errs := command(t, "plan", "../../testdata/job/four.job.json")
	if code != exitDone || errs != "" {
		t.Fatalf("exit %d, %s", code, errs)
	}
	want, err := os.ReadFile("../../testdata/golden/four.plan.json")
	if err != nil {
		t.Fatal(err)
	}
	if out != string(want) {
		t.Error("what is printed is not testdata/golden/four.plan.json")
	}
}

func TestPlanNamesEveryFaultInALine(t *testing.T) {
	file := filepath.Join(t.TempDir(), "bad.job.json")
	if err := os.WriteFile(file, []byte(`{"tubewright":1,"engine":{"bore":"8 3/ in","stroke":-4}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, errs := command(t, "plan", file)
	if code != exitUnusable || out != "" {
		t.Errorf("exit %d, printed %q", code, out)
	}
	lines := strings.Split(strings.TrimSpace(errs), "\n")
	if len(lines) != 2 || !strings.Contains(lines[0], "engine.bore") || !strings.Contains(lines[1], "engine.stroke") || !strings.Contains(lines[1], "20 to 250 mm") {
		t.Errorf("want one line for bore and one for stroke with its range, got %q", errs)
	}
}

func TestFillingPrintsWhatFills(t *testing.T) {
	const file = "../../testdata/job/bench.job.json"
	for _, joints := range [][]string{nil, {"2", "7"}} {
		code, out, errs := command(t, append([]string{"filling", file, "t4"}, joints...)...)
		var p struct {
			To    int
			Plans []struct{ Miss, Aim float64 }
		}
		if err := json.Unmarshal([]byte(out), &p); err != nil || code != exitDone || errs != "" || p.To != 7 {
			t.Errorf("%v: exit %d, %s, %v, to joint %d", joints, code, errs, err, p.To)
		}
		for _, plan := range p.Plans {
			if plan.Miss > 1.5 || plan.Aim > 0.5 {
				t.Errorf("%v: ends %v mm and %v° off", joints, plan.Miss, plan.Aim)
			}
		}
	}
	for _, bad := range [][]string{{file}, {file, "t9"}, {file, "t4", "2"}, {file, "t4", "x", "3"}, {file, "t4", "3", "2"}, {file, "t4", "3", "-1"}, {"no-such-file", "t4"}} {
		if code, _, errs := command(t, append([]string{"filling"}, bad...)...); code != exitUnusable || errs == "" {
			t.Errorf("%v: exit %d, said %q", bad, code, errs)
		}
	}
}

func TestCommandLineThatCannotBeUsed(t *testing.T) {
	for _, args := range [][]string{{}, {"weld"}, {"plan"}, {"plan", "a", "b"}, {"plan", "no-such-file"}, {"serve", "-port", "1"}, {"serve", "x"}} {
		if code, _, errs := command(t, args...); code != exitUnusable || errs == "" {
			t.Errorf("%v: exit %d, said %q", args, code, errs)
		}
	}
	for _, args := range [][]string{{"help"}, {"plan", "-h"}, {"serve", "-h"}, {"demo", "-h"}, {"check", "-h"}} {
		if code, out, errs := command(t, args...); code != exitDone || out+errs == "" {
			t.Errorf("%v: exit %d, nothing said", args, code)
		}
	}
}

// Where nobody has to be paired only this machine itself gets in.
func TestShopPageAnswersOnThisMachineOnly(t *testing.T) {
	for _, addr := range []string{"0.0.0.0:0", ":0", "192.168.1.20:8411", "[::]:0", "shop.example:8411", "8411"} {
		code, _, errs := command(t, "serve", "-data", t.TempDir(), "-shop-addr", addr)
		if code != exitFailed || !strings.Contains(errs, "127.0.0.1") {
			t.Errorf("%s: exit %d, said %q", addr, code, errs)
		}
	}
}

func TestDemoHasSomethingOnEveryScreen(t *testing.T) {
	database := filepath.Join(t.TempDir(), "demo.db")
	if err := seedDemo(t.Context(), database, time.Now()); err != nil {
		t.Fatal(err)
	}
	if code, out, errs := command(t, "check", database); code != exitDone {
		t.Errorf("check: exit %d: %s%s", code, out, errs)
	}
	st, err := store.Open(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	recs, err := st.All(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var disputed, missing, blocked, warned, wayRound int
	for _, s := range job.Summaries(recs) {
		disputed += s.Disputed
		missing += s.Missing
		if s.Blocked != "" {
			blocked++
		}
		of, err := st.Job(t.Context(), s.ID)
		if err != nil {
			t.Fatal(err)
		}
		v := job.FromRecords(of)
		if len(v.Faults) > 0 {
			t.Errorf("%s has faults: %v", s.Name, v.Faults)
		}
		for _, f := range v.Plan.Findings {
			if f.Severity == job.Warn {
				warned++
				if f.Rule == "flange-way-round" {
					wayRound++
				}
			}
		}
		if !strings.Contains(s.Name, "invented") {
			t.Errorf("%q does not say that it is invented", s.Name)
		}
	}
	if disputed != 1 || missing == 0 || blocked == 0 || warned == 0 || wayRound == 0 {
		t.Errorf("disputed %d, missing %d, blocked %d, warned %d, flanges that nearly fit both ways %d", disputed, missing, blocked, warned, wayRound)
	}
}

func TestCheckTellsADamagedDatabase(t *testing.T) {
	database := filepath.Join(t.TempDir(), "demo.db")
	if err := seedDemo(context.Background(), database, time.Now()); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(database)
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(b, []byte("1 17/32"))
	if i < 0 {
		t.Fatal("the reading is not in the file")
	}
	b[i] = '2'
	if err := os.WriteFile(database, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if code, out, _ := command(t, "check", database); code != exitFailed || out == "" {
		t.Errorf("exit %d for a file with a changed reading: %s", code, out)
	}
	if code, _, errs := command(t, "check", filepath.Join(t.TempDir(), "none.db")); code != exitFailed || errs == "" {
		t.Errorf("exit %d for no file", code)
	}
}

// Keys that scripts rely on, by the plan's own documentation.
func TestReadmeListsThePlanKeys(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	keys := map[string]bool{}
	for _, name := range []string{"around", "flange", "bench", "vee", "inspect"} {
		_, out, _ := command(t, "plan", "../../testdata/job/"+name+".job.json")
		var plan any
		if err := json.Unmarshal([]byte(out), &plan); err != nil {
			t.Fatal(err)
		}
		keysOf(plan, keys)
	}
	for key := range keys {
		if !bytes.Contains(readme, []byte("`"+key+"`")) {
			t.Errorf("README.md does not say what `%s` is", key)
		}
	}
}

func keysOf(v any, into map[string]bool) map[string]bool {
	switch v := v.(type) {
	case map[string]any:
		for k, of := range v {
			into[k] = true
			keysOf(of, into)
		}
	case []any:
		for _, of := range v {
			keysOf(of, into)
		}
	}
	return into
}
