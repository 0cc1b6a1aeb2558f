package main

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"tubewright/calc/chain"
	"tubewright/server/history"
	"tubewright/store"
)

var storm = flag.Duration("storm", 20*time.Second, "how long the storm lasts in which everybody writes, connections are lost and the server is killed")

// stormClients are the tablets beside the two in browsers.
const stormClients = 4

// Two tablets in browsers of their own, one of them without a websocket, and four
// others write all the time; the network loses connections at random and the
// server is killed every twenty seconds. When it is over, every record that was
// shown as saved is once in the shop and once on every tablet.
func TestLongStorm(t *testing.T) {
	s, net := badNetwork(t)
	const seed = 1
	weather := newWeather(seed)
	net.Fate = weather.fate
	w := &real{t: t, s: s, net: net}

	pages := make([]*real, 2) // each with one tablet in a browser
	for k := range pages {
		pages[k] = &real{t: t, s: s, net: net, b: openTablets(t, net)}
		one := &realTablet{name: fmt.Sprint("page-", k), polls: k == 1}
		pages[k].tablets = append(pages[k].tablets, one)
		pages[k].begin(one, one.name)
		w.must(pages[k].call(nil, "connect", one))
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var all, writers sync.WaitGroup
	clients := make([]*history.Client, stormClients)
	writing, stop := context.WithTimeout(ctx, *storm)
	defer stop()
	for k := range clients {
		c := history.NewClient(net.Addr, fmt.Sprint("go-", k), uint64(seed+k))
		c.Most = 20
		clients[k] = c
		all.Go(func() { c.Stay(ctx) })
		writers.Go(func() { keepWriting(writing, c, uint64(k)) })
	}
	for _, p := range pages {
		w.must(p.call(nil, "storm", p.tablets[0], 200))
	}
	kills := killEvery(writing, s, min(20*time.Second, *storm/4))
	writers.Wait()

	weather.clear()
	start := time.Now()
	made := 0
	var recs []*history.Rec
	for _, p := range pages {
		var calm struct {
			Saved  []string
			Failed int
		}
		one := p.tablets[0]
		w.must(p.call(&calm, "calm", one))
		time.Sleep(300 * time.Millisecond) // for one that was being kept
		w.must(p.call(&calm, "calm", one))
		for _, text := range calm.Saved {
			r, err := history.ReadRec(text)
			w.must(err)
			one.saved = append(one.saved, r)
		}
		if calm.Failed > 0 {
			t.Errorf("%s could not save %d times", one.name, calm.Failed)
		}
		made += len(one.saved)
	}
	for _, c := range clients {
		recs = append(recs, c.Made()...)
	}
	made += len(recs)
	high, sum := stormLevel(t, s, clients, pages)
	level := time.Since(start)
	cancel()
	all.Wait()

	o := history.Outcome{Fold: history.Fold}
	for _, p := range pages {
		w.must(p.call(nil, "die", p.tablets[0]))
		o.Tablets = append(o.Tablets, p.read(p.tablets[0]))
	}
	for _, c := range clients {
		o.Tablets = append(o.Tablets, c.Disk())
	}
	s.kill()
	s.check()
	log, err := history.Records(records(t, s), recs)
	w.must(err)
	o.Log, o.Chain = log, sum
	o.Again = func(recs []*history.Rec) (int, chain.Sum) {
		st, err := store.Open(t.Context(), w.database())
		w.must(err)
		defer st.Close()
		for len(recs) > 0 {
			n := min(200, len(recs))
			var raws []string
			for _, r := range recs[:n] {
				raws = append(raws, r.Text)
			}
			_, err = st.Append(t.Context(), "again", raws)
			w.must(err)
			recs = recs[n:]
		}
		pos, err := st.High(t.Context())
		w.must(err)
		sum, _, err := st.ChainAt(t.Context(), pos)
		w.must(err)
		return int(pos), sum
	}
	if letter, text := history.Check(&o, rand.New(rand.NewPCG(seed, 1))); letter != "" {
		t.Fatalf("%s: %s", letter, text)
	}
	if len(log) != made || int(high) != made {
		t.Errorf("%d records were saved, %d are in the shop", made, len(log))
	}
	t.Logf("%v: %d records, %d frames, %d connections lost, the server killed and started %d times, all level %v after it ended",
		*storm, made, net.Frames.Load(), net.Cuts.Load(), kills, level.Round(time.Millisecond))
}

// keepWriting does one act after the other, on slots that a few others know.
func keepWriting(ctx context.Context, c *history.Client, seed uint64) {
	rnd := rand.New(rand.NewPCG(seed, 3))
	kinds := []string{"reading", "reading", "reading", "edit", "choice", "retract", "note", "later"}
	for i := 0; ctx.Err() == nil; i++ {
		c.Keep(fmt.Sprintf("bolt/b%d/x", i/20), history.Act{Kind: kinds[rnd.IntN(len(kinds))], Dice: rnd.Uint32()})
		select {
		case <-ctx.Done():
		case <-time.After(time.Duration(50+rnd.IntN(200)) * time.Millisecond):
		}
	}
}

// killEvery kills the server and starts it again a little later, until ctx ends;
// the server runs then. It returns how often.
func killEvery(ctx context.Context, s *shop, every time.Duration) (kills int) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return kills
		case <-tick.C:
		}
		s.kill()
		kills++
		time.Sleep(time.Duration(kills%4) * 300 * time.Millisecond)
		s.start()
	}
}

// stormLevel waits until all have the same and returns where the log ends.
func stormLevel(t *testing.T, s *shop, clients []*history.Client, pages []*real) (int64, chain.Sum) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	witness := history.NewClient(s.addr, "witness", 1)
	var gone sync.WaitGroup
	gone.Go(func() { witness.Stay(ctx) })
	defer gone.Wait()
	defer cancel()
	for {
		if err := history.WaitLevel(ctx, witness.End, clients...); err != nil {
			t.Fatalf("I9: %v", err)
		}
		pos, sum := witness.End()
		behind := ""
		for _, p := range pages {
			behind += p.behind(p.tablets[0], pos, sum)
		}
		if again, _ := witness.End(); behind == "" && again == pos {
			return pos, sum
		}
		if ctx.Err() != nil {
			t.Fatalf("I9: not level%s", behind)
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// weather is what a network in a storm does to frames.
type weather struct {
	mu    sync.Mutex
	rnd   *rand.Rand
	clean bool
}

func newWeather(seed uint64) *weather { return &weather{rnd: rand.New(rand.NewPCG(seed, 4))} }

func (w *weather) clear() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.clean = true
}

// fate loses one frame in fifty in one way or another and holds all of them up.
func (w *weather) fate(p history.Passing) (history.Fate, time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.clean {
		return history.Pass, 0
	}
	wait := time.Duration(w.rnd.IntN(20)) * time.Millisecond
	switch n := w.rnd.IntN(300); {
	case n < 2:
		return history.Cut, wait
	case n < 3:
		return history.CutInside, wait
	case n < 4:
		return history.CutAfter, wait
	case n < 5 && p.N > 1: // a hello comes once
		return history.Double, wait
	case n < 6:
		return []history.Fate{history.Silence, history.Deaf}[w.rnd.IntN(2)], wait
	}
	return history.Pass, wait
}
