package shop

import (
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tubewright/calc/ledger"
)

func TestFrontPageSaysWhatToDoNext(t *testing.T) {
	c := newCounter(t)
	c.state.Warnings = []string{"The name is another one than before."}
	w := c.get("/shop")
	says(t, w, http.StatusOK, "http://192.168.1.20:8410/", "http://10.0.0.5:8410/", "https://tubewright.local:8411/", "AB 01 AB 01", "The name is another one than before.",
		"Yard", "10 min ago", "△ pair it anew", "copied tablet?", "3 h ago", "On the same disk", "/data/backups", "v1.2", "Lost", "12 entries", "2036-11-25")
	if strings.Contains(w.Body.String(), "Bench <b>") {
		t.Error("a device's name went in as markup")
	}
	if got := strings.Count(w.Body.String(), `class="qr"`); got != 2 {
		t.Errorf("%d QR codes, want the trust page's and the app's", got)
	}
	if strings.Contains(w.Body.String(), "<script") || strings.Contains(w.Body.String(), " style=") {
		t.Error("script or styles that the policy forbids stand in the page")
	}

	// With a certificate of one's own there is nothing to trust first.
	c.state.Trust, c.state.Fingerprint = nil, ""
	if w := c.get("/shop"); strings.Contains(w.Body.String(), "ingerprint") || !strings.Contains(w.Body.String(), "1 · The app") {
		t.Error("it speaks of an authority that there is not")
	}
	// Without a network it says so.
	c.state.Fingerprint = "AB:01"
	says(t, c.get("/shop"), http.StatusOK, "no address in a shop's network")
	c.desk.err = errDisk
	says(t, c.get("/shop"), http.StatusInternalServerError, "the disk is full")
}

func TestCodeIsShownUntilItIsUsedOrOver(t *testing.T) {
	c := newCounter(t)
	w := c.post("/shop/code", url.Values{"name": {"  Yard 2 "}, "role": {"measure"}}, own)
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/shop/code/1" {
		t.Fatalf("%d %s", w.Code, w.Header())
	}
	if strings.Contains(w.Header().Get("Location"), secret) {
		t.Error("the code stands in an address")
	}
	w = c.get("/shop/code/1")
	says(t, w, http.StatusOK, "ABCD 2345", "Yard 2", `http-equiv="refresh"`, "from the home screen", `class="qr large"`)
	if strings.Contains(w.Body.String(), secret) {
		t.Error("the long code stands in the page as text")
	}
	if body := w.Body.String(); strings.Contains(body, "with the app") || strings.Index(body, "<svg") < strings.Index(body, "home screen") {
		t.Error("the app has no scanner: the picture comes last, for browsers")
	}
	// Loading it again makes no second one.
	c.get("/shop/code/1")
	if want := []string{"code measure Yard 2"}; !slices.Equal(c.did, want) {
		t.Errorf("did %q", c.did)
	}
	// Somebody of that name who came earlier is not the one.
	c.state.Devices = append(c.state.Devices, Device{Dev: "tab-8", Name: "Yard 2", Role: ledger.Measure, At: noon.Add(-time.Hour)})
	says(t, c.get("/shop/code/1"), http.StatusOK, "ABCD 2345")
	c.state.Devices = append(c.state.Devices, Device{Dev: "tab-9", Name: "Yard 2", Role: ledger.Measure, At: noon.Add(time.Minute)})
	w = c.get("/shop/code/1")
	says(t, w, http.StatusOK, "was let in as “Yard 2”")
	if strings.Contains(w.Body.String(), "ABCD 2345") || strings.Contains(w.Body.String(), "refresh") {
		t.Error("a used code is still shown")
	}

	c.post("/shop/code", url.Values{"name": {"Wall"}, "role": {"board"}}, own)
	says(t, c.get("/shop/code/2"), http.StatusOK, "https://tubewright.local:8411/wall", "Wall board", "type these eight signs", "On the wall's own machine")
	says(t, c.get("/shop"), http.StatusOK, "For a wall board", "https://tubewright.local:8411/wall")
	c.now = noon.Add(5 * time.Minute)
	w = c.get("/shop/code/2")
	says(t, w, http.StatusOK, "is over")
	if strings.Contains(w.Body.String(), "ABCD 2345") {
		t.Error("a code whose time is over is still shown")
	}
	says(t, c.get("/shop/code/77"), http.StatusNotFound, "no longer here")
}

