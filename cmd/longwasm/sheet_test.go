package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tubewright/calc/ask"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// flangeRecords are those of the invented flange.
func flangeRecords(t *testing.T) []string {
	t.Helper()
	file, err := os.ReadFile("../../testdata/job/flange.job.json")
	if err != nil {
		t.Fatal(err)
	}
	return recordsOf(t, file, false)
}

// suppliers are drawings to read in.
func suppliers(t *testing.T) (texts []string) {
	t.Helper()
	files, err := filepath.Glob("../../testdata/dxf/*.dxf")
	if err != nil || len(files) == 0 {
		t.Fatalf("no drawings, %v", err)
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, string(b))
	}
	return texts
}

// answered answers a question as it would be asked.
func answered(t *testing.T, q question) []byte {
	t.Helper()
	return []byte(answer(asked(t, q), toTheEnd))
}

// sheetQuestions ask for all sheets of the flange in both forms, and for drawings.
func sheetQuestions(t *testing.T) (questions []string) {
	t.Helper()
	q := question{Op: "sheets", Job: "j1", Records: flangeRecords(t)}
	questions = append(questions, asked(t, q))
	var list struct{ Sheets []struct{ Key string } }
	if err := json.Unmarshal([]byte(answer(questions[0], toTheEnd)), &list); err != nil || len(list.Sheets) < 8 {
		t.Fatalf("%v: %+v", err, list)
	}
	q.Op = "sheet"
	for _, s := range list.Sheets {
		q.Sheet = s.Key
		for _, q.Form = range []string{"svg", "dxf"} {
			for _, q.Unit = range []string{"mm", "in"} {
				questions = append(questions, asked(t, q))
			}
		}
	}
	for _, text := range suppliers(t) {
		questions = append(questions, asked(t, question{Op: "drawing", File: text}), asked(t, question{Op: "drawing", File: text, Unit: "in"}))
	}
	return questions
}

func TestSheetsOnTheTablet(t *testing.T) {
	q := question{Op: "sheet", Job: "j1", Records: flangeRecords(t), Sheet: "flange-A", Form: "svg", Unit: "in", Date: "2026-11-30"}
	var s sheetText
	if err := json.Unmarshal(answered(t, q), &s); err != nil {
		t.Fatal(err)
	}
	if s.Name != "flange-A-rev-A.svg" || len(s.Sign) != 12 || len(s.Warnings) == 0 || !strings.Contains(s.Text, "b6 Ø0.354") || !strings.Contains(s.Text, "2026-11-30") {
		t.Errorf("%s %s %v", s.Name, s.Sign, s.Warnings)
	}
	q.Form = "dxf"
	if err := json.Unmarshal(answered(t, q), &s); err != nil || s.Name != "flange-A-rev-A-359x88mm.dxf" || !strings.Contains(s.Text, "AC1009") {
		t.Errorf("%v: %s", err, s.Name)
	}
	for _, bad := range []question{{Op: "sheet", Job: "j1", Records: q.Records, Sheet: "flange-B", Form: "svg"}, {Op: "sheet", Job: "j1", Records: q.Records, Sheet: "flange-A", Form: "pdf"},
		{Op: "sheet", Job: "j1", Records: q.Records, Sheet: "transition-t2", Form: "svg"}, {Op: "sheet", Job: "j2", Records: q.Records, Sheet: "flange-A", Form: "svg"}} {
		var r ask.Refusal
		if err := json.Unmarshal(answered(t, bad), &r); err != nil || r.Error == "" {
			t.Errorf("%s %s: %.80s", bad.Sheet, bad.Form, answered(t, bad))
		}
	}
}

// What the tablet wrote as a DXF it reads back as the pattern of that very flange.
func TestDrawingIsReadAsAPattern(t *testing.T) {
	var s sheetText
	q := question{Op: "sheet", Job: "j1", Records: flangeRecords(t), Sheet: "flange-A", Form: "dxf"}
	if err := json.Unmarshal(answered(t, q), &s); err != nil {
		t.Fatal(err)
	}
	var d drawing
	if err := json.Unmarshal(answered(t, question{Op: "drawing", File: s.Text}), &d); err != nil {
		t.Fatal(err)
	}
	if d.Ask != nil || d.Unit != "mm" || math.Abs(d.Size[0]-359.35) > 0.01 || math.Abs(d.Size[1]-87.55) > 0.01 {
		t.Errorf("%+v, %v", d.Ask, d.Size)
	}
	if len(d.Holes) != 1 || d.Holes[0] != (dxfHole{X: 165, Y: 60, Diameter: 9}) {
		t.Errorf("holes %v", d.Holes)
	}
	if len(d.Openings) != 10 {
		t.Errorf("%d openings, want 10", len(d.Openings))
	}
	for _, path := range append([]string{d.Path}, paths(d.Openings)...) {
		v, err := job.ParsePath(path)
		if err != nil {
			t.Fatalf("%.60q: %v", path, err)
		}
		if o, err := geom.FromLoop(v); err != nil || !(o.Area() > 10) {
			t.Errorf("%.60q: %v", path, err)
		}
	}
	for _, o := range d.Openings { // each about its own middle
		v, _ := job.ParsePath(o.Path)
		if o, err := geom.FromLoop(v); err == nil {
			if low, high := o.Bounds(); math.Abs(low[0]+high[0]) > 1e-5 || math.Abs(low[1]+high[1]) > 1e-5 {
				t.Errorf("from %v to %v", low, high)
			}
		}
	}
}

