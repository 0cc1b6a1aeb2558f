package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io/fs"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// turned is a picture of 320 × 240 px stored with the orientation; upright it is
// grey with a red square at a quarter of the width and a tenth of the height.
func turned(turn int) string { return fmt.Sprintf("../../testdata/photo/turn-%d.jpg", turn) }

// photo takes a photo of what a slot shows: the button, then the file that the
// camera would hand over. It returns when the tablet says that it is saved.
func (p *tablet) photo(slot, path string) {
	p.t.Helper()
	before := p.thumbs()
	p.camera("photo:" + slot)
	p.chosen("camera", path)
	p.must(p.b.WaitFor(2*time.Minute, `return document.querySelectorAll(".thumb img").length > arguments[0]`, before))
}

// camera taps what opens the camera. A browser in a test shows no camera and
// says at once that nobody chose a picture; the page is kept from hearing it.
func (p *tablet) camera(test string) {
	p.t.Helper()
	p.must(p.b.Eval(nil, `window.deaf ??= (addEventListener("cancel", (e) => e.stopImmediatePropagation(), true), true)`))
	p.tap(test)
}

func (p *tablet) thumbs() (n int) {
	p.t.Helper()
	p.must(p.b.Eval(&n, `return document.querySelectorAll(".thumb").length`))
	return n
}

// chosen hands a file to the app as camera or gallery do. Firefox's driver gives
// files only to inputs that can be seen; there the page makes the file itself.
func (p *tablet) chosen(from, path string) {
	p.t.Helper()
	path, err := filepath.Abs(path)
	p.must(err)
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=file-" + arguments[0] + "]")?.dataset.open === "true"`, from))
	if p.b.Name() != "Firefox" {
		p.must(p.b.Choose(css("file-"+from), path))
		return
	}
	b, err := os.ReadFile(path)
	p.must(err)
	p.must(p.b.Eval(nil, `const bytes = Uint8Array.from(atob(arguments[1]), (c) => c.charCodeAt(0));
		const input = document.querySelector("[data-test=file-" + arguments[0] + "]");
		const files = new DataTransfer();
		files.items.add(new File([bytes], "photo.jpg", { type: "image/jpeg" }));
		input.files = files.files;
		input.dispatchEvent(new Event("change", { bubbles: true }));`, from, base64.StdEncoding.EncodeToString(b)))
}

// noted waits until the photo that was begun is on the tablet's disk.
func (p *tablet) noted() {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `window.asked ??= (indexedDB.open("tubewright").onsuccess = (e) => {
			const look = () => {
				const got = e.target.result.transaction("meta").objectStore("meta").get("intent");
				got.onsuccess = () => { window.intent = got.result?.value ?? null; setTimeout(look, 50); };
			};
			look();
		}, true);
		return window.intent !== undefined && window.intent !== null`))
}

// The camera is open and the system throws the app away: it comes back on the
// form, with what was half typed, and offers to take the photo again; the photo
// hangs to the form, whose name the reading carries.
func TestPH1PhotoBegunSurvivesAKill(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	const slot = "engine/self/bore"
	a.goTo("measure", "job="+job+"&slot="+slot)
	a.at(slot)
	a.unit("mm")
	a.keys("83.")
	a.camera("photo:" + slot)
	a.noted()
	time.Sleep(500 * time.Millisecond) // the draft is written 300 ms after the last key
	a.must(a.b.KillTab())
	a.must(a.b.SetSize(820, 1180))
	a.must(a.b.Open(s.url("/#/jobs")))
	a.at(slot)
	a.says("photo-begun", "Bore")
	var typed string
	a.must(a.b.Eval(&typed, `return document.querySelector("[data-test=typed]").value`))
	if typed != "83." {
		t.Errorf("after the kill %q stands in the field", typed)
	}
	a.picture("photo-begun-820")
	a.camera("photo-gallery")
	a.chosen("gallery", turned(6))
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll(".thumb img").length === 1 && document.querySelector("[data-test=photo-begun]") === null`))
	a.keys("4")
	a.keep()
	a.unsent(0)
	s.kill()
	var of, form string
	for _, r := range records(t, s) {
		var body struct{ Of, Form string }
		if json.Unmarshal(r.Body, &body) == nil && r.Kind == "photo" {
			of = body.Of
		}
		if r.Kind == "reading" && r.Slot == slot && body.Form != "" {
			form = body.Form
		}
	}
	if of == "" || of != form {
		t.Errorf("the photo hangs to the form %q, the reading was made on %q", of, form)
	}
}

// A photo is there after the browser was killed as soon as it was called saved.
func TestPH1PhotoSavedSurvivesAKill(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.newJob()
	s.kill()
	a.photo("job/self/photo", turned(3))
	a.b.Kill()
	a.must(a.b.Restart())
	a.open()
	a.must(a.b.WaitFor(wait, `const i = document.querySelector(".thumb img"); return i && i.complete && i.naturalWidth === 320`))
	a.must(a.b.Tap(drive.CSS(".thumb")))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=photo-sheet]")?.dataset.shown === "true"`))
	if where := a.text("photo-where"); !strings.Contains(where, "this tablet") {
		t.Errorf("it is said to be %q", where)
	}
}

