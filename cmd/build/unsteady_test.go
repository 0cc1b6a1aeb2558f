package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
)

const browsers = "tubewright/cmd/tubewright"

// stream is what go test -json says of a package, from lines as "fail TestA: what it said".
func stream(pkg string, lines ...string) string {
	var b strings.Builder
	put := func(action, test, output string) {
		fmt.Fprintf(&b, "{\"Action\":%q,\"Package\":%q,\"Test\":%q,\"Output\":%q}\n", action, pkg, test, output)
	}
	var failed bool
	for _, line := range lines {
		verdict, said, _ := strings.Cut(line, ": ")
		action, test, _ := strings.Cut(verdict, " ")
		if said != "" {
			put("output", test, said+"\n")
		}
		put(action, test, "")
		failed = failed || action == "fail"
	}
	if failed {
		put("output", "", "FAIL\n")
		put("fail", "", "")
	} else {
		put("pass", "", "")
	}
	return b.String()
}

// cut is a stream without the line in which a package says that its tests are over.
func cut(stream string) string {
	return strings.Replace(stream, `"Test":"","Output":"FAIL\n"`, `"Test":"","Output":"exit status 2\n"`, 1)
}

func TestSecondRunDecides(t *testing.T) {
	const once = "fail TestTap: no button"
	six := make([]string, 6)
	for i := range six {
		six[i] = fmt.Sprintf("fail TestTap%d: no button", i)
	}
	for _, c := range []struct {
		name   string
		first  string
		second []string // what each further run brings
		want   tally
		fails  bool
		says   string
	}{
		{"passes alone", stream(browsers, "pass TestA", once),
			[]string{stream(browsers, "pass TestTap")}, tally{passed: 1, unsteady: 1}, false, "UNSTEADY: TestTap failed once and passed alone. The first time it said:\nno button"},
		{"a part passes alone", stream(browsers, "fail TestTap/Firefox: no button", "pass TestTap/WebKitGTK", "fail TestTap"),
			[]string{stream(browsers, "pass TestTap/Firefox", "pass TestTap/WebKitGTK", "pass TestTap")}, tally{passed: 1, unsteady: 1}, false, "UNSTEADY: TestTap "},
		{"two pass alone", stream(browsers, once, "fail TestKey"),
			[]string{stream(browsers, "pass TestTap"), stream(browsers, "pass TestKey")}, tally{unsteady: 2}, false, "UNSTEADY: TestKey "},
		{"fails twice", stream(browsers, once),
			[]string{stream(browsers, once)}, tally{failed: 1}, true, "TestTap failed twice"},
		{"one of two fails twice", stream(browsers, once, "fail TestKey"),
			[]string{stream(browsers, "pass TestTap"), stream(browsers, "fail TestKey")}, tally{failed: 1, unsteady: 1}, true, "TestKey failed twice"},
		{"another part fails then", stream(browsers, "fail TestTap/Firefox", "fail TestTap"),
			[]string{stream(browsers, "pass TestTap/Firefox", "fail TestTap/WebKitGTK", "fail TestTap")}, tally{failed: 2}, true, "TestTap failed twice"},
		{"is skipped then", stream(browsers, "fail TestTap/Firefox", "fail TestTap"),
			[]string{stream(browsers, "skip TestTap/Firefox", "pass TestTap")}, tally{failed: 2}, true, "TestTap failed twice"},
		{"does not run then", stream(browsers, once),
			[]string{stream(browsers)}, tally{failed: 1}, true, "TestTap failed twice"},
		{"too many", stream(browsers, six...), nil, tally{failed: 6}, true, "6 tests that drive browsers failed: too many"},
		{"a package without browsers", stream("tubewright/calc/tube", once), nil, tally{failed: 1}, true, "no button"},
		{"a data race", stream(browsers, "pass TestA: WARNING: DATA RACE", once), nil, tally{passed: 1, failed: 1}, true, "no button"},
		{"a panic", cut(stream(browsers, "fail TestTap: panic: no page")), nil, tally{failed: 1}, true, "no page"},
		{"ended before its last test", cut(stream(browsers, once)), nil, tally{failed: 1}, true, "no button"},
		{"cut off", strings.Join(strings.SplitAfter(stream(browsers, once), "\n")[:2], ""), nil, tally{failed: 1}, true, "no button"},
		{"another package does not compile", stream(browsers, once) + `{"Action":"fail","Package":"tubewright/calc"}`,
			[]string{stream(browsers, "pass TestTap")}, tally{failed: 1, unsteady: 1}, true, "UNSTEADY: TestTap "},
		{"another package fails", stream("tubewright/calc/tube", "fail TestGap") + stream(browsers, once),
			[]string{stream(browsers, "pass TestTap")}, tally{failed: 1, unsteady: 1}, true, "UNSTEADY: TestTap "},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out strings.Builder
			runs := append([]string{c.first}, c.second...)
			got, err := onceMore(&out, []string{"./..."}, func(args ...string) (result, error) {
				if len(runs) == 0 {
					t.Fatalf("ran once too often, with %q", args)
				}
				r, err := readEvents(strings.NewReader(runs[0]), &out)
				isFirst := len(runs) == len(c.second)+1
				if !isFirst && (!slices.Contains(args, "-count=1") || !slices.Contains(args, browsers)) {
					t.Errorf("the second run has %q", args)
				}
				runs = runs[1:]
				if r.failed > 0 {
					err = errors.New("exit status 1")
				}
				return r, err
			})
			if got != c.want || (err != nil) != c.fails {
				t.Errorf("counted %v with error %v, want %v", got, err, c.want)
			}
			if !strings.Contains(out.String(), c.says) {
				t.Errorf("lacks %q:\n%s", c.says, out.String())
			}
			if len(runs) > 0 {
				t.Errorf("%d runs were not made", len(runs))
			}
		})
	}
}

// The same with the go command itself, which says what streams look like.
func TestGoCommandRunsAFailedTestOnceMore(t *testing.T) {
	root := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":     "module tubewright\n\ngo 1.26\n",
		"pwa/pwa.go": "package pwa\n",
		"pwa/pwa_test.go": `package pwa

import ("os"; "testing")

func TestTap(t *testing.T) {
	t.Run("Firefox", func(t *testing.T) {
		if os.Mkdir("was", 0o755) == nil { t.Fatal("no button") }
	})
}

func TestOther(t *testing.T) {}
`,
	} {
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out strings.Builder
	got, err := checker{root: root, others: new(sync.RWMutex)}.testOnceMore(t.Context(), &out, testArgs, []string{"./..."})
	if want := (tally{passed: 1, unsteady: 1}); err != nil || got != want {
		t.Errorf("counted %v with error %v, want %v:\n%s", got, err, want, out.String())
	}
	if want := "UNSTEADY: TestTap failed once and passed alone. The first time it said:\n    pwa_test.go:7: no button\n"; !strings.Contains(out.String(), want) {
		t.Errorf("lacks %q:\n%s", want, out.String())
	}
}
