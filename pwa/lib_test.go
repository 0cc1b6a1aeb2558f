package pwa_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/evanw/esbuild/pkg/api"
)

func TestMain(m *testing.M) {
	flag.Parse()
	if err := flag.Set("test.parallel", "6"); err != nil { // what is parallel here mostly waits
		panic(err)
	}
	os.Exit(m.Run())
}

// swap is a broken variant: in one file of lib, old is replaced by new.
type swap struct{ file, old, new string }

// runEntry bundles an entry of lib/test, with broken built in, and returns what
// node prints for it.
func runEntry(t *testing.T, entry string, stdin []byte, broken ...swap) []byte {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("SKIPPED: there is no node here, so that the tablet's modules are not tested")
	}
	out := filepath.Join(t.TempDir(), "entry.mjs")
	if err := os.WriteFile(out, bundled(t, entry, broken...), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(node, out)
	cmd.Stdin = bytes.NewReader(stdin)
	if len(broken) > 0 {
		cmd.Env = append(os.Environ(), "STOP_AT_WRONG=1")
	}
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	got, err := cmd.Output()
	if err != nil {
		t.Fatalf("node %s: %v\n%s", entry, err, stderr.Bytes())
	}
	return got
}

// bundled returns an entry of lib/test as one module, with broken built in.
func bundled(t *testing.T, entry string, broken ...swap) []byte {
	t.Helper()
	if _, err := os.Stat("node_modules"); err != nil {
		t.Skip("SKIPPED: the tablet's packages are not fetched (npm ci in pwa), so that its modules are not tested")
	}
	made := api.Build(api.BuildOptions{
		EntryPoints: []string{filepath.Join("lib", "test", entry)},
		Bundle:      true,
		Format:      api.FormatESModule,
		Target:      api.ES2022,
		LogLevel:    api.LogLevelSilent,
		Plugins:     []api.Plugin{breaking(broken)},
	})
	for _, e := range made.Errors {
		t.Fatalf("bundle %s: %s %+v", entry, e.Text, e.Location)
	}
	return made.OutputFiles[0].Contents
}

func breaking(broken []swap) api.Plugin {
	return api.Plugin{Name: "breaking", Setup: func(b api.PluginBuild) {
		for _, s := range broken {
			b.OnLoad(api.OnLoadOptions{Filter: `lib/` + s.file + `\.ts$`}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
				src, err := os.ReadFile(a.Path)
				if err != nil {
					return api.OnLoadResult{}, err
				}
				if strings.Count(string(src), s.old) != 1 {
					return api.OnLoadResult{}, fmt.Errorf("%q does not stand there exactly once", s.old)
				}
				text := strings.Replace(string(src), s.old, s.new, 1)
				return api.OnLoadResult{Contents: &text, Loader: api.LoaderTS}, nil
			})
		}
	}}
}

// claims runs an entry made of claims and returns what is wrong with each, ""
// for those that hold.
func claims(t *testing.T, entry string, broken ...swap) map[string]string {
	t.Helper()
	var results map[string]string
	out := runEntry(t, entry, nil, broken...)
	if err := json.Unmarshal(out, &results); err != nil {
		t.Fatalf("%s: %v in %q", entry, err, out)
	}
	if len(results) == 0 {
		t.Fatalf("%s makes no claim", entry)
	}
	return results
}

func TestModulesKeepTheirClaims(t *testing.T) {
	for name, wrong := range claims(t, "lib.entry.ts") {
		t.Run(name, func(t *testing.T) {
			if wrong != "" {
				t.Error(wrong)
			}
		})
	}
}

func TestTabletsAndShopBecomeLevelAfterAnyFaults(t *testing.T) {
	for name, wrong := range claims(t, "history.entry.ts") {
		if wrong != "" {
			t.Errorf("%s: %s", name, wrong)
		}
	}
}

// The histories have to notice a sync that loses records.
func TestBrokenSyncIsCaught(t *testing.T) {
	for name, s := range map[string]swap{
		"the ack clears the outbox": {"sync",
			`case "ack":`, `case "ack": await this.store.forget(f.ids);`},
		"the cursor moves before the records are stored": {"sync",
			`await this.store.page(page);`,
			`await this.store.page({ ...page, records: [], own: [], echoed: [] }); await this.store.page({ ...page, from: page.to });`},
		"a reset offers nothing again": {"sync",
			`await this.store.reoffer(now);`, `await this.store.putMeta({ ...START });`},
	} {
		t.Run(name, func(t *testing.T) {
			for _, wrong := range claims(t, "history.entry.ts", s) {
				first, _, _ := strings.Cut(wrong, "\n")
				t.Log(first)
				if !strings.Contains(first, ": I") { // by an invariant, not by breaking down
					t.Error("not caught")
				}
			}
		})
	}
}