// HEIC is not shown broken and not kept: the sentence says what to set, and the
// form stays as it was.
func TestPH3HEICLeavesTheForm(t *testing.T) {
	for _, e := range drive.Engines {
		t.Run(e.Name, func(t *testing.T) {
			s := newShop(t)
			a := newTablet(t, e.Start, s)
			a.first("Rowan")
			job := a.newJob()
			const slot = "engine/self/bore"
			a.goTo("measure", "job="+job+"&slot="+slot)
			a.at(slot)
			a.unit("mm")
			a.keys("83.4")
			a.camera("photo:" + slot)
			a.chosen("camera", "../../testdata/photo/heic.jpg")
			a.says("photo-begun", "Set the camera to JPEG")
			a.says("echo", "83.400 mm")
			if n := a.thumbs(); n != 0 {
				t.Errorf("%d photos are shown", n)
			}
			a.tap("photo-leave")
			a.keep()
		})
	}
}

// Whatever way round the camera stored it, the photo lies upright on the screen
// and a mark at (0.25, 0.1) lies on the red square.
func TestPH4MarksLieOnThePicture(t *testing.T) {
	for _, e := range drive.Engines {
		t.Run(e.Name, func(t *testing.T) {
			s := newShop(t)
			a := newTablet(t, e.Start, s)
			a.first("Rowan")
			job := a.newJob()
			for turn := 1; turn <= 8; turn++ {
				a.goTo("job", "job="+job)
				a.photo("job/self/photo", turned(turn))
				a.must(a.b.Tap(drive.CSS(".thumb"))) // the latest comes first
				a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=photo-sheet]")?.dataset.shown === "true"`))
				a.tap("tool:circle")
				a.drag(0.25, 0.1, 0.29, 0.1)
				a.sees("mark:circle")
				var mark struct{ X, Y float64 }
				a.must(a.b.Eval(&mark, `const r = document.querySelector(".mark-core").getBoundingClientRect();
					return { x: r.x + r.width / 2, y: r.y + r.height / 2 }`))
				if c := a.colour(mark.X, mark.Y); c.R < 150 || c.G > 100 || c.B > 100 {
					t.Errorf("turn %d: under the mark there is %v", turn, c)
					a.picture(fmt.Sprintf("photo-turn-%d-%s", turn, e.Name))
				}
				a.clearOfUndo()
				a.tap("photo-out")
				a.must(a.b.WaitFor(wait, `return location.hash.startsWith("#/photos") && document.querySelector("[data-test=photos-out]") !== null`))
			}
		})
	}
}

// clearOfUndo checks that the page can be scrolled until its last control lies above the
// way back, where one is offered: nothing has to wait until the bar goes.
func (p *tablet) clearOfUndo() {
	p.t.Helper()
	var under string
	p.must(p.b.Eval(&under, `scrollTo(0, document.documentElement.scrollHeight);
		const bar = document.querySelector(".undo");
		const last = [...document.querySelectorAll(".page-body button, .page-body summary")].filter((e) => e.checkVisibility()).at(-1);
		return bar && last.getBoundingClientRect().bottom > bar.getBoundingClientRect().top ? last.textContent : ""`))
	if under != "" {
		p.t.Errorf("the way back lies over %q, scrolled down as far as it goes", under)
	}
}

// drag draws on the photo with a finger from one place to another, in parts of
// its width and height.
func (p *tablet) drag(x1, y1, x2, y2 float64) {
	p.t.Helper()
	p.must(p.b.Eval(nil, `const svg = document.querySelector("[data-test=photo-sheet]");
		const [x1, y1, x2, y2] = arguments;
		const { width, height } = svg.viewBox.baseVal;
		const at = (type, x, y) => {
			const p = new DOMPoint(x * width, y * height).matrixTransform(svg.getScreenCTM());
			svg.dispatchEvent(new PointerEvent(type, { pointerId: 1, isPrimary: true, bubbles: true, clientX: p.x, clientY: p.y }));
		};
		svg.setPointerCapture = undefined; // there is no such finger
		at("pointerdown", x1, y1);
		at("pointermove", (x1 + x2) / 2, (y1 + y2) / 2);
		at("pointermove", x2, y2);
		at("pointerup", x2, y2);`, x1, y1, x2, y2))
}

