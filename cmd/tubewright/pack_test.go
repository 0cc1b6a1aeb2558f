package main

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/server"
	"tubewright/store"
)

// packedShop is a data folder with a job of a file, photos on two of its slots, one with a
// preview, and stock and a saw of the shop's own.
func packedShop(t *testing.T, file string) (data, id string, photos []string) {
	t.Helper()
	data = t.TempDir()
	st := openData(t, data)
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	facts, err := job.ReadFile(b)
	if err != nil {
		t.Fatal(err)
	}
	w := recordMaker{job: newID(), dev: newID(), person: "Rowan (invented)", at: time.Now(), step: time.Second}
	for _, d := range facts.Drafts() {
		w.add(d)
	}
	id = w.job
	small := keepPhoto(t, st, 40, 30)
	big := keepPhoto(t, st, 400, 300)
	other := keepPhoto(t, st, 300, 400)
	addPhoto(t, &w, "bank/A/thickness", big, &small)
	addPhoto(t, &w, "port/p1/width", other, nil)
	appendAll(t, st, w)
	shop := recordMaker{job: job.ShopJob, dev: newID(), person: "Imre (invented)", at: time.Now(), step: time.Second}
	facts, err = job.ReadFile([]byte(`{"tubewright":1,"shop":{"kerf":"0.063 in"},"stock":[{"id":"rack1","od":"1 5/8 in","wall":"0.065 in","clr":"2 1/2 in","angle":180,"leg_a":"4 in","leg_b":"4 in",
		"price":31,"on_hand":3,"supplier":"Invented Bends"},{"id":"rack2","od":"1 5/8 in","wall":"0.065 in","length":"48 in","on_hand":5}]}`))
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range facts.Drafts() {
		shop.add(d)
	}
	appendAll(t, st, shop)
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	return data, id, []string{small.SHA, big.SHA, other.SHA}
}

func appendAll(t *testing.T, st *store.Store, w recordMaker) {
	t.Helper()
	if a, err := st.Append(t.Context(), w.dev, w.raws); err != nil || len(a.Refused) > 0 {
		t.Fatal(a.Refused, err)
	}
}

// keepPhoto puts an invented picture into the shop.
func keepPhoto(t *testing.T, st *store.Store, width, height int) ledger.Photo {
	t.Helper()
	r := rand.New(rand.NewPCG(uint64(width), uint64(height)))
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	for i := range img.Pix {
		img.Pix[i] = byte(r.Uint32())
	}
	img.Set(0, 0, color.White)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(b.Bytes())
	p := ledger.Photo{SHA: hex.EncodeToString(sum[:]), Size: int64(b.Len()), Type: "image/jpeg", W: width, H: height}
	m := server.Manifest{SHA: p.SHA, Size: p.Size, Type: p.Type, Chunk: store.ChunkSize, W: width, H: height}
	chunks := slices.Collect(slices.Chunk(b.Bytes(), store.ChunkSize))
	for _, c := range chunks {
		sum := sha256.Sum256(c)
		m.Chunks = append(m.Chunks, hex.EncodeToString(sum[:]))
	}
	blobs := shopBlobs{st}
	if _, err := blobs.BeginBlob(t.Context(), m); err != nil {
		t.Fatal(err)
	}
	for i, c := range chunks {
		if _, err := blobs.PutChunk(t.Context(), p.SHA, i, c); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

// addPhoto adds the record of a photo that shows a slot.
func addPhoto(t *testing.T, w *recordMaker, slot string, p ledger.Photo, preview *ledger.Photo) {
	t.Helper()
	if preview != nil {
		p.Preview = &ledger.Preview{SHA: preview.SHA, Size: preview.Size, W: preview.W, H: preview.H}
	}
	p.Person, p.At = w.person, w.at.Format(time.RFC3339)
	body, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	w.raws = append(w.raws, ledger.Encode(ledger.Record{ID: newID(), Dev: w.dev, N: int64(len(w.raws) + 1), HLC: ledger.Stamp(w.at.UnixMilli(), uint16(len(w.raws)), w.dev),
		Kind: ledger.PhotoKind, Job: w.job, Slot: slot, SV: 1, Body: body}))
}

// wholePlan is the plan of a job in a shop, with what takes long, as it is printed.
func wholePlan(t *testing.T, data, id string) string {
	t.Helper()
	st, err := store.Open(t.Context(), databaseIn(data))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	recs, err := st.Job(t.Context(), id)
	shop, err2 := st.Job(t.Context(), job.ShopJob)
	if err != nil || err2 != nil || len(recs) == 0 {
		t.Fatal(len(recs), err, err2)
	}
	b, err := json.Marshal(job.Whole(recs, shop...))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func entriesOf(t *testing.T, file string) map[string][]byte {
	t.Helper()
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	in := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if in[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatalf("%s: %v", f.Name, err)
		}
	}
	return in
}

// Taken into an empty shop the pack gives the job back: the very same whole plan, every
// photo, also where the plan rests on the shop's stock. A second time changes nothing.
// What goes in is found by its index, and the index says nothing that is not there.
func TestPackGivesTheJobBack(t *testing.T) {
	for _, file := range []string{"../../testdata/job/bench.job.json", "demo/heron.job.json", "demo/curlew.job.json"} {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, id, photos := packedShop(t, file)
			pack := filepath.Join(t.TempDir(), "job.tubewright.zip")
			if out := works(t, "pack", "-data", data, id, "-o", pack); !strings.Contains(out, "3 photos and previews") {
				t.Error(out)
			}
			empty := filepath.Join(t.TempDir(), "data")
			works(t, "import", "-data", empty, pack)
			want, got := wholePlan(t, data, id), wholePlan(t, empty, id)
			if got != want {
				t.Errorf("another plan:\n%.2000s\n%.2000s", want, got)
			}
			if out := works(t, "import", "-data", empty, pack); !strings.Contains(out, " 0 records new,") || !strings.Contains(out, " 0 photos and previews new") {
				t.Error(out)
			}
			if got := wholePlan(t, empty, id); got != want {
				t.Error("after the second time it is another plan")
			}
			works(t, "check", empty)
			st := openData(t, empty)
			for _, sha := range photos {
				r, _, err := shopBlobs{st}.ReadBlob(t.Context(), sha)
				if err != nil {
					t.Fatal(err)
				}
				h := sha256.New()
				io.Copy(h, r)
				r.Close()
				if hex.EncodeToString(h.Sum(nil)) != sha {
					t.Errorf("photo %s is another one", sha)
				}
			}
			in := entriesOf(t, pack)
			indexed(t, in, photos)
			sheetsAreIn(t, st, id, in)
			var plan, whole any
			if err := json.Unmarshal(in["plan.json"], &plan); err != nil {
				t.Fatal(err)
			}
			json.Unmarshal([]byte(want), &whole)
			if a, b := compact(t, plan), compact(t, whole); a != b {
				t.Error("plan.json is not the plan")
			}
			byHand := filepath.Join(t.TempDir(), "job.job.json")
			if err := os.WriteFile(byHand, in["job.job.json"], 0o600); err != nil {
				t.Fatal(err)
			}
			works(t, "plan", byHand)
			fails(t, exitFailed, "there already", "pack", "-data", data, id, "-o", pack)
		})
	}
}

