package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

var demoFour = filepath.Join("demo", "heron.job.json")

// planOf is what the program's own command says of a job file.
func planOf(t *testing.T, file string) (plan struct {
	Tubes []struct {
		OD   float64
		Path []struct {
			Kind                     string
			From, To, Centre, Normal [3]float64
			Angle                    float64
		}
	}
	Gaps []struct {
		A, B        string
		Gap, Wanted float64
		TooClose    bool `json:"too_close_to_call"`
	}
}) {
	t.Helper()
	code, out, errs := command(t, "plan", file)
	if code != exitDone {
		t.Fatalf("plan: exit %d: %s", code, errs)
	}
	if err := json.Unmarshal([]byte(out), &plan); err != nil {
		t.Fatal(err)
	}
	return plan
}

type slider interface {
	Slide(points ...[2]float64) error
}

// solid opens the demo's four on the drawing in three dimensions.
func (p *tablet) solid(heron string) {
	p.t.Helper()
	p.goTo("view3d", "job="+heron)
	p.must(p.b.WaitFor(wait, `const h = document.querySelector("[data-test=solid]"); return h && Number(h.dataset.meshes) > 4 && Number(h.dataset.frames) > 0`))
	p.still()
}

// still waits until nothing is drawn any more.
func (p *tablet) still() {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `const h = document.querySelector("[data-test=solid]");
		const [n, was] = [h.dataset.frames, window.drawn]; window.drawn = n; return n === was`))
}

// drawn is the picture of the drawing alone, labels included.
func (p *tablet) drawn() *image.RGBA {
	p.t.Helper()
	box, err := p.b.Box(css("solid"))
	p.must(err)
	b, err := p.b.Screenshot()
	p.must(err)
	shot, err := png.Decode(bytes.NewReader(b))
	p.must(err)
	part := image.NewRGBA(image.Rect(0, 0, int(box.Width), int(box.Height)))
	for y := range part.Rect.Dy() {
		for x := range part.Rect.Dx() {
			part.Set(x, y, shot.At(x+int(math.Ceil(box.X)), y+int(math.Ceil(box.Y))))
		}
	}
	return part
}

// share is the part of the pixels in which two pictures differ by more than a little.
func share(a, b *image.RGBA) float64 {
	n := 0
	for i := 0; i+3 < len(a.Pix) && i+3 < len(b.Pix); i += 4 {
		d := 0
		for k := range 3 {
			d = max(d, int(a.Pix[i+k])-int(b.Pix[i+k]), int(b.Pix[i+k])-int(a.Pix[i+k]))
		}
		if d > 12 {
			n++
		}
	}
	return float64(n) / float64(len(a.Pix)/4)
}

// standsOut is the contrast against the ground, by the formula of WCAG 2.2, of what is
// on the ground in one picture and not in the other: the median of its pixels.
func standsOut(with, without *image.RGBA) float64 {
	light := func(p []uint8) (sum float64) {
		for i, share := range [3]float64{0.2126, 0.7152, 0.0722} {
			v := float64(p[i]) / 255
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			sum += share * v
		}
		return sum
	}
	ground := blank(without)
	var contrasts []float64
	for i := 0; i < len(with.Pix); i += 4 {
		g := ground.Pix[i : i+4]
		if bytes.Equal(without.Pix[i:i+4], g) && !bytes.Equal(with.Pix[i:i+4], g) {
			a, b := light(with.Pix[i:i+4]), light(g)
			contrasts = append(contrasts, (max(a, b)+0.05)/(min(a, b)+0.05))
		}
	}
	if len(contrasts) == 0 {
		return 1
	}
	slices.Sort(contrasts)
	return contrasts[len(contrasts)/2]
}

// blank is a picture of the same size in the colour of its corner.
func blank(like *image.RGBA) *image.RGBA {
	b := image.NewRGBA(like.Rect)
	for i := 0; i < len(b.Pix); i += 4 {
		copy(b.Pix[i:i+4], like.Pix[4*40+4*40*like.Rect.Dx():])
	}
	return b
}

// place is where a label stands, in the view.
func (p *tablet) label(key string) [2]float64 {
	p.t.Helper()
	box, err := p.b.Box(drive.CSS(fmt.Sprintf("[data-label=%q]", key)))
	p.must(err)
	return [2]float64{box.X + box.Width/2, box.Y + box.Height/2}
}

