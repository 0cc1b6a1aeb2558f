package main

import (
	"context"
	"crypto/tls"
	"encoding/pem"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/calc/ledger"
	"tubewright/pwa/drive"
	"tubewright/server"
	"tubewright/server/certs"
	"tubewright/store"
)

// lanName leads to this machine in every browser (RFC 6761 section 6.3) and is not
// what the app takes for the shop machine itself.
const lanName = "tubewright.localhost"

// lanShop is the shop as tablets in its network see it: the real server behind the
// shop's own certificate, where every device needs a token.
type lanShop struct {
	t         *testing.T
	addr      string
	folder    string // of the certificates
	app       string
	store     *store.Store
	authority *certs.Authority
	srv       *server.Server
	now       func() time.Time
}

func newLAN(t *testing.T) *lanShop {
	t.Helper()
	return newLANAt(t, time.Now)
}

// newLANAt makes its certificate at another time.
func newLANAt(t *testing.T, now func() time.Time) *lanShop {
	t.Helper()
	_, app := build(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	s := &lanShop{t: t, addr: l.Addr().String(), folder: filepath.Join(dir, "tls"), app: app, now: now}
	l.Close()
	if err := os.Mkdir(s.folder, 0o700); err != nil {
		t.Fatal(err)
	}
	if s.authority, err = certs.OpenAuthority(s.folder, lanName, time.Now()); err != nil {
		t.Fatal(err)
	}
	if s.store, err = store.Open(t.Context(), filepath.Join(dir, "tubewright.db")); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.store.Close() })
	t.Cleanup(s.stop)
	s.start()
	return s
}

func (s *lanShop) start() {
	s.t.Helper()
	leaf, err := certs.OpenLeaf(s.authority, s.folder, s.now, func() []net.IP { return nil }, func(time.Time, error) {})
	if err != nil {
		s.t.Fatal(err)
	}
	l, err := net.Listen("tcp", s.addr)
	if err != nil {
		s.t.Fatal(err)
	}
	files := os.DirFS(s.app)
	s.srv, err = server.New(server.Config{
		Log: shopLog{s.store}, Pairs: shopPairs{s.store}, Blobs: shopBlobs{s.store}, Assets: files, Build: buildOf(files),
		Logger: slog.New(slog.DiscardHandler), Now: time.Now,
	})
	if err != nil {
		s.t.Fatal(err)
	}
	secure := tls.NewListener(l, &tls.Config{GetCertificate: leaf.GetCertificate, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}})
	go s.srv.Serve(secure, server.Door{Hosts: []string{strings.ToLower(s.host())}, Origin: s.url("")})
}

func (s *lanShop) stop() {
	if s.srv == nil {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	s.srv.Shutdown(ctx)
	s.srv = nil
}

func (s *lanShop) host() string {
	_, port, _ := net.SplitHostPort(s.addr)
	return net.JoinHostPort(lanName, port)
}

func (s *lanShop) url(path string) string { return "https://" + s.host() + path }

// device is the paired device of a name.
func (s *lanShop) device(name string) server.DeviceLine {
	s.t.Helper()
	all, err := s.srv.Paired(s.t.Context())
	if err != nil {
		s.t.Fatal(err)
	}
	for _, d := range all {
		if d.Name == name {
			return d
		}
	}
	s.t.Fatalf("no device %q among %v", name, all)
	return server.DeviceLine{}
}

// tablet starts Chromium with the shop's authority in the store of its own home,
// as a person installs it on a tablet; one that does not trust knows nothing of it.
func (s *lanShop) tablet(trusts bool) *tablet {
	s.t.Helper()
	home := s.t.TempDir()
	if trusts {
		trust(s.t, home, s.authority.DER())
	}
	b, skip, err := drive.Chromium(s.t.Context(), drive.Options{Profile: home})
	if err != nil {
		s.t.Fatal(err)
	}
	if skip != "" {
		s.t.Skip(skip)
	}
	s.t.Cleanup(b.Close)
	p := &tablet{t: s.t, b: b}
	p.must(b.SetSize(820, 1180))
	return p
}

// trust puts an authority into the store of the browser that has this home.
func trust(t *testing.T, home string, der []byte) {
	t.Helper()
	if _, err := exec.LookPath("certutil"); err != nil {
		t.Skip("SKIPPED: certutil (libnss3-tools) is not installed, so that no browser can be made to trust the shop")
	}
	db, ca := filepath.Join(home, ".pki", "nssdb"), filepath.Join(home, "ca.crt")
	if err := os.MkdirAll(db, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(ca, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"-N", "--empty-password"}, {"-A", "-n", "shop", "-t", "C,,", "-i", ca}} {
		if out, err := exec.Command("certutil", append(args, "-d", "sql:"+db)...).CombinedOutput(); err != nil {
			t.Fatalf("certutil %v: %v: %s", args, err, out)
		}
	}
}

// tested waits for the end of the self-test and returns how each line stands.
func (p *tablet) tested() map[string]string {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=selftest]")?.dataset.busy === "false"`))
	is := map[string]string{}
	p.must(p.b.Eval(&is, `return Object.fromEntries([...document.querySelectorAll("[data-test=selftest] [data-is]")].map((e) => [e.dataset.test.slice(5), e.dataset.is]))`))
	return is
}

