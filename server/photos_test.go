package server

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"tubewright/calc/photo"
)

// pictureFile reads one of the pictures that the shop and the tablets must read alike.
func pictureFile(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("../testdata/photo", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// noise is a JPEG of random pixels, which does not compress: about 1.1 bytes a pixel.
func noise(t testing.TB, seed uint64, w, h int) []byte {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 0))
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = color.Gray{uint8(rnd.Uint32())}.Y
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func shaOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// manifestOf says what a picture is made of, with what its head says where it can
// be read and a likely claim where it cannot.
func manifestOf(b []byte) Manifest {
	head, _ := photo.Read(b)
	m := Manifest{SHA: shaOf(b), Size: int64(len(b)), Type: head.Type, Chunk: chunkBytes, W: max(head.W, 1), H: max(head.H, 1)}
	if m.Type == "" {
		m.Type = photo.JPEG
	}
	for c := range slices.Chunk(b, chunkBytes) {
		m.Chunks = append(m.Chunks, shaOf(c))
	}
	return m
}

// put sends bytes as a page of ours does.
func (s *shop) put(t testing.TB, path string, b []byte) (int, []byte) {
	t.Helper()
	r, err := http.NewRequest("PUT", "http://"+s.host+path, bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Origin", "http://"+s.host)
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, body
}

func (s *shop) begin(t testing.TB, m Manifest) (int, []byte) {
	t.Helper()
	return s.put(t, "/blob/"+m.SHA+"/manifest", encode(m))
}

func chunkOf(b []byte, i int) []byte { return b[i*chunkBytes : min((i+1)*chunkBytes, len(b))] }

func (s *shop) chunk(t testing.TB, b []byte, i int) (int, []byte) {
	t.Helper()
	return s.put(t, "/blob/"+shaOf(b)+"/"+strconv.Itoa(i), chunkOf(b, i))
}

// upload sends a whole picture and returns the last answer, or the first refusal.
func (s *shop) upload(t testing.TB, b []byte) (status int, body []byte) {
	t.Helper()
	m := manifestOf(b)
	if status, body = s.begin(t, m); status != http.StatusOK {
		return status, body
	}
	for i := range m.Chunks {
		if status, body = s.chunk(t, b, i); status != http.StatusOK {
			return status, body
		}
	}
	return status, body
}

func (s *shop) uploadFile(t testing.TB, name string) {
	t.Helper()
	if status, body := s.upload(t, pictureFile(t, name)); status != http.StatusOK || !strings.Contains(string(body), `"done":true`) {
		t.Fatalf("upload %s: %d %s", name, status, body)
	}
}

// fetch gets a path and returns status, headers and body.
func (s *shop) fetch(t testing.TB, path string) (int, http.Header, []byte) {
	t.Helper()
	resp, err := http.Get("http://" + s.host + path)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, resp.Header, b
}

func (s *shop) have(t testing.TB, sha string) (st blobState) {
	t.Helper()
	status, _, b := s.fetch(t, "/blob/"+sha+"/have")
	if err := json.Unmarshal(b, &st); err != nil || status != http.StatusOK {
		t.Fatalf("have: %d %s", status, b)
	}
	return st
}

// What is no picture is not kept, whatever it calls itself, and what is kept can
// do nothing in a browser.
func TestTL9NothingThatCouldRunIsServed(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	for _, name := range []string{"page.jpg", "drawing.jpg", "page-behind.jpg", "page-behind.png", "second-behind.jpg", "gif.jpg", "film.jpg"} {
		b := pictureFile(t, name)
		status, body := s.upload(t, b)
		wantWhy(t, name, status, body, http.StatusUnsupportedMediaType, "type")
		if status, _, _ := s.fetch(t, "/blob/"+shaOf(b)); status != http.StatusNotFound {
			t.Errorf("%s: can be fetched, %d", name, status)
		}
	}
	// A script in a part that cameras use for their own data: the bytes are a
	// picture, and are served as nothing else.
	plain := pictureFile(t, "plain.jpg")
	script := "<script>alert(1)</script>"
	sly := slices.Concat(plain[:2], []byte{0xff, 0xe5, 0, byte(2 + len(script))}, []byte(script), plain[2:])
	if status, body := s.upload(t, sly); status != http.StatusOK {
		t.Fatalf("a picture with odd data: %d %s", status, body)
	}
	for _, path := range []string{"", "/0"} {
		status, h, b := s.fetch(t, "/blob/"+shaOf(sly)+path)
		if status != http.StatusOK || !bytes.Equal(b, sly) {
			t.Fatalf("GET %s: %d, %d bytes", path, status, len(b))
		}
		if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Content-Security-Policy") != "default-src 'none'; sandbox" ||
			!strings.HasPrefix(h.Get("Content-Disposition"), "attachment") || h.Get("Cross-Origin-Resource-Policy") != "same-origin" {
			t.Errorf("GET %s: headers %v", path, h)
		}
		if kind := h.Get("Content-Type"); kind != map[string]string{"": "image/jpeg", "/0": "application/octet-stream"}[path] {
			t.Errorf("GET %s: served as %s", path, kind)
		}
	}
	// Errors say what they were asked for; that may not run either.
	status, h, b := s.fetch(t, "/blob/<script>alert(1)</script>")
	if status != http.StatusNotFound || h.Get("Content-Type") != "application/json" || strings.Contains(string(b), "<script>") {
		t.Errorf("an odd name: %d %s %s", status, h.Get("Content-Type"), b)
	}
}

// Headers that claim gigapixels are refused by the header, and claims of size
// take no memory.
func TestTL10HugePicturesAreRefusedByTheirHeader(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	runtime.GC() // what tests before this one left is not ours
	var peak uint64
	look := func() {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		peak = max(peak, m.HeapAlloc)
	}
	for _, name := range []string{"huge.jpg", "huge.png", "largest.png"} {
		b := pictureFile(t, name)
		status, body := s.upload(t, b)
		wantWhy(t, name, status, body, http.StatusRequestEntityTooLarge, "size")
		look()
		m := manifestOf(b)
		m.W, m.H = 8, 8 // a manifest that lies changes nothing
		if status, body := s.begin(t, m); status != http.StatusOK {
			t.Fatalf("%s: %d %s", name, status, body)
		}
		status, body = s.chunk(t, b, 0)
		wantWhy(t, name+" that lies", status, body, http.StatusRequestEntityTooLarge, "size")
		look()
	}
	large := manifestOf(pictureFile(t, "plain.jpg"))
	large.Size = photo.MaxBytes + 1
	status, body := s.begin(t, large)
	wantWhy(t, "41 MiB", status, body, http.StatusRequestEntityTooLarge, "size")
	for i := range 30 { // claims of 40 MiB each, of which nothing comes
		m := Manifest{SHA: shaOf([]byte{byte(i)}), Size: photo.MaxBytes, Type: photo.JPEG, Chunk: chunkBytes, Chunks: slices.Repeat([]string{large.SHA}, photo.MaxBytes/chunkBytes), W: 8, H: 8}
		if status, body := s.begin(t, m); status != http.StatusOK {
			t.Fatalf("claim %d: %d %s", i, status, body)
		}
		look()
	}
	if peak > 64<<20 {
		t.Errorf("heap up to %d MiB; allowed 64", peak>>20)
	}
	t.Logf("heap up to %d MiB", peak>>20)
}

func TestPH3HEICIsRefusedWithWhatToSet(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	status, body := s.upload(t, pictureFile(t, "heic.jpg"))
	wantWhy(t, "heic", status, body, http.StatusUnsupportedMediaType, "type")
	if !strings.Contains(string(body), "set the tablet's camera to JPEG") {
		t.Errorf("the answer does not say what to set: %s", body)
	}
}

// However an upload is cut, what is there in the end is the picture or nothing.
func TestPH5UploadsGoOnAfterAnyCut(t *testing.T) {
	log := openLog(t)
	s := openShop(t, log, quick(), nil)
	whole := noise(t, 1, 1000, 900)
	n := len(manifestOf(whole).Chunks)
	if n < 4 {
		t.Fatalf("the picture has only %d chunks", n)
	}
	for cut := range n + 1 {
		b := noise(t, uint64(100+cut), 1000, 900) // another picture for each cut
		m := manifestOf(b)
		n := len(m.Chunks)
		if st := s.have(t, m.SHA); st.Known || st.Done || st.Have != "" {
			t.Fatalf("cut %d: before all: %+v", cut, st)
		}
		s.begin(t, m)
		for i := range min(cut, n) { // up to a border
			s.chunk(t, b, i)
		}
		if cut < n { // and into the next chunk, which breaks off
			s.breakOff(t, m.SHA, cut, chunkOf(b, cut), 1000)
		}
		s = openShop(t, log, quick(), nil) // the server was started again meanwhile
		s.begin(t, m)
		st := s.have(t, m.SHA)
		if want := strings.Repeat("1", min(cut, n)) + strings.Repeat("0", max(0, n-cut)); st.Have != want && !st.Done || st.Done != (cut >= n) {
			t.Fatalf("cut %d: %+v, want %s", cut, st, want)
		}
		for i := n - 1; i >= 0 && !st.Done; i-- { // the rest, backwards
			if st.Have[i] == '0' {
				s.chunk(t, b, i)
			}
		}
		if status, _, got := s.fetch(t, "/blob/"+m.SHA); status != http.StatusOK || shaOf(got) != m.SHA {
			t.Errorf("cut %d: the picture came back with %d and %d bytes", cut, status, len(got))
		}
		for i := range n { // each chunk can be asked for as a proof
			if _, _, got := s.fetch(t, "/blob/"+m.SHA+"/"+strconv.Itoa(i)); shaOf(got) != m.Chunks[i] {
				t.Errorf("cut %d: chunk %d came back otherwise", cut, i)
			}
		}
	}
}

// breakOff sends the first bytes of a chunk and closes the connection.
func (s *shop) breakOff(t *testing.T, sha string, i int, chunk []byte, n int) {
	t.Helper()
	conn, err := net.Dial("tcp", s.host)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(conn, "PUT /blob/%s/%d HTTP/1.1\r\nHost: %s\r\nOrigin: http://%s\r\nContent-Length: %d\r\n\r\n", sha, i, s.host, s.host, len(chunk))
	conn.Write(chunk[:min(n, len(chunk)/2)])
	conn.Close()
}

func TestPH5FlippedBitsAreNotKept(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	b := noise(t, 2, 1000, 600)
	m := manifestOf(b)
	s.begin(t, m)
	for i := range m.Chunks {
		bad := slices.Clone(chunkOf(b, i))
		bad[len(bad)/2] ^= 4
		status, body := s.put(t, "/blob/"+m.SHA+"/"+strconv.Itoa(i), bad)
		wantWhy(t, "a flipped bit", status, body, http.StatusUnprocessableEntity, "hash")
		status, body = s.put(t, "/blob/"+m.SHA+"/"+strconv.Itoa(i), chunkOf(b, i)[1:])
		wantWhy(t, "a byte less", status, body, http.StatusUnprocessableEntity, "hash")
	}
	if st := s.have(t, m.SHA); strings.Contains(st.Have, "1") {
		t.Errorf("have %+v, want nothing", st)
	}
	// Chunks that are what the manifest says, and a whole that is not its name.
	other := noise(t, 3, 1000, 600)
	wrong := manifestOf(other)
	wrong.SHA = m.SHA
	status, body := s.begin(t, wrong)
	wantWhy(t, "another manifest", status, body, http.StatusConflict, "manifest")
	wrong.SHA = shaOf([]byte("no picture"))
	s.begin(t, wrong)
	for i := range wrong.Chunks {
		status, body = s.put(t, "/blob/"+wrong.SHA+"/"+strconv.Itoa(i), chunkOf(other, i))
	}
	wantWhy(t, "a whole of another name", status, body, http.StatusUnprocessableEntity, "hash")
	if status, _, _ := s.fetch(t, "/blob/"+wrong.SHA); status != http.StatusNotFound {
		t.Errorf("the whole of another name can be fetched: %d", status)
	}
	for i := range m.Chunks { // and the right bytes still go through
		status, body = s.chunk(t, b, i)
	}
	if status != http.StatusOK || !strings.Contains(string(body), `"done":true`) {
		t.Errorf("after all that: %d %s", status, body)
	}
}

func TestPH6NothingWithAPlaceIsKept(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	wall := s.peer("wall")
	wall.hello("board")
	wall.want("welcome")
	for _, name := range []string{"gps.jpg", "gps-little.jpg", "gps-second.jpg", "xmp.jpg", "iptc.jpg", "comment.jpg", "exif-broken.jpg", "text.png", "exif.png", "exif.webp", "xmp.webp"} {
		b := pictureFile(t, name)
		status, body := s.upload(t, b)
		wantWhy(t, name, status, body, http.StatusUnprocessableEntity, "place")
		if status, _, _ := s.fetch(t, "/blob/"+shaOf(b)); status != http.StatusNotFound {
			t.Errorf("%s can be fetched: %d", name, status)
		}
	}
	s.uploadFile(t, "turn-6.jpg") // Exif data without a place
	// Nothing of pictures goes to a wall board at all.
	wall.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1})
	for {
		f, err := wall.next()
		if err != nil || f.T == "photos" {
			t.Fatalf("the wall board got %s %v", f.raw, err)
		}
		if f.T == "hb" {
			break
		}
	}
}

