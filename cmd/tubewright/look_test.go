package main

import (
	"fmt"
	"slices"
)

// bothWays looks at a page in both sizes, by day and by night. Where pictures are kept
// they show its top or, where places on it are named, each of those; by night their names
// end in "-dark".
func (p *tablet) bothWays(name string, places ...string) {
	p.t.Helper()
	schemes := []string{"light", "dark"}
	for _, size := range [][2]int{wide, upright} {
		p.must(p.b.SetSize(size[0], size[1]))
		for _, scheme := range schemes {
			p.scheme(scheme)
			n := fmt.Sprintf("%s-%d", name, size[0])
			if scheme == "light" {
				p.fits(n)
			}
			p.legible(n + dark(scheme))
			if len(places) == 0 {
				p.picture(n + dark(scheme))
			}
			for _, id := range places {
				p.must(p.b.Eval(nil, `document.querySelector("[data-test=" + JSON.stringify(arguments[0]) + "]").scrollIntoView(); scrollBy(0, -64)`, id)) // below the status bar
				p.picture(fmt.Sprintf("%s-%s-%d%s", name, id, size[0], dark(scheme)))
			}
		}
		slices.Reverse(schemes) // from the night of one size to that of the other
	}
}

func dark(scheme string) string {
	if scheme == "dark" {
		return "-dark"
	}
	return ""
}

// scheme sets the tablet to light or dark and waits until that is drawn.
func (p *tablet) scheme(name string) {
	p.t.Helper()
	p.must(p.b.(chromium).Scheme(name))
	p.must(p.b.EvalAsync(nil, `await new Promise((go) => requestAnimationFrame(() => requestAnimationFrame(go)))`))
}

// legible checks that all text, and every mark, stands out from what it lies on: text by
// 4.5 : 1, marks by 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11, with its formula of contrast).
func (p *tablet) legible(name string) {
	p.t.Helper()
	var faults []string
	p.must(p.b.Eval(&faults, `
		const pen = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
		const known = new Map();
		const rgba = (c) => {
			if (!known.has(c)) {
				pen.clearRect(0, 0, 1, 1);
				pen.fillStyle = c;
				pen.fillRect(0, 0, 1, 1);
				known.set(c, [...pen.getImageData(0, 0, 1, 1).data].map((v, i) => (i < 3 ? v : v / 255)));
			}
			return known.get(c);
		};
		const over = (top, under, alpha) => under.map((v, i) => top[i] * alpha + v * (1 - alpha));
		const grounds = new Map(); // many texts lie on few grounds
		const ground = (e) => {
			if (!e) return [255, 255, 255];
			if (!grounds.has(e)) {
				const c = rgba(getComputedStyle(e).backgroundColor);
				grounds.set(e, c[3] === 1 ? c.slice(0, 3) : over(c, ground(e.parentElement), c[3]));
			}
			return grounds.get(e);
		};
		const solids = new Map();
		const solid = (e) => {
			if (!e) return 1;
			if (!solids.has(e)) solids.set(e, Number(getComputedStyle(e).opacity) * solid(e.parentElement));
			return solids.get(e);
		};
		const light = (c) => c.slice(0, 3).map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
			.reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
		const contrast = (c, e) => {
			const under = ground(e);
			const [a, b] = [light(over(c, under, c[3] * solid(e))), light(under)];
			return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
		};
		const faults = [];
		const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		while (words.nextNode()) {
			const e = words.currentNode.parentElement;
			const said = words.currentNode.data.trim();
			if (said === "" || e.getClientRects().length === 0 || e.closest("button:disabled, script, style, title")) continue;
			const s = getComputedStyle(e);
			const got = contrast(rgba(e.closest("svg") ? s.fill : s.color), e);
			if (got < 4.5) faults.push(JSON.stringify(said.slice(0, 40)) + " stands out by " + got.toFixed(1) + " only");
		}
		for (const e of document.querySelectorAll(".mark")) {
			const got = contrast(rgba(getComputedStyle(e).color), e);
			if (e.getClientRects().length > 0 && got < 3)
				faults.push("a mark beside " + JSON.stringify(e.parentElement.textContent.trim().slice(0, 40)) + " stands out by " + got.toFixed(1) + " only");
		}
		return [...new Set(faults)];`))
	for _, f := range faults {
		p.t.Errorf("%s: %s", name, f)
	}
}

// uncut checks that what is written in a drawing is large enough, 16 px as everywhere,
// and lies within it, in both sizes.
func (p *tablet) uncut() {
	p.t.Helper()
	for _, size := range [][2]int{wide, upright} {
		p.must(p.b.SetSize(size[0], size[1]))
		var faults []string
		p.must(p.b.Eval(&faults, `return [...document.querySelectorAll(".drawing svg text")].flatMap((e) => {
			const [a, b] = [e, e.closest("svg")].map((n) => n.getBoundingClientRect());
			const px = parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a;
			return [
				...(px < 15.5 ? [e.textContent + " is set in " + px.toFixed(1) + " px"] : []),
				...(a.left < b.left - 1 || a.right > b.right + 1 || a.top < b.top - 1 || a.bottom > b.bottom + 1 ? [e.textContent + " is cut off"] : []),
			];
		})`))
		for _, f := range faults {
			p.t.Errorf("at %d px: %s", size[0], f)
		}
	}
}
