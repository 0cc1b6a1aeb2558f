package pwa_test

import (
	"bytes"
	"encoding/json"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/calc/photo"
	"tubewright/pwa/drive"
)

const photos = "../testdata/photo"

// read is what the tablet makes of a picture's bytes.
type read struct {
	Head  *photo.Head
	Bare  []byte // what is left of it
	Whole bool
	Why   string
}

func readOnTablet(t *testing.T, pictures [][]byte) []read {
	t.Helper()
	in, err := json.Marshal(pictures)
	if err != nil {
		t.Fatal(err)
	}
	var out []read
	if err := json.Unmarshal(runEntry(t, "jpeg.entry.ts", in), &out); err != nil {
		t.Fatal(err)
	}
	if len(out) != len(pictures) {
		t.Fatalf("%d answers to %d pictures", len(out), len(pictures))
	}
	return out
}

// heads are the pictures that both sides are held to, and what they say.
func heads(t *testing.T) (names []string, files [][]byte, want []*photo.Head, why []string) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(photos, "heads.json"))
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		File string
		Head *photo.Head
		Why  string
	}
	if err := json.Unmarshal(b, &list); err != nil {
		t.Fatal(err)
	}
	for _, l := range list {
		if !strings.HasSuffix(l.File, ".jpg") {
			continue // the tablet draws other types anew and never reads them itself
		}
		file, err := os.ReadFile(filepath.Join(photos, l.File))
		if err != nil {
			t.Fatal(err)
		}
		names, files, want, why = append(names, l.File), append(files, file), append(want, l.Head), append(why, l.Why)
	}
	return names, files, want, why
}

// Tablet and shop read the same of a picture. What the tablet has stripped tells
// no place, is upright for whoever looks at it without the turn, shows what it
// showed, and is taken by the shop.
func TestTabletAndShopReadTheSameOfAPicture(t *testing.T) {
	names, files, want, why := heads(t)
	for i, got := range readOnTablet(t, files) {
		t.Run(names[i], func(t *testing.T) {
			if want[i] == nil {
				if got.Why == "" {
					t.Errorf("the tablet takes what the shop refuses (%s): %+v", why[i], got.Head)
				}
				return
			}
			if got.Head == nil || *got.Head != *want[i] {
				t.Fatalf("the tablet reads %+v (%s), the shop %+v", got.Head, got.Why, want[i])
			}
			if !got.Whole {
				if why[i] == "" {
					t.Error("the tablet calls it cut off")
				}
				return
			}
			bare, err := photo.Read(got.Bare)
			if err != nil || bare.Place || bare.Turn != 1 || bare.Taken != "" || bare.W != want[i].W || bare.H != want[i].H {
				t.Errorf("stripped it reads %+v (%v)", bare, err)
			}
			if _, err := photo.Check(got.Bare); err != nil && why[i] != "size" {
				t.Errorf("stripped it is refused: %v", err)
			}
			if why[i] != "size" && names[i] != "progressive-head.jpg" { // those have a header and no picture
				sameDrawn(t, files[i], got.Bare)
			}
		})
	}
}

// What is HEIC is told apart from what is no picture at all, so that the person is
// told what to set.
func TestPH3TabletKnowsHEICByItsContents(t *testing.T) {
	names, files, want, _ := heads(t)
	for i, got := range readOnTablet(t, files) {
		if isHEIC := names[i] == "heic.jpg"; want[i] == nil && isHEIC != (got.Why == "heic") {
			t.Errorf("%s: the tablet says %q", names[i], got.Why)
		}
	}
}

func sameDrawn(t *testing.T, a, b []byte) {
	t.Helper()
	x, errX := jpeg.Decode(bytes.NewReader(a))
	y, errY := jpeg.Decode(bytes.NewReader(b))
	if errX != nil || errY != nil {
		t.Fatalf("decode: %v, stripped: %v", errX, errY)
	}
	if x.Bounds() != y.Bounds() {
		t.Fatalf("%v became %v", x.Bounds(), y.Bounds())
	}
	p, q := x.(*image.YCbCr), y.(*image.YCbCr)
	if !bytes.Equal(p.Y, q.Y) || !bytes.Equal(p.Cb, q.Cb) || !bytes.Equal(p.Cr, q.Cr) {
		t.Error("another picture is drawn")
	}
}