// Whoever is connected hears of a picture when it is whole, the sender included;
// its other sockets go on as if nothing were.
func TestWholePhotosAreToldToEverySession(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	peers := []*peer{s.join("one"), s.join("one"), s.join("two"), s.linkJoin("three")}
	a, b := pictureFile(t, "plain.jpg"), noise(t, 4, 800, 600)
	for _, pic := range [][]byte{a, b} {
		if status, body := s.upload(t, pic); status != http.StatusOK {
			t.Fatalf("%d %s", status, body)
		}
	}
	for i, p := range peers {
		told := map[string]bool{}
		for len(told) < 2 {
			for _, sha := range p.want("photos").Done {
				told[sha] = true
			}
		}
		if !told[shaOf(a)] || !told[shaOf(b)] {
			t.Errorf("%s was told of %v", p.dev, told)
		}
		p.push(note(p.dev, i, "j1", "job/self/name", "a"))
		p.want("ack")
	}
	// Sent again, it is there already and nobody is told again.
	s.upload(t, a)
	peers[0].send(map[string]any{"t": "hb", "n": 1, "now_ms": 1})
	for {
		f, err := peers[0].next()
		if err != nil || f.T == "photos" {
			t.Fatalf("got %s %v", f.raw, err)
		}
		if f.T == "hb" {
			break
		}
	}
}

