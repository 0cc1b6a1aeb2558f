package job_test

import (
	"fmt"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// rack makes records of the shop's own job.
type rack struct {
	t    *testing.T
	recs []ledger.Record
}

// say adds a reading of a tablet and returns its id.
func (r *rack) say(dev byte, slot, unit, text string, v int64, over ...string) string {
	body := &ledger.Reading{Text: text, Unit: unit}
	switch unit {
	case "mm":
		body.NM = &v
	case "deg":
		body.UDeg = &v
	case "1":
		body.Micro = &v
	}
	rec := record(r.t, dev+10, len(r.recs)+1, job.Draft{Slot: slot, Reading: body})
	rec.Job, rec.Over = job.ShopJob, over
	rec, err := ledger.Decode(ledger.Encode(ledger.Record{ID: rec.ID, Dev: rec.Dev, N: rec.N, HLC: rec.HLC, Kind: rec.Kind, Job: rec.Job, Slot: rec.Slot, Over: over, SV: 1, Body: rec.Body}))
	if err != nil {
		r.t.Fatal(err)
	}
	r.recs = append(r.recs, rec)
	return rec.ID
}

// bend puts a bend of the invented four's section into the rack.
func (r *rack) bend(id string, clr int64) {
	r.say(1, "stock/"+id+"/order", "word", id, 0)
	r.say(1, "stock/"+id+"/type", "word", "bend", 0)
	for field, nm := range map[string]int64{"od": 41_275_000, "wall": 1_651_000, "clr": clr} {
		r.say(1, "stock/"+id+"/"+field, "mm", fmt.Sprintf("%d.%06d", nm/1e6, nm%1e6), nm)
	}
	r.say(1, "stock/"+id+"/angle", "deg", "180", 180e6)
}

func (r *rack) use(dev byte, id, stock string, count int64, counted string) {
	r.say(dev, "use/"+id+"/order", "word", id, 0)
	r.say(dev, "use/"+id+"/stock", "word", stock, 0)
	r.say(dev, "use/"+id+"/count", "1", fmt.Sprint(count), count*1e6)
	r.say(dev, "use/"+id+"/counted", "word", counted, 0)
}

// Two tablets that saw without the shop take off both; a later count has it in already.
func TestSawingOnTwoTabletsIsNoDispute(t *testing.T) {
	r := &rack{t: t}
	r.bend("u1", 63_500_000)
	left := func() int { return job.SharedOf(r.recs).Stock[0].Left() }
	if left() != 0 {
		t.Errorf("%d of what was never counted", left())
	}
	first := r.say(1, "stock/u1/on_hand", "1", "7", 7e6)
	r.use(1, "a", "u1", 2, first)
	r.use(2, "b", "u1", 1, first)
	if got := left(); got != 4 {
		t.Errorf("%d left of 7 when 2 and 1 were taken", got)
	}
	if s := job.FromRecords(r.recs).Slots["stock/u1/on_hand"]; s.Kind != ledger.Agreed {
		t.Errorf("on hand is %s", s.Kind)
	}
	second := r.say(1, "stock/u1/on_hand", "1", "5", 5e6, first)
	if got := left(); got != 5 {
		t.Errorf("%d left by the second count of 5", got)
	}
	r.use(2, "c", "u1", 9, second)
	if got := left(); got != 0 {
		t.Errorf("%d left when more was taken than counted", got)
	}
}

// Every job sees the shop's stock and saw; its own saw comes first, and the shop's own
// job stands in no list.
func TestEveryJobSeesTheShopsStock(t *testing.T) {
	r := &rack{t: t}
	r.bend("u1", 76_200_000)
	r.say(1, "shop/self/kerf", "mm", "3", 3e6)
	r.say(1, "shop/self/least_piece", "deg", "35", 35e6)
	recs := entered(t, four)
	rules := func(v job.View) map[string]int {
		n := map[string]int{}
		for _, f := range v.Plan.Findings {
			n[f.Rule]++
		}
		return n
	}
	alone, beside := rules(job.FromRecords(recs)), rules(job.FromRecords(recs, r.recs...))
	// Bends of the four have CLR 63.5, so that the one item fits none of its four tubes;
	// one of them turns 31°.
	if alone["no-stock"] != 0 || beside["no-stock"] != 4 || alone["small-piece"] != 0 || beside["small-piece"] != 1 {
		t.Errorf("alone %v, beside the shop's %v", alone, beside)
	}
	w := job.Work(recs, r.recs...)
	if got := w.Job.Shop.Kerf.V.MM(); got > 1.7 { // the job says 0.063 in
		t.Errorf("kerf %v mm", got)
	}
	if len(w.Job.Stock) != 1 || !w.Job.Stock[0].InShop || w.Hash != job.Work(recs).Hash {
		t.Errorf("stock %+v", w.Job.Stock)
	}
	if got := w.Job.Stock[0].Title; got != "Stock item 1 of the shop" {
		t.Errorf("called %q, as the first of the job's own would be", got)
	}
	if job.FromRecords(recs).Hash == job.FromRecords(recs, r.recs...).Hash {
		t.Error("the view does not tell by its hash that the stock is another")
	}
	if all := job.Summaries(append(recs, r.recs...)); len(all) != 1 || all[0].ID != "j1" {
		t.Errorf("jobs %+v", all)
	}
}
