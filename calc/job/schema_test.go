package job_test

import (
	"encoding/json"
	"flag"
	"os"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

var update = flag.Bool("update", false, "rewrite golden files")

// schemaFile is what the screens know of the fields, and of who may write what. It is
// committed, so that the tablet app can be built and type-checked without Go code being
// run first.
const schemaFile = "../../pwa/lib/schema.json"

func TestScreensKnowTheSameFields(t *testing.T) {
	want, err := json.MarshalIndent(map[string]any{"kinds": job.Kinds, "stages": job.Stages, "roles": ledger.Kinds}, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	want = append(want, '\n')
	if *update {
		if err := os.WriteFile(schemaFile, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s is not what Kinds says; run go test ./calc/job -run %s -update", schemaFile, t.Name())
	}
}
