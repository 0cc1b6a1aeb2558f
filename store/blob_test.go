package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"os"
	"runtime"
	"testing"

	"tubewright/calc/ledger"
)

// testPhoto is a JPEG of noise, always the same for a seed: w by h pixels make
// about w·h bytes.
func testPhoto(seed uint64, w, h int) ([]byte, Manifest) {
	rnd := rand.New(rand.NewPCG(seed, 0))
	img := image.NewGray(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.SetGray(i%w, i/w, color.Gray{Y: uint8(rnd.Uint32())})
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		panic(err)
	}
	return b.Bytes(), manifestOf(b.Bytes(), picture{"image/jpeg", w, h})
}

// photoRecord is a record n of a device that names a photo, and its preview if any.
func photoRecord(dev string, n int, sha, preview string) string {
	body := map[string]any{"sha": sha, "size": 1, "type": "image/jpeg", "w": 1, "h": 1, "taken": "", "person": "Ada Invented", "at": "2026-03-02T08:15:00+01:00"}
	if preview != "" {
		body["preview"] = map[string]any{"sha": preview, "size": 1, "w": 1, "h": 1}
	}
	return otherRecord(dev, n, ledger.PhotoKind, body)
}

func denyRecord(dev string, n int, sha string) string {
	return otherRecord(dev, n, ledger.DenyKind, map[string]any{"sha": sha, "why": "a face", "person": "Ada Invented", "at": "2026-03-02T08:15:00+01:00"})
}

func otherRecord(dev string, n int, kind string, body any) string {
	b, err := json.Marshal(body)
	if err != nil {
		panic(err)
	}
	return ledger.Encode(ledger.Record{ID: testID(dev, n), Dev: dev, N: int64(n), HLC: ledger.Stamp(1764025441123+int64(n), 0, dev),
		Kind: kind, Job: "j1", Slot: "port/p1/photo", SV: 1, Body: b})
}

func chunk(b []byte, i int) []byte { return b[i*ChunkSize : min((i+1)*ChunkSize, len(b))] }

// send puts a photo into a store as a tablet does.
func send(t testing.TB, s *Store, b []byte, m Manifest) {
	t.Helper()
	st, err := s.BeginBlob(t.Context(), m)
	if err != nil {
		t.Fatal(err)
	}
	for i := range m.Chunks {
		if st.Done {
			break
		}
		if st.Have[i] {
			continue // a tablet sends only what the shop lacks
		}
		if st, err = s.PutChunk(t.Context(), m.SHA, i, chunk(b, i)); err != nil {
			t.Fatal(err)
		}
	}
	if !st.Done {
		t.Fatalf("after all chunks: %+v", st)
	}
}

// holds tells whether a store has all bytes of a photo, right.
func holds(t testing.TB, s *Store, b []byte, m Manifest) bool {
	t.Helper()
	f, got, err := s.ReadBlob(t.Context(), m.SHA)
	if err != nil {
		return false
	}
	defer f.Close()
	all, err := io.ReadAll(f)
	if err != nil || !bytes.Equal(all, b) || got.SHA != m.SHA || got.Size != int64(len(b)) {
		t.Errorf("photo reads as %d bytes, want %d, %v", len(all), len(b), err)
	}
	return true
}

func refusedFor(t testing.TB, err error, why string) {
	t.Helper()
	var r *Refusal
	if !errors.As(err, &r) || r.Why != why || r.Text == "" {
		t.Errorf("refused with %v, want %q", err, why)
	}
}