// died is a shop whose server ended when all chunks of a picture were there and the
// picture was not: the manifest that comes again finishes it.
type died struct{ Blobs }

func (died) Blob(context.Context, string) (BlobState, error) {
	return BlobState{Known: true, Have: []bool{true}}, nil
}

func (died) BeginBlob(context.Context, Manifest) (BlobState, error) {
	return BlobState{Known: true, Done: true}, nil
}

func TestPhotosFinishedByTheirManifestAreTold(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	s.srv.cfg.Blobs = died{}
	p := s.join("one")
	pic := pictureFile(t, "plain.jpg")
	if status, body := s.begin(t, manifestOf(pic)); status != http.StatusOK {
		t.Fatalf("%d %s", status, body)
	}
	if told := p.want("photos").Done; len(told) != 1 || told[0] != shaOf(pic) {
		t.Errorf("told of %v", told)
	}
}

// Many pictures at once are one frame, so that a slow tablet's queue holds.
func TestPhotosWaitAsOneFrame(t *testing.T) {
	q := newQueue()
	for i := range 2 * doneNames {
		q.done(fmt.Sprint(i))
	}
	q.put([]byte("x"))
	if f, _ := q.take(); string(f) != "x" {
		t.Errorf("first came %s", f)
	}
	f, _ := q.take()
	var frame photosFrame
	if err := json.Unmarshal(f, &frame); err != nil || frame.T != "photos" || len(frame.Done) != doneNames {
		t.Errorf("then came %.80s with %d names", f, len(frame.Done))
	}
	if f, _ := q.take(); f != nil {
		t.Errorf("then came %s", f)
	}
}