// colour is what the screen shows at a place.
func (p *tablet) colour(x, y float64) color.RGBA {
	p.t.Helper()
	b, err := p.b.Screenshot()
	p.must(err)
	m, err := png.Decode(bytes.NewReader(b))
	p.must(err)
	return color.RGBAModel.Convert(m.At(int(x), int(y))).(color.RGBA)
}

// flange is an invented picture: four ports in a plate, as a camera would store it.
func flange(t *testing.T) string {
	t.Helper()
	const w, h = 1600, 1200
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{uint8(70 + x*40/w), uint8(74 + y*30/h), 82, 255}
			if x > 120 && x < w-120 && y > 380 && y < 820 {
				c = color.RGBA{168, 172, 178, 255}
			}
			for i := range 4 {
				dx, dy := x-(320+i*320), y-600
				if d := dx*dx + dy*dy; d < 110*110 {
					c = color.RGBA{34, 36, 40, 255}
				} else if d < 122*122 {
					c = color.RGBA{214, 216, 220, 255}
				}
				if bx, by := x-(160+i*420), y-440; bx*bx+by*by < 26*26 {
					c = color.RGBA{52, 54, 58, 255}
				}
			}
			m.SetRGBA(x, y, c)
		}
	}
	path := filepath.Join(t.TempDir(), "flange.jpg")
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 88}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// The screens with photos in both sizes: nothing to scroll sideways, nothing
// small to tap.
func TestPhotoScreensFitBothWays(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	look := func(name string) {
		t.Helper()
		for _, size := range [][2]int{upright, wide} {
			a.must(a.b.SetSize(size[0], size[1]))
			a.fits(name)
			a.picture(fmt.Sprintf("%s-%d", name, size[0]))
		}
		a.must(a.b.SetSize(upright[0], upright[1]))
	}
	a.photo("job/self/photo", flange(t))
	a.photo("job/self/photo", turned(1))
	look("photo-job")
	a.tap("step-measure")
	a.tap("add-port")
	port := portOf(a)
	a.goTo("measure", "job="+job+"&slot=port/"+port+"/shape")
	a.at("port/" + port + "/shape")
	a.photo("port/"+port+"/shape", flange(t))
	look("photo-word")
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	a.photo("engine/self/bore", flange(t))
	look("photo-measure")
	a.goTo("bank", "job="+job+"&id=A")
	a.photo("port/"+port+"/photo", flange(t))
	look("photo-bank")
	a.must(a.b.Tap(drive.CSS(".thumb")))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=photo-sheet]")?.dataset.shown === "true"`))
	a.tap("tool:arrow")
	a.drag(0.3, 0.15, 0.42, 0.42)
	a.sees("mark:arrow")
	a.tap("tool:circle")
	a.drag(0.8, 0.5, 0.88, 0.5)
	a.sees("mark:circle")
	a.tap("tool:line")
	a.drag(0.1, 0.75, 0.5, 0.9)
	a.sees("mark:line")
	a.tap("tool:text")
	a.drag(0.3, 0.12, 0.3, 0.12)
	a.tap("mark-words")
	a.must(a.b.Type("step here"))
	a.tap("mark-put")
	a.sees("mark:text")
	a.tap("tool:arrow")
	look("photo-marks")
	a.tap("for-good")
	look("photo-good")
	a.goTo("photos", "job="+job)
	a.sees("photo:job/self/photo")
	look("photo-all")
	if said, ok := a.b.Errors(); ok {
		for _, line := range said {
			if !strings.Contains(line, "/blob/") {
				t.Errorf("the page complains: %s", line)
			}
		}
	}
}

