package main

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"tubewright/pwa/drive"
)

// unread is the invented job of straight tubes before anything of it was read, as a file.
func unread(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile("../../testdata/job/inspect.job.json")
	if err != nil {
		t.Fatal(err)
	}
	var j map[string]any
	if err := json.Unmarshal(data, &j); err != nil {
		t.Fatal(err)
	}
	delete(j, "gauges")
	without := func(e any, keys ...string) {
		for _, key := range keys {
			delete(e.(map[string]any), key)
		}
	}
	bank := j["banks"].([]any)[0]
	without(bank, "flat_tacked", "flat_pair_tacked", "flat_welded", "flat_pair_welded")
	for _, b := range bank.(map[string]any)["bolts"].([]any) {
		without(b, "starts")
	}
	for _, tube := range j["tubes"].([]any) {
		without(tube, "length_tacked", "length_welded")
	}
	without(j["collectors"].([]any)[0], "tacked", "welded")
	b, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "unread.job.json")
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// verdict waits until something that was read is called so.
func (p *tablet) verdict(test, is string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test='" + arguments[0] + "']")?.dataset.verdict === arguments[1]`, test, is))
}

// A header is inspected without the shop: three lengths of which one is off, where the
// collector stands and aims, how flat the flange is, a gap in two taps, bolts by hand, the
// leak test, with a photo. The report says it, and with the shop back it has the photo.
func TestInspectingAHeader(t *testing.T) {
	s := newShop(t)
	id := s.seeded(unread(t))
	a := settled(t, drive.Chromium, s)
	a.alone()
	query := "job=" + id

	a.goTo("job", query)
	a.says("step-inspect", "0 of 25 read") // 3 lengths, 6 coordinates and 2 feelers, twice, and 3 bolts
	a.tap("step-inspect")
	a.sees("inspect-tacked")
	a.says("read-next", "Tube 1")
	a.tap("read-next")
	a.at("tube/t1/length_tacked")
	a.says("planned-here", "600.00 mm")
	a.bothWays("inspect-read")
	for _, r := range [][2]string{{"tube/t1/length_tacked", "601"}, {"tube/t2/length_tacked", "596"}, {"tube/t3/length_tacked", "602"}, // of 600 ± 3
		{"collector/c1/tacked_x", "151"}, {"collector/c1/tacked_y", "32"}, {"collector/c1/tacked_z", "582"}, // 3 mm from 150, 30, 580
		{"collector/c1/tacked_tip_x", "151"}, {"collector/c1/tacked_tip_y", "32"}, {"collector/c1/tacked_tip_z", "682"}, // straight on
		{"bank/A/flat_tacked", "0.25"}, {"bank/A/flat_pair_tacked", "0.13"}} { // of 0.254 and 0.127
		a.enter(r[0], r[1])
	}
	a.sees("inspect-tacked")
	for slot, is := range map[string]string{"tube/t1/length_tacked": "good", "tube/t2/length_tacked": "off", "tube/t3/length_tacked": "good", "collector/c1/tacked_x": "off",
		"collector/c1/tacked_tip_x": "good", "bank/A/flat_tacked": "good", "bank/A/flat_pair_tacked": "off"} {
		a.verdict("read:"+slot, is)
	}
	a.says("read:tube/t2/length_tacked", "−4.00 mm")
	a.says("read:tube/t2/length_tacked", "by Rowan")
	a.says("spread", "6.00 mm")
	a.says("inspect-looks", "short of the plan")
	a.photo("tube/t2/length_tacked", turned(6))
	a.bothWays("inspect-tacked", "inspect-count", "group:collector", "inspect-looks", "caution")

	a.tap("part:fitted")
	a.tap("to-gap:t1:n1")
	a.says("gap-planned", "20.00 mm")
	a.tap("goes:1/2")
	a.says("gap-verdict", "rods do not tell")
	a.says("gap-take", "19.05 mm")
	a.tap("stops:3/4")
	a.says("gap-verdict", "less than wanted")
	a.bothWays("inspect-gap")
	a.tap("goes:3/8") // a slip of the hand, and back
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='goes:3/8']").ariaPressed === "true"`))
	a.tap("undo")
	a.goTo("inspect", query+"&id=fitted")
	a.verdict("gauge:t1:n1", "near")
	a.says("gauge:t1:n1", "12.70 mm goes, 19.05 mm does not")
	a.tap("all-start")
	a.says("inspect-count", "3 good")
	a.tap("bolt/b2/starts:no")
	a.says("inspect-looks", "Bolt 2 does not start by hand")
	a.bothWays("inspect-fitted", "inspect-count", "group:bolts", "caution")

	a.tap("part:welded")
	a.tap("leak:passed")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='leak:passed']").ariaPressed === "true"`))
	a.bothWays("inspect-welded", "inspect-count", "caution")

	a.keepsPictures()
	a.tap("to-report")
	a.sheetSays("596.00", "OFF", "Rowan", "LESS", "does NOT start by hand", "1 photo: in the report that the shop machine makes as PDF", "Tube 2: Length, as tacked")
	a.bothWays("inspect-report", "sheet-svg")
	a.goTo("job", query)
	a.says("step-inspect", "14 of 25 read")
	a.complains("ERR_CONNECTION_REFUSED") // the shop was away

	a.shop.start()
	a.unsent(0)
	a.photosSent()
	res, err := http.Get(a.shop.url("/api/jobs/" + id + "/sheets/report.pdf"))
	a.must(err)
	defer res.Body.Close()
	pdf, err := io.ReadAll(res.Body)
	a.must(err)
	if res.StatusCode != http.StatusOK || !bytes.HasPrefix(pdf, []byte("%PDF")) || !bytes.Contains(pdf, []byte("/DCTDecode")) {
		t.Errorf("status %d, %d bytes that are no PDF with a photo: %.200s", res.StatusCode, len(pdf), pdf)
	}
	if *screens != "" {
		a.must(os.WriteFile(filepath.Join(*screens, "report.pdf"), pdf, 0o644))
	}
}
