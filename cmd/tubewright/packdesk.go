package main

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"

	"tubewright/calc/draw/pdf"
	"tubewright/calc/units"
	"tubewright/server"
	pages "tubewright/server/shop"
	"tubewright/store"
)

// shopPacks makes record packs for the server, in the data folder: the folder for temporary
// files may lie in memory, and a pack with photos is large.
type shopPacks struct {
	store *store.Store
	dir   string
}

// halfPacks is what files are called that are there while they are needed.
const halfPacks = ".pack-*.zip"

func (p shopPacks) Pack(ctx context.Context, id string, unit units.Unit, on pdf.Paper) (packed server.Packed, err error) {
	recs, err := p.store.Job(ctx, id)
	if err != nil {
		return packed, err
	}
	f, err := openHalf(p.dir)
	if err != nil {
		return packed, err
	}
	if _, err = packJob(ctx, p.store, f, id, unit, on); err == nil {
		packed.Size, err = f.Seek(0, io.SeekCurrent)
	}
	if err == nil {
		_, err = f.Seek(0, io.SeekStart)
	}
	if err != nil {
		return packed, errors.Join(err, f.Close())
	}
	packed.ReadCloser, packed.Name = f, packName(jobName(id, recs))
	return packed, nil
}

// half is a file that is gone when it is closed.
type half struct{ *os.File }

func openHalf(dir string) (half, error) {
	f, err := os.CreateTemp(dir, halfPacks)
	return half{f}, err
}

func (h half) Close() error { return errors.Join(h.File.Close(), os.Remove(h.Name())) }

// dropHalves removes what a server left behind that was killed.
func dropHalves(dir string) error {
	left, err := filepath.Glob(filepath.Join(dir, halfPacks))
	for _, name := range left {
		err = errors.Join(err, os.Remove(name))
	}
	return err
}

// Import takes in an archive that the shop page was given, and says what became of it.
func (d *shopDesk) Import(ctx context.Context, from io.Reader) ([]string, error) {
	f, err := openHalf(d.data)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	size, err := io.Copy(f, from)
	if err != nil {
		return nil, err
	}
	im, err := d.store.Import(ctx, f, size)
	return importWords(im), errors.Join(err, d.CameIn(ctx))
}

// jobLines are the jobs as the shop page shows them, the one that was changed last first.
func (d *shopDesk) jobLines(ctx context.Context) (lines []pages.Job, err error) {
	all, err := d.Jobs(ctx)
	for _, s := range all {
		lines = append(lines, pages.Job{ID: s.ID, Name: s.Name, Stage: s.Stage})
	}
	return lines, err
}
