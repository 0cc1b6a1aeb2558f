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

func (p shopPairs) PutAside(ctx context.Context, dev string, raws []string) (server.Appended, error) {
	a, err := p.Store.PutAside(ctx, dev, raws)
	return server.Appended{Known: a.Known, Quarantined: a.Quarantined, Pos: a.Pos}, err
}

func pairedDevice(d store.Paired) server.Paired {
	return server.Paired{Dev: d.Dev, Name: d.Name, Role: ledger.Role(d.Role), At: d.At, Revoked: d.Revoked}
}