func TestPhotosTakenOutAreGoneForGood(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.peer("bench")
	p.hello("bench")
	p.want("welcome")
	main, small := pictureFile(t, "plain.jpg"), pictureFile(t, "turn-1.jpg")
	s.upload(t, main)
	s.upload(t, small)
	slot := "port/p1/photo"
	p.push(rawRecord("bench", 1, "photo", "j1", slot, map[string]any{"sha": shaOf(main), "size": len(main), "type": "image/jpeg", "w": 320, "h": 240,
		"preview": map[string]any{"sha": shaOf(small), "size": len(small), "w": 320, "h": 240}, "taken": "", "person": "Sam", "at": "2025-11-24T23:04:01+00:00"}))
	p.want("ack")
	p.push(rawRecord("bench", 2, "deny", "j1", slot, map[string]any{"sha": shaOf(main), "why": "a face", "person": "Sam", "at": "2025-11-24T23:05:01+00:00"}))
	p.want("ack")
	for _, b := range [][]byte{main, small} {
		sha := shaOf(b)
		if st := s.have(t, sha); !st.Denied || st.Done {
			t.Errorf("have %+v, want denied", st)
		}
		status, _, body := s.fetch(t, "/blob/"+sha)
		wantWhy(t, "GET", status, body, http.StatusGone, "denied")
		status, body = s.begin(t, manifestOf(b))
		wantWhy(t, "manifest", status, body, http.StatusGone, "denied")
		status, body = s.chunk(t, b, 0)
		wantWhy(t, "chunk", status, body, http.StatusGone, "denied")
	}
	q := s.join("two")
	q.push(rawRecord("two", 1, "deny", "j1", slot, map[string]any{"sha": shaOf(main)}))
	if ack := q.want("ack"); len(ack.Refused) != 1 {
		t.Errorf("a measuring tablet took a photo out: %s", ack.raw)
	}
}

