package pwa_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/evanw/esbuild/pkg/api"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// question is one text to read, or one length to print, on both sides.
type question struct {
	Kind string     `json:"kind"` // length, angle, number, or print
	Text string     `json:"text"`
	Def  units.Unit `json:"def"`
	NM   int64      `json:"nm"`
}

// answer is what came of it. A refusal has nothing but Why.
type answer struct {
	Text      string     `json:"text"`
	Unit      units.Unit `json:"unit"`
	V         int64      `json:"v"`
	Res       int64      `json:"res"`
	Ask       string     `json:"ask"`
	Why       string     `json:"why"`
	Prints    []string   `json:"prints"`
	Remainder int64      `json:"remainder"`
}

// harness asks the tablet's modules the same questions. A value that is not a
// whole number does not decode as int64; -0, which JSON would hide, is looked for.
const harness = `
import { readFileSync } from "node:fs";
import { inches, mm, parseAngle, parseLength, parseNumber, sixtyfourths } from "./lib/typed";
const none = { text: "", unit: "", v: 0, res: 0, ask: "", why: "", remainder: 0 };
const answers = JSON.parse(readFileSync(0, "utf8")).map((q) => {
	if (q.kind === "print") {
		const s = sixtyfourths(q.nm);
		const prints = [0, 1, 2, 3, 6].map((places) => mm(q.nm, places));
		return { ...none, prints: [...prints, inches(q.nm), s.text], remainder: s.remainder };
	}
	const t = q.kind === "length" ? parseLength(q.text, q.def)
		: q.kind === "angle" ? parseAngle(q.text) : parseNumber(q.text);
	if (Object.is(t.v, -0)) throw new Error("minus zero: " + JSON.stringify(q));
	return "error" in t ? { ...none, why: t.error.why } : { ...none, ...t };
});
process.stdout.write(JSON.stringify(answers));
`

func goAnswer(t *testing.T, q question) answer {
	t.Helper()
	if q.Kind == "print" {
		a := answer{}
		for _, places := range []int{0, 1, 2, 3, 6} {
			a.Prints = append(a.Prints, units.MM(q.NM, places))
		}
		text, rest := units.Sixtyfourths(q.NM)
		a.Prints, a.Remainder = append(a.Prints, units.Inches(q.NM), text), rest
		return a
	}
	parse := map[string]func() (units.Typed, error){
		"length": func() (units.Typed, error) { return units.ParseLength(q.Text, q.Def) },
		"angle":  func() (units.Typed, error) { return units.ParseAngle(q.Text) },
		"number": func() (units.Typed, error) { return units.ParseNumber(q.Text) },
	}[q.Kind]
	typed, err := parse()
	if err != nil {
		return answer{Why: fault.All(err)[0].Why}
	}
	return answer{Text: typed.Text, Unit: typed.Unit, V: typed.V, Res: typed.Res, Ask: typed.Ask}
}

// tabletAnswers bundles lib/typed.ts and runs it under node.
func tabletAnswers(t *testing.T, questions []question) []answer {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("SKIPPED: node is not installed, so the tablet's reading of typed text was NOT compared with calc/units")
	}
	bundle := api.Build(api.BuildOptions{
		Stdin:    &api.StdinOptions{Contents: harness, ResolveDir: ".", Sourcefile: "harness.ts", Loader: api.LoaderTS},
		Bundle:   true,
		Platform: api.PlatformNode,
		Format:   api.FormatESModule,
		Target:   api.ES2022,
		LogLevel: api.LogLevelSilent,
	})
	for _, e := range bundle.Errors {
		t.Fatalf("bundle lib/typed.ts: %s (%+v)", e.Text, e.Location)
	}
	script := filepath.Join(t.TempDir(), "typed.mjs")
	if err := os.WriteFile(script, bundle.OutputFiles[0].Contents, 0o600); err != nil {
		t.Fatal(err)
	}
	asked, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	var stderr bytes.Buffer
	cmd := exec.CommandContext(t.Context(), node, script)
	cmd.Stdin, cmd.Stderr = bytes.NewReader(asked), &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node: %v\n%s", err, stderr.String())
	}
	var answers []answer
	if err := json.Unmarshal(out, &answers); err != nil {
		t.Fatalf("answers: %v", err)
	}
	if len(answers) != len(questions) {
		t.Fatalf("%d answers to %d questions", len(answers), len(questions))
	}
	return answers
}

// sharedTable reads the table that calc/units is tested with too: each row is
// question and answer in one.
func sharedTable(t *testing.T) (questions []question, answers []answer) {
	t.Helper()
	raw, err := os.ReadFile("../testdata/golden/typed.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(json.Unmarshal(raw, &questions), json.Unmarshal(raw, &answers)); err != nil {
		t.Fatal(err)
	}
	for i := range answers {
		if answers[i].Why != "" {
			answers[i].Text = "" // a refusal repeats nothing
		}
	}
	return questions, answers
}