// noise is a picture that does not pack well, so that its upload takes a while.
func noise(t *testing.T, seed uint64) string {
	t.Helper()
	m := image.NewYCbCr(image.Rect(0, 0, 1600, 1200), image.YCbCrSubsampleRatio420)
	rnd := rand.New(rand.NewPCG(seed, 0))
	for _, plane := range [][]byte{m.Y, m.Cb, m.Cr} {
		for i := range plane {
			plane[i] = byte(rnd.Uint32())
		}
	}
	path := filepath.Join(t.TempDir(), "noise.jpg")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := jpeg.Encode(f, m, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	return path
}

// photosSent waits until no photo is on the tablet only.
func (p *tablet) photosSent() {
	p.t.Helper()
	p.must(p.b.WaitFor(2*time.Minute, `return document.querySelector("[data-test=status-unsent]")?.dataset.photos === "0"`))
}

// blobs returns the pictures that a shop has, by sha; each has to be what its
// name says.
func (s *shop) blobs() map[string]int64 {
	s.t.Helper()
	found := map[string]int64{}
	err := filepath.WalkDir(filepath.Join(s.dir, "blobs"), func(path string, d os.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil // the first photo is still on its way, or this one was finished meanwhile
		}
		if err != nil || d.IsDir() {
			return err
		}
		if strings.Contains(path, string(filepath.Separator)+"part"+string(filepath.Separator)) {
			return nil // not whole yet
		}
		if strings.HasPrefix(filepath.Base(path), "new-") {
			return nil // killed before it got its name; swept at the next start
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name := fmt.Sprintf("%x", sha256.Sum256(b))
		if !strings.HasPrefix(filepath.Base(path), name) {
			s.t.Errorf("%s holds %s", path, name)
		}
		found[name] = int64(len(b))
		return nil
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return found
}

// The server dies again and again while photos are on their way: in the end it
// has each of them, byte for byte, and the tablet had never called one sent that
// was not there.
func TestPH5PhotosArriveThroughKillsOfTheServer(t *testing.T) {
	const seed, n = 1, 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.newJob()
	a.unsent(0)
	s.kill()
	for i := range n {
		a.photo("job/self/photo", noise(t, uint64(i)))
	}
	kills := 0
	for range 6 {
		s.start()
		a.link("live")
		time.Sleep(time.Duration(rnd.IntN(400)) * time.Millisecond)
		s.kill()
		kills++
		var left int
		a.must(a.b.Eval(&left, `return Number(document.querySelector("[data-test=status-unsent]").dataset.photos)`))
		if got := len(s.blobs()); got < n-left {
			t.Errorf("seed %d: the tablet says that %d photos wait, the shop has %d pictures", seed, left, got)
		}
		if left == 0 {
			break
		}
	}
	s.start()
	start := time.Now()
	a.photosSent()
	a.unsent(0)
	s.kill()
	s.check()
	got := s.blobs()
	var photos int
	for _, r := range records(t, s) {
		var body struct {
			SHA     string
			Size    int64
			Preview struct {
				SHA  string
				Size int64
			}
		}
		if r.Kind != "photo" {
			continue
		}
		photos++
		if err := json.Unmarshal(r.Body, &body); err != nil {
			t.Fatal(err)
		}
		if got[body.SHA] != body.Size || got[body.Preview.SHA] != body.Preview.Size || body.Size == 0 {
			t.Errorf("seed %d: the record says %d and %d bytes, the shop has %d and %d", seed, body.Size, body.Preview.Size, got[body.SHA], got[body.Preview.SHA])
		}
	}
	if photos != n {
		t.Errorf("seed %d: %d photo records, want %d", seed, photos, n)
	}
	t.Logf("%d kills; the rest was there %v after the last start", kills, time.Since(start).Round(time.Millisecond))
}

// A photo comes to the other tablet by itself as a preview and whole when it is
// looked at, with its marks; taken out for good it goes from the shop and from
// both.
func TestPhotoReachesTheOtherTabletAndGoesFromBoth(t *testing.T) {
	s := newShop(t)
	a, b := newTablet(t, drive.Chromium, s), newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.photo("job/self/photo", flange(t))
	a.must(a.b.Tap(drive.CSS(".thumb")))
	a.tap("tool:arrow")
	a.drag(0.3, 0.15, 0.42, 0.42)
	a.sees("mark:arrow")
	a.photosSent()
	b.first("Wren")
	b.goTo("job", "job="+job)
	b.must(b.b.WaitFor(wait, `const i = document.querySelector(".thumb img"); return i && i.complete && i.naturalWidth === 320`))
	b.must(b.b.Tap(drive.CSS(".thumb")))
	b.must(b.b.WaitFor(wait, `return document.querySelector("[data-test=photo-sheet]")?.dataset.shown === "true"`))
	b.sees("mark:arrow")
	if where := b.text("photo-where"); !strings.Contains(where, "in the shop") {
		t.Errorf("the other tablet says %q", where)
	}
	if n := len(s.blobs()); n != 2 {
		t.Errorf("the shop has %d pictures, want a photo and its preview", n)
	}
	sha := b.hash("id")
	b.tap("for-good")
	b.tap("deny-word")
	b.must(b.b.Type("for good"))
	b.tap("deny")
	b.unsent(0)
	a.sees("photo-gone")
	a.goTo("job", "job="+job)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=job-photos]") && document.querySelectorAll(".thumb").length === 0`))
	var left int
	a.must(a.b.EvalAsync(&left, `await new Promise((done) => setTimeout(done, 1500));
		const db = await new Promise((done) => { indexedDB.open("tubewright").onsuccess = (e) => done(e.target.result); });
		return new Promise((done) => { db.transaction("chunks").objectStore("chunks").count().onsuccess = (e) => done(e.target.result); });`))
	if left != 0 {
		t.Errorf("%d chunks are left on the tablet that took it", left)
	}
	res, err := http.Get(s.url("/blob/" + sha))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusGone {
		t.Errorf("the shop answers %s", res.Status)
	}
	for range 50 {
		if len(s.blobs()) == 0 {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Errorf("%d pictures are left in the shop", len(s.blobs()))
}