func compact(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// indexed checks that the index names what a repeat order needs, every file, and no other.
func indexed(t *testing.T, in map[string][]byte, photos []string) {
	t.Helper()
	index := string(in["README.txt"])
	for _, want := range []string{"The customer is Invented customer.", "Head flange, its ports and bolts", "revision", "as cut", "Fixture: base", "* Collector", "maker: Invented Bends",
		"Welding: ", "Gaps, cold", "Bank A: Flange thickness", "Port 1: ", "Rowan (invented)"} {
		if !strings.Contains(index, want) {
			t.Errorf("the index does not say %q", want)
		}
	}
	for name, b := range in {
		switch name {
		case "README.txt", "tubewright.json", "hashes.txt", "records.jsonl":
			continue
		}
		sum := sha256.Sum256(b)
		if isPhoto := strings.HasPrefix(name, "photos/"); !strings.Contains(index, name) || !isPhoto && !strings.Contains(index, hex.EncodeToString(sum[:])) {
			t.Errorf("the index does not name %s with its sum", name)
		}
	}
	for _, name := range regexp.MustCompile(`(?:sheets|photos)/[^\s,]+\.\w+`).FindAllString(index, -1) {
		if in[name] == nil {
			t.Errorf("the index names %s, which is not there", name)
		}
	}
	for _, sha := range photos {
		if in["photos/"+sha+".jpg"] == nil {
			t.Errorf("photo %s is not in it", sha)
		}
	}
}

// sheetsAreIn checks that every sheet lies in the pack as a whole PDF, or the index says why
// it cannot be made.
func sheetsAreIn(t *testing.T, st *store.Store, id string, in map[string][]byte) {
	t.Helper()
	recs, err := st.Job(t.Context(), id)
	shop, err2 := st.Job(t.Context(), job.ShopJob)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	can, there := 0, 0
	for _, e := range sheet.Of(job.Work(recs, shop...)).Sheets {
		if !strings.Contains(strings.Join(strings.Fields(string(in["README.txt"])), " "), "* Sheet "+e.Title+": ") { // it says why not
			can++
		}
	}
	for name, b := range in {
		if strings.HasPrefix(name, "sheets/") && strings.HasSuffix(name, ".pdf") {
			there++
			if !bytes.HasPrefix(b, []byte("%PDF-")) || !bytes.Contains(b[len(b)-10:], []byte("%%EOF")) {
				t.Errorf("%s is no whole PDF", name)
			}
		}
	}
	if there != can || can < 20 {
		t.Errorf("%d sheets are in it, %d can be made", there, can)
	}
}

// The pack of one shop leaves the rack of another alone, and says so; the same shop gets
// back what it lost.
func TestPackLeavesTheStockOfAnotherShopAlone(t *testing.T) {
	data, id, _ := packedShop(t, "../../testdata/job/four.job.json")
	pack := filepath.Join(t.TempDir(), "job.tubewright.zip")
	works(t, "pack", "-data", data, id, "-o", pack)
	of := func(data string) []ledger.Record {
		st, err := store.Open(t.Context(), databaseIn(data))
		if err != nil {
			t.Fatal(err)
		}
		defer st.Close()
		recs, err := st.Job(t.Context(), job.ShopJob)
		if err != nil {
			t.Fatal(err)
		}
		return recs
	}
	own := of(data)
	other, _, _ := packedShop(t, "../../testdata/job/vee.job.json")
	had := of(other)
	if out := works(t, "import", "-data", other, pack); !strings.Contains(out, "records of another shop's own stock") {
		t.Error(out)
	}
	if got := of(other); len(got) != len(had) {
		t.Errorf("%d records of its own, had %d", len(got), len(had))
	}
	same := t.TempDir() // it has one record of it: the backup was older
	st := openData(t, same)
	if _, err := st.Append(t.Context(), "tab", []string{ledger.Encode(own[0])}); err != nil {
		t.Fatal(err)
	}
	st.Close()
	works(t, "import", "-data", same, pack)
	if got := of(same); len(got) != len(own) {
		t.Errorf("the shop got %d records of its own back, of %d", len(got), len(own))
	}
}

// A pack that was cut off anywhere behind its records gives all of them; one with a changed
// sheet gives everything, since sheets are made again; a changed record is named.
func TestDamagedPackGivesWhatIsWhole(t *testing.T) {
	data, id, _ := packedShop(t, "../../testdata/job/bench.job.json")
	file := filepath.Join(t.TempDir(), "job.tubewright.zip")
	works(t, "pack", "-data", data, id, "-o", file)
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	records := strings.Count(string(entriesOf(t, file)["records.jsonl"]), "\n")
	take := func(b []byte) store.Imported {
		t.Helper()
		st, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "t.db"))
		if err != nil {
			t.Fatal(err)
		}
		defer st.Close()
		im, err := st.Import(t.Context(), bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Fatal(err)
		}
		return im
	}
	if im := take(whole); im.Records != records || im.Photos != 3 || im.Papers < 30 || !im.Whole() {
		t.Errorf("%+v", im)
	}
	behind := bytes.Index(whole, []byte("job.job.json"))
	const seed = 20
	r := rand.New(rand.NewPCG(seed, 0))
	for range 20 {
		cut := behind + r.IntN(len(whole)-behind-1)
		if im := take(whole[:cut]); im.Records != records || im.Photos != 3 || im.Whole() {
			t.Errorf("seed %d, cut at %d of %d: %+v", seed, cut, len(whole), im)
		}
	}
	spoilt := slices.Clone(whole)
	spoilt[bytes.Index(spoilt, []byte("%PDF-"))+40] ^= 1
	if im := take(spoilt); im.Records != records || !im.Whole() {
		t.Errorf("with a spoilt sheet: %+v", im)
	}
	spoilt = slices.Clone(whole)
	spoilt[bytes.Index(spoilt, []byte("Rowan"))] ^= 1
	if im := take(spoilt); im.Records != records-1 || im.Photos != 3 || !strings.Contains(strings.Join(im.Wrong, " "), "was changed") {
		t.Errorf("with a spoilt record: %+v", im)
	}
}

