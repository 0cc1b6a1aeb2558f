package main

import (
	"math"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// Without the shop a part of a tube is filled from stock: two joints are chosen, the ways
// that close are looked at, and one goes into the plan once that was asked twice. It is
// taken back, and put there again; with the shop back the tube ends in its socket there too.
func TestClosingPieceGoesIntoThePlan(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	a.alone()
	query := "job=" + id
	a.goTo("bench", query)
	a.tap("fill:t4")
	a.must(a.b.WaitFor(2*time.Minute, `return document.querySelector("[data-test=filling]")?.dataset.found === "false"`))
	a.says("filling-none", "touches something") // from port to socket: the other tubes
	a.bothWays("filling-none")

	a.tap("from:2") // behind 4-2
	a.worked("filling", "found")
	a.bothWays("filling")
	a.says("filling", "In the place of 4-3, 4-4, 4-5, 4-6, 4-7.")
	var way struct{ Miss, Aim, Length float64 }
	a.must(a.b.Eval(&way, `const d = document.querySelector("[data-test=way]").dataset; return { miss: Number(d.miss), aim: Number(d.aim), length: Number(d.length) }`))
	if way.Miss > 1.5 || way.Aim > 0.5 || math.Abs(way.Length-660.4) > 6.35 {
		t.Errorf("the first way ends %v mm and %v° off and makes the tube %v mm long", way.Miss, way.Aim, way.Length)
	}
	for _, want := range []string{"clocked", "Cut from", "left over", "1 sigma"} {
		a.says("way", want)
	}

	a.tap("take-way")
	a.says("way", "Takes 4-3, 4-4, 4-5, 4-6, 4-7 out of the path")
	a.bothWays("filling-asked")
	a.tap("leave-way")
	a.tap("take-way")
	a.tap("confirm-way")
	a.screen("bench")
	gone := `return document.querySelector("[data-test='piece:t4-3']") === null && document.querySelector("[data-test='piece:t4-8']") !== null`
	a.must(a.b.WaitFor(wait, gone))
	a.tap("undo")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='piece:t4-3']") !== null && document.querySelector("[data-test='piece:t4-8']") === null`))

	a.goTo("filling", query+"&id=t4&slot=2-7")
	a.worked("filling", "found")
	a.tap("take-way")
	a.tap("confirm-way")
	a.screen("bench")
	a.must(a.b.WaitFor(wait, gone))
	a.goTo("tubes", query)
	a.must(a.b.WaitFor(wait, `return Math.abs(parseFloat(document.querySelector("[data-test='tube-length:t4']").textContent) - arguments[0]) < 0.1`, way.Length))

	// What is tacked is not filled anew.
	a.goTo("filling", query+"&id=t2")
	a.sees("from:2")
	var first string
	a.must(a.b.Eval(&first, `return document.querySelector("[data-test^='from:']").dataset.test`))
	if first != "from:2" {
		t.Errorf("the first joint that is free is %s", first)
	}

	a.shop.start()
	a.unsent(0)
	var plan struct {
		Tubes []struct {
			ID     string
			Length float64
			Socket struct {
				Offset float64
				AimOff float64 `json:"aim_off"`
			}
		}
	}
	a.must(a.shop.get("/api/jobs/"+id+"/plan", &plan))
	for _, tube := range plan.Tubes {
		if tube.ID == "t4" && (tube.Socket.Offset > 1.5 || tube.Socket.AimOff > 0.5 || math.Abs(tube.Length-way.Length) > 0.1) {
			t.Errorf("in the shop tube 4 is %+v", tube)
		}
	}
}

// A piece that came out too short is cut anew: taking that answer makes it a piece that is
// not cut again, and with the others cut as said the tube closes. A tube that closes and
// meets another one as that was made is led around it.
func TestPieceIsCutAnew(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	a.alone()
	query := "job=" + id
	a.goTo("bench", query)
	a.tap("correct:t2")
	a.worked("correction", "closes")
	a.says("answer", "Cut 2-5 anew from stock")
	a.bothWays("correction-anew")
	a.tap("take-answer")
	a.goTo("bench", query)
	a.isStage("t2-5", "")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='made:t2']")?.dataset.closes === "false"`))
	a.says("piece:t2-6", "34.7°") // planned now; 36° as it is cut
	a.goTo("measure", query+"&slot=element/t2-e6/cut_turn")
	a.enter("element/t2-e6/cut_turn", "34.7")
	a.goTo("bench", query)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='made:t2']")?.dataset.closes === "true"`))

	a.stage(query, "t1-1", "cut")
	for _, piece := range []string{"t3-5", "t3-6", "t3-7"} { // where it is made, it is in the way of tube 1
		a.stage(query, piece, "tacked")
	}
	a.goTo("bench", query)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='made:t1']")?.dataset.closes === "true"`))
	a.tap("correct:t1")
	a.worked("correction", "closes")
	a.says("correction", "cannot stay so: Tube 1 and Tube 3 run into each other")
	a.bothWays("correction-around")
}
