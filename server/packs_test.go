package server

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"tubewright/calc/draw/pdf"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// somePacks makes packs of a few bytes, or none.
type somePacks struct {
	err    error
	asked  string
	closed *int
}

type thrown struct {
	io.Reader
	closed *int
}

func (c thrown) Close() error { *c.closed++; return nil }

func (p *somePacks) Pack(_ context.Context, job string, unit units.Unit, paper pdf.Paper) (Packed, error) {
	p.asked = job + " " + string(unit) + " " + paper.Name
	return Packed{ReadCloser: thrown{strings.NewReader("PK pack"), p.closed}, Name: "yard-pack.tubewright.zip", Size: 7}, p.err
}

// A pack comes as a file to save with its length, and is thrown away behind it. One that
// cannot be made is an answer, not half a file.
func TestPackIsAFileToSave(t *testing.T) {
	s := withFlange(t)
	if w := get(t, s, "GET", "/api/jobs/j1/pack"); w.Code != 404 {
		t.Errorf("a machine that makes none: %d %s", w.Code, w.Body)
	}
	packs := &somePacks{closed: new(int)}
	s.srv.cfg.Packs = packs
	w := get(t, s, "GET", "/api/jobs/j1/pack?paper=letter&unit=in")
	if w.Code != 200 || w.Body.String() != "PK pack" || packs.asked != "j1 in letter" || *packs.closed != 1 {
		t.Errorf("%d %q, asked %q, closed %d times", w.Code, w.Body, packs.asked, *packs.closed)
	}
	for k, want := range map[string]string{"Content-Type": "application/zip", "Content-Disposition": `attachment; filename="yard-pack.tubewright.zip"`, "Content-Length": "7",
		"Content-Security-Policy": "default-src 'none'; sandbox", "Cache-Control": "no-store"} {
		if got := w.Header().Get(k); got != want {
			t.Errorf("%s is %q, want %q", k, got, want)
		}
	}
	packs.err = errors.New("the disk is full")
	for ask, want := range map[string]int{"j1/pack": 500, "j2/pack": 404, "shop/pack": 404, "j1/pack?paper=a9": 400, "j1/pack?unit=furlong": 400} {
		w := get(t, s, "GET", "/api/jobs/"+ask)
		if w.Code != want || w.Header().Get("Content-Disposition") != "" || !strings.Contains(w.Body.String(), `"error"`) {
			t.Errorf("%s: %d %q, want %d and a sentence", ask, w.Code, w.Body, want)
		}
	}
}

// A pack holds the shop's prices and the customer: it is for the bench.
func TestPackIsForTheBench(t *testing.T) {
	s := openLAN(t)
	packs := &somePacks{closed: new(int)}
	s.srv.cfg.Packs = packs
	p := s.paired("one", ledger.Bench)
	p.push(flangeRecords(t, "one")[:50]...)
	p.want("ack")
	if status, b := s.ask("GET", "/api/jobs/j1/pack", p.token, nil); status != 200 || string(b) != "PK pack" {
		t.Errorf("to the bench: %d %s", status, b)
	}
	packs.asked = ""
	for token, want := range map[string]int{s.paired("two", ledger.Measure).token: 403, s.paired("three", ledger.Board).token: 403, "": 401} {
		if status, b := s.ask("GET", "/api/jobs/j1/pack", token, nil); status != want || packs.asked != "" {
			t.Errorf("%d %s, want %d", status, b, want)
		}
	}
}
