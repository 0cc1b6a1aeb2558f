package server

import (
	"bytes"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// flangeRecords are those of the invented flange, as a tablet would have sent them.
func flangeRecords(t *testing.T, dev string) (raws []string) {
	t.Helper()
	return fileRecords(t, dev, "flange.job.json")
}

// fileRecords are those of an invented job.
func fileRecords(t *testing.T, dev, file string) (raws []string) {
	t.Helper()
	data, err := os.ReadFile("../testdata/job/" + file)
	if err != nil {
		t.Fatal(err)
	}
	facts, err := job.ReadFile(data)
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range facts.Drafts() {
		kind, body := d.Record()
		raws = append(raws, rawRecord(dev, i+1, kind, "j1", d.Slot, body))
	}
	return raws
}

func withFlange(t *testing.T) *shop {
	t.Helper()
	return withFile(t, "flange.job.json")
}

func withFile(t *testing.T, file string) *shop {
	t.Helper()
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	for part := range slices.Chunk(fileRecords(t, "one", file), 100) {
		p.push(part...)
		p.want("ack")
	}
	return s
}

func TestSheetsOfAJobAreListed(t *testing.T) {
	s := withFlange(t)
	w := get(t, s, "GET", "/api/jobs/j1/sheets")
	var l sheet.List
	if err := json.Unmarshal(w.Body.Bytes(), &l); err != nil || w.Code != 200 {
		t.Fatalf("%d %v %s", w.Code, err, w.Body)
	}
	whys := map[string]string{}
	for _, e := range l.Sheets {
		whys[e.Key] = e.Why
	}
	if why, listed := whys["flange-A"]; !listed || why != "" || whys["transition-t2"] == "" || len(l.Inputs) != 12 {
		t.Errorf("%s", w.Body)
	}
	if w := get(t, s, "GET", "/api/jobs/j2/sheets"); w.Code != 404 {
		t.Errorf("no such job: %d", w.Code)
	}
}

// A sheet comes as a file to save under a name of plain letters, and in a browser it
// can do nothing but be saved.
func TestPR2SheetsAreFilesToSave(t *testing.T) {
	s := withFlange(t)
	for _, c := range []struct{ ask, kind, name, holds string }{
		{"flange-A.pdf", "application/pdf", "flange-A-rev-A.pdf", "%PDF-1."},
		{"flange-A-head.pdf?paper=letter&unit=in", "application/pdf", "flange-A-head-rev-A.pdf", "/MediaBox [0 0 792.00 612.00]"},
		{"flange.pdf?paper=tabloid", "application/pdf", "flange-rev-A.pdf", "/MediaBox [0 0 1224.00 792.00]"},
		{"flange-A.svg?unit=in", "image/svg+xml", "flange-A-rev-A.svg", "b6 Ø0.354"},
		{"flange-A.dxf", "image/vnd.dxf", "flange-A-rev-A-359x88mm.dxf", "AC1009"},
		{"transition-t1.pdf", "application/pdf", "transition-t1-rev-A.pdf", "%PDF-1."},
		{"piecut-t1%2Cwelds%3D5.pdf?paper=a4", "application/pdf", "piecut-t1-welds-5-rev-A.pdf", "%PDF-1."},
		{"saddle-t1%2Cod%3D1%201%2F8%20in%2Cangle%3D60.svg?unit=in", "image/svg+xml", "saddle-t1-od-1-1-8-in-angle-60-rev-A.svg", "Branch 1.125 in OD"},
	} {
		w := get(t, s, "GET", "/api/jobs/j1/sheets/"+c.ask)
		h := w.Header()
		if w.Code != 200 || !bytes.Contains(w.Body.Bytes(), []byte(c.holds)) {
			t.Errorf("%s: %d, without %q: %.300q", c.ask, w.Code, c.holds, w.Body)
		}
		for k, want := range map[string]string{"Content-Type": c.kind, "Content-Disposition": `attachment; filename="` + c.name + `"`, "X-Content-Type-Options": "nosniff",
			"Content-Security-Policy": "default-src 'none'; sandbox", "Cache-Control": "no-store"} {
			if got := h.Get(k); got != want {
				t.Errorf("%s: %s is %q, want %q", c.ask, k, got, want)
			}
		}
	}
}

func TestSheetsThatCannotBeHadSayWhy(t *testing.T) {
	s := withFlange(t)
	for ask, want := range map[string]int{"flange-B.pdf": 404, "flange-A": 404, "flange-A.exe": 404, ".pdf": 404, "x%2F..%2Fflange-A.pdf": 404,
		"transition-t2.pdf": 409, "pattern-g1.dxf": 409, "flange-A.pdf?paper=a0": 400, "flange-A.pdf?unit=furlong": 400} {
		w := get(t, s, "GET", "/api/jobs/j1/sheets/"+ask)
		var e struct{ Error string }
		if err := json.Unmarshal(w.Body.Bytes(), &e); err != nil || w.Code != want || e.Error == "" || w.Header().Get("Content-Disposition") != "" {
			t.Errorf("%s: %d %q, want %d and a sentence", ask, w.Code, w.Body, want)
		}
	}
	if w := get(t, s, "POST", "/api/jobs/j1/sheets/flange-A.pdf"); w.Code != 404 {
		t.Errorf("POST: %d", w.Code)
	}
	if w := get(t, s, "GET", "/api/jobs/j1/sheets/transition-t2.pdf"); !strings.Contains(w.Body.String(), "over which length") {
		t.Errorf("%s", w.Body)
	}
}

// Whoever measures may print; who is not paired gets nothing.
func TestSheetsAreForPairedDevices(t *testing.T) {
	s := openLAN(t)
	p := s.paired("one", ledger.Measure)
	for part := range slices.Chunk(flangeRecords(t, "one"), 100) {
		p.push(part...)
		p.want("ack")
	}
	for _, path := range []string{"/api/jobs/j1/sheets", "/api/jobs/j1/sheets/flange-A.pdf"} {
		if status, _ := s.ask("GET", path, p.token, nil); status != 200 {
			t.Errorf("%s to measure: %d", path, status)
		}
		for _, token := range []string{"", "q0Vn3dZ8Qm1yKk4x7Tt2Wc5Lb9Rr6Pp0Ss3Uu8Xx1Yz"} {
			if status, b := s.ask("GET", path, token, nil); status != 401 || bytes.Contains(b, []byte("flange-A")) {
				t.Errorf("%s with token %q: %d %s", path, token, status, b)
			}
		}
	}
}