// pairs pairs a tablet by the link of a code and lets somebody measure with it.
func (p *tablet) pairs(s *lanShop, role ledger.Role, name string) {
	p.t.Helper()
	p.must(p.b.Open(s.url("/#/pair?code=" + s.srv.NewCode(role, name).Secret)))
	p.tested()
	p.tap("pair-claim")
	p.tap("pair-start")
	p.tap("person")
	p.must(p.b.Type("Rowan"))
	p.tap("person-go")
	p.link("live")
}

// A page whose certificate warning was tapped away looks right and is not offline
// at all. The self-test says so and pairing is refused, by the page and by the shop.
func TestTL1UntrustedTabletIsNotPaired(t *testing.T) {
	s := newLAN(t)
	a := s.tablet(false)
	if err := a.b.Open(s.url("/")); err != nil {
		t.Logf("opening it says: %v", err)
	}
	a.must(a.b.WaitFor(wait, `return document.querySelector("#details-button") !== null`)) // the browser's warning
	a.must(a.b.Click(drive.CSS("#details-button")))
	a.must(a.b.Click(drive.CSS("#proceed-link")))
	a.sees("selftest") // a new tablet begins with the pairing
	is := a.tested()
	if is["worker"] != "bad" {
		t.Errorf("the self-test says %v of a tablet whose worker cannot register", is)
	}
	a.says("test-worker", "http://"+lanName+":8410/")
	a.picture("pair-untrusted")
	code := s.srv.NewCode(ledger.Bench, "Bench")
	for _, sign := range code.Short {
		a.tap("code-" + string(sign))
	}
	var disabled bool
	a.must(a.b.Eval(&disabled, `return document.querySelector("[data-test=pair-claim]").disabled`))
	if !disabled {
		t.Error("pairing is offered")
	}
	a.says("pair-wait", "red lines")
	var status int
	a.must(a.b.EvalAsync(&status, `const res = await fetch("/pair/claim", { method: "POST", body: JSON.stringify({ code: args[0], dev: "d", checks: { worker: false, socket: true, secure: true } }) });
		return res.status`, code.Short))
	if status != http.StatusUnprocessableEntity {
		t.Errorf("the shop answers %d to a tablet without a worker", status)
	}
}

// In a tab a browser's own bars take a seventh of the height. Lying, all keys and PAIR are in view
// without scrolling; standing they are anyway.
func TestPairingCardIsInViewInABrowsersTab(t *testing.T) {
	s := newLAN(t)
	a := s.tablet(true)
	a.must(a.b.(chromium).Pretend(tabletAgent))
	a.must(a.b.Open(s.url("/")))
	a.tested()
	a.sees("pair-tab")
	for _, size := range [][2]int{{1180, 730}, {1180, 660}, {1024, 690}, {1024, 1366}, {820, 1090}, {1180, 820}} {
		a.must(a.b.SetSize(size[0], size[1]))
		name := fmt.Sprintf("pair-tab-%d-%d", size[0], size[1])
		a.fits(name)
		var hidden []string
		a.must(a.b.Eval(&hidden, `return [...document.querySelectorAll(".codepad .key, [data-test=pair-claim], [data-test=pair-typed]")].filter((e) => e.getBoundingClientRect().bottom > innerHeight).map((e) => e.dataset.test)`))
		if len(hidden) > 0 {
			t.Errorf("%s: below the edge: %q", name, hidden)
		}
		a.picture(name)
	}
}

