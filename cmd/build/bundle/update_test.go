package bundle

import (
	"flag"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

var turns = flag.Duration("turns", 10*time.Second, "how long two builds come by turns")

// A tablet that was put away and is taken up again finds the newer build by itself:
// nothing else than being shown makes it ask.
func TestSW1ShownPageFindsTheNewerBuild(t *testing.T) {
	lives(t, func(l life) {
		tabs, hasTabs := l.b.(interface {
			OpenTab() (string, error)
			CloseTab(back string) error
		})
		back := ""
		if hasTabs {
			var err error
			back, err = tabs.OpenTab()
			l.must(err)
		}
		l.s.do(func() { l.s.files = l.two })
		time.Sleep(time.Second)
		if hasTabs {
			l.must(tabs.CloseTab(back))
		} else { // no second tab to put in front: the page is only told
			l.must(l.b.Eval(nil, `document.dispatchEvent(new Event("visibilitychange"))`))
		}
		shown := time.Now()
		l.must(l.b.WaitFor(6*drive.Wait, `return waits === arguments[0]`, l.buildTwo))
		l.t.Logf("offered %.1f s after the page was shown", time.Since(shown).Seconds())
	})
}

// Some tablets never tell that the newer worker is in charge. The page is then
// loaded all the same, once.
func TestSW2TakeoverNobodyTellsOfLoadsOnce(t *testing.T) {
	lives(t, func(l life) {
		l.s.do(func() { l.s.files = l.two })
		l.must(l.b.EvalAsync(nil, `await updates.check()`))
		l.must(l.b.WaitFor(drive.Wait, `return waits === arguments[0]`, l.buildTwo))
		l.must(l.b.Eval(nil, `const add = EventTarget.prototype.addEventListener;
EventTarget.prototype.addEventListener = function (type, ...more) { if (type !== "controllerchange") add.call(this, type, ...more); };
void updates.takeOver()`))
		l.must(l.b.WaitFor(drive.Wait, `return document.getElementById("root").textContent === "app two"`))
		time.Sleep(5 * time.Second) // longer than the page waits to be told
		l.loads(`loads two`, 1)
		l.loads(`loads`, 2)
	})
}

// Two builds that come by turns, taken over by a person who always agrees at once,
// load the page at most once each: there is no loop.
func TestSW2AlternatingBuildsDoNotLoop(t *testing.T) {
	lives(t, func(l life) {
		l.must(l.b.Eval(nil, `sessionStorage.eager = "yes"`))
		turn := 0
		for end := time.Now().Add(*turns); time.Now().Before(end); turn++ {
			l.s.do(func() { l.s.files = []map[string][]byte{l.two, l.one}[turn%2] })
			for range 4 {
				l.b.Eval(nil, `void updates.check()`) // fails while the page is being loaded
				time.Sleep(250 * time.Millisecond)
			}
		}
		time.Sleep(time.Second)
		var one, two int
		l.must(l.b.Eval(&one, `return Number(sessionStorage["loads one"])`))
		l.must(l.b.Eval(&two, `return Number(sessionStorage["loads two"])`))
		if one > 2 || two != 1 { // build one was loaded by hand before
			l.t.Errorf("in %d turns build one was loaded %d times and build two %d times", turn, one-1, two)
		}
	}, "Chromium")
}

func (l life) loads(what string, want int) {
	l.t.Helper()
	var got int
	l.must(l.b.Eval(&got, `return Number(sessionStorage[arguments[0]])`, what))
	if got != want {
		l.t.Errorf("%s: %d, want %d", what, got, want)
	}
}
