package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/server"
	"tubewright/store"
)

// demoShop is a data folder with the demo's jobs.
func demoShop(t *testing.T) (data string) {
	t.Helper()
	data = t.TempDir()
	if err := seedDemo(t.Context(), databaseIn(data), time.Now()); err != nil {
		t.Fatal(err)
	}
	return data
}

func works(t *testing.T, args ...string) (stdout string) {
	t.Helper()
	code, out, errs := command(t, args...)
	if code != exitDone || errs != "" {
		t.Fatalf("%v: exit %d: %s%s", args, code, out, errs)
	}
	return out
}

func fails(t *testing.T, want int, says string, args ...string) {
	t.Helper()
	code, out, errs := command(t, args...)
	if code != want || !strings.Contains(out+errs, says) {
		t.Errorf("%v: exit %d, want %d and %q: %s%s", args, code, want, says, out, errs)
	}
}

func openData(t *testing.T, data string) *store.Store {
	t.Helper()
	st, err := store.Open(t.Context(), databaseIn(data))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

func high(t *testing.T, st *store.Store) int64 {
	t.Helper()
	n, err := st.High(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestBackupRestoreAndCheckByCommand(t *testing.T) {
	data := demoShop(t)
	out := works(t, "backup", "-data", data)
	file := regexp.MustCompile(`^\S+\.db`).FindString(out)
	works(t, "check", file)
	if out := works(t, "backups", "-data", data); !strings.Contains(out, file) {
		t.Errorf("backups: %s", out)
	}
	if out := works(t, "backups", "-data", t.TempDir()); !strings.Contains(out, "no backups") {
		t.Errorf("no backups: %s", out)
	}
	st := openData(t, data)
	was := high(t, st)
	w := recordMaker{job: newID(), dev: newID(), person: "Rowan (invented)", at: time.Now()}
	w.add(measured("port/p1/width", "41,3", "mm"))
	if _, err := st.Append(t.Context(), w.dev, w.raws); err != nil {
		t.Fatal(err)
	}
	fails(t, exitFailed, "stop the server", "restore", "-data", data, file)
	st.Close()
	if out := works(t, "restore", "-data", data, filepath.Dir(file)); !strings.Contains(out, ".before-restore-") || !strings.Contains(out, "sound") {
		t.Errorf("restore: %s", out)
	}
	if n := high(t, openData(t, data)); n != was {
		t.Errorf("%d records after, %d in the backup", n, was)
	}
	// The shop machine died; the backups were elsewhere.
	other := filepath.Join(t.TempDir(), "new", "data")
	works(t, "restore", "-data", other, file)
	works(t, "check", other)
	fails(t, exitFailed, "no database", "backup", "-data", t.TempDir())
	fails(t, exitFailed, "none", "restore", "-data", other, filepath.Join(other, "none.db"))
	fails(t, exitFailed, "no backup in", "restore", "-data", other, t.TempDir())
	fails(t, exitUnusable, "", "restore", "-data", other)
}

func TestExportAndImportByCommand(t *testing.T) {
	data := demoShop(t)
	file := filepath.Join(t.TempDir(), "all.tubewright.zip")
	works(t, "export", "-data", data, file)
	fails(t, exitFailed, "there already", "export", "-data", data, file)
	other := filepath.Join(t.TempDir(), "data")
	works(t, "import", "-data", other, file)
	works(t, "import", "-data", other, file)
	st := openData(t, data)
	there := openData(t, other)
	if a, b := high(t, st), high(t, there); a != b || a == 0 {
		t.Errorf("%d records came of %d", b, a)
	}
	recs, err := st.All(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	one := filepath.Join(t.TempDir(), "one.tubewright.zip")
	works(t, "export", "-data", data, "-job", recs[0].Job, one)
	fails(t, exitUnusable, "no job", "export", "-data", data, "-job", "nobody", filepath.Join(t.TempDir(), "x.zip"))
	fails(t, exitFailed, "no database", "export", "-data", t.TempDir(), filepath.Join(t.TempDir(), "x.zip"))
	small := filepath.Join(t.TempDir(), "data")
	works(t, "import", "-data", small, one)
	if jobs := job.Summaries(all(t, openData(t, small))); len(jobs) != 1 || jobs[0].ID != recs[0].Job {
		t.Errorf("%+v", jobs)
	}
	b, err := os.ReadFile(one)
	if err != nil {
		t.Fatal(err)
	}
	b[bytes.Index(b, []byte("Rowan"))] ^= 1
	if err := os.WriteFile(one, b, 0o600); err != nil {
		t.Fatal(err)
	}
	fails(t, exitFailed, "was changed", "import", "-data", small, one)
	letter := filepath.Join(t.TempDir(), "letter.zip")
	if err := os.WriteFile(letter, []byte("Dear customer"), 0o600); err != nil {
		t.Fatal(err)
	}
	fails(t, exitUnusable, "not an archive", "import", "-data", small, letter)
	fails(t, exitFailed, "none.zip", "import", "-data", small, "none.zip")
	fails(t, exitUnusable, "", "import", "-data", small)
}

func all(t *testing.T, st *store.Store) []ledger.Record {
	t.Helper()
	recs, err := st.All(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return recs
}

// A job file makes a new job each time, which computes like the file.
func TestImportOfAJobFileMakesANewJob(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	const file = "../../testdata/job/four.job.json"
	works(t, "import", "-data", data, file, file)
	st := openData(t, data)
	jobs := job.Summaries(all(t, st))
	if len(jobs) != 2 || jobs[0].ID == jobs[1].ID {
		t.Fatalf("%+v", jobs)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	want, err := job.PlanFile(b)
	if err != nil {
		t.Fatal(err)
	}
	for _, j := range jobs {
		recs, err := st.Job(t.Context(), j.ID)
		if err != nil {
			t.Fatal(err)
		}
		got := job.FromRecords(recs)
		if len(got.Faults) > 0 || len(got.Plan.Tubes) != len(want.Tubes) {
			t.Fatalf("%v, %d tubes, want %d", got.Faults, len(got.Plan.Tubes), len(want.Tubes))
		}
		for i := range want.Tubes {
			if a, b := got.Plan.Tubes[i].Length, want.Tubes[i].Length; a == nil || b == nil || *a != *b {
				t.Errorf("tube %d: %v, want %v", i, a, b)
			}
		}
	}
	bad := filepath.Join(t.TempDir(), "bad.job.json")
	if err := os.WriteFile(bad, []byte(`{"tubewright":1,"engine":{"bore":"wide"}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	fails(t, exitUnusable, "engine.bore", "import", "-data", data, bad)
}

// A person can see what was set aside: who, when, both texts.
func TestCheckShowsWhatWasSetAside(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	if err := os.Mkdir(data, 0o700); err != nil {
		t.Fatal(err)
	}
	st := openData(t, data)
	w := recordMaker{job: newID(), dev: newID(), person: "Rowan (invented)", at: time.Now()}
	w.add(measured("port/p1/width", "41,3", "mm"))
	other := strings.Replace(w.raws[0], "Rowan", "Imre", 1)
	if err := st.Heard(t.Context(), "tab7", "Yard tablet", time.Now()); err != nil {
		t.Fatal(err)
	}
	for _, raw := range []string{w.raws[0], other} {
		if _, err := st.Append(t.Context(), "tab7", []string{raw}); err != nil {
			t.Fatal(err)
		}
	}
	for i, dev := range []string{"tab7", "tab8", "tab9"} { // of which one was heard, and one is taken off the list
		if err := st.Pair(t.Context(), store.Paired{Dev: dev, Name: dev, Role: "measure", At: time.Now()}, [32]byte{byte(i)}); err != nil {
			t.Fatal(err)
		}
	}
	if err := st.Revoke(t.Context(), "tab9", time.Now()); err != nil {
		t.Fatal(err)
	}
	out := works(t, "check", data)
	for _, want := range []string{"1 record up to", "2 devices paired,", "1 set aside", "sent by Yard tablet on 20", "in the log:  " + w.raws[0], "set aside:   " + other} {
		if !strings.Contains(out, want) {
			t.Errorf("check does not say %q:\n%s", want, out)
		}
	}
}

// The keeper makes a backup when something changed, tries again after one that
// did not work, and tidies the log when nothing comes.
func TestKeeperBacksUpWhenSomethingChanged(t *testing.T) {
	data := demoShop(t)
	st := openData(t, data)
	blocked := filepath.Join(t.TempDir(), "disk")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(blocked, "backups")
	var said bytes.Buffer
	k := newKeeper(st, dir, slog.New(slog.NewTextHandler(&said, nil)))
	if k.every != time.Hour || k.tick > 5*time.Minute {
		t.Errorf("every %v, looked at every %v", k.every, k.tick)
	}
	k.start(t.Context())
	k.backup(t.Context())
	if wait := time.Until(k.due); !strings.Contains(said.String(), "tried again") || wait < time.Minute || wait > backupRetry {
		t.Errorf("next in %v: %s", wait, said.String())
	}
	if err := os.Remove(blocked); err != nil {
		t.Fatal(err)
	}
	k.backup(t.Context())
	pos, err := st.BackedPos(t.Context())
	if err != nil || pos != high(t, st) || time.Until(k.due) < 55*time.Minute {
		t.Errorf("backed up to %d of %d, next in %v, %v", pos, high(t, st), time.Until(k.due), err)
	}
	k.backup(t.Context()) // nothing changed
	list, err := store.Backups(t.Context(), dir)
	if err != nil || len(list) != 1 {
		t.Errorf("%+v, %v", list, err)
	}
	again := newKeeper(st, dir, k.log)
	again.start(t.Context())
	if wait := time.Until(again.due); wait < 55*time.Minute {
		t.Errorf("a server that starts again makes the next in %v", wait)
	}
	for range 3 {
		k.idle(t.Context())
	}
	if info, err := os.Stat(databaseIn(data) + "-wal"); err != nil || info.Size() != 0 {
		t.Errorf("the log file: %v, %v", info, err)
	}
	// Running, it does all that by itself and ends when it is told to.
	k.tick, k.every, k.due = time.Millisecond, 0, time.Time{}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { k.run(ctx); close(ended) }()
	w := recordMaker{job: newID(), dev: newID(), person: "Rowan (invented)", at: time.Now()}
	w.add(measured("port/p1/width", "41,3", "mm"))
	if _, err := st.Append(t.Context(), w.dev, w.raws); err != nil {
		t.Fatal(err)
	}
	for deadline := time.Now().Add(20 * time.Second); pos != high(t, st) && time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if pos, err = st.BackedPos(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	cancel()
	<-ended
	if pos != high(t, st) {
		t.Errorf("backed up to %d of %d", pos, high(t, st))
	}
}

// While the server runs another program takes in a job; the server shows it. The
// start says where backups go, and that they lie on the disk of the data.
func TestImportWhileServing(t *testing.T) {
	data := demoShop(t)
	ctx, cancel := context.WithCancel(t.Context())
	var out, errs bytes.Buffer
	ready, ended := make(chan string, 1), make(chan error, 1)
	sh := shopServer{addr: "127.0.0.1:0", network: &networkFlags{addr: "127.0.0.1:0"}, data: data, backups: filepath.Join(data, "backups"), files: app("")}
	go func() { ended <- sh.serve(ctx, &out, &errs, func(url string) { ready <- url }) }()
	url := <-ready
	works(t, "import", "-data", data, "../../testdata/job/four.job.json")
	var jobs []map[string]any
	res, err := http.Get(url + "api/jobs")
	if err == nil {
		err = json.NewDecoder(res.Body).Decode(&jobs)
		res.Body.Close()
	}
	if err != nil || len(jobs) != len(demoStory)+1 {
		t.Errorf("%d jobs, %v", len(jobs), err)
	}
	works(t, "backup", "-data", data)
	fails(t, exitFailed, "stop the server", "restore", "-data", data, filepath.Join(data, "backups"))
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if !strings.Contains(out.String(), "Backups       "+sh.backups) || strings.Count(out.String(), "same disk") != 1 {
		t.Errorf("it says\n%s", out.String())
	}
	works(t, "check", data)
}

// Bytes of photos and refusals pass between store and server unchanged.
func TestShopKeepsPhotosForTheServer(t *testing.T) {
	data := demoShop(t)
	shop := shopBlobs{openData(t, data)}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(b.Bytes())
	sha := hex.EncodeToString(sum[:])
	m := server.Manifest{SHA: sha, Size: int64(b.Len()), Type: "image/jpeg", Chunk: store.ChunkSize, Chunks: []string{sha}, W: 8, H: 8}
	var refused *server.BlobRefusal
	if _, err := shop.PutChunk(t.Context(), sha, 0, b.Bytes()); !errors.As(err, &refused) || refused.Why != "unknown" {
		t.Errorf("before the manifest: %v", err)
	}
	if _, _, err := shop.ReadBlob(t.Context(), sha); !errors.As(err, &refused) || refused.Why != "unknown" {
		t.Errorf("before the bytes: %v", err)
	}
	if st, err := shop.BeginBlob(t.Context(), m); err != nil || !st.Known || len(st.Have) != 1 {
		t.Errorf("%+v, %v", st, err)
	}
	if st, err := shop.PutChunk(t.Context(), sha, 0, b.Bytes()); err != nil || !st.Done {
		t.Errorf("%+v, %v", st, err)
	}
	if st, err := shop.Blob(t.Context(), sha); err != nil || !st.Done || st.Backed {
		t.Errorf("%+v, %v", st, err)
	}
	r, got, err := shop.ReadBlob(t.Context(), sha)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	back, err := io.ReadAll(r)
	part, err2 := shop.ReadChunk(t.Context(), sha, 0)
	if err != nil || err2 != nil || !bytes.Equal(back, b.Bytes()) || !bytes.Equal(part, back) || !reflect.DeepEqual(got, m) {
		t.Errorf("%d bytes, %d, %+v, %v, %v", len(back), len(part), got, err, err2)
	}
	if !sameDisk(databaseIn(data), filepath.Join(data, "not", "yet")) {
		t.Error("a folder below the data is not on its disk")
	}
}

// Every command of the program stands in its help and in the README.
func TestReadmeListsTheCommands(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	names := regexp.MustCompile(`(?m)^  ([a-z]+) `).FindAllStringSubmatch(usage, -1)
	if len(names) < 9 {
		t.Fatalf("%d commands in the help", len(names))
	}
	for _, n := range names {
		if n[1] != "help" && !bytes.Contains(readme, []byte("| `tubewright "+n[1])) {
			t.Errorf("README.md does not say what tubewright %s does", n[1])
		}
	}
}
