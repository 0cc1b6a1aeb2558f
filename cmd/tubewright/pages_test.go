package main

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// The shop page and the trust page in a real browser: forms work under the pages'
// policy, nothing is to scroll sideways, nothing to tap is smaller than a finger,
// and the page says so when a device came in.
func TestPagesOfTheShopWorkInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: drives a browser, not in -short")
	}
	s := start(t, t.TempDir())
	b, skip, err := drive.Chromium(t.Context(), drive.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if skip != "" {
		t.Skip(skip)
	}
	t.Cleanup(b.Close)
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	fits := func(name string) {
		t.Helper()
		for _, size := range [][2]int{upright, wide} {
			must(b.SetSize(size[0], size[1]))
			var wrong []string
			must(b.Eval(&wrong, `
				const wrong = [];
				const page = document.documentElement;
				if (page.scrollWidth > innerWidth) wrong.push("scrolls sideways: " + page.scrollWidth);
				for (const e of document.querySelectorAll("button, .button, input:not([type=hidden]):not([type=radio]), label.pick, summary")) {
					const r = e.getBoundingClientRect();
					if (r.width && (r.height < 47.5 || r.width < 47.5)) wrong.push(e.outerHTML.slice(0, 80) + " is " + r.width + " by " + r.height);
				}
				if (getComputedStyle(document.body).fontVariantNumeric !== "tabular-nums") wrong.push("the style sheet does not hold");
				return wrong`))
			for _, w := range wrong {
				t.Errorf("%s at %d by %d: %s", name, size[0], size[1], w)
			}
			if *screens != "" {
				png, err := b.Screenshot()
				must(err)
				must(os.WriteFile(filepath.Join(*screens, fmt.Sprintf("%s-%d.png", name, size[0])), png, 0o600))
			}
		}
	}
	sees := func(text string) {
		t.Helper()
		must(b.WaitFor(10*time.Second, `return document.body.textContent.includes(arguments[0])`, text))
	}

	must(b.Open(s.trust + "/"))
	sees("Certificate Trust Settings")
	fits("trust")

	must(b.Open(s.shop + "/shop"))
	sees("None yet.")
	fits("shop")
	must(b.Tap(drive.CSS("[name=name]")))
	must(b.Type("Yard tablet"))
	must(b.Tap(drive.CSS("[name=role][value=bench]")))
	must(b.Tap(drive.Button("Make a code")))
	sees("Code for Yard tablet")
	fits("code")
	short, err := b.Text(drive.CSS(".short"))
	must(err)

	authority := s.get(http.DefaultClient, s.trust+"/tubewright-shop.crt")
	tablet := tabletClient(t, []byte(authority.body))
	claim := fmt.Sprintf(`{"code":%q,"dev":"tab-1","checks":{"worker":true,"socket":true,"secure":true,"strict":true,"persisted":true,"clock_ms":0}}`, short)
	if a := s.do(tablet, "POST", s.origin+"/pair/claim", s.origin, "application/json", claim); a.status != http.StatusOK {
		t.Fatalf("claim: %d %s", a.status, a.body)
	}
	sees("was let in as “Yard tablet”") // the page looks by itself

	must(b.Open(s.shop + "/shop"))
	sees("Yard tablet")
	must(b.Tap(drive.CSS("td summary")))
	must(b.Tap(drive.CSS("td [name=name]")))
	must(b.Type("\uE010 2")) // the key End: the tap put the caret somewhere
	must(b.Tap(drive.Button("Rename")))
	sees("is called “Yard tablet 2” now")
	sees("Yard tablet 2")
	must(b.Tap(drive.CSS("td summary")))
	fits("device")
	must(b.Tap(drive.CSS("td a.button")))
	sees("off the list?")
	fits("revoke")
	must(b.Tap(drive.Button("Take off the list")))
	sees("“Yard tablet 2” is off the list.")
	sees("Off the list: 1")
	if lines, ok := b.Errors(); ok && len(lines) > 0 {
		t.Errorf("the browser complains: %q", lines)
	}
}
