package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// A browser reads every number of JSON as a float of 64 bits: whole numbers up to
// 2^53 − 1 come through, larger ones and most fractions are rounded without a word.
const largestExact = 1<<53 - 1

// inexact names the first number in a JSON text that a browser would not read
// exactly, "" when there is none. A text in it that is JSON itself, as a record in
// a frame, is looked into as well.
func inexact(text string) string {
	in := json.NewDecoder(strings.NewReader(text))
	in.UseNumber()
	var v any
	if err := in.Decode(&v); err != nil {
		return err.Error()
	}
	return inexactIn("", v)
}

func inexactIn(at string, v any) string {
	switch v := v.(type) {
	case json.Number:
		n, err := strconv.ParseInt(v.String(), 10, 64)
		if err != nil || n > largestExact || n < -largestExact {
			return fmt.Sprintf("%s is %s", at, v)
		}
	case string:
		if strings.HasPrefix(v, "{") && json.Valid([]byte(v)) {
			if bad := inexact(v); bad != "" {
				return at + bad
			}
		}
	case []any:
		for i, one := range v {
			if bad := inexactIn(fmt.Sprintf("%s[%d]", at, i), one); bad != "" {
				return bad
			}
		}
	case map[string]any:
		for key, one := range v {
			if bad := inexactIn(at+"."+key, one); bad != "" {
				return bad
			}
		}
	}
	return ""
}

func TestSY11NumbersInFramesAndRecordsAreExact(t *testing.T) {
	golden, err := filepath.Glob("../../testdata/wire/*.json")
	if err != nil || len(golden) < 10 {
		t.Fatalf("%d golden frames, %v", len(golden), err)
	}
	for _, path := range golden {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if bad := inexact(string(b)); bad != "" {
			t.Errorf("%s: %s", filepath.Base(path), bad)
		}
	}
	dir := t.TempDir()
	if err := seedDemo(t.Context(), filepath.Join(dir, "tubewright.db"), time.Now()); err != nil {
		t.Fatal(err)
	}
	recs := records(t, &shop{t: t, dir: dir})
	if len(recs) < 100 {
		t.Fatalf("%d records in the demo", len(recs))
	}
	for _, r := range recs {
		if bad := inexact(ledger.Encode(r)); bad != "" {
			t.Errorf("record of %s: %s", r.Slot, bad)
		}
	}
}

// Whatever a person types, the record made of it holds exact numbers or is not made.
func TestSY11TypedTextsMakeExactRecords(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, 0))
	parts := []string{"0", "1", "7", "9", "99999999", "123456789012", ".", ",", " ", "/", "-", "mm", "in", "ft", "'", "m", "cm", "1/64", "°", "5/8"}
	taken := 0
	for i := range 100_000 {
		var b strings.Builder
		for range 1 + rnd.IntN(6) {
			b.WriteString(parts[rnd.IntN(len(parts))])
		}
		text := b.String()
		for _, read := range []func() (units.Typed, error){
			func() (units.Typed, error) { return units.ParseLength(text, []units.Unit{"mm", "in"}[i%2]) },
			func() (units.Typed, error) { return units.ParseAngle(text) },
			func() (units.Typed, error) { return units.ParseNumber(text) },
		} {
			typed, err := read()
			if err != nil {
				continue
			}
			taken++
			w := recordMaker{job: "j", dev: "d", at: time.UnixMilli(1_764_025_441_123)}
			w.add(job.Draft{Slot: "port/p1/width", Reading: &ledger.Reading{Text: text, Unit: string(typed.Unit), NM: &typed.V, Res: typed.Res}})
			if bad := inexact(w.raws[0]); bad != "" {
				t.Fatalf("seed %d: typed %q: %s", seed, text, bad)
			}
		}
	}
	if taken < 1000 {
		t.Errorf("seed %d: only %d texts could be read", seed, taken)
	}
}

func TestInexactNumbersAreSeen(t *testing.T) {
	for text, want := range map[string]bool{
		`{"a":9007199254740991,"b":[-1,"9007199254740993"]}`: false,
		`{"a":9007199254740992}`:                             true,
		`{"a":[{"b":0.5}]}`:                                  true,
		`{"a":1e3}`:                                          true,
		`{"recs":["{\"n\":9007199254740993}"]}`:              true,
	} {
		if got := inexact(text) != ""; got != want {
			t.Errorf("%s: seen %v, want %v", text, got, want)
		}
	}
}