func paths(openings []dxfOpening) (list []string) {
	for _, o := range openings {
		list = append(list, o.Path)
	}
	return list
}

// A figure without a unit is asked about, and a drawing far from its origin comes to it.
func TestDrawingAsksAndShifts(t *testing.T) {
	circle := func(x, y, r string) string {
		return "0\nCIRCLE\n8\n0\n10\n" + x + "\n20\n" + y + "\n40\n" + r + "\n"
	}
	file := "0\nSECTION\n2\nENTITIES\n" + circle("10000", "5000", "50") + circle("10000", "5000", "25") + circle("10035", "5000", "4.5") + circle("10000", "5035", "1") + "0\nENDSEC\n0\nEOF\n"
	d, err := drawingOf(file, "", job.Bank{})
	if err != nil || d.Ask == nil || d.Ask.MM != [2]float64{100, 100} || d.Ask.Inch != [2]float64{2540, 2540} || d.Path != "" || d.Holes == nil {
		t.Fatalf("%+v, %v", d, err)
	}
	d, err = drawingOf(file, "mm", job.Bank{})
	if err != nil || d.Ask != nil {
		t.Fatalf("%+v, %v", d, err)
	}
	if len(d.Holes) != 1 || d.Holes[0] != (dxfHole{X: 35, Y: 0, Diameter: 9}) || len(d.Openings) != 1 || d.Openings[0] != (dxfOpening{Shape: "round", Diameter: 50}) {
		t.Errorf("%+v", d)
	}
	notes := strings.Join(d.Notes, "\n")
	if !strings.Contains(notes, "shifted") || !strings.Contains(notes, "less than 3 mm") {
		t.Errorf("%s", notes)
	}
	if _, err := drawingOf("no drawing", "", job.Bank{}); err == nil {
		t.Error("a text is read as a drawing")
	}
	if _, err := drawingOf(file, "furlong", job.Bank{}); err == nil {
		t.Error("a unit that there is not")
	}
}

// An edge that all but closes is named with its place, and centre lines are not.
func TestDrawingNamesLooseEnds(t *testing.T) {
	for file, want := range map[string]int{"open.dxf": 1, "supplier.dxf": 0} {
		text, err := os.ReadFile("../../testdata/dxf/" + file)
		if err != nil {
			t.Fatal(err)
		}
		d, err := drawingOf(string(text), "mm", job.Bank{})
		if err != nil {
			t.Fatal(err)
		}
		if notes := strings.Join(d.Notes, "\n"); strings.Count(notes, "stays open by 0.300 mm") != want {
			t.Errorf("%s: %s", file, notes)
		}
	}
}

// A supplier's flange laid on the head: its seven holes lie each on a bolt, its four
// openings each on a port, also where a port is drawn as a circle no larger than a hole.
func TestDrawingLiesOnTheHead(t *testing.T) {
	for name, text := range suppliers(t) {
		var d drawing
		q := question{Op: "drawing", Job: "j1", Records: flangeRecords(t), Bank: "A", File: text}
		if err := json.Unmarshal(answered(t, q), &d); err != nil || d.Ask != nil || len(d.Holes) != 7 {
			continue
		}
		bolts, ports := map[string]bool{}, map[string]bool{}
		for _, h := range d.Holes {
			bolts[h.Bolt] = true
		}
		for _, o := range d.Openings {
			ports[o.Port] = true
		}
		if len(bolts) != 7 || bolts[""] || len(ports) != 4 || ports[""] {
			t.Errorf("drawing %v: holes on %v, openings on %v", name, bolts, ports)
		}
		return
	}
	t.Error("no drawing of seven holes")
}
