package store

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"slices"
	"time"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Archived says what an archive got.
type Archived struct {
	Records, Photos int
	Missing         []string // sha256 of photos that belong there and whose bytes are not here or not right
}

// Export writes an archive (ARCHIVE.md) of whole jobs with their photos and
// previews; of everything when jobs is empty. What is appended meanwhile is not
// in it.
func (s *Store) Export(ctx context.Context, w io.Writer, jobs []string) (Archived, error) {
	high, err := s.High(ctx)
	if err == nil {
		var e exported
		if e, err = s.exported(ctx, high, jobs); err == nil {
			err = s.writeArchive(ctx, w, e, archiveHead{}, nil)
		}
		if err == nil {
			return e.Archived, nil
		}
	}
	return Archived{}, fmt.Errorf("export: %w", err)
}

// exported is what goes into an archive, found out before the first byte of it.
type exported struct {
	Archived
	each        func(do func(raw string) error) error // over the texts of its records
	lines, sums plan
	photos      []blobRow
}

// exported looks at the records of some jobs up to a position, and at their photos.
func (s *Store) exported(ctx context.Context, high int64, jobs []string) (e exported, err error) {
	named := map[string]bool{} // photos and previews
	e.each = func(do func(raw string) error) error { return s.eachOf(ctx, high, jobs, do) }
	err = e.each(func(raw string) error {
		e.Records++
		e.lines.add(line(raw))
		e.sums.add(hashLine(raw))
		r, err := ledger.Decode(raw)
		if p, ok := ledger.PhotoOf(r); err == nil && ok {
			named[p.SHA] = true
			if p.Preview != nil {
				named[p.Preview.SHA] = true
			}
		}
		return err
	})
	if err != nil {
		return e, err
	}
	e.photos, err = s.photosOf(ctx, named, len(jobs) == 0, &e.Archived)
	e.Photos = len(e.photos)
	return e, err
}

// writeArchive writes the entries in the order of ARCHIVE.md; at no time is more than one
// photo in memory.
func (s *Store) writeArchive(ctx context.Context, w io.Writer, e exported, head archiveHead, papers []Paper) error {
	head.Version, head.MadeMS, head.By, head.Name = archiveVersion, s.Now().UnixMilli(), "shop", "Shop"
	head.Records, head.Photos = e.Records, e.Photos
	b, err := json.Marshal(head)
	if err != nil {
		return err
	}
	z := zipWriter{zip.NewWriter(w), s.Now()}
	if err := z.bytes(headName, append(b, '\n')); err != nil {
		return err
	}
	if err := z.planned(hashesName, e.sums, func(w io.Writer) error {
		return e.each(func(raw string) error { _, err := w.Write(hashLine(raw)); return err })
	}); err != nil {
		return err
	}
	if err := z.planned(recordsName, e.lines, func(w io.Writer) error {
		return e.each(func(raw string) error { _, err := w.Write(line(raw)); return err })
	}); err != nil {
		return err
	}
	for _, row := range e.photos {
		if err := ctx.Err(); err != nil {
			return err
		}
		b, err := os.ReadFile(s.file(row.SHA))
		if err == nil && hashOf(b) != row.SHA {
			err = errors.New("it was changed while it was read")
		}
		if err != nil {
			return fmt.Errorf("photo %s: %w", row.SHA, err)
		}
		if err := z.bytes(photoEntry(row), b); err != nil {
			return err
		}
	}
	if err := z.papers(ctx, papers); err != nil {
		return err
	}
	return z.w.Close()
}

// photoEntry is the name under which a photo lies in an archive.
func photoEntry(row blobRow) string { return photosName + row.SHA + photoEnds[row.Type] }

// eachOf calls do with the text of every record up to a position, of some jobs
// only where there are any.
func (s *Store) eachOf(ctx context.Context, high int64, jobs []string, do func(raw string) error) (err error) {
	rows, err := s.read.QueryContext(ctx, `SELECT job, raw FROM records WHERE pos <= ? ORDER BY pos`, high)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var job string
		var raw []byte
		if err := rows.Scan(&job, &raw); err != nil {
			return err
		}
		if len(jobs) > 0 && !slices.Contains(jobs, job) {
			continue
		}
		if err := do(string(raw)); err != nil {
			return err
		}
	}
	return rows.Err()
}

// photosOf returns the photos that go into the archive: those whose bytes are
// here and right.
func (s *Store) photosOf(ctx context.Context, named map[string]bool, all bool, a *Archived) (photos []blobRow, err error) {
	rows, err := s.blobRows(ctx)
	if err != nil {
		return nil, err
	}
	for _, row := range rows {
		if !all && !named[row.SHA] {
			continue
		}
		delete(named, row.SHA)
		sum, err := hashFile(s.file(row.SHA))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		if sum != row.SHA {
			a.Missing = append(a.Missing, row.SHA)
			continue
		}
		photos = append(photos, row)
	}
	for sha := range named {
		if !s.denied(ctx, sha) {
			a.Missing = append(a.Missing, sha)
		}
	}
	slices.Sort(a.Missing)
	return photos, nil
}

// line is a record's text as one JSON string on a line.
func line(raw string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(raw); err != nil { // ends the line
		panic("store: bug: quote a record: " + err.Error())
	}
	return b.Bytes()
}

func hashLine(raw string) []byte {
	h := chain.Of(raw)
	return fmt.Appendf(nil, "%x\n", h[:])
}

// plan is size and checksum of an entry that is written later.
type plan struct {
	size uint64
	sum  uint32
}

func (p *plan) add(b []byte) {
	p.size += uint64(len(b))
	p.sum = crc32.Update(p.sum, crc32.IEEETable, b)
}

// zipWriter writes entries stored, with size and checksum before the bytes, so
// that a damaged archive can be read from the front.
type zipWriter struct {
	w  *zip.Writer
	at time.Time
}

func (z zipWriter) bytes(name string, b []byte) error {
	var p plan
	p.add(b)
	return z.planned(name, p, func(w io.Writer) error { _, err := w.Write(b); return err })
}

func (z zipWriter) planned(name string, p plan, write func(io.Writer) error) error {
	h := &zip.FileHeader{Name: name, Method: zip.Store, CRC32: p.sum, CompressedSize64: p.size, UncompressedSize64: p.size}
	//lint:ignore SA1019 a header that is written as it is has no other date
	h.SetModTime(z.at.UTC())
	w, err := z.w.CreateRaw(h)
	if err != nil {
		return err
	}
	buffered := bufio.NewWriterSize(w, 1<<16)
	if err := write(buffered); err != nil {
		return err
	}
	return buffered.Flush()
}