// The header of the demo in three dimensions on a tablet: drawn, turned with one
// finger, a tube and a gap named by a tap, everything given back when it is left.
func TestHeaderIsDrawnInThreeDimensions(t *testing.T) {
	a, heron := withJob(t, drive.Chromium, "")
	slide := a.b.(slider).Slide

	// Reached from the result, in both sizes, with nothing too small to tap.
	a.goTo("result", "job="+heron)
	a.tap("to-3d")
	a.solid(heron)
	for _, size := range [][2]int{wide, upright} {
		a.must(a.b.SetSize(size[0], size[1]))
		a.still()
		a.fits(fmt.Sprintf("view3d-%d", size[0]))
		a.legible(fmt.Sprintf("view3d-%d", size[0]))
		a.picture(fmt.Sprintf("view3d-%d", size[0]))
		a.clear()
	}
	var built string
	a.must(a.b.Eval(&built, `const d = document.querySelector("[data-test=solid]").dataset; return d.meshes + " meshes, " + d.triangles + " triangles, built in " + d.buildMs + " ms"`))
	t.Log(built)

	first := a.drawn()
	if got := share(first, blank(first)); got < 0.05 || got > 0.9 {
		t.Errorf("%.0f %% of the picture is drawn", 100*got)
	}
	// Without tubes there is less of it, and the switch brings back the very same.
	a.tap("solid-layer:planned")
	a.still()
	without := a.drawn()
	if got := share(first, without); got < 0.02 {
		t.Errorf("without tubes %.1f %% of the picture differ", 100*got)
	}
	a.tap("solid-layer:planned")
	a.still()
	if got := share(first, a.drawn()); got > 0.001 {
		t.Errorf("with the tubes again %.2f %% of the picture differ", 100*got)
	}

	// Neighbours stand out, by day and by night.
	for _, scheme := range []string{"dark", "light"} {
		a.scheme(scheme)
		a.still()
		with := a.drawn()
		a.tap("solid-layer:around")
		a.still()
		if got := standsOut(with, a.drawn()); got < 3 {
			t.Errorf("%s: the median of what is drawn of neighbours stands out by %.1f : 1 only", scheme, got)
		} else {
			t.Logf("%s: neighbours stand out by %.1f : 1", scheme, got)
		}
		a.tap("solid-layer:around")
		a.still()
	}

	// One finger turns; the page under it does not scroll.
	box, err := a.b.Box(css("solid"))
	a.must(err)
	at := func(x, y float64) [2]float64 { return [2]float64{box.X + x*box.Width, box.Y + y*box.Height} }
	a.must(slide(at(0.3, 0.3), at(0.45, 0.4), at(0.6, 0.5)))
	a.still()
	turned := a.drawn()
	if got := share(first, turned); got < 0.05 {
		t.Errorf("after a finger's way only %.1f %% of the picture differ", 100*got)
	}
	var scrolled float64
	a.must(a.b.Eval(&scrolled, `return scrollY`))
	if scrolled != 0 {
		t.Errorf("turning scrolled the page by %v px", scrolled)
	}
	a.picture("view3d-turned-820")

	// Nothing is drawn while nothing happens.
	var frames [2]int
	a.must(a.b.EvalAsync(&frames, `const d = document.querySelector("[data-test=solid]").dataset; const was = Number(d.frames);
		await new Promise((go) => setTimeout(go, 1500)); return [was, Number(d.frames)]`))
	if frames[0] != frames[1] {
		t.Errorf("%d pictures were drawn while nothing happened", frames[1]-frames[0])
	}

	// Standard views, zoom, slide.
	pictures := map[string]*image.RGBA{"whole": first}
	for _, view := range []string{"front", "above", "below", "side", "larger", "smaller", "whole"} {
		a.tap("solid-" + view)
		a.still()
		pictures[view] = a.drawn()
		if view != "larger" && view != "smaller" {
			a.picture("view3d-" + view + "-820")
		}
	}
	for _, pair := range [][2]string{{"front", "above"}, {"above", "below"}, {"below", "side"}, {"side", "larger"}, {"larger", "smaller"}} {
		if got := share(pictures[pair[0]], pictures[pair[1]]); got < 0.03 {
			t.Errorf("%s and %s differ in %.1f %% of the picture", pair[0], pair[1], 100*got)
		}
	}
	pressed := func(want bool) {
		t.Helper()
		a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=solid-slide]").ariaPressed === String(arguments[0])`, want))
	}
	a.tap("solid-slide")
	pressed(true)
	a.must(slide(at(0.5, 0.5), at(0.6, 0.5)))
	a.still()
	if got := share(pictures["whole"], a.drawn()); got < 0.02 {
		t.Errorf("sliding changed %.1f %% of the picture", 100*got)
	}
	a.tap("solid-slide")
	pressed(false)
	a.tap("solid-front")
	a.tap("solid-whole")
	a.still()

	// A tap names a tube; a tap on a gap gives its figures; the list does the same.
	a.must(slide(a.label("tube/t4")))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=solid-panel]").dataset.of === "tube/t4"`))
	a.says("solid-panel", "Tube 4")
	a.still()
	a.picture("view3d-tube-820")
	plan := planOf(t, demoFour)
	worst := plan.Gaps[0]
	for _, g := range plan.Gaps {
		if g.Gap-g.Wanted < worst.Gap-worst.Wanted {
			worst = g
		}
	}
	key := "gap/" + worst.A + "/" + worst.B
	a.tap("solid-row:" + key)
	a.says("solid-panel", fmt.Sprintf("%.2f mm", worst.Gap))
	a.says("solid-panel", fmt.Sprintf("%.2f mm too little", worst.Wanted-worst.Gap))
	a.still()
	a.picture("view3d-gap-820")
	a.tap("solid-row:tube/t2")
	a.says("solid-panel", "Tube 2")
	a.still()
	var mid [2]float64
	a.must(a.b.Eval(&mid, `const r = document.querySelector("[data-gap='" + arguments[0] + "'] .under").getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]`, key))
	a.must(slide(mid))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=solid-panel]").dataset.of === arguments[0]`, key))

	// Dark, and back.
	a.scheme("dark")
	a.still()
	a.legible("view3d-820-dark")
	a.picture("view3d-820-dark")
	a.must(a.b.SetSize(wide[0], wide[1]))
	a.still()
	a.legible("view3d-1180-dark")
	a.picture("view3d-1180-dark")
	a.scheme("light")
	a.must(a.b.SetSize(upright[0], upright[1]))

	// The memory is taken back: it says so and draws anew.
	a.must(a.b.Eval(nil, `window.canvas = document.querySelector("[data-test=solid] canvas"); canvas.getContext("webgl2").getExtension("WEBGL_lose_context").loseContext()`))
	a.sees("solid-lost")
	a.picture("view3d-lost-820")
	a.tap("solid-anew")
	a.must(a.b.WaitFor(wait, `const c = document.querySelector("[data-test=solid] canvas"); return c && c !== canvas && !c.getContext("webgl2").isContextLost() && !document.querySelector("[data-test=solid-lost]")`))
	a.still()
	if again := a.drawn(); share(again, blank(again)) < 0.05 {
		t.Error("drawn anew, the picture is empty")
	}

	// Left: the context is given back.
	a.must(a.b.Eval(nil, `window.canvas = document.querySelector("[data-test=solid] canvas"); window.context = canvas.getContext("webgl2")`))
	a.tap("back")
	a.sees("to-3d")
	a.must(a.b.WaitFor(wait, `return context.isContextLost() && !canvas.isConnected`))
	a.complains("CONTEXT_LOST", "GPU stall", "swiftshader", "SwiftShader")
}

