package server

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// What a backup holds is told with every welcome and every heartbeat, so that a
// tablet can show "backed up" and drop what is.
func TestBackedPositionIsTold(t *testing.T) {
	log := openLog(t)
	lim := quick()
	lim.board = 50 * time.Millisecond
	s := openShop(t, log, lim, nil)
	p := s.join("one")
	for i := range 3 {
		p.push(note("one", i, "j1", "job/self/name", "a"))
	}
	p.level(3)
	if _, err := log.Backup(t.Context(), t.TempDir()); err != nil {
		t.Fatal(err)
	}
	p.push(note("one", 3, "j1", "job/self/name", "a"))
	p.level(4)
	for end := time.Now().Add(5 * time.Second); ; {
		p.send(map[string]any{"t": "hb", "n": 1, "now_ms": testClock.UnixMilli()})
		if strings.Contains(p.want("hb").raw, `"backup_pos":3`) {
			break
		}
		if time.Now().After(end) {
			t.Fatal("the heartbeats never told of the backup")
		}
	}
	q := s.peer("two")
	q.hello("measure")
	if f := q.want("welcome"); !strings.Contains(f.raw, `"high":4,"backup_pos":3`) {
		t.Errorf("the welcome is %s", f.raw)
	}
	q.level(4)
	q.send(map[string]any{"t": "pull", "cursor": 2, "chain": strings.Repeat("ab", 32)})
	if f := q.want("reset"); !strings.Contains(f.raw, `"backup_pos":3`) {
		t.Errorf("the reset is %s", f.raw)
	}
}

// unsureLog sometimes cannot tell how far the backups go.
type unsureLog struct {
	storeLog
	isUnsure *atomic.Bool
}

func (l unsureLog) BackedPos(context.Context) (int64, error) {
	if l.isUnsure.Load() {
		return 0, errors.New("no such table")
	}
	return 7, nil
}

// A light that was lit on tablets must not go out because of one failed look.
func TestBackedPositionStaysWhereItCannotBeRead(t *testing.T) {
	log := unsureLog{openLog(t), new(atomic.Bool)}
	s := openShop(t, log, quick(), nil)
	log.isUnsure.Store(true)
	p := s.peer("one")
	p.hello("measure")
	if f := p.want("welcome"); !strings.Contains(f.raw, `"backup_pos":7`) {
		t.Errorf("the welcome is %s", f.raw)
	}
}
