package server

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"tubewright/server/history"
	"tubewright/store"
)

// stay keeps clients connected until the function that it returns is called.
func stay(clients ...*history.Client) (leave func()) {
	ctx, cancel := context.WithCancel(context.Background())
	var all sync.WaitGroup
	for _, c := range clients {
		all.Go(func() { c.Stay(ctx) })
	}
	return func() {
		cancel()
		all.Wait()
	}
}

// levelWithin waits until the clients and the log have the same.
func levelWithin(t *testing.T, limit time.Duration, log storeLog, clients ...*history.Client) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), limit)
	defer cancel()
	end := func() (int64, [32]byte) {
		pos, err := log.High(ctx)
		if err != nil {
			return -1, [32]byte{}
		}
		sum, _, err := log.ChainAt(ctx, pos)
		if err != nil {
			return -1, sum
		}
		return pos, sum
	}
	if err := history.WaitLevel(ctx, end, clients...); err != nil {
		t.Fatal(err)
	}
}

// checkAll checks the invariants over what is on the disks, and returns how many
// records the log has.
func checkAll(t *testing.T, log storeLog, clients ...*history.Client) int {
	t.Helper()
	o := history.Outcome{Fold: history.Fold}
	var made []*history.Rec
	for _, c := range clients {
		o.Tablets = append(o.Tablets, c.Disk())
		made = append(made, c.Made()...)
	}
	all, err := log.All(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if o.Log, err = history.Records(all, made); err != nil {
		t.Fatal(err)
	}
	if o.Chain, _, err = log.ChainAt(t.Context(), int64(len(all))); err != nil {
		t.Fatal(err)
	}
	o.Again = func(recs []*history.Rec) (int, [32]byte) {
		var raws []string
		for _, r := range recs {
			raws = append(raws, r.Text)
		}
		a, err := log.Append(t.Context(), "again", raws)
		if err != nil {
			t.Fatal(err)
		}
		sum, _, err := log.ChainAt(t.Context(), a.Pos)
		if err != nil {
			t.Fatal(err)
		}
		return int(a.Pos), sum
	}
	const seed = 1
	if letter, text := history.Check(&o, rand.New(rand.NewPCG(seed, 0))); letter != "" {
		t.Fatalf("%s: %s", letter, text)
	}
	return len(all)
}

// SY1: the connection is lost at every n-th frame, before it, inside it or behind
// it, in one direction and in the other. However often what was stored is sent
// again, it is there once.
func TestSY1CutAtEveryNthFrameKeepsEachRecordOnce(t *testing.T) {
	fates := map[string]history.Fate{"before": history.Cut, "inside": history.CutInside, "behind": history.CutAfter}
	for name, fate := range fates {
		for _, isUp := range []bool{true, false} {
			for n := 3; n <= 6; n++ {
				way := map[bool]string{true: "up", false: "down"}[isUp]
				t.Run(fmt.Sprintf("%s frame %d %s", name, n, way), func(t *testing.T) {
					t.Parallel()
					log := openLog(t)
					s := openShop(t, log, quick(), nil)
					net, err := history.NewProxy(s.host)
					if err != nil {
						t.Fatal(err)
					}
					defer net.Close()
					net.Fate = func(p history.Passing) (history.Fate, time.Duration) {
						if p.Up == isUp && p.N == n {
							return fate, 0
						}
						return history.Pass, 0
					}
					var clients []*history.Client
					want := 0
					for k := range 3 {
						c := history.NewClient(net.Addr, fmt.Sprint("tab-", k), uint64(k+1))
						c.Most = 2
						clients = append(clients, c)
						for i := range 12 {
							c.Keep("port/p1/width", history.Act{Kind: "reading", Dice: uint32(i)})
							want++
						}
					}
					leave := stay(clients...)
					for i := range 4 {
						time.Sleep(10 * time.Millisecond)
						clients[i%3].Keep("port/p1/width", history.Act{Kind: "note", Dice: uint32(i)})
						want++
					}
					levelWithin(t, 20*time.Second, log, clients...)
					leave()
					if got := checkAll(t, log, clients...); got != want {
						t.Errorf("%d records in the log, %d were kept", got, want)
					}
					if net.Cuts.Load() == 0 {
						t.Error("nothing was cut: the test says nothing")
					}
				})
			}
		}
	}
}

// SY6: backup, fifty more records, the backup put back in the place of the
// records file, three tablets connect again: all of it is there again. The
// tablet that wrote a part of it is gone for good; the others bring it back.
func TestSY6RestoredBackupGetsEverythingBack(t *testing.T) {
	dir := t.TempDir()
	database, backups := filepath.Join(dir, "shop.db"), filepath.Join(dir, "backups")
	clients := make([]*history.Client, 3)
	for k := range clients {
		clients[k] = history.NewClient("", fmt.Sprint("tab-", k), uint64(k+1))
	}
	open := func(t *testing.T) (storeLog, string) {
		st, err := store.Open(t.Context(), database)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { st.Close() })
		s := openShop(t, storeLog{st}, quick(), nil)
		for _, c := range clients {
			c.Addr = s.host
		}
		return storeLog{st}, s.host
	}
	write := func(n int) {
		for i := range n {
			clients[i%3].Keep("port/p1/width", history.Act{Kind: []string{"reading", "note", "choice"}[i%3], Dice: uint32(i)})
		}
	}
	var backup store.Backup
	t.Run("before", func(t *testing.T) {
		log, _ := open(t)
		leave := stay(clients...)
		defer leave()
		write(30)
		levelWithin(t, 10*time.Second, log, clients...)
		var err error
		if backup, err = log.Backup(t.Context(), backups); err != nil {
			t.Fatal(err)
		}
		write(50)
		levelWithin(t, 10*time.Second, log, clients...)
		if high, err := log.High(t.Context()); err != nil || high <= backup.Pos+40 {
			t.Fatalf("log ends at %d, %v; backup at %d", high, err, backup.Pos)
		}
	})
	if t.Failed() {
		return
	}
	before := len(clients[0].Disk().Recs)
	if _, err := store.Restore(t.Context(), database, backup.Path); err != nil {
		t.Fatal(err)
	}
	clients[2].PutBack(history.NewDisk("tab-new"))
	t.Run("after", func(t *testing.T) {
		log, host := open(t)
		if high, err := log.High(t.Context()); err != nil || high != backup.Pos {
			t.Fatalf("the restored log ends at %d, %v; want %d", high, err, backup.Pos)
		}
		late := history.NewClient(host, "tab-late", 10) // fills the gap with other records, past every cursor
		for i := range 100 {
			late.Keep("port/p2/width", history.Act{Kind: "reading", Dice: uint32(i)})
		}
		leave := stay(late)
		levelWithin(t, 10*time.Second, log, late)
		leave()
		leave = stay(append(clients, late)...)
		levelWithin(t, 10*time.Second, log, append(clients, late)...)
		leave()
		if got := checkAll(t, log, append(clients, late)...); got != before+100 {
			t.Errorf("%d records in the log, want the %d of before and 100", got, before)
		}
	})
}