// An open code can be found again and ended; what is over or used is not listed.
func TestOpenCodesAreListedAndWithdrawn(t *testing.T) {
	c := newCounter(t)
	c.post("/shop/code", url.Values{"name": {"Yard <2>"}, "role": {"measure"}}, own)
	c.post("/shop/code", url.Values{"name": {"Wall"}, "role": {"board"}}, own)
	listed := noon.Add(5 * time.Minute).Local().Format("15:04")
	says(t, c.get("/shop"), http.StatusOK, "Open codes", "<b>Yard <2></b>", "until "+listed, `href="/shop/code/1"`, `href="/shop/code/2"`)
	w := c.post("/shop/withdraw", url.Values{"n": {"1"}}, own)
	if want := []string{"code measure Yard <2>", "code board Wall", "withdraw " + secret}; !slices.Equal(c.did, want) {
		t.Errorf("did %q, want %q", c.did, want)
	}
	w = c.get(w.Header().Get("Location"))
	says(t, w, http.StatusOK, "The code for “Yard <2>” was withdrawn.")
	if strings.Contains(w.Body.String(), "Open codes") || strings.Contains(w.Body.String(), secret) {
		t.Error("codes are listed that are not open")
	}
	w = c.get("/shop/code/1")
	says(t, w, http.StatusOK, "was withdrawn")
	if strings.Contains(w.Body.String(), "ABCD 2345") {
		t.Error("a withdrawn code is still shown")
	}
	c.spent, c.now = false, noon.Add(5*time.Minute)
	if w := c.get("/shop"); strings.Contains(w.Body.String(), "Open codes") {
		t.Error("a code whose time is over is listed")
	}
	says(t, c.post("/shop/withdraw", url.Values{"n": {"77"}}, own), http.StatusNotFound, "no longer here")
}

// A person sees what there is before taking it in.
func TestWhatWasSetAsideIsListed(t *testing.T) {
	c := newCounter(t)
	for i, d := range c.state.Devices {
		if d.Aside > 0 {
			c.state.Devices[i].Aside = 15
		}
	}
	w := c.get("/shop")
	says(t, w, http.StatusOK, "Lost", "15 entries", "Yard car", "Port p1 · width", "40 mm", "51 mm", "Kim", "and 3 more", "Take in all 15")
	if body := w.Body.String(); strings.Contains(body, "<i>") || strings.Index(body, "51 mm") > strings.Index(body, "Take in") {
		t.Error("values as markup, or the button before what it takes in")
	}
	lost := &c.state.Devices[2]
	const full = "As much as is set aside of one device lies here"
	if strings.Contains(w.Body.String(), full) {
		t.Error("there is room, and the page says none")
	}
	lost.IsFull = true
	says(t, c.get("/shop"), http.StatusOK, full, "until you take these in", "Take in all 15")
	lost.Aside = 0 // none of them can be taken in
	says(t, c.get("/shop"), http.StatusOK, full, "tubewright check")
}

// A wall board writes nothing, so that nothing of it is set aside.
func TestNothingIsSetAsideOfAWall(t *testing.T) {
	c := newCounter(t)
	wall := &c.state.Devices[1]
	wall.Role = ledger.Board
	if body := c.get("/shop/revoke?dev=tab-2").Body.String(); strings.Contains(body, "set aside") {
		t.Error(body)
	}
	if body := c.get("/shop?did=revoked&dev=tab-2").Body.String(); !strings.Contains(body, "is off the list.") || strings.Contains(body, "when it comes") {
		t.Error(body)
	}
}

// What was typed stays, and what is wrong is named with what is allowed.
func TestNameThatCannotBeUsedStaysInTheForm(t *testing.T) {
	for _, form := range []struct{ name, role, part string }{
		{"", "measure", "0 characters; allowed 1 to 40"},
		{"   ", "measure", "0 characters"},
		{strings.Repeat("x", 41), "measure", "41 characters"},
		{"a\x07b", "measure", "cannot be shown"},
		{"\xff", "measure", "cannot be shown"},
		{"Yard", "admin", "allowed are measure, bench and board"},
		{"Yard", "", "allowed are"},
	} {
		c := newCounter(t)
		w := c.post("/shop/code", url.Values{"name": {form.name}, "role": {form.role}}, own)
		says(t, w, http.StatusUnprocessableEntity, form.part)
		if form.role == "admin" && !strings.Contains(w.Body.String(), `value="Yard"`) {
			t.Error("what was typed is gone")
		}
		if len(c.did) != 0 {
			t.Errorf("%q %q: did %q", form.name, form.role, c.did)
		}
	}
}

