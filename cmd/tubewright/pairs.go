package main

import (
	"context"

	"tubewright/calc/ledger"
	"tubewright/server"
	"tubewright/store"
)

// shopPairs is the store as the server wants it for devices that may connect.
type shopPairs struct{ *store.Store }

func (p shopPairs) Pair(ctx context.Context, d server.Paired, token [32]byte) error {
	return p.Store.Pair(ctx, store.Paired{Dev: d.Dev, Name: d.Name, Role: string(d.Role), At: d.At}, token)
}

func (p shopPairs) PairedBy(ctx context.Context, token [32]byte) (server.Paired, bool, error) {
	d, known, err := p.Store.PairedBy(ctx, token)
	return pairedDevice(d), known, err
}

func (p shopPairs) AllPaired(ctx context.Context) ([]server.Paired, error) {
	all, err := p.Store.AllPaired(ctx)
	out := make([]server.Paired, len(all))
	for i, d := range all {
		out[i] = pairedDevice(d)
	}
	return out, err
}

func (p shopPairs) PutAside(ctx context.Context, dev string, raws []string, room server.AsideRoom) (server.Appended, error) {
	a, err := p.Store.PutAside(ctx, dev, raws, store.Room(room))
	return server.Appended{Known: a.Known, Quarantined: a.Quarantined, NoRoom: a.NoRoom, Pos: a.Pos}, err
}

func (p shopPairs) AsideOf(ctx context.Context) (map[string]server.AsideCount, error) {
	all, err := p.Store.AsideOf(ctx)
	out := make(map[string]server.AsideCount, len(all))
	for dev, n := range all {
		out[dev] = server.AsideCount{Open: n.Open, Used: server.AsideRoom(n.Used)}
	}
	return out, err
}

func pairedDevice(d store.Paired) server.Paired {
	return server.Paired{Dev: d.Dev, Name: d.Name, Role: ledger.Role(d.Role), At: d.At, Revoked: d.Revoked}
}