// Bytes changed at random: what the shop reads the tablet reads alike, and what the
// tablet would keep the shop takes.
func TestTabletAndShopReadTheSameOfDamagedPictures(t *testing.T) {
	const seed, cases = 1, 3000
	rnd := rand.New(rand.NewPCG(seed, 0))
	_, files, _, _ := heads(t)
	var damaged [][]byte
	for len(damaged) < cases {
		b := bytes.Clone(files[rnd.IntN(len(files))])
		if len(b) < 16 {
			continue
		}
		for range 1 + rnd.IntN(4) {
			switch at := 2 + rnd.IntN(min(len(b)-2, 400)); rnd.IntN(4) {
			case 0:
				b[at] = byte(rnd.Uint32())
			case 1:
				b[at] ^= 1 << rnd.IntN(8)
			case 2:
				b = append(b[:at:at], b[min(at+rnd.IntN(8), len(b)):]...)
			case 3:
				b = b[:max(16, len(b)-rnd.IntN(40))]
			}
			if len(b) < 16 {
				break
			}
		}
		damaged = append(damaged, b)
	}
	taken := 0
	for i, got := range readOnTablet(t, damaged) {
		want, err := photo.Read(damaged[i])
		if err == nil && want.Type == photo.JPEG && (got.Head == nil || *got.Head != want) {
			t.Errorf("seed %d case %d: the tablet reads %+v (%s), the shop %+v", seed, i, got.Head, got.Why, want)
		}
		if got.Head == nil || !got.Whole || int64(got.Head.W)*int64(got.Head.H) > photo.MaxPixels {
			continue
		}
		taken++
		if _, err := photo.Check(got.Bare); err != nil {
			t.Errorf("seed %d case %d: the tablet would keep what the shop refuses: %v", seed, i, err)
		}
	}
	if taken < cases/5 {
		t.Errorf("only %d of %d were taken, too few to say anything", taken, cases)
	}
}

// large is a picture as a camera of 24 megapixels stores it with the given turn:
// noise that does not pack well, and the red square of all test pictures.
func large(t *testing.T, turn byte) []byte {
	t.Helper()
	w, h := 5712, 4284
	if turn == 6 {
		w, h = h, w
	}
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	rnd := rand.New(rand.NewPCG(uint64(turn), 0))
	for i := range m.Y {
		m.Y[i] = byte(64 + i*96/len(m.Y) + int(rnd.Uint32()&31))
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = 128, 128
	}
	x, y := w/4, h/10 // upright
	if turn == 6 {    // the first row is the right side, the first column the top
		x, y = w/10, h-h/4
	}
	for r := y - 100; r < y+100; r++ {
		for c := x - 100; c < x+100; c++ {
			m.Y[m.YOffset(c, r)] = 76
			m.Cb[m.COffset(c, r)], m.Cr[m.COffset(c, r)] = 85, 255
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	exif := "Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00" + string([]byte{turn}) + "\x00\x00\x00\x00\x00\x00"
	head := append([]byte{0xff, 0xd8, 0xff, 0xe1, 0, byte(len(exif) + 2)}, exif...)
	return append(head, b.Bytes()[2:]...)
}

// What the tablet makes of pictures can only be checked where there is an engine
// that draws: turns, sizes, what is kept of what cannot be drawn, and that the
// bytes outlive the page.
func TestPH2PH4ST5PhotosKeepTheirClaims(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: browsers, because of -short")
	}
	script := bundled(t, "photo.entry.ts")
	pictures := map[string][]byte{"/large-1.jpg": large(t, 1), "/large-6.jpg": large(t, 6)}
	shop := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch b, ok := pictures[r.URL.Path]; {
		case ok:
			w.Write(b)
		case r.URL.Path == "/entry.js":
			w.Header().Set("Content-Type", "text/javascript")
			w.Write(script)
		case r.URL.Path == "/":
			w.Header().Set("Content-Type", "text/html")
			w.Write([]byte(`<!doctype html><title>Claims</title><script type="module" src="/entry.js"></script>`))
		default:
			http.ServeFile(w, r, filepath.Join(photos, filepath.Base(r.URL.Path)))
		}
	}))
	defer shop.Close()
	for _, e := range drive.Engines {
		t.Run(e.Name, func(t *testing.T) {
			b, skip, err := e.Start(t.Context(), drive.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if skip != "" {
				t.Skip(skip)
			}
			defer b.Close()
			url := shop.URL
			for range 2 { // the second time what the first stored is looked for
				if err := b.Open(url); err != nil {
					t.Fatal(err)
				}
				if err := b.WaitFor(2*time.Minute, "return globalThis.figures !== undefined"); err != nil {
					t.Fatal(err)
				}
				var said struct {
					Results map[string]string
					Figures map[string]float64
					Stored  string
					Heap    float64
				}
				if err := b.Eval(&said, "return { results, figures, stored: globalThis.stored ?? '', heap: (performance.memory?.usedJSHeapSize ?? 0) / 1e6 }"); err != nil {
					t.Fatal(err)
				}
				for name, wrong := range said.Results {
					if wrong != "" {
						t.Errorf("%s: %s", name, wrong)
					}
				}
				t.Logf("picture of 24 megapixels, %d kB: reduced in %.0f ms to %.0f kB, preview %.0f kB; page's heap %.0f MB (0: the engine does not tell)",
					len(pictures["/large-1.jpg"])/1000, said.Figures["reduce_ms"], said.Figures["photo_kB"], said.Figures["preview_kB"], said.Heap)
				url = shop.URL + "/?stored=" + said.Stored
			}
		})
	}
}