func TestBlobRequestsThatMeanNothing(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	plain := pictureFile(t, "plain.jpg")
	m := manifestOf(plain)
	at := "/blob/" + m.SHA
	for _, c := range []struct {
		method, path, origin, body string
		status                     int
		why                        string
	}{
		{"GET", at, "", "", 404, "unknown"},
		{"GET", at + "/0", "", "", 404, "unknown"},
		{"GET", "/blob/abc/have", "", "", 404, "unknown"},
		{"GET", "/blob/" + strings.ToUpper(m.SHA) + "/have", "", "", 404, "unknown"},
		{"GET", "/blob/" + m.SHA + "/x/y", "", "", 404, "unknown"},
		{"DELETE", at, "own", "", 404, "unknown"},
		{"PUT", at + "/0", "own", "x", 404, "unknown"},
		{"PUT", at + "/00", "own", "x", 404, "unknown"},
		{"PUT", at + "/-1", "own", "x", 404, "unknown"},
		{"PUT", at + "/manifest", "own", "{", 422, "manifest"},
		{"PUT", at + "/manifest", "own", `{"sha":"` + shaOf(nil) + `"}`, 422, "manifest"},
		{"PUT", at + "/manifest", "own", `{"sha":"` + m.SHA + `","size":5,"type":"image/svg+xml"}`, 415, "type"},
		{"PUT", at + "/manifest", "own", strings.Repeat(" ", manifestBytes+1), 413, "size"},
		{"PUT", at + "/manifest", "", string(encode(m)), 403, "origin"},
		{"PUT", at + "/manifest", "http://evil.test", string(encode(m)), 403, "origin"},
		{"PUT", at + "/0", "http://evil.test", string(plain), 403, "origin"},
	} {
		r, err := http.NewRequest(c.method, "http://"+s.host+c.path, strings.NewReader(c.body))
		if err != nil {
			t.Fatal(err)
		}
		if c.origin == "own" {
			c.origin = "http://" + s.host
		}
		if c.origin != "" {
			r.Header.Set("Origin", c.origin)
		}
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		wantWhy(t, c.method+" "+c.path, resp.StatusCode, []byte(body(t, resp.Body)), c.status, c.why)
		resp.Body.Close()
	}
	s.begin(t, m)
	status, b := s.put(t, at+"/0", make([]byte, chunkBytes+1))
	wantWhy(t, "a chunk too long", status, b, http.StatusRequestEntityTooLarge, "size")
	status, b = s.put(t, at+"/1", plain)
	if status == http.StatusOK {
		t.Errorf("a chunk that the manifest does not have: %d %s", status, b)
	}
}

