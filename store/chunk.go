package store

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// PutChunk keeps one chunk of a photo and returns when it is on disk. With the
// last one the whole is put together and checked: its sha256, and that it is a
// picture of a kind that is taken. Done is set when it is in place. A chunk that
// is there already changes nothing; one that went bad on the disk meanwhile is
// missing in Have again. The error is a *Refusal where the bytes or the photo are
// at fault; what was a whole photo and is refused is forgotten.
func (s *Store) PutChunk(ctx context.Context, sha string, i int, b []byte) (BlobState, error) {
	s.blobs.Lock()
	defer s.blobs.Unlock()
	st, err := s.putChunk(ctx, sha, i, b)
	if !errors.Is(err, fs.ErrNotExist) {
		return st, err
	}
	// Another program on this folder has finished the photo or dropped it.
	st, _, stateErr := s.state(ctx, sha)
	switch {
	case stateErr != nil:
		return st, stateErr
	case st.Done:
		return st, nil
	case !st.Known:
		return st, refuseUnknown()
	}
	return st, err
}

func refuseUnknown() *Refusal {
	return refuse("unknown", "the shop does not know what this photo is made of: the manifest comes first")
}

func (s *Store) putChunk(ctx context.Context, sha string, i int, b []byte) (BlobState, error) {
	st, m, err := s.state(ctx, sha)
	switch {
	case err != nil:
		return st, err
	case st.Denied:
		return st, refuseDenied()
	case st.Done:
		return st, nil
	case !st.Known:
		return st, refuseUnknown()
	case i < 0 || i >= len(m.Chunks):
		return st, refuse("manifest", "this photo has %d chunks, and no number %d", len(m.Chunks), i)
	case len(b) != m.length(i):
		return st, refuse("hash", "chunk %d came with %d bytes; it has %d", i, len(b), m.length(i))
	case hashOf(b) != m.Chunks[i]:
		return st, refuse("hash", "chunk %d was changed on the way", i)
	}
	if !st.Have[i] {
		step()
		if err := writeFile(s.chunkFile(sha, i), b); err != nil {
			return st, diskFault(fmt.Sprintf("keep chunk %d of photo %s", i, sha), err)
		}
		st.Have[i] = true
		step()
	}
	return s.finish(ctx, m, st)
}

// finish puts a photo in place whose chunks are all there; otherwise nothing
// changes. s.blobs is held.
func (s *Store) finish(ctx context.Context, m Manifest, st BlobState) (BlobState, error) {
	for _, have := range st.Have {
		if !have {
			return st, nil
		}
	}
	whole, err := s.join(m, &st)
	if whole == nil || err != nil {
		return st, err
	}
	err = s.settle(ctx, m, whole)
	var r *Refusal
	if errors.As(err, &r) && r.Why != "full" {
		os.RemoveAll(s.part(m.SHA)) // what is left is swept
		st, _, stateErr := s.state(ctx, m.SHA)
		return st, errors.Join(err, stateErr)
	}
	if err != nil {
		return st, err
	}
	st, _, err = s.state(ctx, m.SHA)
	return st, err
}

// join reads the chunks of a photo that are all there. One that is not what was
// written is dropped and marked missing; then the photo is nil.
func (s *Store) join(m Manifest, st *BlobState) ([]byte, error) {
	whole, sound := make([]byte, 0, m.Size), true
	for i := range m.Chunks {
		b, err := os.ReadFile(s.chunkFile(m.SHA, i))
		if err == nil && hashOf(b) == m.Chunks[i] {
			whole = append(whole, b...)
			continue
		}
		if err := os.Remove(s.chunkFile(m.SHA, i)); err != nil {
			return nil, diskFault(fmt.Sprintf("drop damaged chunk %d of photo %s", i, m.SHA), err)
		}
		st.Have[i], sound = false, false
	}
	if !sound {
		return nil, nil
	}
	return whole, nil
}

// settle checks the bytes of a whole photo and puts them in place: file first,
// row second, so that a row never speaks of bytes that are not there. s.blobs is
// held.
func (s *Store) settle(ctx context.Context, m Manifest, whole []byte) error {
	if hashOf(whole) != m.SHA {
		return refuse("hash", "the bytes do not have the sha256 that is the photo's name")
	}
	p, err := s.look(whole)
	if err != nil {
		return err
	}
	if p.kind != m.Type || !sameSides(p.w, p.h, m.W, m.H) {
		return refuse("manifest", "the picture is %s of %d by %d pixels, not %s of %d by %d", p.kind, p.w, p.h, m.Type, m.W, m.H)
	}
	path := s.file(m.SHA)
	if err := makeDir(filepath.Dir(path)); err != nil {
		return diskFault("keep photo "+m.SHA, err)
	}
	step()
	if err := writeFile(path, whole); err != nil {
		return diskFault("keep photo "+m.SHA, err)
	}
	step()
	if err := s.enter(ctx, m); err != nil {
		return err
	}
	step()
	if err := os.RemoveAll(s.part(m.SHA)); err != nil {
		return nil // the photo is in place; the parts are swept later
	}
	step()
	return nil
}

// enter notes a photo whose bytes are in place, unless it was taken out
// meanwhile by another program on the same file: then the bytes go.
func (s *Store) enter(ctx context.Context, m Manifest) error {
	chunks, err := hashes(m.Chunks)
	if err != nil {
		return err
	}
	res, err := s.write.ExecContext(ctx, `
		INSERT INTO blobs (sha, size, type, w, h, chunk, chunks, done_ms)
		SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8 WHERE NOT EXISTS (SELECT 1 FROM denied WHERE sha = ?1)
		ON CONFLICT (sha) DO UPDATE SET done_ms = excluded.done_ms`,
		m.SHA, m.Size, m.Type, m.W, m.H, m.Chunk, chunks, s.Now().UnixMilli())
	if err != nil {
		return fmt.Errorf("note photo %s: %w", m.SHA, err)
	}
	if n, err := res.RowsAffected(); err != nil || n > 0 {
		return err
	}
	if err := os.Remove(s.file(m.SHA)); err != nil {
		return diskFault("take out photo "+m.SHA, err)
	}
	return refuseDenied()
}

func hashes(chunks []string) (all []byte, err error) {
	for _, c := range chunks {
		if all, err = hex.AppendDecode(all, []byte(c)); err != nil {
			return nil, fmt.Errorf("hash of a chunk: %w", err)
		}
	}
	return all, nil
}

// diskFault wraps an error of the disk; one that is full is a refusal.
func diskFault(doing string, err error) error {
	if errors.Is(err, syscall.ENOSPC) {
		return refuse("full", "the disk of the shop machine is full: photos wait on the tablet")
	}
	return fmt.Errorf("%s: %w", doing, err)
}