func TestPhotoComesBackAsItWasSent(t *testing.T) {
	s, path := testOpen(t)
	b, m := testPhoto(1, 900, 700)
	if len(m.Chunks) < 3 {
		t.Fatalf("%d chunks", len(m.Chunks))
	}
	if st, err := s.Blob(t.Context(), m.SHA); err != nil || st.Known || st.Done || st.Have != nil {
		t.Errorf("before: %+v, %v", st, err)
	}
	if _, err := s.PutChunk(t.Context(), m.SHA, 0, chunk(b, 0)); err == nil {
		t.Error("a chunk without manifest was taken")
	} else {
		refusedFor(t, err, "unknown")
	}
	for range 2 { // again with the same manifest: nothing changes
		if st, err := s.BeginBlob(t.Context(), m); err != nil || !st.Known || st.Done || len(st.Have) != len(m.Chunks) {
			t.Fatalf("begun: %+v, %v", st, err)
		}
	}
	for i := len(m.Chunks) - 1; i >= 0; i-- { // any order, twice
		for range 2 {
			if _, err := s.PutChunk(t.Context(), m.SHA, i, chunk(b, i)); err != nil {
				t.Fatal(err)
			}
		}
		if st, _ := s.Blob(t.Context(), m.SHA); i > 0 && (!st.Have[i] || st.Have[0] || st.Done) {
			t.Errorf("with chunk %d: %+v", i, st)
		}
	}
	for range 2 {
		if st, err := s.Blob(t.Context(), m.SHA); err != nil || !st.Done || st.Have != nil || st.Backed {
			t.Errorf("after: %+v, %v", st, err)
		}
		if !holds(t, s, b, m) {
			t.Error("the photo is not there")
		}
		for i := range m.Chunks {
			if c, err := s.ReadChunk(t.Context(), m.SHA, i); err != nil || !bytes.Equal(c, chunk(b, i)) {
				t.Errorf("chunk %d: %d bytes, %v", i, len(c), err)
			}
		}
		_, err := s.ReadChunk(t.Context(), m.SHA, len(m.Chunks))
		refusedFor(t, err, "unknown")
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s = reopen(t, path)
	}
	if _, err := os.Stat(s.part(m.SHA)); err == nil {
		t.Error("parts are left")
	}
	if r := mustCheck(t, path); !r.OK() || r.Photos.Whole != 1 || r.Photos.Bytes != m.Size || r.Photos.Stray != 0 || r.Photos.Parts != 0 {
		t.Errorf("check: %+v", r)
	}
}

func TestManifestsThatCannotBe(t *testing.T) {
	s, _ := testOpen(t)
	_, good := testPhoto(1, 900, 700)
	for name, tt := range map[string]struct {
		change func(m *Manifest)
		why    string
	}{
		"short name":     {func(m *Manifest) { m.SHA = "ab" }, "manifest"},
		"path as name":   {func(m *Manifest) { m.SHA = "../../../../../../../../../../../../../../../../../../../../../../" }, "manifest"},
		"capitals":       {func(m *Manifest) { m.SHA = "A" + m.SHA[1:] }, "manifest"},
		"too large":      {func(m *Manifest) { m.Size = 40<<20 + 1 }, "size"},
		"huge":           {func(m *Manifest) { m.Size = 1 << 62 }, "size"},
		"empty":          {func(m *Manifest) { m.Size, m.Chunks = 0, nil }, "manifest"},
		"negative":       {func(m *Manifest) { m.Size = -1 }, "manifest"},
		"drawing":        {func(m *Manifest) { m.Type = "image/svg+xml" }, "type"},
		"other chunk":    {func(m *Manifest) { m.Chunk = 1 }, "manifest"},
		"chunk missing":  {func(m *Manifest) { m.Chunks = m.Chunks[1:] }, "manifest"},
		"hash no hash":   {func(m *Manifest) { m.Chunks = append([]string{"x"}, m.Chunks[1:]...) }, "manifest"},
		"without pixels": {func(m *Manifest) { m.W = 0 }, "manifest"},
	} {
		m := good
		tt.change(&m)
		st, err := s.BeginBlob(t.Context(), m)
		var r *Refusal
		if !errors.As(err, &r) || r.Why != tt.why || st.Known {
			t.Errorf("%s: %v, %+v, want %q", name, err, st, tt.why)
		}
	}
	if _, err := os.Stat(s.folder); err == nil {
		t.Error("a refused manifest made a folder")
	}
	if _, err := s.BeginBlob(t.Context(), good); err != nil {
		t.Fatal(err)
	}
	other := good
	other.Type = "image/png"
	_, err := s.BeginBlob(t.Context(), other)
	refusedFor(t, err, "manifest")
	turned := good
	turned.W, turned.H = good.H, good.W
	if _, err := s.BeginBlob(t.Context(), turned); err != nil {
		t.Errorf("the same picture turned: %v", err)
	}
}

