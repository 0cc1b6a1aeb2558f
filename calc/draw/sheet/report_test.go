package sheet_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// readHeader is the invented job of which a header was read, from the records of one tablet
// with photos of a length and of a bolt.
func readHeader(t testing.TB, more ...ledger.Record) job.Worked {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/job/inspect.job.json")
	if err != nil {
		t.Fatal(err)
	}
	facts, err := job.ReadFile(data)
	if err != nil {
		t.Fatal(err)
	}
	var recs []ledger.Record
	for i, d := range facts.Drafts() {
		kind, body := d.Record()
		if d.Reading != nil {
			d.Reading.Person, d.Reading.At, d.Reading.Tool = "A. Invented", "2026-11-30T09:12:00Z", "tape"
			body = d.Reading
		}
		recs = append(recs, recordOf(t, 1, i, kind, d.Slot, body))
	}
	for i, slot := range []string{"tube/t2/length_tacked", "gauge/k3/goes", "bank/A/flat_welded", "port/p1/width"} {
		recs = append(recs, recordOf(t, 3, i, ledger.PhotoKind, slot, ledger.Photo{SHA: strings.Repeat(fmt.Sprintf("%02x", i+1), 32), W: 1600, H: 1200, Person: "B. Invented", At: "2026-12-01T10:00:00Z"}))
	}
	return job.Work(append(recs, more...))
}

func recordOf(t testing.TB, dev byte, n int, kind, slot string, body any) ledger.Record {
	t.Helper()
	b, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	return ledger.Record{ID: ledger.ID([16]byte{0: dev, 14: byte(n >> 8), 15: byte(n)}), Dev: fmt.Sprint("t", dev), N: int64(n),
		HLC: ledger.Stamp(1764025441123+int64(n), 0, fmt.Sprint("t", dev)), Kind: kind, Job: "j1", Slot: slot, SV: 1, Body: b}
}

func TestGoldenReport(t *testing.T) {
	for name, o := range map[string]sheet.Options{"report": {Date: "2026-11-30"}, "report-in": {Unit: "in"}} {
		svg, err := make1(t, readHeader(t), "report", o).SVG()
		if err != nil {
			t.Fatal(err)
		}
		golden(t, name+".svg", svg)
	}
}

// What a customer reads is what was read: figures of the invented job, which are worked out
// by hand in calc/job, who read them, and what is off in words.
func TestReportSaysWhatWasRead(t *testing.T) {
	m := make1(t, readHeader(t), "report", sheet.Options{Date: "2026-11-30"})
	text := read(m)
	for _, want := range []string{"Teal three", "Invented customer", "596.00", "-4.00", "OFF", "A. Invented, 2026-11-30, tape", "as tacked 6.00 mm", "twice the tolerance is 6.00 mm",
		"TOO NEAR", "Tube 1 to steering joint", "LESS than wanted", "12.70", "rods do not tell", "entered for this job", "from memory", "own choice",
		"151.00, 32.00, 582.00", "does NOT start by hand", "Bolt 3", "Not made yet", "Tube 2: Length, as tacked. B. Invented, 2026-12-01.", "Gap, fitted: Tube 3 to bracket", "No published limit"} {
		if !strings.Contains(text, want) {
			t.Errorf("it does not say %q", want)
		}
	}
	for _, no := range []string{"Piece", "kerf", "stock", "Port 1"} {
		if strings.Contains(text, no) {
			t.Errorf("it tells a customer of %q", no)
		}
	}
	if len(m.Warnings) != 1 || !strings.Contains(m.Warnings[0], "a rod of 12.70 mm (0.500 in) does not go") {
		t.Errorf("warnings %q", m.Warnings)
	}
}

// Readings that differ are both in the report, with what they leave open.
func TestReportShowsBothReadings(t *testing.T) {
	nm := int64(604_500_000)
	w := readHeader(t, recordOf(t, 2, 900, ledger.ReadingKind, "tube/t1/length_tacked", ledger.Reading{Text: "604.5", Unit: "mm", NM: &nm, Res: 10_000, Tool: "rule", Person: "B. Invented", At: "2026-12-02T10:00:00Z"}))
	text := read(make1(t, w, "report", sheet.Options{}))
	for _, want := range []string{"nobody can tell", "+1.00 to +4.50", "601.00 mm (23.661 in) by A. Invented, tape", "604.50 mm (23.799 in) by B. Invented, rule", "as readings differ"} {
		if !strings.Contains(text, want) {
			t.Errorf("it does not say %q in %s", want, text)
		}
	}
}

// Photos lie in it where there are any; one that is not here has its frame and says so.
func TestPhotosOfAReport(t *testing.T) {
	jpeg := []byte{0xff, 0xd8, 0xff, 0xe0}
	m := make1(t, readHeader(t), "report", sheet.Options{Photo: func(p job.CheckPhoto) ([]byte, error) {
		if p.Slot == "gauge/k3/goes" {
			return nil, errors.New("not sent yet")
		}
		return jpeg, nil
	}})
	shown, frames := 0, 0
	for _, s := range m.Sheets {
		for _, e := range s.Drawing.Entities {
			if p, ok := e.(draw.Picture); ok {
				if shown++; p.JPEG == nil {
					frames++
				}
				if p.Width() > 88.001 || p.Height() > 70.001 || p.Width()/p.Height() < 1.333 || p.Width()/p.Height() > 1.334 {
					t.Errorf("%v is %.1f by %.1f mm", p.Min, p.Width(), p.Height())
				}
			}
		}
	}
	if shown != 3 || frames != 1 || !strings.Contains(read(m), "is not here yet") {
		t.Errorf("%d photos, %d of them frames", shown, frames)
	}
}

// Before anything is read there is no report, and it says what to read.
func TestNoReportOfNothing(t *testing.T) {
	if _, err := sheet.Make(four(t), "report", sheet.Options{}); err == nil || !strings.Contains(err.Error(), "To read first") {
		t.Error(err)
	}
}
