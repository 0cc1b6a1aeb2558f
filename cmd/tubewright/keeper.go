package main

import (
	"context"
	"log/slog"
	"time"

	"tubewright/store"
)

// How backups are made and kept while the server runs.
const (
	backupEvery = time.Hour       // at most that often, and only when something changed
	backupRetry = 5 * time.Minute // after one that did not work
	keepHourly  = 24
	keepDaily   = 30
	keeperTick  = time.Minute // how often it is looked whether there is something to do
)

// keeper makes backups and tidies up while the server runs.
type keeper struct {
	store *store.Store
	dir   string // of the backups
	log   *slog.Logger

	every, retry, tick time.Duration

	due   time.Time // of the next backup
	quiet int64     // position at the last look; the log is tidied once it stands still
	tidy  bool      // it was tidied there
}

func newKeeper(st *store.Store, dir string, log *slog.Logger) *keeper {
	return &keeper{store: st, dir: dir, log: log, every: backupEvery, retry: backupRetry, tick: keeperTick, quiet: -1}
}

// run works until ctx ends.
func (k *keeper) run(ctx context.Context) {
	k.start(ctx)
	tick := time.NewTicker(k.tick)
	defer tick.Stop()
	for {
		if !time.Now().Before(k.due) {
			k.backup(ctx)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		k.idle(ctx)
	}
}

// start finds out how far the backups in the folder go, and when the next one is
// due.
func (k *keeper) start(ctx context.Context) {
	if err := k.store.Review(ctx, k.dir); err != nil {
		k.log.Error("look at the backups", "error", err)
	}
	list, err := store.Backups(ctx, k.dir)
	if err != nil || len(list) == 0 {
		return
	}
	// One from the future was made before the clock went back: it says nothing.
	if age := time.Since(list[len(list)-1].At); age > 0 && age < k.every {
		k.due = time.Now().Add(k.every - age)
	}
}

func (k *keeper) backup(ctx context.Context) {
	changed, err := k.store.Changed(ctx)
	if err == nil && !changed {
		return // as soon as something changes
	}
	var b store.Backup
	if err == nil {
		b, err = k.store.Backup(ctx, k.dir)
	}
	switch {
	case ctx.Err() != nil:
		return
	case err != nil:
		k.log.Error("the backup did not work; it is tried again", "in", k.retry, "error", err)
		k.due = time.Now().Add(k.retry)
		return
	}
	k.due = time.Now().Add(k.every)
	k.log.Info("backed up", "file", b.Path, "position", b.Pos, "photos", b.Photos)
	for _, w := range b.Wrong {
		k.log.Warn(w)
	}
	if _, err := store.Prune(k.dir, keepHourly, keepDaily); err != nil {
		k.log.Warn("delete old backups", "error", err)
	}
}

// idle tidies up once nothing has come between two looks.
func (k *keeper) idle(ctx context.Context) {
	high, err := k.store.High(ctx)
	switch {
	case err != nil:
		return // whoever needs it says so
	case high != k.quiet:
		k.quiet, k.tidy = high, false
		return
	case k.tidy:
		return
	}
	k.tidy = true
	if err := k.store.Tidy(ctx); err != nil && ctx.Err() == nil {
		k.log.Warn("tidy up", "error", err)
	}
}
