package main

import (
	"context"

	"tubewright/server"
	"tubewright/store"
)

// shopLog is the store as the server wants it. The two do not know each other,
// so the one place that knows both turns the types of one into those of the other.
type shopLog struct{ *store.Store }

func (l shopLog) Append(ctx context.Context, dev string, raws []string) (server.Appended, error) {
	a, err := l.Store.Append(ctx, dev, raws)
	return server.Appended{Stored: a.Stored, Known: a.Known, Quarantined: a.Quarantined, Pos: a.Pos}, err
}

func (l shopLog) After(ctx context.Context, pos int64, maxBytes int) (server.Page, error) {
	p, err := l.Store.After(ctx, pos, maxBytes)
	rows := make([]server.Row, len(p.Rows))
	for i, r := range p.Rows {
		rows[i] = server.Row(r)
	}
	return server.Page{From: p.From, To: p.To, Rows: rows, Chain: p.Chain}, err
}

func (l shopLog) Devices(ctx context.Context) ([]server.Device, error) {
	ds, err := l.Store.Devices(ctx)
	out := make([]server.Device, len(ds))
	for i, d := range ds {
		out[i] = server.Device{Dev: d.Dev, Name: d.Name, Heard: d.Heard}
	}
	return out, err
}

// BackedPos is 0 as long as the store makes no backups.
func (l shopLog) BackedPos(context.Context) (int64, error) { return 0, nil }

// Aside is 0 as long as the store does not count what it has set aside.
func (l shopLog) Aside(context.Context) (int64, error) { return 0, nil }