func TestDevicesAreRenamedTakenOffAndTakenInFrom(t *testing.T) {
	c := newCounter(t)
	if w := c.post("/shop/rename", url.Values{"dev": {"tab-1"}, "name": {"Yard, new"}}, own); w.Code != http.StatusSeeOther {
		t.Error(w.Code)
	}
	says(t, c.post("/shop/rename", url.Values{"dev": {"tab-1"}, "name": {" "}}, own), http.StatusUnprocessableEntity, "allowed 1 to 40")
	// Taking one off the list asks once more, and looking at the question does nothing.
	says(t, c.get("/shop/revoke?dev=tab-1"), http.StatusOK, "Take Yard off the list?", "<b>3</b> entries were on it only")
	says(t, c.get("/shop/revoke?dev=tab-3"), http.StatusNotFound, "off the list already")
	says(t, c.get("/shop/revoke?dev=nobody"), http.StatusNotFound, "no such device")
	w := c.post("/shop/revoke", url.Values{"dev": {"tab-1"}}, own)
	if w.Header().Get("Location") != "/shop?dev=tab-1&did=revoked&n=0" {
		t.Error(w.Header())
	}
	says(t, c.get(w.Header().Get("Location")), http.StatusOK, "“Yard” is off the list.")
	w = c.post("/shop/takein", url.Values{"dev": {"tab-3"}}, own)
	says(t, c.get(w.Header().Get("Location")), http.StatusOK, "Taken in from “Lost”: 12 entries.")
	want := []string{"rename tab-1 Yard, new", "revoke tab-1", "take in tab-3"}
	if !slices.Equal(c.did, want) {
		t.Errorf("did %q, want %q", c.did, want)
	}
	c.desk.err = errDisk
	says(t, c.post("/shop/revoke", url.Values{"dev": {"tab-2"}}, own), http.StatusInternalServerError, "That did not work: the disk is full.")
	if w := newCounter(t).get("/shop?did=taken&n=%3Cb%3E&dev=evil"); strings.Contains(w.Body.String(), "aken in from") || strings.Contains(w.Body.String(), "evil") {
		t.Error("the address can put words into the page")
	}
}

// A page from elsewhere, also one under a name that somebody pointed at this
// machine, cannot make codes or take devices off the list.
func TestTL7FormsFromElsewhereAreRefused(t *testing.T) {
	for _, origins := range [][]string{nil, {"null"}, {"http://evil.example"}, {"https://127.0.0.1:8412"}, {"http://127.0.0.1:8411"}, {"http://127.0.0.1:8412/"}, {own, own}, {own, "http://evil.example"}} {
		for _, path := range []string{"/shop/code", "/shop/withdraw", "/shop/rename", "/shop/revoke", "/shop/takein"} {
			c := newCounter(t)
			w := c.post(path, url.Values{"name": {"x"}, "role": {"bench"}, "dev": {"tab-1"}, "n": {"1"}}, origins...)
			says(t, w, http.StatusForbidden, "from another page")
			if len(c.did) != 0 {
				t.Errorf("%s with Origin %q: did %q", path, origins, c.did)
			}
		}
	}
	c := newCounter(t)
	if w := c.post("/shop/code", url.Values{"name": {strings.Repeat("x", formBytes)}, "role": {"bench"}}, own); w.Code != http.StatusBadRequest {
		t.Errorf("a form of more than %d bytes: %d", formBytes, w.Code)
	}
	for _, path := range []string{"/shop/code", "/shop/withdraw", "/shop/rename", "/shop/takein"} {
		if w := c.get(path); w.Code != http.StatusMethodNotAllowed {
			t.Errorf("GET %s: %d", path, w.Code)
		}
	}
	for _, path := range []string{"/", "/shopping", "/shop/x", "/shop/code/1/2"} {
		if w := c.get(path); w.Code != http.StatusNotFound {
			t.Errorf("GET %s: %d", path, w.Code)
		}
	}
}

// The policy names the one style sheet by its hash, so nothing that got into the
// page could style or run; and forms bring their Origin.
func TestPagesAllowNothingBesidesThemselves(t *testing.T) {
	c := newCounter(t)
	h := c.get("/shop").Header()
	policy := h.Get("Content-Security-Policy")
	if !regexp.MustCompile(`^default-src 'none'; style-src 'sha256-[A-Za-z0-9+/]{43}='; form-action 'self'; base-uri 'none'; frame-ancestors 'none'$`).MatchString(policy) {
		t.Errorf("policy %q", policy)
	}
	for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Cache-Control": "no-store", "Referrer-Policy": "same-origin"} {
		if got := h.Get(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

func TestAgesAreSaidInOneUnit(t *testing.T) {
	for _, c := range []struct {
		past time.Duration
		want string
	}{
		{0, "just now"}, {59 * time.Second, "just now"}, {time.Minute, "1 min ago"}, {59 * time.Minute, "59 min ago"}, {time.Hour, "1 h ago"},
		{47 * time.Hour, "47 h ago"}, {48 * time.Hour, "2 days ago"}, {-30 * time.Second, "just now"}, {-time.Hour, "by a clock that was ahead"},
	} {
		if got := ago(noon.Add(-c.past), noon); got != c.want {
			t.Errorf("%v: %q, want %q", c.past, got, c.want)
		}
	}
}
