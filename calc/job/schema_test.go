package job_test

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"strconv"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/calc/stock"
	"tubewright/calc/units"
)

var update = flag.Bool("update", false, "rewrite golden files")

// schemaFile is what the screens know of the fields, and of who may write what. It is
// committed, so that the tablet app can be built and type-checked without Go code being
// run first.
const schemaFile = "../../pwa/lib/schema.json"

func TestScreensKnowTheSameFields(t *testing.T) {
	holds(t, schemaFile, map[string]any{"kinds": job.Kinds, "stages": job.Stages, "roles": ledger.Kinds})
}

// elbowFile is what the stock's page offers of weld elbows: sizes in inches as the
// standards print them, what they may differ by in mm.
const elbowFile = "../../pwa/lib/elbows.json"

func TestScreensKnowTheSameElbows(t *testing.T) {
	inches := func(l units.Length) string { return strconv.FormatFloat(float64(l/units.Inch), 'f', 3, 64) }
	mm := func(l units.Length) float64 { return math.Round(l.MM()*100+1e-6) / 100 }
	var elbows, walls []map[string]any
	for _, e := range stock.Elbows() {
		one := map[string]any{"nps": e.NPS, "form": e.Form(), "angle": int(e.Angle.Deg() + 0.5), "od": inches(e.OD), "clr": inches(e.CLR), "across": mm(e.Across)}
		if b := e.Beyond(); b > 0 {
			one["beyond"] = mm(b)
		}
		elbows = append(elbows, one)
	}
	for _, w := range stock.PipeWalls() {
		walls = append(walls, map[string]any{"nps": w.NPS, "schedule": w.Schedule, "wall": inches(w.Wall)})
	}
	within := map[string]any{"odMore": stock.ElbowODMore.MM(), "odLess": stock.ElbowODLess.MM(), "end": stock.ElbowCentreToEnd.MM(), "wall": stock.ElbowLeastWallRel}
	holds(t, elbowFile, map[string]any{"elbows": elbows, "walls": walls, "within": within})
}

// holds compares a file of the screens with what calc says.
func holds(t *testing.T, file string, what any) {
	t.Helper()
	want, err := json.MarshalIndent(what, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	want = append(want, '\n')
	if *update {
		if err := os.WriteFile(file, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s is not what calc says; run go test ./calc/job -run %s -update", file, t.Name())
	}
}
