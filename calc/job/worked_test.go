package job_test

import (
	"testing"

	"tubewright/calc/job"
)

// What is measured on a printed sheet must not make that very sheet an old one; any
// figure that is drawn must.
func TestMeasuringASheetDoesNotMakeItOld(t *testing.T) {
	recs := entered(t, flangeJob)
	before := job.Work(recs).Hash
	measured := record(t, 2, 900, length("print/r1/across", "100.1", 100100000, 100000))
	if after := job.Work(append(recs, measured)).Hash; after != before {
		t.Error("the sign of the sheets is another one once a ruler was measured")
	}
	moved := record(t, 2, 901, length("bolt/b2/x", "110.5", 110500000, 100000))
	if after := job.Work(append(recs, moved)).Hash; after == before {
		t.Error("the sign of the sheets stays though a bolt was moved")
	}
}