// noBlobs is a log without a keeper of pictures.
type noBlobs struct{ Log }

func (n noBlobs) pairs() Pairs { return n.Log.(storeLog).pairs() }

func TestShopsWithoutPhotosSayWhy(t *testing.T) {
	s := openShop(t, noBlobs{openLog(t)}, quick(), nil)
	status, _, b := s.fetch(t, "/blob/"+shaOf(nil)+"/have")
	wantWhy(t, "have", status, b, http.StatusServiceUnavailable, "off")
}

// Pictures are kept by browsers for ever, and in parts where a link breaks.
func TestPhotosAreKeptByBrowsersAndServedInRanges(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	b := noise(t, 5, 800, 600)
	s.upload(t, b)
	_, h, _ := s.fetch(t, "/blob/"+shaOf(b))
	if h.Get("Cache-Control") != "private, max-age=31536000, immutable" || h.Get("ETag") != `"`+shaOf(b)+`"` {
		t.Errorf("headers %v", h)
	}
	r, err := http.NewRequest("GET", "http://"+s.host+"/blob/"+shaOf(b), nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Range", "bytes=1000-1999")
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if got := body(t, resp.Body); resp.StatusCode != http.StatusPartialContent || got != string(b[1000:2000]) {
		t.Errorf("a range: %d, %d bytes", resp.StatusCode, len(got))
	}
}

// Uploads that stall take the places of uploads and of nothing else.
func TestStalledUploadsDelayNoReadings(t *testing.T) {
	lim := quick()
	lim.uploads, lim.upload = 2, 400*time.Millisecond
	s := openShop(t, openLog(t), lim, nil)
	b := noise(t, 6, 1000, 600)
	m := manifestOf(b)
	s.begin(t, m)
	var stalled []net.Conn
	for range lim.uploads {
		conn, err := net.Dial("tcp", s.host)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		fmt.Fprintf(conn, "PUT /blob/%s/0 HTTP/1.1\r\nHost: %s\r\nOrigin: http://%s\r\nContent-Length: %d\r\n\r\nabc", m.SHA, s.host, s.host, chunkBytes)
		stalled = append(stalled, conn)
	}
	for end := time.Now().Add(5 * time.Second); len(s.srv.uploads) < lim.uploads; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the uploads never began")
		}
	}
	p := s.join("one")
	start := time.Now()
	p.push(note("one", 1, "j1", "job/self/name", "a"))
	p.level(1)
	if d := time.Since(start); d > lim.upload {
		t.Errorf("a reading took %v while uploads stalled", d)
	}
	// Their time runs out, and the next one goes through.
	if status, body := s.chunk(t, b, 0); status != http.StatusOK && status != http.StatusServiceUnavailable {
		t.Errorf("a chunk behind stalled ones: %d %s", status, body)
	}
	for i := range m.Chunks {
		if status, body := s.chunk(t, b, i); status != http.StatusOK {
			t.Errorf("chunk %d: %d %s", i, status, body)
		}
	}
	_ = stalled
}

// Readings pass photos by: their way is another one.
func TestUploadsDelayNoReadings(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	pictures := make([][]byte, 8)
	for i := range pictures {
		pictures[i] = noise(t, uint64(20+i), 900, 600)
	}
	var uploading sync.WaitGroup
	ctx, cancel := context.WithCancel(t.Context())
	for k := range 4 {
		uploading.Go(func() {
			for i := k; i < len(pictures) && ctx.Err() == nil; i += 4 {
				s.upload(t, pictures[i])
			}
		})
	}
	var took []time.Duration
	for i := range 50 {
		start := time.Now()
		p.push(note("one", i, "j1", "job/self/name", "a"))
		p.level(1 + i)
		took = append(took, time.Since(start))
	}
	cancel()
	uploading.Wait()
	slices.Sort(took)
	t.Logf("push to echo while pictures come: median %v, slowest %v", took[25].Round(100*time.Microsecond), took[49].Round(100*time.Microsecond))
	if took[49] > 2*time.Second {
		t.Errorf("slowest push to echo %v; allowed 2 s", took[49])
	}
}