// The same drawing in all engines that are there. Firefox without a screen may have no
// WebGL; then it says so, and the list works.
func TestHeaderIsDrawnInEveryEngine(t *testing.T) {
	for _, e := range drive.Engines {
		t.Run(e.Name, func(t *testing.T) {
			a, heron := withJob(t, e.Start, "")
			a.goTo("view3d", "job="+heron)
			a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=solid-none], [data-test=solid]")`))
			var none bool
			a.must(a.b.Eval(&none, `return document.querySelector("[data-test=solid-none]") !== null`))
			if none {
				a.tap("solid-row:tube/t4")
				a.says("solid-panel", "Tube 4")
				if e.Name == "Chromium" {
					t.Fatal("Chromium draws nothing in three dimensions")
				}
				t.Skip("SKIPPED: this " + e.Name + " has no WebGL here; it says so and lists the figures")
			}
			a.solid(heron)
			before := a.drawn()
			if got := share(before, blank(before)); got < 0.05 {
				t.Errorf("%.1f %% of the picture is drawn", 100*got)
			}
			a.picture("view3d-" + e.Name)
			box, err := a.b.Box(css("solid"))
			a.must(err)
			x, y := box.X+box.Width/2, box.Y+box.Height/2
			a.must(a.b.(slider).Slide([2]float64{x, y}, [2]float64{x + 150, y + 60}))
			a.still()
			if got := share(before, a.drawn()); got < 0.05 {
				t.Errorf("turning changed %.1f %% of the picture", 100*got)
			}
			a.must(a.b.(slider).Slide(a.label("tube/t4")))
			a.says("solid-panel", "Tube 4")
		})
	}
}

