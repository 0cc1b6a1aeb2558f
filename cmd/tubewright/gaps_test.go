package main

import (
	"fmt"
	"strings"
	"testing"

	"tubewright/pwa/drive"
)

// With eight tubes and 20 neighbours the page of gaps stays short: what is too small or
// too close to call stands first and in full, of the rest the closest to each thing,
// and the others come by one tap. On paper nothing that asks for something is left out.
func TestManyGapsStayShort(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "eight.job.json")
	a.alone()
	plan := planOf(t, "../../testdata/job/eight.job.json")
	asking := 0
	for _, g := range plan.Gaps {
		if g.Gap < g.Wanted || g.TooClose {
			asking++
		}
	}
	if asking < 4 || len(plan.Gaps) < 90 {
		t.Fatalf("the file has %d gaps, of which %d ask for something", len(plan.Gaps), asking)
	}
	rows := func(table string) (n int) {
		t.Helper()
		a.must(a.b.Eval(&n, `return document.querySelectorAll("[data-test=" + arguments[0] + "] [data-test=gap-row]").length`, table))
		return n
	}

	a.goTo("result", "job="+id)
	a.sees("gaps-rest")
	if n := rows("gaps-asking"); n != asking {
		t.Errorf("%d gaps ask for something, want %d", n, asking)
	}
	closest := rows("gaps-closest")
	if closest > 28 || closest < 20 {
		t.Errorf("%d are the closest to one of 28 tubes and neighbours", closest)
	}
	hidden := len(plan.Gaps) - asking - closest
	a.says("gaps-rest", fmt.Sprintf("the other %d", hidden))
	a.sees("access")
	a.bothWays("many-gaps", "gaps", "gaps-rest", "access")

	a.must(a.b.(chromium).Paper("dark"))
	a.must(a.b.Eval(nil, `document.querySelector("[data-test=gaps]").scrollIntoView()`))
	a.legible("many-gaps-paper")
	a.picture("many-gaps-paper-820")
	text := a.text("gaps")
	a.scheme("light")
	for _, g := range plan.Gaps {
		if g.Gap < g.Wanted || g.TooClose {
			if figure := fmt.Sprintf("%.2f", g.Gap); !strings.Contains(text, figure) {
				t.Errorf("%s and %s, %s mm apart, are not on paper", g.A, g.B, figure)
			}
		}
	}
	if !strings.Contains(text, fmt.Sprintf("%d more gaps", hidden)) {
		t.Error("the paper does not say how many are left out")
	}

	a.tap("gaps-rest")
	a.sees("gaps-others")
	if n := rows("gaps-others"); n != hidden {
		t.Errorf("%d came by the tap, want %d", n, hidden)
	}
	a.bothWays("many-gaps-all", "gaps-others")
	a.tap("gaps-rest")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=gaps-others]") === null`))

	// A socket that meets a neighbour does not get there, and the bolt is named with its bank.
	first := a.text("access-row")
	if !strings.Contains(first, "Bolt 3, Bank\u00a0A") || !strings.Contains(first, "does not get there") || !strings.Contains(first, "dipstick") {
		t.Errorf("the first of the bolts is %q", first)
	}

	a.goTo("item", "job="+id+"&slot=neighbour/n18")
	a.sees("gaps-asking")
	a.bothWays("many-gaps-one", "gaps")
	of := 0
	for _, g := range plan.Gaps {
		if g.B == "n18" {
			of++
		}
	}
	if n := rows("gaps"); n != of { // a few are not folded
		t.Errorf("%d gaps of one neighbour, want %d", n, of)
	}
}