// With the authority installed a tablet is green, is paired by typing, works with
// the shop gone, and never notices that the shop's certificate was renewed.
func TestTL1TrustedTabletIsPairedAndStaysSo(t *testing.T) {
	old := func() time.Time { return time.Now().AddDate(0, 0, -340) } // below 60 days left of 396
	s := newLANAt(t, old)
	a := s.tablet(true)
	a.must(a.b.Open(s.url("/")))
	is := a.tested()
	a.says("status-unsent", "nothing measured yet")
	for _, line := range []string{"name", "secure", "worker", "socket", "strict", "clock"} {
		if is[line] != "good" {
			t.Errorf("%s is %s", line, is[line])
		}
	}
	for _, size := range [][2]int{upright, wide} {
		a.must(a.b.SetSize(size[0], size[1]))
		a.fits(fmt.Sprintf("pair-%d", size[0]))
		a.picture(fmt.Sprintf("pair-%d", size[0]))
	}
	var small []string
	a.must(a.b.Eval(&small, `return [...document.querySelectorAll(".codepad button")].filter((e) => { const r = e.getBoundingClientRect(); return r.width < 80 || r.height < 80; }).map((e) => e.textContent)`))
	if len(small) > 0 {
		t.Errorf("keys below 80 px: %q", small)
	}
	a.must(a.b.SetSize(upright[0], upright[1]))
	a.must(a.b.Tap(css("pair-typed")))
	a.must(a.b.Type("abcd efgh"))
	a.tap("pair-claim")
	a.says("pair-fault", "no such code")
	a.picture("pair-refused")
	code := s.srv.NewCode(ledger.Bench, "Bench 2") // its first sign clears the refused one
	a.must(a.b.Tap(css("pair-typed")))
	a.must(a.b.Type(strings.ToLower(code.Short[:4] + " " + code.Short[4:])))
	a.tap("pair-claim")
	a.says("pair-is", "Bench 2")
	a.tap("pair-start")
	a.tap("person")
	a.must(a.b.Type("Rowan"))
	a.tap("person-go")
	a.link("live")
	a.newJob()
	a.unsent(0)
	a.offlineReady()
	first := certOf(t, s)
	s.stop()
	a.link("offline")
	a.must(a.b.Restart())
	a.must(a.b.SetSize(upright[0], upright[1]))
	a.must(a.b.Open(s.url("/#/jobs")))
	a.sees("job-row")
	a.link("offline")
	s.now = time.Now
	s.start()
	if again := certOf(t, s); again == first {
		t.Fatal("the certificate was not renewed")
	}
	a.link("live")
	a.must(a.b.Eval(nil, `location.hash = "#/saved"`))
	a.says("paired-name", "Bench 2")
	a.picture("saved-paired")
	if d := s.device("Bench 2"); d.Live != 1 || d.Role != ledger.Bench {
		t.Errorf("the shop knows %+v", d)
	}
	var addresses []string
	a.must(a.b.Eval(&addresses, `return performance.getEntriesByType("resource").map((e) => e.name).concat(location.href)`))
	for _, url := range addresses {
		if strings.Contains(url, code.Short) || strings.Contains(strings.ToLower(url), "token") {
			t.Errorf("%s names a secret", url)
		}
	}
}

func certOf(t *testing.T, s *lanShop) string {
	t.Helper()
	c, err := tls.Dial("tcp", s.addr, &tls.Config{InsecureSkipVerify: true, ServerName: lanName})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	return c.ConnectionState().PeerCertificates[0].SerialNumber.String()
}

// Revoked with thirty records unsent: all are put aside in the shop, none is lost,
// the app can be read and measured with, and the shop can take them in.
func TestTL8RevokedTabletLosesNothing(t *testing.T) {
	s := newLAN(t)
	a := s.tablet(true)
	a.pairs(s, ledger.Bench, "Yard")
	job := a.newJob()
	a.unsent(0)
	a.offlineReady()
	dev := s.device("Yard").Dev
	s.stop()
	a.link("offline")
	const unsent = 30
	for i := range unsent {
		a.goTo("measure", "job="+job+"&slot=engine/self/bore")
		a.at("engine/self/bore")
		a.must(a.b.Tap(css("typed")))
		a.must(a.b.Type(fmt.Sprintf("%s8%d.%d mm\n", strings.Repeat("\uE003", 12), i/10, i%10)))
		a.unsent(i + 1)
	}
	if err := s.store.Revoke(t.Context(), dev, time.Now()); err != nil {
		t.Fatal(err)
	}
	s.start()
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=pair-notice]")?.dataset.stand === "revoked" && document.querySelector("[data-test=pair-notice]").textContent.includes("30 so far")`))
	a.unsent(unsent)
	a.goTo("intake", "job="+job)
	a.says("field:engine/self/bore", "82.9")
	a.picture("revoked")
	if d := s.device("Yard"); d.Aside != unsent {
		t.Errorf("%d records of it can be taken in, want %d", d.Aside, unsent)
	}
	n, err := s.srv.TakeIn(t.Context(), dev)
	if err != nil || n != unsent {
		t.Fatalf("took in %d, %v", n, err)
	}
	// paired again it goes on where it stood
	a.tap("pair-go")
	a.tested()
	a.must(a.b.Tap(css("pair-typed")))
	a.must(a.b.Type(s.srv.NewCode(ledger.Measure, "Yard again").Short))
	a.tap("pair-claim")
	a.says("pair-is", "Yard again")
	a.unsent(0)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=pair-notice]") === null`))
}

