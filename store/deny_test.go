package store

import (
	"os"
	"testing"
)

// A photo that is taken out is deleted with its preview and does not come back,
// in whatever order records and bytes arrive.
func TestDeniedPhotoIsGoneForGood(t *testing.T) {
	b, m := testPhoto(8, 600, 600)
	p, preview := testPhoto(9, 60, 60)
	photo, deny := photoRecord("a", 1, m.SHA, preview.SHA), denyRecord("b", 1, m.SHA)
	bytesCome := func(t *testing.T, s *Store) {
		for _, x := range []struct {
			b []byte
			m Manifest
		}{{b, m}, {p, preview}} {
			if _, err := s.BeginBlob(t.Context(), x.m); err != nil {
				refusedFor(t, err, "denied")
				continue
			}
			for i := range x.m.Chunks {
				s.PutChunk(t.Context(), x.m.SHA, i, chunk(x.b, i))
			}
		}
	}
	half := func(t *testing.T, s *Store) {
		s.BeginBlob(t.Context(), m)
		s.PutChunk(t.Context(), m.SHA, 0, chunk(b, 0))
	}
	record := func(raw string) func(*testing.T, *Store) {
		return func(t *testing.T, s *Store) { push(t, s, raw) }
	}
	for name, steps := range map[string][]func(*testing.T, *Store){
		"photo, bytes, deny":       {record(photo), bytesCome, record(deny)},
		"photo, half, deny, bytes": {record(photo), half, record(deny), bytesCome},
		"deny, photo, bytes":       {record(deny), record(photo), bytesCome},
		"bytes, deny, photo":       {bytesCome, record(deny), record(photo)},
		"deny, bytes, photo":       {record(deny), bytesCome, record(photo)},
	} {
		t.Run(name, func(t *testing.T) {
			s, path := testOpen(t)
			for _, step := range steps {
				step(t, s)
			}
			for _, sha := range []string{m.SHA, preview.SHA} {
				st, err := s.Blob(t.Context(), sha)
				if err != nil || !st.Denied || st.Done || st.Known {
					t.Errorf("%+v, %v", st, err)
				}
				_, _, err = s.ReadBlob(t.Context(), sha)
				refusedFor(t, err, "denied")
				_, err = s.PutChunk(t.Context(), sha, 0, nil)
				refusedFor(t, err, "denied")
				if _, err := os.Stat(s.file(sha)); err == nil {
					t.Error("the bytes are still there")
				}
				if _, err := os.Stat(s.part(sha)); err == nil {
					t.Error("parts are still there")
				}
			}
			if r := mustCheck(t, path); !r.OK() || r.Photos.Denied != 2 || r.Photos.Whole != 0 {
				t.Errorf("check: %+v", r)
			}
		})
	}
}

// A record that names a good photo as the preview of one that was taken out is no
// way to delete it.
func TestPhotoIsNotDeletedAsAPreviewOfAnother(t *testing.T) {
	s, _ := testOpen(t)
	b, m := testPhoto(10, 100, 100)
	send(t, s, b, m)
	bad := hashOf([]byte("bad"))
	push(t, s, photoRecord("a", 1, m.SHA, ""), photoRecord("a", 2, bad, m.SHA), denyRecord("a", 3, bad), denyRecord("a", 4, "no sha"))
	if !holds(t, s, b, m) {
		t.Error("the photo is gone")
	}
}