// clear checks that no label lies over another or outside its picture, and none over a control.
func (p *tablet) clear() {
	p.t.Helper()
	var faults []string
	p.must(p.b.Eval(&faults, `
		const box = (e) => { const r = e.getBoundingClientRect(); return { l: r.left, t: r.top, r: r.right, b: r.bottom }; };
		const over = (a, b) => Math.min(a.r, b.r) - Math.max(a.l, b.l) > 1 && Math.min(a.b, b.b) - Math.max(a.t, b.t) > 1;
		const labels = [...document.querySelectorAll(".solid-label")];
		const sheet = box(document.querySelector(".solid-sheet"));
		const faults = labels.length < 4 ? ["only " + labels.length + " labels"] : [];
		labels.forEach((e, i) => {
			const a = box(e);
			if (a.l < sheet.l || a.r > sheet.r || a.t < sheet.t || a.b > sheet.b) faults.push(e.dataset.label + " is cut off");
			if (e.scrollWidth > e.clientWidth + 1) faults.push(e.dataset.label + " is wider than its place by " + (e.scrollWidth - e.clientWidth));
			for (const o of labels.slice(0, i)) if (over(a, box(o))) faults.push(e.dataset.label + " lies over " + o.dataset.label);
			for (const o of document.querySelectorAll("button")) if (over(a, box(o))) faults.push(e.dataset.label + " lies over a key");
		});
		return faults;`))
	for _, f := range faults {
		p.t.Error(f)
	}
}