// A tablet whose token the shop does not know says so in one line; unpairing with
// something unsent takes the typed word and writes the file of everything first.
func TestTL8UnpairingWritesTheFileFirst(t *testing.T) {
	s := newLAN(t)
	a := s.tablet(true)
	a.pairs(s, ledger.Bench, "Yard")
	a.newJob()
	a.unsent(0)
	a.offlineReady()
	s.stop()
	a.link("offline")
	a.must(a.b.Eval(nil, `location.hash = "#/jobs"`))
	a.newJob()
	a.must(a.b.WaitFor(wait, `return Number(document.querySelector("[data-test=status-unsent]")?.dataset.count) > 0`))
	a.must(a.b.Eval(nil, `location.hash = "#/saved"`))
	a.tap("why-look")
	a.must(a.b.WaitFor(wait, `return (document.querySelector("[data-test=why-not]")?.dataset.cause ?? "") !== ""`))
	a.picture("saved-offline")
	a.tap("unpair")
	a.sees("unpair-unsent")
	var disabled bool
	a.must(a.b.Eval(&disabled, `return document.querySelector("[data-test=unpair-yes]").disabled`))
	if !disabled {
		t.Error("unpairing needs no word")
	}
	a.tap("unpair-word")
	a.must(a.b.Type("unpair"))
	a.picture("unpair")
	a.tap("unpair-yes")
	a.sees("unpair-file")
	a.says("unpair-said", "Unpaired")
	var name string
	a.must(a.b.Eval(&name, `const link = document.querySelector("[data-test=unpair-file]"); return link.href.startsWith("blob:") ? link.download : link.href`))
	if !strings.HasSuffix(name, ".tubewright.zip") {
		t.Errorf("the file is offered as %q", name)
	}
	s.start()
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=pair-notice]")?.dataset.stand === "barred"`))
	a.must(a.b.Eval(nil, `location.hash = "#/jobs"`))
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll("[data-test=job-row]").length === 2`)) // readable
}

// What a person new to it looks at first: how many entries wait, where each open one
// belongs, and the pages on which the first are typed, with the warning of a tab too.
func TestFirstPagesOfANewTablet(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.must(a.b.SetSize(upright[0], upright[1]))
	a.must(a.b.Open(s.url("/")))
	a.sees("person")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=device-name]").value === "shop machine"`))
	a.picture("first-person")
	a.first("Rowan")
	a.tap("new-job")
	a.picture("first-new-job")
	a.must(a.b.Type("Heron four"))
	a.tap("new-job-start")
	a.sees("step-intake")
	job := a.hash("job")
	a.must(a.b.WaitFor(wait, `const open = (test) => Number(/(\d+) (?:open|to measure)/.exec(document.querySelector("[data-test=" + test + "]").textContent)?.[1] ?? 0);
		const steps = ["step-intake", "step-measure", "step-around", "step-layout"].map(open);
		return open("open-measure") > 0 && open("open-measure") === steps.reduce((a, b) => a + b)`))
	a.picture("first-job")
	a.unsent(0)
	a.goTo("measure", "job="+job+"&slot=engine/self/cylinders")
	a.at("engine/self/cylinders")
	var points int
	a.must(a.b.Eval(&points, `return document.querySelectorAll("[data-test=key-point]").length`))
	if points != 0 {
		t.Error("a whole number has a point key")
	}
	for _, isTab := range []bool{false, true} {
		if isTab {
			a.must(a.b.(chromium).Pretend(tabletAgent))
			a.must(a.b.Reload())
		}
		for _, slot := range []string{"engine/self/cylinders", "engine/self/bore", "target/self/length"} {
			a.goTo("measure", "job="+job+"&slot="+slot)
			a.at(slot)
			if isTab {
				a.sees("plain-tab")
			}
			for _, size := range [][2]int{upright, wide} {
				a.must(a.b.SetSize(size[0], size[1]))
				a.typedBoxHolds(slot)
				a.picture(fmt.Sprintf("first-%s-empty-%d-%v", strings.Split(slot, "/")[2], size[0], isTab))
			}
			a.keys("86")
			for _, size := range [][2]int{upright, wide} {
				a.must(a.b.SetSize(size[0], size[1]))
				name := fmt.Sprintf("first-%s-%d-%v", strings.Split(slot, "/")[2], size[0], isTab)
				a.fits(name)
				a.typedBoxHolds(name)
				a.picture(name)
			}
		}
	}
}

