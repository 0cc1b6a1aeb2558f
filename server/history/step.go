package history

import (
	"fmt"
	"math/rand/v2"
)

// Step is one thing that happens. A step that makes no sense where it comes does
// nothing, so that any part of a history is a history.
type Step struct {
	Do     string
	Tablet int    // whom it happens to, counted around
	K      int    // how many, where it matters
	Dice   uint32 // decides whatever else there is to decide in it
}

func (s Step) String() string { return fmt.Sprintf("%s %d/%d", s.Do, s.Tablet, s.K) }

// History is what happens to a few tablets and a shop.
type History struct {
	Seed    uint64
	Tablets int // at the start
	Steps   []Step
}

// maxTablets is how many there are after cloning, at most.
const maxTablets = 4

// slots are the few things that are measured, so that tablets meet on them.
var slots = []string{"port/p1/width", "port/p1/height", "engine/self/bore"}

// weights say how often a step comes. Nearly half of them move frames, so that
// faults fall into the middle of a conversation.
var weights = []struct {
	do     string
	weight int
}{
	{"open", 6}, {"reading", 9}, {"edit", 3}, {"choice", 4}, {"retract", 5}, {"note", 2}, {"later", 1}, // acts
	{"keep", 6}, // on a form that was opened earlier
	{"connect", 6}, {"up", 12}, {"down", 12}, {"feed", 9},
	{"talk", 9}, // undisturbed for a while, so that a cut finds something to undo
	{"cut", 3}, {"deafUp", 1}, {"deafDown", 1}, {"loseUp", 1}, {"loseDown", 1}, {"repeatUp", 1}, {"repeatDown", 1}, {"resend", 2},
	{"crash", 2}, {"commit", 2}, {"backup", 2}, {"restore", 2}, {"back", 1},
	{"wipe", 1}, {"copy", 1}, {"rollback", 1}, {"clone", 1}, {"clock", 2}, {"kill", 2}, {"killSoon", 3}, {"twin", 1},
}

var allWeights = func() (n int) {
	for _, w := range weights {
		n += w.weight
	}
	return n
}()

// New makes a history from a seed.
func New(seed uint64) History {
	rnd := rand.New(rand.NewPCG(seed, 0))
	h := History{Seed: seed, Tablets: 2 + rnd.IntN(3)}
	for range 30 + rnd.IntN(110) {
		pick := rnd.IntN(allWeights)
		for _, w := range weights {
			if pick -= w.weight; pick < 0 {
				h.Steps = append(h.Steps, Step{w.do, rnd.IntN(maxTablets), 1 + rnd.IntN(4), rnd.Uint32()})
				break
			}
		}
	}
	return h
}
