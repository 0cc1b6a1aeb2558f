package main

import (
	"encoding/pem"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/miekg/dns"

	"tubewright/pwa/drive"
)

// proved tells whether the tablet has found that its browser looks names up twice alike.
const proved = `globalThis.proved ??= 0;
	const open = indexedDB.open("tubewright");
	open.onsuccess = () => {
		const get = open.result.transaction("meta").objectStore("meta").get("lookup");
		get.onsuccess = () => { globalThis.proved = get.result?.value === true; open.result.close(); };
	};
	return globalThis.proved`

// The three ways in which a tablet does not reach the shop are made in earnest: the
// port closed, the way gone, the name gone. The connection screen says for each
// what it is and what to do, and no two are said alike.
func TestTL5CausesAreToldApart(t *testing.T) {
	t.Parallel()
	air := throughTheAir(t)
	if air == nil {
		return
	}
	build(t)
	air.carry(true)
	const name = "tubewright.shop.home.arpa"
	know := air.names()
	know(name, shopSide)
	dir := t.TempDir()
	var server *exec.Cmd
	start := func() {
		t.Helper()
		server = air.in("shop", product.program, "serve", "-name", name, "-addr", shopSide+":8411", "-trust-addr", "", "-data", dir, "-assets", product.app)
		if err := server.Start(); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { server.Process.Kill(); server.Wait() })
	}
	start()
	authority := filepath.Join(tlsFolder(dir), "authority.crt")
	home := t.TempDir()
	var der []byte
	for end := time.Now().Add(wait); der == nil; time.Sleep(50 * time.Millisecond) {
		if b, err := os.ReadFile(authority); err == nil {
			if block, _ := pem.Decode(b); block != nil {
				der = block.Bytes
			}
		}
		if time.Now().After(end) {
			t.Fatal("the shop made no authority")
		}
	}
	trust(t, home, der)
	b, skip, err := drive.Chromium(t.Context(), drive.Options{Profile: home})
	if err != nil {
		t.Fatal(err)
	}
	if skip != "" {
		t.Skip(skip)
	}
	t.Cleanup(b.Close)
	a := &tablet{t: t, b: b}
	a.must(b.SetSize(upright[0], upright[1]))
	url := "https://" + name + ":8411/"
	for end := time.Now().Add(wait); ; time.Sleep(200 * time.Millisecond) {
		err := b.Open(url)
		if err == nil { // an address that comes up meanwhile breaks a load that had begun
			err = b.WaitFor(5*time.Second, `return document.querySelector("[data-test=selftest]") !== null`)
		}
		if err == nil {
			break
		}
		if time.Now().After(end) {
			t.Fatal(err)
		}
	}
	a.tested()
	a.tap("back")
	a.tap("person")
	a.must(b.Type("Rowan"))
	a.tap("person-go")
	a.offlineReady()
	a.must(b.WaitFor(wait, proved)) // which takes the browser ten seconds
	why := func() string {
		t.Helper()
		a.must(b.Open(url + "#/saved")) // from the worker; a fresh page remembers no name
		a.link("offline")
		a.tap("why-look")
		a.must(b.WaitFor(wait, `return (document.querySelector("[data-test=why-not]")?.dataset.cause ?? "") !== ""`))
		var cause string
		a.must(b.Eval(&cause, `return document.querySelector("[data-test=why-not]").dataset.cause`))
		t.Logf("%s: %s / %s", cause, a.text("why-cause"), a.text("why-todo"))
		return cause
	}
	if got := why(); got != "answers" {
		t.Errorf("not paired, and the shop is there: %s", got)
	}
	server.Process.Kill()
	server.Wait()
	if got := why(); got != "refused" {
		t.Errorf("the port is closed: %s", got)
	}
	start()
	air.carry(false)
	if got := why(); got != "route" {
		t.Errorf("what is sent gets lost: %s", got)
	}
	air.carry(true)
	air.ip("air", "addr del 10.97.2.2/24 dev tablet")
	if got := why(); got != "route" {
		t.Errorf("nobody is there to pass it on: %s", got)
	}
	air.ip("air", "addr add 10.97.2.2/24 dev tablet")
	know("", "")
	a.must(b.Restart())
	if got := why(); got != "name" {
		t.Errorf("the name is gone: %s", got)
	}
}

// names answers what this namespace asks for names: with the address of the one
// that is known, and that there is no such name for all others.
func (a *air) names() (know func(name, address string)) {
	a.t.Helper()
	resolv := filepath.Join(a.t.TempDir(), "resolv.conf")
	if err := os.WriteFile(resolv, []byte("nameserver 127.0.0.1\n"), 0o644); err != nil {
		a.t.Fatal(err)
	}
	// seen in the namespace's own mounts only, which end with it
	if out, err := exec.Command("mount", "--bind", resolv, "/etc/resolv.conf").CombinedOutput(); err != nil {
		a.t.Skipf("SKIPPED: names cannot be taken away here: %v: %s", err, out)
	}
	a.t.Cleanup(func() { exec.Command("umount", "--lazy", "/etc/resolv.conf").Run() }) // before its folder is deleted
	var mu sync.Mutex
	var name, address string
	conn, err := net.ListenPacket("udp", "127.0.0.1:53")
	if err != nil {
		a.t.Fatal(err)
	}
	server := &dns.Server{PacketConn: conn, Handler: dns.HandlerFunc(func(w dns.ResponseWriter, asked *dns.Msg) {
		mu.Lock()
		defer mu.Unlock()
		said := new(dns.Msg).SetReply(asked)
		q := asked.Question[0]
		switch {
		case name == "" || !strings.EqualFold(q.Name, name+"."):
			said.Rcode = dns.RcodeNameError
		case q.Qtype == dns.TypeA:
			said.Answer = []dns.RR{&dns.A{Hdr: dns.RR_Header{Name: q.Name, Rrtype: dns.TypeA, Class: dns.ClassINET, Ttl: 1}, A: net.ParseIP(address)}}
		}
		_ = w.WriteMsg(said) // who asked asks again
	})}
	go server.ActivateAndServe()
	a.t.Cleanup(func() { server.Shutdown() })
	return func(n, addr string) {
		mu.Lock()
		defer mu.Unlock()
		name, address = n, addr
	}
}

// ip changes the network of one side.
func (a *air) ip(side, line string) {
	a.t.Helper()
	if out, err := a.in(side, "ip", strings.Fields(line)...).CombinedOutput(); err != nil {
		a.t.Fatalf("ip %s: %v: %s", line, err, out)
	}
}
