package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"tubewright/calc/ledger"
)

// look notes what a record that was just added means for photos: a deny takes
// out a photo and its previews; a photo that was taken out before it came takes
// its preview along.
func (w *writer) look(ctx context.Context, r ledger.Record) error {
	switch r.Kind {
	case ledger.DenyKind:
		sha, ok := ledger.Denied(r)
		if !ok {
			return nil
		}
		if err := w.deny(ctx, sha); err != nil {
			return err
		}
		return w.denyPreviews(ctx, sha)
	case ledger.PhotoKind:
		p, ok := ledger.PhotoOf(r)
		if !ok || p.Preview == nil {
			return nil
		}
		var denied bool
		if err := w.tx.GetContext(ctx, &denied, `SELECT EXISTS (SELECT 1 FROM denied WHERE sha = ?)`, p.SHA); err != nil || !denied {
			return err
		}
		return w.denyPreviews(ctx, p.SHA)
	}
	return nil
}

func (w *writer) deny(ctx context.Context, sha string) error {
	if _, err := w.tx.ExecContext(ctx, `INSERT INTO denied (sha, pos) VALUES (?, ?) ON CONFLICT (sha) DO NOTHING`, sha, w.pos); err != nil {
		return err
	}
	if _, err := w.tx.ExecContext(ctx, `DELETE FROM blobs WHERE sha = ?`, sha); err != nil {
		return err
	}
	w.gone = append(w.gone, sha)
	return nil
}

// denyPreviews takes out the previews of a photo. One that is also the photo of a
// record stays: a record that names a photo as a preview must not be a way to
// delete it.
func (w *writer) denyPreviews(ctx context.Context, sha string) error {
	var raws [][]byte
	if err := w.tx.SelectContext(ctx, &raws, `SELECT raw FROM records WHERE kind = 'photo' ORDER BY pos`); err != nil {
		return err
	}
	photos, previews := map[string]bool{}, map[string]bool{}
	for _, raw := range raws {
		r, err := ledger.Decode(string(raw))
		if err != nil {
			return err
		}
		p, ok := ledger.PhotoOf(r)
		if !ok {
			continue
		}
		photos[p.SHA] = true
		if p.SHA == sha && p.Preview != nil {
			previews[p.Preview.SHA] = true
		}
	}
	for preview := range previews {
		if photos[preview] {
			continue
		}
		if err := w.deny(ctx, preview); err != nil {
			return err
		}
	}
	return nil
}

// drop deletes the bytes of photos that were taken out.
func (s *Store) drop(shas []string) error {
	if len(shas) == 0 {
		return nil
	}
	s.blobs.Lock()
	defer s.blobs.Unlock()
	var errs []error
	for _, sha := range shas {
		if err := os.Remove(s.file(sha)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, fmt.Errorf("delete photo: %w", err))
		}
		if err := os.RemoveAll(s.part(sha)); err != nil {
			errs = append(errs, fmt.Errorf("delete parts of photo: %w", err))
		}
	}
	return errors.Join(errs...)
}
