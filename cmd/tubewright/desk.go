package main

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"tubewright/calc/ledger"
	"tubewright/server"
	pages "tubewright/server/shop"
	"tubewright/store"
)

// shopDesk is the shop machine as its own page shows it and works on it.
type shopDesk struct {
	*server.Server
	store   *store.Store
	network *network
	data    string // folder
	backups string // folder
	changed changes
	was     string // address under which the devices knew this machine before, when that is another one
}

func (d *shopDesk) NewCode(role ledger.Role, name string) pages.Code {
	c := d.Server.NewCode(role, name)
	return pages.Code{Secret: c.Secret, Short: c.Short, Role: c.Role, Name: c.Name, Until: c.Until}
}

func (d *shopDesk) State(ctx context.Context) (pages.State, error) {
	lines, err := d.Paired(ctx)
	if err != nil {
		return pages.State{}, err
	}
	warnings, err := d.warnings(ctx, time.Now())
	if err != nil {
		return pages.State{}, err
	}
	s := pages.State{
		Origin: d.network.origin, Trust: d.network.trustLinks(), Until: d.network.until(), Warnings: warnings,
		Backup: d.newestBackup(ctx), Data: absolute(d.data), Version: version, Fingerprint: d.network.fingerprint(),
	}
	if s.Jobs, err = d.jobLines(ctx); err != nil {
		return pages.State{}, err
	}
	for _, l := range lines {
		s.Devices = append(s.Devices, pages.Device{
			Dev: l.Dev, Name: l.Name, Role: l.Role, At: l.At, Revoked: l.Revoked,
			Heard: l.Heard, Unsent: l.Unsent, Live: l.Live, Copied: l.Copied, Aside: l.Aside, IsFull: l.IsFull, Asks: d.changed.asks(l),
		})
	}
	return s, nil
}

// warnings are what a person has to see to, the gravest first.
func (d *shopDesk) warnings(ctx context.Context, now time.Time) ([]string, error) {
	var all []string
	if d.was != "" {
		all = append(all, movedWarning(d.was, d.network.origin))
	}
	latest, err := d.store.Latest(ctx)
	if err != nil {
		return nil, err
	}
	if s := clockWarning(latest, now); s != "" {
		all = append(all, s)
	}
	return append(all, d.network.warnings(now)...), nil
}

func (d *shopDesk) newestBackup(ctx context.Context) pages.Backup {
	b := pages.Backup{Folder: absolute(d.backups), SameDisk: sameDisk(databaseIn(d.data), d.backups)}
	newest, ok, err := store.Newest(ctx, d.backups)
	switch {
	case err != nil:
		b.Wrong = fmt.Sprintf("the folder cannot be read: %v", err)
	case ok:
		b.At = newest.At
	}
	return b
}

// absolute is a path as it is told to people, who may stand in another folder.
func absolute(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}
