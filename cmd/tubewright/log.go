package main

import (
	"context"
	"errors"
	"io"

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

// shopBlobs is the store as the server wants it for photos.
type shopBlobs struct{ *store.Store }

func (b shopBlobs) Blob(ctx context.Context, sha string) (server.BlobState, error) {
	return blobState(b.Store.Blob(ctx, sha))
}

func (b shopBlobs) BeginBlob(ctx context.Context, m server.Manifest) (server.BlobState, error) {
	return blobState(b.Store.BeginBlob(ctx, store.Manifest(m)))
}

func (b shopBlobs) PutChunk(ctx context.Context, sha string, i int, c []byte) (server.BlobState, error) {
	return blobState(b.Store.PutChunk(ctx, sha, i, c))
}

func (b shopBlobs) ReadBlob(ctx context.Context, sha string) (io.ReadSeekCloser, server.Manifest, error) {
	r, m, err := b.Store.ReadBlob(ctx, sha)
	return r, server.Manifest(m), refusal(err)
}

func (b shopBlobs) ReadChunk(ctx context.Context, sha string, i int) ([]byte, error) {
	c, err := b.Store.ReadChunk(ctx, sha, i)
	return c, refusal(err)
}

func blobState(st store.BlobState, err error) (server.BlobState, error) {
	return server.BlobState(st), refusal(err)
}

// refusal turns what the store refuses into what the server says.
func refusal(err error) error {
	var r *store.Refusal
	if errors.As(err, &r) {
		return &server.BlobRefusal{Why: r.Why, Text: r.Text}
	}
	return err
}