// PH1 and PH5 on the tablet's side, and what else holds of photos without drawing any.
func TestPH1PH5PhotosKeepTheirClaims(t *testing.T) {
	for name, wrong := range claims(t, "upload.entry.ts") {
		t.Run(name, func(t *testing.T) {
			if wrong != "" {
				t.Error(wrong)
			}
		})
	}
}

// The claims have to notice the mistakes they are there for.
func TestBrokenPhotoModulesAreCaught(t *testing.T) {
	for name, s := range map[string]swap{
		"a photo counts as sent unproved":       {"uploads", `await this.prove(row);`, ``},
		"chunks go again that the shop has":     {"uploads", `if (state.have[i] === "1") continue;`, ``},
		"photos do not wait for readings":       {"uploads", `if (n > 0 && now()`, `if (n < 0 && now()`},
		"a hidden page goes on sending":         {"uploads", `this.isStopped || this.isHidden || !isLinked()`, `!isLinked()`},
		"a shop put back gets nothing again":    {"uploads", `await this.store.setPhoto({ ...row, state: "held" });`, ``},
		"what is not backed up makes room":      {"uploads", `if (!isNeeded &&`, `if (false &&`},
		"previews make room":                    {"uploads", `(r) => r.of === "" && r.state === "sent")`, `(r) => r.state === "sent")`},
		"more than two are on their way":        {"uploads", `const LANES = 2;`, `const LANES = 3;`},
		"a form forgets its photo":              {"state", `begunFor(job, slot) || pendingForm(held, clock.dev, job, slot)`, `""`},
		"a photo begun is forgotten":            {"wires", `restore(meta.intent);`, ``},
		"a deny can be taken back":              {"pictures", `e.kind === "deny" ?`, `e.kind === "deny" && isLiveIn(envs, e.id) ?`},
		"the preview outlives its photo":        {"pictures", `denies.includes(photo.sha) && photo.preview`, `false && photo.preview`},
		"a mark with too few places is a mark":  {"pictures", `|| points.length !== 4`, ``},
		"a kept record is given to a form anew": {"pictures", `return isSpent(held.slot(job, slot), of) ? "" : of;`, `return of;`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			caught := 0
			for claim, wrong := range claims(t, "upload.entry.ts", s) {
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
