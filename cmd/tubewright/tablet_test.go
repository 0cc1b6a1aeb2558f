package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// wait is how long a screen may take on a loaded test machine.
const wait = 30 * time.Second

// tablet is a browser with the app, and what a person does with it.
type tablet struct {
	t    *testing.T
	b    drive.Browser
	shop *shop
}

// newTablet starts a browser with an empty profile; it skips where there is none.
func newTablet(t *testing.T, start drive.Start, s *shop) *tablet {
	t.Helper()
	b, skip, err := start(context.Background(), drive.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if skip != "" {
		t.Skip(skip)
	}
	t.Cleanup(b.Close)
	return &tablet{t: t, b: b, shop: s}
}

func (p *tablet) must(err error) {
	p.t.Helper()
	if err != nil {
		p.t.Fatalf("%s: %v\nthe page says: %s", p.b.Name(), err, p.page())
	}
}

// page is the text of the page, for a failure.
func (p *tablet) page() string {
	var s string
	if err := p.b.Eval(&s, `return location.hash + "\n" + document.body.innerText.slice(0, 1500)`); err != nil {
		return err.Error()
	}
	return s
}

// first opens the app for the first time and says who measures; it returns when
// the app would survive without the server.
func (p *tablet) first(person string) {
	p.t.Helper()
	p.must(p.b.SetSize(820, 1180))
	p.must(p.b.Open(p.shop.url("/")))
	p.tap("person")
	p.must(p.b.Type(person))
	p.tap("person-go")
	p.sees("new-job")
	p.offlineReady()
}

// open opens the app anew, as a tap on its icon does.
func (p *tablet) open() {
	p.t.Helper()
	p.must(p.b.SetSize(820, 1180))
	err := p.b.Open(p.shop.url("/"))
	if err != nil {
		// Seen once in Chromium on a loaded machine: a page that is loaded while its
		// killed service worker is being started again never ends loading. A person
		// taps again, and so does the test, and says so.
		p.t.Logf("%s: opened the app a second time: %v", p.b.Name(), err)
		err = p.b.Open(p.shop.url("/"))
	}
	p.must(err)
	p.sees("status-link")
}

// newJob starts a job and returns its id, on the job's front page.
func (p *tablet) newJob() string {
	p.t.Helper()
	p.tap("new-job")
	p.must(p.b.Type("Heron four"))
	p.tap("new-job-start")
	p.sees("step-intake")
	return p.hash("job")
}

// offlineReady waits until the service worker rules the page and the calculation is stored.
func (p *tablet) offlineReady() {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return navigator.serviceWorker && navigator.serviceWorker.controller && navigator.serviceWorker.controller.state === "activated"`))
}

func css(test string) drive.Target { return drive.CSS(fmt.Sprintf("[data-test=%q]", test)) }

func (p *tablet) tap(test string) { p.t.Helper(); p.must(p.b.Tap(css(test))) }

// sees waits for a control to be there.
func (p *tablet) sees(test string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=" + JSON.stringify(arguments[0]) + "]") !== null`, test))
}

func (p *tablet) text(test string) string {
	p.t.Helper()
	s, err := p.b.Text(css(test))
	p.must(err)
	return s
}

// says waits until a control's text holds part.
func (p *tablet) says(test, part string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `const e = document.querySelector("[data-test=" + JSON.stringify(arguments[0]) + "]");
		return e && e.textContent.includes(arguments[1])`, test, part))
}

// at waits for the page on which one thing is measured.
func (p *tablet) at(slot string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return location.hash.startsWith("#/measure") && decodeURIComponent(location.hash).endsWith("slot=" + arguments[0])
		&& document.querySelector("[data-test=keep]") !== null`, slot))
}

// go to the page of a job.
func (p *tablet) goTo(screen, query string) {
	p.t.Helper()
	p.must(p.b.Eval(nil, `location.hash = arguments[0]`, "#/"+screen+"?"+query))
}

// keys types a text on the app's own keypad.
func (p *tablet) keys(text string) {
	p.t.Helper()
	names := map[rune]string{'.': "point", ' ': "space", '/': "slash", '-': "minus"}
	for _, r := range text {
		name := string(r)
		if n, named := names[r]; named {
			name = n
		}
		p.tap("key-" + name)
	}
}

// unit sets the unit that a figure without one is in.
func (p *tablet) unit(want string) {
	p.t.Helper()
	if p.text("key-unit") != want {
		p.tap("key-unit")
	}
}

// keep keeps what is typed and returns when the tablet says that it is on its disk.
func (p *tablet) keep() {
	p.t.Helper()
	var before string
	p.must(p.b.Eval(&before, `return location.hash`))
	p.tap("keep")
	p.must(p.b.WaitFor(wait, `return location.hash !== arguments[0] && document.querySelector("[data-test=saved-note]")?.textContent.includes("saved")`, before))
}

// enter types on the keyboard, as a caliper with a cable does, and keeps with Enter.
func (p *tablet) enter(slot, text string) {
	p.t.Helper()
	p.at(slot)
	p.must(p.b.Tap(css("typed")))
	p.must(p.b.Type(text + "\n"))
	p.must(p.b.WaitFor(wait, `return !decodeURIComponent(location.hash).endsWith("slot=" + arguments[0])`, slot))
}

// pick takes one of the offered words and keeps it.
func (p *tablet) pick(slot, word string) {
	p.t.Helper()
	p.at(slot)
	p.must(p.b.Tap(drive.Button(word)))
	p.tap("keep")
	p.must(p.b.WaitFor(wait, `return !decodeURIComponent(location.hash).endsWith("slot=" + arguments[0])`, slot))
}

// ids lists the entities of a kind in the order of their fields on the page.
func (p *tablet) ids(kind string) []string {
	p.t.Helper()
	var tests []string
	p.must(p.b.Eval(&tests, `return [...document.querySelectorAll("[data-test^='field:']")].map((e) => e.dataset.test)`))
	var ids []string
	for _, s := range tests {
		if parts := strings.Split(strings.TrimPrefix(s, "field:"), "/"); parts[0] == kind && !slices.Contains(ids, parts[1]) {
			ids = append(ids, parts[1])
		}
	}
	return ids
}

// hash reads one part of the address.
func (p *tablet) hash(key string) string {
	p.t.Helper()
	var v string
	p.must(p.b.Eval(&v, `return new URLSearchParams(location.hash.split("?")[1] ?? "").get(arguments[0]) ?? ""`, key))
	return v
}

// unsent waits until the tablet shows so many records that are on it only.
func (p *tablet) unsent(n int) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=status-unsent]")?.dataset.count === String(arguments[0])`, n))
}

// link waits until the tablet says how it is connected.
func (p *tablet) link(is string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=status-link]")?.dataset.link === arguments[0]`, is))
}

// state waits until a field on the page has a state.
func (p *tablet) state(slot, is string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=" + JSON.stringify("field:" + arguments[0]) + "]")?.dataset.state === arguments[1]`, slot, is))
}
