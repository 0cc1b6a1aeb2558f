package store

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
)

func importBytes(t testing.TB, s *Store, b []byte) Imported {
	t.Helper()
	im, err := s.Import(t.Context(), bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	return im
}

func exportBytes(t testing.TB, s *Store, jobs ...string) ([]byte, Archived) {
	t.Helper()
	var b bytes.Buffer
	a, err := s.Export(t.Context(), &b, jobs)
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), a
}

// item is one entry of an archive made in a test.
type item struct{ name, text string }

func made(t testing.TB, method uint16, items ...item) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, it := range items {
		w, err := z.CreateHeader(&zip.FileHeader{Name: it.name, Method: method})
		if err == nil {
			_, err = io.WriteString(w, it.text)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func headFor(records, photos int) item {
	return item{headName, fmt.Sprintf(`{"tubewright_archive":1,"made_ms":1,"by":"tab9","name":"Tablet 9","records":%d,"photos":%d,"drafts":0}`, records, photos)}
}

func linesOf(raws ...string) item {
	var b strings.Builder
	for _, r := range raws {
		b.Write(line(r))
	}
	return item{recordsName, b.String()}
}

func hashesOf(raws ...string) item {
	var b strings.Builder
	for _, r := range raws {
		b.Write(hashLine(r))
	}
	return item{hashesName, b.String()}
}

// What leaves the shop by file comes into another shop byte for byte, and a
// second time changes nothing.
func TestImportTwiceChangesNothing(t *testing.T) {
	from, _ := testOpen(t)
	odd := ` { "kind":"weld-pass", "id":"` + testID("n", 1) + `","job":"j1","newer":{"Ω":[1.0,1e400]},"body":"\ud800<&>\u2028" } `
	b1, m1 := testPhoto(70, 200, 200)
	b2, m2 := testPhoto(71, 60, 60)
	push(t, from, append(raws("a", 0, 450), odd, photoRecord("a", 900, m1.SHA, m2.SHA))...)
	send(t, from, b1, m1)
	send(t, from, b2, m2)
	file, a := exportBytes(t, from)
	if a.Records != 452 || a.Photos != 2 || len(a.Missing) != 0 {
		t.Errorf("%+v", a)
	}
	to, path := testOpen(t)
	if im := importBytes(t, to, file); im.Records != 452 || im.Photos != 2 || !im.Whole() {
		t.Errorf("%+v", im)
	}
	before := mustCheck(t, path)
	if im := importBytes(t, to, file); im.Records != 0 || im.Known != 452 || im.Photos != 0 || im.Here != 2 || !im.Whole() {
		t.Errorf("again: %+v", im)
	}
	if after := mustCheck(t, path); after.Chain != before.Chain || !after.OK() || after.Photos.Whole != 2 {
		t.Errorf("%+v", after)
	}
	if !holds(t, to, b1, m1) || !holds(t, to, b2, m2) {
		t.Error("a photo is missing")
	}
	for pos := int64(0); ; {
		p, err := from.After(t.Context(), pos, 1<<20)
		q, err2 := to.After(t.Context(), pos, 1<<20)
		if err != nil || err2 != nil || p.Chain != q.Chain {
			t.Fatalf("after %d: %v, %v", pos, err, err2)
		}
		if pos = p.To; len(p.Rows) == 0 {
			break
		}
	}
}

func TestExportOfOneJobTakesItsPhotosOnly(t *testing.T) {
	s, _ := testOpen(t)
	b1, m1 := testPhoto(72, 60, 60)
	b2, m2 := testPhoto(73, 60, 60)
	gone := hashOf([]byte("not yet here"))
	push(t, s, append(raws("a", 0, 9), photoRecord("a", 20, m1.SHA, gone))...) // in j1
	send(t, s, b1, m1)
	send(t, s, b2, m2)
	file, a := exportBytes(t, s, "j1")
	if a.Records != 4 || a.Photos != 1 || !slices.Equal(a.Missing, []string{gone}) {
		t.Errorf("%+v", a)
	}
	to, _ := testOpen(t)
	if im := importBytes(t, to, file); im.Records != 4 || im.Photos != 1 || !im.Whole() || !holds(t, to, b1, m1) {
		t.Errorf("%+v", im)
	}
	if _, a := exportBytes(t, s, "nobody wrote about it"); a.Records != 0 || a.Photos != 0 {
		t.Errorf("%+v", a)
	}
	push(t, s, denyRecord("a", 30, m1.SHA))
	if _, a := exportBytes(t, s, "j1"); a.Records != 5 || a.Photos != 0 || len(a.Missing) != 0 {
		t.Errorf("after it was taken out: %+v", a)
	}
}

// A stranger's archive, deflated, in other order and with what a tablet adds.
func TestArchivesOfOthers(t *testing.T) {
	b, m := testPhoto(74, 60, 60)
	all := raws("a", 0, 5)
	for _, method := range []uint16{zip.Store, zip.Deflate} {
		s, path := testOpen(t)
		push(t, s, all[0], raw("a", 1, 7)) // one known, one with other text
		im := importBytes(t, s, made(t, method,
			item{"photos/", ""}, item{photosName + m.SHA + ".jpg", string(b)}, linesOf(all...),
			item{draftsName, `{"key":"a","text":"3 9/","id":"","at":""}` + "\n" + `{"key":"b","text":"1","id":"","at":""}`},
			headFor(5, 1)))
		if im.Records != 3 || im.Known != 1 || im.Aside != 1 || im.Photos != 1 || im.Drafts != 2 || len(im.Wrong) != 1 {
			t.Errorf("%+v", im)
		}
		if r := mustCheck(t, path); !r.OK() || len(r.SetAside) != 1 || r.SetAside[0].Dev != "tab9" || r.SetAside[0].Other != all[1] {
			t.Errorf("%+v", r.SetAside)
		}
	}
}

func TestBadEntriesAreNamedAndTheRestIsTaken(t *testing.T) {
	b, m := testPhoto(75, 60, 60)
	place, err := os.ReadFile("../testdata/photo/gps.jpg")
	if err != nil {
		t.Fatal(err)
	}
	all := raws("a", 0, 3)
	wrong := hashOf([]byte("wrong"))
	s, _ := testOpen(t)
	gone, goneM := testPhoto(76, 60, 60)
	push(t, s, denyRecord("b", 1, goneM.SHA))
	im := importBytes(t, s, made(t, zip.Deflate, headFor(9, 9),
		item{recordsName, linesOf(all[0]).text + "no JSON\n" + `{"id":1}` + "\n\r\n" + `"no record"` + "\n" + strings.Repeat("x", maxLine+5) + "\n" + linesOf(all[1:]...).text},
		item{"../../etc/passwd", "root"}, item{"photos/../../x.jpg", "x"}, item{`photos\` + m.SHA + ".jpg", string(b)}, item{"notes.txt", "hello"},
		item{photosName + m.SHA + ".jpg", string(b)},
		item{photosName + wrong + ".jpg", string(b)},
		item{photosName + hashOf(place) + ".jpg", string(place)},
		item{photosName + hashOf([]byte("<svg/>")) + ".png", "<svg/>"},
		item{photosName + goneM.SHA + ".jpg", string(gone)},
	))
	if im.Records != 3 || im.Photos != 1 || im.Here != 1 || !holds(t, s, b, m) {
		t.Errorf("%+v", im)
	}
	said := strings.Join(im.Wrong, "\n")
	for _, want := range []string{"line 2 is not", "line 3 is not", "no record: record is not JSON", "line 5: the line has more", `"../../etc/passwd" is no name`, `"photos/../../x.jpg" is no name`,
		"notes.txt", wrong + ": its bytes", hashOf(place) + " was not taken in", hashOf([]byte("<svg/>")) + " was not", "says that it has 9 records; 4 were read", "9 photos; 5 were found"} {
		if !strings.Contains(said, want) {
			t.Errorf("nothing says %q in\n%s", want, said)
		}
	}
	if len(im.Wrong) != 13 {
		t.Errorf("%d sentences:\n%s", len(im.Wrong), said)
	}
}

func TestFilesThatAreNoArchives(t *testing.T) {
	s, _ := testOpen(t)
	for name, b := range map[string][]byte{
		"empty": {}, "letter": []byte("Dear customer"), "other zip": made(t, zip.Store, item{"letter.txt", "Dear customer"}),
		"newer": made(t, zip.Store, item{headName, `{"tubewright_archive":2}`}, linesOf(raws("a", 0, 1)...)),
		"job":   []byte(`{"tubewright":1}`),
	} {
		if im, err := s.Import(t.Context(), bytes.NewReader(b), int64(len(b))); err == nil {
			t.Errorf("%s: %+v", name, im)
		}
	}
	if high, err := s.High(t.Context()); high != 0 || err != nil {
		t.Errorf("%d records, %v", high, err)
	}
}

// Any byte of an archive is flipped: all but what it hits is taken in, nothing
// wrong gets in, and it is said. Without the list of hashes no line is believed.
func TestFlippedByteHarmsOneThingAndIsNamed(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	from, _ := testOpen(t)
	all := raws("a", 0, 12)
	want := map[string]bool{}
	for _, r := range all {
		want[r] = true
	}
	b1, m1 := testPhoto(77, 40, 40)
	b2, m2 := testPhoto(78, 40, 40)
	push(t, from, all...)
	send(t, from, b1, m1)
	send(t, from, b2, m2)
	file, _ := exportBytes(t, from)
	places := make([]int, 0, 400)
	for i := range 300 {
		places = append(places, i) // the head and the first entries
	}
	for i := range 300 {
		places = append(places, len(file)-1-i) // the table of contents
	}
	for range 200 {
		places = append(places, rnd.IntN(len(file)))
	}
	unnoticed := 0
	for _, at := range places {
		bad := bytes.Clone(file)
		bad[at] ^= byte(1 + rnd.IntN(255))
		got, photos, wrong := readAll(t, bad)
		missing := len(all)
		for _, r := range got {
			if !want[r] {
				t.Fatalf("seed %d, byte %d: a record that nobody wrote: %s", seed, at, r)
			}
			missing--
		}
		for sha, b := range photos {
			if hashOf(b) != sha {
				t.Fatalf("seed %d, byte %d: a photo that nobody took", seed, at)
			}
		}
		if lost := missing + 2 - len(photos); lost > 1 || lost > 0 && len(wrong) == 0 {
			t.Fatalf("seed %d, byte %d: %d of %d records and %d of 2 photos, said %q", seed, at, len(got), len(all), len(photos), wrong)
		}
		if len(wrong) == 0 {
			unnoticed++
		}
	}
	t.Logf("of %d flipped bytes %d touched nothing that is read", len(places), unnoticed)
	plain := made(t, zip.Store, headFor(12, 0), linesOf(all...))
	plain[bytes.Index(plain, []byte("caliper"))] ^= 1
	if got, _, wrong := readAll(t, plain); len(got) != 0 || !strings.Contains(strings.Join(wrong, " "), "none was taken") {
		t.Errorf("without hashes: %d records, %q", len(got), wrong)
	}
}

// An archive that was cut off gives what its front part holds.
func TestCutOffArchiveGivesItsFrontPart(t *testing.T) {
	from, _ := testOpen(t)
	push(t, from, raws("a", 0, 50)...)
	b, m := testPhoto(79, 40, 40)
	send(t, from, b, m)
	file, _ := exportBytes(t, from)
	start, end := bytes.Index(file, []byte(recordsName))+len(recordsName), bytes.Index(file, []byte(photosName))
	last := -1
	for cut := start; cut < end; cut += (end - start) / 20 {
		got, _, wrong := readAll(t, file[:cut])
		if len(got) < last || len(wrong) == 0 {
			t.Errorf("cut at %d: %d records after %d, said %q", cut, len(got), last, wrong)
		}
		last = len(got)
	}
	if last < 40 {
		t.Errorf("%d records of 50 near the end", last)
	}
	got, photos, _ := readAll(t, file[:len(file)-60]) // the table of contents is cut
	if len(got) != 50 || len(photos) != 1 {
		t.Errorf("%d records, %d photos", len(got), len(photos))
	}
	// As others write it: size and checksum come after the bytes of an entry.
	for _, method := range []uint16{zip.Deflate, zip.Store} {
		others := made(t, method, headFor(50, 1), hashesOf(raws("a", 0, 50)...), linesOf(raws("a", 0, 50)...), item{photosName + m.SHA + ".jpg", string(b)})
		if got, photos, _ := readAll(t, others[:len(others)-150]); len(got) != 50 || len(photos) != 1 {
			t.Errorf("method %d: %d records, %d photos", method, len(got), len(photos))
		}
		cut := bytes.Index(others, []byte(recordsName)) + 1000
		if got, _, wrong := readAll(t, others[:cut]); len(wrong) == 0 || method == zip.Store && len(got) < 1 {
			t.Errorf("method %d, cut: %d records, said %q", method, len(got), wrong)
		}
	}
}

// readAll reads an archive as an import does, without a store.
func readAll(t testing.TB, b []byte) (raws []string, photos map[string][]byte, wrong []string) {
	t.Helper()
	var im Imported
	photos = map[string][]byte{}
	a, err := openArchive(bytes.NewReader(b), int64(len(b)), im.say)
	if err != nil {
		return nil, photos, []string{err.Error()}
	}
	if err := a.records(t.Context(), func(raw string) error { raws = append(raws, raw); return nil }); err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(a.photos) || len(a.photos) < a.head.Photos && a.salvage() && i < len(a.photos); i++ {
		p, sha, err := a.readPhoto(a.photos[i].name)
		if err != nil {
			im.say("Photo %s: %v.", sha, err)
			continue
		}
		photos[sha] = p
	}
	a.drafts()
	if a.head.Version != 0 && (len(raws) != a.head.Records || len(photos) != a.head.Photos) {
		im.say("counts differ")
	}
	return raws, photos, im.Wrong
}

// A small file that unpacks to much is read within limits of memory.
func TestBombIsReadWithinLimits(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	head := headFor(1, 1)
	w, _ := z.Create(head.name)
	io.WriteString(w, head.text)
	sha := hashOf([]byte("bomb"))
	zeros := make([]byte, 1<<20)
	for name, mib := range map[string]int{photosName + sha + ".png": 6, draftsName: 6} {
		w, _ = z.Create(name)
		for range mib {
			w.Write(zeros)
		}
	}
	w, _ = z.Create(recordsName)
	for range 6 {
		w.Write(zeros)
	}
	io.WriteString(w, "\n")
	w.Write(line(raw("a", 1, 1)))
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	s, _ := testOpen(t)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	im := importBytes(t, s, b.Bytes())
	runtime.ReadMemStats(&after)
	if im.Records != 1 || im.Photos != 0 || len(im.Wrong) != 2 {
		t.Errorf("%+v", im)
	}
	if grown := after.TotalAlloc - before.TotalAlloc; grown > 96<<20 {
		t.Errorf("%d MiB allocated for %d KiB", grown>>20, b.Len()>>10)
	}
	long := bytes.Repeat([]byte{'x'}, 100)
	large := entry{name: "x", open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(long)), nil }}
	if b, err := readSmall(large, 99); err == nil || len(b) > 100 {
		t.Errorf("%d bytes of at most 99, %v", len(b), err)
	}
	table := &tableReader{bytes.NewReader(long), 50}
	if _, err := table.ReadAt(make([]byte, 60), 0); err == nil {
		t.Error("a long table of contents is read")
	}
}

// The page that describes the format names every entry and key.
func TestArchivePageSaysWhatIsWritten(t *testing.T) {
	page, err := os.ReadFile("ARCHIVE.md")
	if err != nil {
		t.Fatal(err)
	}
	head, _ := json.Marshal(archiveHead{})
	var keys map[string]any
	if err := json.Unmarshal(head, &keys); err != nil {
		t.Fatal(err)
	}
	want := []string{headName, hashesName, recordsName, draftsName, photosName + "SHA", ".jpg", ".png", ".webp"}
	for key := range keys {
		want = append(want, `"`+key+`"`)
	}
	for _, w := range want {
		if !bytes.Contains(page, []byte(w)) {
			t.Errorf("ARCHIVE.md does not say %s", w)
		}
	}
}

func FuzzReadArchive(f *testing.F) {
	all := raws("a", 0, 3)
	b, m := testPhoto(80, 8, 8)
	photo := item{photosName + m.SHA + ".jpg", string(b)}
	f.Add(made(f, zip.Store, headFor(3, 1), hashesOf(all...), linesOf(all...), photo))
	f.Add(made(f, zip.Deflate, headFor(3, 1), linesOf(all...), photo, item{draftsName, "{}"}))
	f.Add(made(f, zip.Store, item{"../x", ""}, linesOf()))
	whole := made(f, zip.Store, headFor(3, 1), hashesOf(all...), linesOf(all...), photo)
	f.Add(whole[:len(whole)-40])
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, b []byte) {
		raws, photos, wrong := readAll(t, b)
		for sha, p := range photos {
			if hashOf(p) != sha || len(p) > 40<<20 {
				t.Errorf("%s: %d bytes", sha, len(p))
			}
		}
		for _, r := range raws {
			if len(r) > maxLine {
				t.Errorf("a record of %d bytes", len(r))
			}
		}
		if len(wrong) > maxFaults {
			t.Errorf("%d sentences", len(wrong))
		}
	})
}