func TestTabletReadsTypedTextAsTheTableSays(t *testing.T) {
	questions, want := sharedTable(t)
	for i, got := range tabletAnswers(t, questions) {
		if !reflect.DeepEqual(got, want[i]) {
			t.Errorf("%+v:\n tablet %+v\n table  %+v", questions[i], got, want[i])
		}
	}
}

// The tablet and calc/units read 6,000 texts alike, to the last word of a refusal,
// and print 1,000 lengths alike.
func TestTabletReadsAndPrintsAsTheCalculationDoes(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	table, _ := sharedTable(t)
	var questions []question
	for i := range 6000 {
		q := table[rnd.IntN(len(table))]
		q.Text = mutate(rnd, q.Text)
		if i%3 == 0 {
			q.Text = assemble(rnd)
		}
		if q.Kind == "length" {
			q.Def = []units.Unit{"mm", "in", "in", "cm", "m", "ft"}[rnd.IntN(6)]
		}
		questions = append(questions, q)
	}
	for range 500 {
		sign := 1 - 2*rnd.Int64N(2)
		edge := rnd.Int64N(7680)*396_875 + 198_437 + rnd.Int64N(2) // either side of halfway between two marks
		questions = append(questions,
			question{Kind: "print", NM: sign * rnd.Int64N(1<<rnd.IntN(51)+1)},
			question{Kind: "print", NM: sign * edge})
	}
	answers := tabletAnswers(t, questions)
	read, asked := 0, 0
	for i, got := range answers {
		want := goAnswer(t, questions[i])
		if !reflect.DeepEqual(got, want) {
			t.Errorf("seed %d case %d, %+v:\n tablet %+v\n go     %+v", seed, i, questions[i], got, want)
		}
		if want.Unit != "" {
			read++
		}
		if want.Ask != "" {
			asked++
		}
	}
	t.Logf("of 6000 texts %d were read, %d of them with a question", read, asked)
	if read < 1000 || asked < 100 {
		t.Errorf("of 6000 texts only %d were read, %d with a question: the mixture proves too little", read, asked)
	}
}

// parts are what lengths are made of, and some things they are not made of.
var parts = []string{
	"0", "1", "2", "3", "5", "8", "16", "32", "64", "128", "625", "11", "999999", ".", ",", "/", "⁄", "-", "−",
	" ", "\u00a0", "\u2007", "\u2009", "\u202f", "½", "⅝", "⅓", "⅟", "mm", "cm", "m", "in", "inch", "ft", "deg", "°",
	`"`, "″", "”", "'", "′", "’", "e", "E+", "x", "#", "¡", "é", "\u00ad", "\u0000", "\ufffd", "\U0001F600", "٣", "５", "\u2028",
}

// mutate drops, doubles, replaces or inserts a character or part, up to three times.
func mutate(rnd *rand.Rand, text string) string {
	rs := []rune(text)
	for range rnd.IntN(4) {
		at := rnd.IntN(len(rs) + 1)
		part := []rune(parts[rnd.IntN(len(parts))])
		switch tail := rs[at:]; {
		case rnd.IntN(3) == 0:
			rs = append(append(append([]rune{}, rs[:at]...), part...), tail...)
		case len(tail) == 0:
		case rnd.IntN(3) == 0:
			rs = append(append([]rune{}, rs[:at]...), tail[1:]...)
		case rnd.IntN(2) == 0:
			rs = append(append([]rune{}, rs[:at+1]...), tail...)
		default:
			rs = append(append(append([]rune{}, rs[:at]...), part...), tail[1:]...)
		}
	}
	return string(rs)
}

// assemble strings number, fraction and unit parts together in the usual order,
// so that most results are nearly right.
func assemble(rnd *rand.Rand) string {
	pick := func(from ...string) string { return from[rnd.IntN(len(from))] }
	digits := func(most int) string {
		var b strings.Builder
		for range rnd.IntN(most) + 1 {
			b.WriteByte('0' + byte(rnd.IntN(10)))
		}
		return b.String()
	}
	number := func() string {
		switch rnd.IntN(4) {
		case 0:
			return digits(7)
		case 1:
			return digits(4) + pick(".", ",") + digits(9)
		case 2:
			return digits(3) + pick("/", "⁄") + pick("2", "4", "8", "16", "32", "64", "128", digits(3))
		}
		return digits(2) + pick(" ", "-", "\u2009") + digits(1) + "/" + pick("2", "4", "8", "16", "64")
	}
	text := pick("", "", "", "-", "−", " ") + number() + pick("", " ") +
		pick("", "", "mm", "cm", "m", "in", `"`, "ft", "'", "°", "deg")
	if strings.HasSuffix(text, "'") || strings.HasSuffix(text, "ft") {
		text += pick("", " ", "-") + number() + pick(`"`, " in", "″", "")
	}
	return text
}