// PH5: chunks that were cut off or had a bit flipped on the way, and chunks that
// went bad on the disk, are missing and are sent again; the photo that comes of it
// is the right one.
func TestPH5DamagedChunksAreSentAgain(t *testing.T) {
	s, _ := testOpen(t)
	b, m := testPhoto(2, 900, 700)
	if _, err := s.BeginBlob(t.Context(), m); err != nil {
		t.Fatal(err)
	}
	for i := range m.Chunks {
		good := chunk(b, i)
		flipped := bytes.Clone(good)
		flipped[len(flipped)/2] ^= 4
		for _, bad := range [][]byte{nil, good[:len(good)/2], flipped, append(bytes.Clone(good), 0)} {
			st, err := s.PutChunk(t.Context(), m.SHA, i, bad)
			refusedFor(t, err, "hash")
			if st.Done || st.Have[i] {
				t.Errorf("chunk %d: %+v", i, st)
			}
		}
		for _, no := range []int{-1, len(m.Chunks)} {
			_, err := s.PutChunk(t.Context(), m.SHA, no, good)
			refusedFor(t, err, "manifest")
		}
		if i == 1 { // chunk 0 goes bad on the disk
			rotten := bytes.Clone(chunk(b, 0))
			rotten[9] ^= 1
			if err := os.WriteFile(s.chunkFile(m.SHA, 0), rotten, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := s.PutChunk(t.Context(), m.SHA, i, good); err != nil {
			t.Fatal(err)
		}
	}
	st, err := s.Blob(t.Context(), m.SHA)
	if err != nil || st.Done || st.Have[0] || !st.Have[1] {
		t.Fatalf("with a rotten chunk: %+v, %v", st, err)
	}
	if st, err = s.PutChunk(t.Context(), m.SHA, 0, chunk(b, 0)); err != nil || !st.Done || !holds(t, s, b, m) {
		t.Errorf("sent again: %+v, %v", st, err)
	}
}

// A photo whose file was lost is asked for again, and one whose parts all have
// their hashes but do not make the whole is forgotten.
func TestPhotosThatAreNotWhatTheyWere(t *testing.T) {
	s, path := testOpen(t)
	b, m := testPhoto(3, 600, 600)
	send(t, s, b, m)
	if err := os.Remove(s.file(m.SHA)); err != nil {
		t.Fatal(err)
	}
	if r := mustCheck(t, path); r.OK() || len(r.Faults) != 1 {
		t.Errorf("check: %+v", r)
	}
	if st, err := s.Blob(t.Context(), m.SHA); err != nil || st.Done || st.Known {
		t.Errorf("lost: %+v, %v", st, err)
	}
	send(t, s, b, m)
	if !holds(t, s, b, m) {
		t.Error("not there after it was sent again")
	}
	rotten := bytes.Clone(b)
	rotten[len(b)/2] ^= 1
	if err := os.WriteFile(s.file(m.SHA), rotten, 0o600); err != nil {
		t.Fatal(err)
	}
	if r := mustCheck(t, path); r.OK() || len(r.Faults) != 1 {
		t.Errorf("check: %+v", r)
	}
	c, lie := testPhoto(4, 600, 600)
	lie.SHA = hashOf([]byte("something else"))
	if _, err := s.BeginBlob(t.Context(), lie); err != nil {
		t.Fatal(err)
	}
	var err error
	var st BlobState
	for i := range lie.Chunks {
		st, err = s.PutChunk(t.Context(), lie.SHA, i, chunk(c, i))
	}
	refusedFor(t, err, "hash")
	if st.Known || st.Done {
		t.Errorf("a lie is kept: %+v", st)
	}
}

// TL10: the header is read before anything else; a small file that unpacks to
// gigapixels is refused and costs no memory. What is no picture is refused too.
func TestTL10HugePicturesAreRefused(t *testing.T) {
	s, _ := testOpen(t)
	small, _ := testPhoto(5, 64, 64)
	wide := bytes.Clone(small)
	at := bytes.Index(wide, []byte{0xff, 0xc0}) // start of frame: length, precision, height, width
	if at < 0 {
		t.Fatal("no start of frame")
	}
	wide[at+5], wide[at+6], wide[at+7], wide[at+8] = 0xfa, 0xfa, 0xfa, 0xfa // 64250 by 64250
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	for name, tt := range map[string]struct {
		b   []byte
		p   picture
		why string
	}{
		"gigapixels": {wide, picture{"image/jpeg", 64250, 64250}, "size"},
		"page":       {[]byte("<html><script>alert(1)</script></html>"), picture{"image/jpeg", 10, 10}, "type"},
		"other kind": {small, picture{"image/png", 64, 64}, "manifest"},
		"other size": {small, picture{"image/jpeg", 64, 65}, "manifest"},
	} {
		m := manifestOf(tt.b, tt.p)
		if _, err := s.BeginBlob(t.Context(), m); err != nil {
			t.Fatal(err)
		}
		st, err := s.PutChunk(t.Context(), m.SHA, 0, tt.b)
		var r *Refusal
		if !errors.As(err, &r) || r.Why != tt.why || st.Done || st.Known {
			t.Errorf("%s: %v, %+v, want %q", name, err, st, tt.why)
		}
		if _, _, err := s.ReadBlob(t.Context(), m.SHA); err == nil {
			t.Errorf("%s is served", name)
		}
	}
	runtime.ReadMemStats(&after)
	if grown := after.TotalAlloc - before.TotalAlloc; grown > 64<<20 {
		t.Errorf("%d MiB for it", grown>>20)
	}
}

func TestFullStoreRefusesPhotosOnly(t *testing.T) {
	s, _ := testOpen(t)
	b, m := testPhoto(6, 600, 600)
	c, more := testPhoto(7, 600, 600)
	s.BlobLimit = m.Size + more.Size - 1
	if _, err := s.BeginBlob(t.Context(), m); err != nil {
		t.Fatal(err)
	}
	_, err := s.BeginBlob(t.Context(), more) // unfinished ones count
	refusedFor(t, err, "full")
	send(t, s, b, m)
	_, err = s.BeginBlob(t.Context(), more)
	refusedFor(t, err, "full")
	if a := push(t, s, raws("a", 0, 3)...); len(a.Stored) != 3 {
		t.Errorf("%+v", a)
	}
	s.BlobLimit++
	send(t, s, c, more)
}

// Two tablets send the same photo at once, through two programs on one folder,
// while others send theirs.
func TestSamePhotoTwiceIsOne(t *testing.T) {
	a, path := testOpen(t)
	other := reopen(t, path)
	b, m := testPhoto(15, 900, 700)
	done := make(chan error)
	for _, s := range []*Store{a, a, other} {
		go func() {
			// The other program may finish it and tidy up at any moment, so what
			// counts is that it is done after a few rounds, as a tablet does.
			var st BlobState
			var err error
			for round := 0; round < 5 && err == nil && !st.Done; round++ {
				st, err = s.BeginBlob(t.Context(), m)
				for i := range m.Chunks {
					if err != nil || st.Done {
						break
					}
					st, err = s.PutChunk(t.Context(), m.SHA, i, chunk(b, i))
				}
				var r *Refusal
				if errors.As(err, &r) && r.Why == "unknown" {
					err = nil
				}
			}
			if err == nil && !st.Done {
				err = fmt.Errorf("not done: %+v", st)
			}
			done <- err
		}()
	}
	for range 3 {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	if !holds(t, a, b, m) || !holds(t, other, b, m) {
		t.Error("it is not there")
	}
	if err := a.Tidy(t.Context()); err != nil {
		t.Error(err)
	}
	if r := mustCheck(t, path); !r.OK() || r.Photos.Whole != 1 || r.Photos.Parts != 0 {
		t.Errorf("check: %+v", r)
	}
}
