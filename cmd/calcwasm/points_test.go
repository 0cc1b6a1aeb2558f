package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// pointsQuestions asks what n lists of points made by chance come to; some have
// bends that do not fit, and some a line that cannot be read.
func pointsQuestions(t *testing.T, rnd *rand.Rand, n int) []string {
	t.Helper()
	var questions []string
	for i := range n {
		var list strings.Builder
		list.WriteString("point,x_mm,y_mm,z_mm\r\n")
		x, y, z := 0.0, 0.0, 0.0
		for k := range 3 + rnd.IntN(6) {
			fmt.Fprintf(&list, "%d,%.3f,%.3f,%.3f\r\n", k+1, x, y, z)
			x, y, z = x+300*rnd.Float64()-150, y-200*rnd.Float64(), z+80+200*rnd.Float64()
		}
		if i%7 == 0 {
			list.WriteString("9,1.5,no,2\r\n")
		}
		b, err := json.Marshal(question{Op: "points", Job: "j1", Tube: "t1", File: list.String(), CLR: "40 mm", Unit: "mm"})
		if err != nil {
			t.Fatal(err)
		}
		questions = append(questions, string(b))
	}
	return questions
}