// Never opened with the shop there, the drawing and its file work with the shop gone.
// The file is glTF 2.0 in metres, as large as the header.
func TestHeaderIsDrawnAndSavedWithTheShopGone(t *testing.T) {
	a, heron := withJob(t, drive.Chromium, "")
	a.alone()
	a.goTo("tube", "job="+heron+"&id=t2")
	a.tap("to-3d")
	a.solid(heron)
	a.goTo("view3d", "job="+heron)
	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.tap("solid-file")
	a.tap("solid-file-link")
	var file string
	for range 200 {
		if names, _ := filepath.Glob(filepath.Join(folder, "*.glb")); len(names) == 1 {
			file = names[0]
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if file == "" {
		t.Fatal("no file came")
	}
	if got, want := filepath.Base(file), "Heron-four-invented.glb"; got != want {
		t.Errorf("the file is called %s, want %s", got, want)
	}
	low, high, nodes := glbExtent(t, file, "tube ")
	want, top := tubesExtent(t)
	for k := range 3 {
		// The drawn circle lies up to half a side's height inside the true one.
		if math.Abs(low[k]-want[k]/1000) > 0.0002 || math.Abs(high[k]-top[k]/1000) > 0.0002 {
			t.Errorf("axis %d: from %.4f to %.4f m, the plan's tubes from %.4f to %.4f", k, low[k], high[k], want[k]/1000, top[k]/1000)
		}
	}
	if nodes != 4 {
		t.Errorf("%d tubes in the file, want 4", nodes)
	}
	a.complains("ERR_CONNECTION_REFUSED", "GPU stall", "swiftshader", "SwiftShader")
}

// A browser without WebGL says so; the flat drawings and the list stay.
func TestWithoutGraphicsTheListStays(t *testing.T) {
	a, heron := withJob(t, drive.Chromium, "")
	a.must(a.b.(chromium).Before(`
		HTMLCanvasElement.prototype.getContext = new Proxy(HTMLCanvasElement.prototype.getContext, { apply: (f, it, args) => String(args[0]).startsWith("webgl") ? null : Reflect.apply(f, it, args) });`))
	a.open()
	a.goTo("view3d", "job="+heron)
	a.says("solid-none", "WebGL")
	a.tap("solid-row:gap/t1/n1")
	a.says("solid-panel", "too little")
	a.picture("view3d-none-820")
	a.goTo("tube", "job="+heron+"&id=t2")
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll(".drawing svg").length === 2`))
}

// glbExtent reads a binary glTF and returns the box around the nodes whose name begins
// with prefix. Layout: glTF 2.0 specification, section 4.4.
func glbExtent(t *testing.T, file, prefix string) (low, high [3]float64, nodes int) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	u32 := func(at int) uint32 { return binary.LittleEndian.Uint32(b[at:]) }
	if len(b) < 20 || string(b[:4]) != "glTF" || u32(4) != 2 || int(u32(8)) != len(b) || string(b[16:20]) != "JSON" {
		t.Fatalf("not a binary glTF 2.0: %q", b[:min(20, len(b))])
	}
	var g struct {
		Asset struct{ Version string }
		Nodes []struct {
			Name   string
			Mesh   *int
			Scale  []float64
			Matrix []float64
		}
		Meshes []struct {
			Primitives []struct{ Attributes map[string]int }
		}
		Accessors []struct{ Min, Max []float64 }
	}
	if err := json.Unmarshal(b[20:20+u32(12)], &g); err != nil {
		t.Fatal(err)
	}
	if g.Asset.Version != "2.0" {
		t.Errorf("version %s", g.Asset.Version)
	}
	low, high = [3]float64{1e9, 1e9, 1e9}, [3]float64{-1e9, -1e9, -1e9}
	for _, n := range g.Nodes {
		if n.Scale != nil || n.Matrix != nil {
			t.Errorf("node %s is scaled or moved: programs that read places alone would be wrong", n.Name)
		}
		if n.Mesh == nil || !strings.HasPrefix(n.Name, prefix) {
			continue
		}
		nodes++
		for _, p := range g.Meshes[*n.Mesh].Primitives {
			a := g.Accessors[p.Attributes["POSITION"]]
			for k := range 3 {
				low[k], high[k] = min(low[k], a.Min[k]), max(high[k], a.Max[k])
			}
		}
	}
	return low, high, nodes
}

// tubesExtent is the box around the plan's tubes, from fine steps along their
// centrelines: at each the tube reaches r·√(1−d²) along an axis, with d the direction
// of travel along it (closed form).
func tubesExtent(t *testing.T) (low, high [3]float64) {
	t.Helper()
	type vec = [3]float64
	plan := planOf(t, demoFour)
	r := plan.Tubes[0].OD / 2
	low, high = vec{1e9, 1e9, 1e9}, vec{-1e9, -1e9, -1e9}
	reach := func(at, dir vec) {
		for k := range 3 {
			out := r * math.Sqrt(max(0, 1-dir[k]*dir[k]))
			low[k], high[k] = min(low[k], at[k]-out), max(high[k], at[k]+out)
		}
	}
	cross := func(a, b vec) vec { return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]} }
	for _, tube := range plan.Tubes {
		for _, p := range tube.Path {
			var v vec
			for k := range 3 {
				v[k] = p.To[k] - p.From[k]
			}
			if p.Kind == "line" {
				n := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
				for k := range 3 {
					v[k] /= n
				}
				reach(p.From, v)
				reach(p.To, v)
				continue
			}
			for k := range 3 {
				v[k] = p.From[k] - p.Centre[k]
			}
			clr := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
			w := cross(p.Normal, v)
			for i := range 1001 {
				s, c := math.Sincos(p.Angle * math.Pi / 180 * float64(i) / 1000)
				var at, dir vec
				for k := range 3 {
					at[k] = p.Centre[k] + c*v[k] + s*w[k]
					dir[k] = (c*w[k] - s*v[k]) / clr
				}
				reach(at, dir)
			}
		}
	}
	return low, high
}
