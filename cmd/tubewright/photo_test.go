package main

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
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
// is for the record that the form makes.
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
	var of, reading string
	for _, r := range records(t, s) {
		var body struct{ Of string }
		if json.Unmarshal(r.Body, &body) == nil && r.Kind == "photo" {
			of = body.Of
		}
		if r.Kind == "reading" && r.Slot == slot {
			reading = r.ID
		}
	}
	if of == "" || of != reading {
		t.Errorf("the photo was taken for %q, the reading is %q", of, reading)
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
				a.tap("photo-out")
			}
		})
	}
}

// drag draws on the photo with a finger from one place to another, in parts of
// its width and height.
func (p *tablet) drag(x1, y1, x2, y2 float64) {
	p.t.Helper()
	p.must(p.b.Eval(nil, `const svg = document.querySelector("[data-test=photo-sheet]");
		const r = svg.getBoundingClientRect();
		const [x1, y1, x2, y2] = arguments;
		const at = (type, x, y) => svg.dispatchEvent(new PointerEvent(type,
			{ pointerId: 1, isPrimary: true, bubbles: true, clientX: r.x + x * r.width, clientY: r.y + y * r.height }));
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
