package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// Closed form, OD 44.45 on CLR 76.2 cut 5 mm off: leans asin(5/76.2) = 3.762°, is wide
// √(98.425² − 5²) − √(53.975² − 5²) = 44.5550 mm, and so oval by 0.236 %. A square cut may
// lean ½°: asin(0.5/76.2) = 0.376° does, asin(1/76.2) = 0.752° does not.
func TestMissesAgainstTheClosedForm(t *testing.T) {
	var list []missed
	if err := json.Unmarshal([]byte(answer(asked(t, question{Op: "misses", OD: 44.45, CLR: 76.2}), nil)), &list); err != nil {
		t.Fatal(err)
	}
	if len(list) != len(offs) {
		t.Fatalf("%d misses, want %d", len(list), len(offs))
	}
	for _, m := range list {
		e := m.Off
		wide := math.Sqrt(98.425*98.425-e*e) - math.Sqrt(53.975*53.975-e*e)
		if math.Abs(m.Lean-math.Asin(e/76.2)*180/math.Pi) > 6e-4 || math.Abs(m.Wide-wide) > 6e-5 || math.Abs(m.Ovality-100*(wide-44.45)/44.45) > 6e-4 {
			t.Errorf("%v mm off: %+v; wide is %v", e, m, wide)
		}
		if !(m.Step > 0 && m.Step <= m.Wide-44.45+1e-4) || m.IsSquare != (e < 0.6) {
			t.Errorf("%v mm off: %+v", e, m)
		}
	}
	if m := list[4]; math.Abs(m.Lean-3.762) > 6e-4 || math.Abs(m.Wide-44.5550) > 6e-5 || math.Abs(m.Ovality-0.236) > 6e-4 {
		t.Errorf("5 mm off: %+v", m)
	}
}

// Where the inside of a bend is narrow the list ends before the cut runs out along it.
func TestMissesEndWhereTheCutRunsOut(t *testing.T) {
	for clr, want := range map[float64]int{30: 4, 26: 1} { // inside radius 5 and 1 mm, at OD 50
		var list []missed
		if err := json.Unmarshal([]byte(answer(asked(t, question{Op: "misses", OD: 50, CLR: clr}), nil)), &list); err != nil || len(list) != want {
			t.Errorf("CLR %v: %d misses, want %d; %v", clr, len(list), want, err)
		}
	}
	if got := answer(asked(t, question{Op: "misses", OD: 50, CLR: 25}), nil); !strings.Contains(got, "CLR") {
		t.Errorf("a CLR of half the OD: %s", got)
	}
}