// A pack that is given up, or whose program is killed, leaves nothing under its name.
func TestPackIsThereWholeOrNotAtAll(t *testing.T) {
	data, id, _ := packedShop(t, "../../testdata/job/bench.job.json")
	folder := t.TempDir()
	file := filepath.Join(folder, "job.tubewright.zip")
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(150*time.Millisecond, cancel)
	var out bytes.Buffer
	if code := run(ctx, []string{"pack", "-data", data, id, "-o", file}, &out, &out); code != exitFailed {
		t.Errorf("exit %d: %s", code, out.String())
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("it left %v, %v", left, err)
	}
	for _, bad := range [][]string{{"pack", "-data", data}, {"pack", "-data", data, "nobody"}, {"pack", "-data", data, id, "-unit", "furlong"}, {"pack", "-data", data, id, "-paper", "a9"}} {
		fails(t, exitUnusable, "", bad...)
	}
	fails(t, exitFailed, "no database", "pack", "-data", t.TempDir(), id)
	here := filepath.Join(folder, ".pack-1.zip") // of a server that was killed
	if err := os.WriteFile(here, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := dropHalves(folder); err != nil {
		t.Fatal(err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("the server leaves %v, %v", left, err)
	}
}

// A job is found by its name where only one is called so.
func TestPackFindsAJobByItsName(t *testing.T) {
	data := demoShop(t)
	folder := t.TempDir()
	out := works(t, "pack", "-data", data, "Wren twin (invented)", "-o", folder)
	if !strings.Contains(out, "Wren-twin-invented-pack.tubewright.zip") {
		t.Error(out)
	}
	works(t, "import", "-data", data, "demo/wren.job.json")
	fails(t, exitUnusable, "2 jobs are called", "pack", "-data", data, "Wren twin (invented)", "-o", folder)
}