// typedBoxHolds looks whether the line below what was typed stands inside its box, off its edge.
func (p *tablet) typedBoxHolds(name string) {
	p.t.Helper()
	var room float64
	p.must(p.b.Eval(&room, `const box = document.querySelector(".typed-box").getBoundingClientRect();
		return box.bottom - document.querySelector(".say-row .say").getBoundingClientRect().bottom`))
	if room < 4 {
		p.t.Errorf("%s: the last line ends %.0f px above the edge of its box, want 4", name, room)
	}
}

// A wall board keeps its token over a reload, and says when it was taken off the list.
func TestRevokedWallSaysSo(t *testing.T) {
	s := newLAN(t)
	a := s.tablet(true)
	a.must(a.b.SetSize(1920, 1080))
	a.must(a.b.Open(s.url("/wall")))
	a.says("wall-barred", "not paired")
	a.must(a.b.Eval(nil, `location.hash = "#code=" + arguments[0]`, s.srv.NewCode(ledger.Board, "Wall").Secret))
	shows := `return document.querySelector("[data-test=wall-barred]") === null && document.body.innerText.includes("No jobs.")`
	a.must(a.b.WaitFor(wait, shows))
	if url, err := a.b.URL(); err != nil || strings.Contains(url, "code") {
		t.Errorf("the address still holds the code: %s, %v", url, err)
	}
	a.must(a.b.Reload())
	a.must(a.b.WaitFor(wait, shows))
	if err := s.srv.Revoke(t.Context(), s.device("Wall").Dev); err != nil {
		t.Fatal(err)
	}
	a.says("wall-barred", "taken off the shop's list")
	a.picture("wall-revoked")
	a.must(a.b.Reload())
	a.says("wall-barred", "taken off the shop's list")
}

// A wall board without its link is paired by the short code, on its own keys or by a
// keyboard. A code that is for the other kind of device is called that.
func TestWallIsPairedByTheShortCode(t *testing.T) {
	s := newLAN(t)
	a := s.tablet(true)
	a.must(a.b.SetSize(1920, 1080))
	a.must(a.b.Open(s.url("/wall")))
	a.says("wall-barred", "not paired")
	a.sees("pair-typed")
	for _, size := range [][2]int{{1920, 1080}, wide, upright} {
		a.must(a.b.SetSize(size[0], size[1]))
		a.fits(fmt.Sprintf("wall-unpaired-%d", size[0]))
		a.picture(fmt.Sprintf("wall-unpaired-%d", size[0]))
	}
	a.must(a.b.Tap(css("pair-typed")))
	a.must(a.b.Type(s.srv.NewCode(ledger.Bench, "Bench").Short + "\n"))
	a.says("pair-fault", "for a tablet")
	a.picture("wall-refused")
	for _, sign := range s.srv.NewCode(ledger.Board, "Wall").Short { // the first key starts anew
		a.tap("code-" + string(sign))
	}
	a.tap("pair-claim")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=wall-barred]") === null && document.querySelector("[data-test=pair-typed]") === null && document.body.innerText.includes("No jobs.")`))
	if d := s.device("Wall"); d.Role != ledger.Board {
		t.Errorf("the shop knows %+v", d)
	}
	a.must(a.b.Open(s.url("/#/pair")))
	a.tested()
	a.must(a.b.Tap(css("pair-typed")))
	a.must(a.b.Type(s.srv.NewCode(ledger.Board, "Wall 2").Short))
	a.tap("pair-claim")
	a.says("pair-fault", "for a wall board")
	a.picture("pair-wall-code")
}

// A browser on the shop machine needs no pairing, and says so where it is asked for.
func TestShopMachineNeedsNoPairing(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.link("live")
	a.must(a.b.Eval(nil, `location.hash = "#/pair?code=abcdefgh"`))
	a.says("pair-exempt", "without pairing")
	a.must(a.b.Eval(nil, `location.hash = "#/saved"`))
	a.sees("device-name")
}