// The claims have to notice the mistakes they are there for.
func TestBrokenModulesAreCaught(t *testing.T) {
	for name, s := range map[string]swap{
		"each tap makes a record":              {"forms", `before.what === what && before.state !== "failed"`, `false`},
		"a draft loses the name of its form":   {"forms", `draft?.id || pending || id`, `pending || id`},
		"a choice leaves the one before":       {"forms", `choices: ids(table.choices)`, `choices: []`},
		"a lost answer is not asked for again": {"answers", `this.failed();`, ``},
		"an older answer counts as current":    {"answers", `stale: revision !== this.revision(job)`, `stale: false`},
		"a stamp far ahead moves the clock":    {"record", `if (ms <= shopNow + AHEAD_MS) this`, `this`},
		"a lost worker is kept":                {"calc", `this.worker?.terminate();`, ``},
		"a value not seen is covered": {"forms", `it.
				rename();`, `it.
				cover(); rename();`},
		"a welcome alone makes retries quick":  {"sync", `this.aside.clear();`, `this.aside.clear(); this.tries = 0;`},
		"what was refused is never offered":    {"sync", `this.aside.clear();`, ``},
		"any reset moves the shop's clock":     {"sync", `if (!this.isOpen) this.told.offset`, `this.told.offset`},
		"the backup moves at the welcome only": {"sync", `return this.backed(f.backup_pos ?? 0);`, `return;`},
		"a text without an id is not found":    {"sync", `pushed[r.rec ?? -1]`, `pushed[-1]`},
		"requests are never tried":             {"carrier", `this.failed + 1`, `0`},
		"the socket is not tried again":        {"carrier", `this.ways.better();`, ``},
		"what is gone is not told":             {"roll", `!here.has(id)`, `false`},
		"the roll forgets its later pages":     {"roll", `ids.push(...text.split("\n"));`, `return text.split("\n");`},
		"a draft is written beside its save":   {"draft", `this.inLine(() => this.write())`, `this.write()`},
		"another window's pages are not heard": {"sync", `await this.passed(idsOf(f));`, ``},
		"a stolen turn is not given up":        {"turn", `this.has = false;`, `return;`},
		"a turn is taken from itself":          {"turn", `this.has || this.isTaking) return`, `this.has) return`},
		"a hole in the outbox stays":           {"wires", `isWhole(records, waiting) ? waiting`, `waiting ? waiting`},
		"a link that ended is not told":        {"poll", `this.onclose?.();`, ``},
		"a place that was lost is still shown": {"wires", `known.pos = r.pos`, `known.pos ??= r.pos`},
		"a taken id is replaced by any other":  {"record", `unhex(h).slice(0, 16)`, `crypto.getRandomValues(new Uint8Array(16))`},
		"a record unheard of stays away":       {"wires", `if (unknown.length > 0) void`, `if (unknown.length < 0) void`},
		"paired is said and not written":       {"pairing", `putMeta({ token: got.token,`, `putMeta({ nothing: got.token,`},
		"a code taken is asked for again":      {"pairing", `claimed ??= await`, `claimed = await`},
		"unpairing takes any word":             {"pairing", `if (!isConfirmed(typed)) throw`, `if (typed === "never") throw`},
		"unpairing writes no file":             {"pairing", `await hand(await saveFile());`, ``},
		"the token goes with any request":      {"pairing", `|| !/^\/(blob|api)\//.test(path)`, ``},
		"a barred tablet forgets its token":    {"pairing", `export function barred(why: Barred): void {`, `export function barred(why: Barred): void { token = "";`},
		"a tablet takes a wall's code":         {"pairing", `got.role === "board"`, `got.role === ""`},
		"the token stays out of the hello":     {"sync", `token === "" ? {} : { token }`, `{}`},
		"what is put aside is called refused":  {"sync", `if (this.isRevoked) return this.setAside(pushed, named);`, ``},
		"what there is no room for is aside":   {"sync", `return this.setAside(pushed, named);`, `return this.setAside(pushed, []);`},
		"who is not let in asks on and on":     {"sync", `wasOpen ? 0 : BARRED_MS`, `wasOpen ? 0 : 0`},
		"a tablet without a worker is paired":  {"selftest", `c.worker && c.socket && c.secure`, `c.socket && c.secure`},
		"a red line is called a warning":       {"selftest", `why === null ? "good" : "bad", why`, `why === null ? "good" : "warn", why`},
		"another name is taken for an answer":  {"reach", `asked.status === 421`, `asked.status === 0`},
		"a slow failure is called refused":     {"reach", `ms < QUICK_MS`, `ms < LIMIT_MS + 1`},
		"a lookup that fails is believed":      {"reach", `=== true;`, `!== null;`},
		"a wall takes a tablet's code":         {"wallkey", `role !== "board"`, `role === ""`},
		"a revoked wall goes on showing":       {"board", `again(BARRED_MS);`, ``},
		"x leads to nothing":                   {"fields", `group !== "" && groupOf`, `group === "" && groupOf`},
		"a socket leads on to a mock-up":       {"fields", `isSingle || (group`, `!isSingle || (group`},
		"a tape belongs to nothing":            {"fields", `kinds[kind]?.parent ?? (`, `(`},
		"an old path stays beside the new one": {"state", `write([...retracts(job, gone), ...added])`, `write(added)`},
		"a shadow lies on its back":            {"around", `Math.atan2(2 * cxy, cxx - cyy)`, `Math.atan2(2 * cxy, cyy - cxx)`},
		"a CSV has no last straight":           {"csv", `if (typeof t.last === "number") rows`, `if (t.last === null) rows`},
		"a figure from a list is not its text": {"listed", `v: steps * step || 0`, `v: Math.round(v * 1e6)`},
		"a link's code is read anywhere":       {"code", `(?:\/pair\?|)(?:.*&)?code`, `.*code`},
		"a bend turns the other way":           {"solid/mesh", `turned(sub(p.from, p.centre), axis, by)`, `turned(sub(p.from, p.centre), axis, -by)`},
		"a tube is open at its far end":        {"solid/mesh", `m.end(run.at(-1) as Station, outside, inside, sides, 1);`, ``},
		"a kink is bridged":                    {"solid/mesh", `norm(sub(last.dir, start)) < SAME_DIR`, `true`},
		"labels lie over one another":          {"solid/labels", `taken.push({ ...free, wide: l.wide, high: l.high });`, ``},
		"a gap that falls short is enough":     {"solid/gaps", `g.gap < (g.wanted ?? 0)`, `g.gap < 0`},
		"what is stopped goes on":              {"calc", `new Stopped(kind), true)`, `new Stopped(kind), false)`},
		"an older long question is waited for": {"calc", `this.manner.isLong);`, `false);`},
		"a worker with nothing to do stays": {"calc", `this.ready = true;
			this.limit(this.manner.idle, () => this.end());`, `this.ready = true; clearTimeout(this.timer);`},
		"a long calculation has 5 s":             {"calc", `if (ms < Number.POSITIVE_INFINITY) this.timer`, `this.timer`},
		"progress of an older question counts":   {"calc", `this.asked?.n !== a.n`, `!this.asked`},
		"what is missing is called a failure":    {"calc", `isMissing ? new NotHere(why) : new Error(why)`, `new Error(why)`},
		"a sheet says which file is missing":     {"drawer", `err instanceof NotHere ? new Error(longText.away) : err`, `err`},
		"an older long answer counts as current": {"long", `isStale: answer !== null`, `isStale: false`},
		"going back asks again":                  {"long", `if (this.kept.has(key)) {`, `if (this.kept.has("")) {`},
		"what was stopped begins by itself":      {"long", `w.shown.peek().state !== "none") return;`, `w.shown.peek().state === "running") return;`},
		"another job's question runs beside":     {"long", `this.show(other, { state: "none" });`, ``},
		"what was away stays away":               {"long", `=== "away") this.begin(w)`, `=== "") this.begin(w)`},
		"what was taken back is in the sign":     {"long", `isText(r) && isLiveIn(records, r.id)`, `isText(r)`},
		"all long answers are kept":              {"long", `this.kept.size <= KEPT`, `true`},
		"a long answer shown again may go first": {"long", `this.keep(key, this.kept.get(key));`, ``},
		"from above is from below":               {"solid/sight", `above: { az: 0, el: Math.PI / 2 }`, `above: { az: 0, el: -Math.PI / 2 }`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			caught := 0
			for claim, wrong := range claims(t, "lib.entry.ts", s) {
				if wrong != "" {
					t.Log(claim)
					caught++
				}
			}
			if caught == 0 {
				t.Error("not caught")
			}
		})
	}
}
