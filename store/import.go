package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
)

// Imported says what became of an archive.
type Imported struct {
	Records int // new, now in the log
	Known   int // there already
	Aside   int // there with other text: set aside
	Photos  int // new, previews included
	Here    int // photos that were here already, or taken out for good
	Drafts  int // half-typed texts, which are for people and stay in the file
	Papers  int // documents of a record pack, likewise
	// Others are records of the own job of another shop, of which a record pack came. They
	// were left out: they would put that shop's stock on this one's rack.
	Others int
	// Wrong are sentences about what was not taken in, at most 100; More is how
	// many there are beyond.
	Wrong []string
	More  int
}

func (im *Imported) say(format string, args ...any) {
	if len(im.Wrong) >= maxFaults {
		im.More++
		return
	}
	im.Wrong = append(im.Wrong, fmt.Sprintf(format, args...))
}

// Whole tells whether all of the archive was taken in.
func (im Imported) Whole() bool { return len(im.Wrong) == 0 }

const importBatch = 200 // records in one transaction

// Import takes in what an archive (ARCHIVE.md) holds, which may be damaged, while
// others append. Doing it again changes nothing. The error is for a file that is
// no archive or needs a newer program, and for a store that cannot write; what was
// taken in by then stays, and importing again goes on.
func (s *Store) Import(ctx context.Context, r io.ReaderAt, size int64) (Imported, error) {
	var im Imported
	a, err := openArchive(r, size, im.say)
	if err != nil {
		return im, fmt.Errorf("import: %w", err)
	}
	if err := s.importRecords(ctx, a, &im); err != nil {
		return im, fmt.Errorf("import records: %w", err)
	}
	if err := s.importPhotos(ctx, a, &im); err != nil {
		return im, fmt.Errorf("import photos: %w", err)
	}
	im.Drafts, im.Papers = a.drafts(), a.papers
	return im, nil
}

func (s *Store) importRecords(ctx context.Context, a *archive, im *Imported) error {
	var batch []string
	found := 0
	rack, err := s.rackFor(ctx, a)
	if err != nil {
		return err
	}
	flush := func() error {
		done, err := s.Append(ctx, a.by(), batch)
		if err != nil {
			return err
		}
		im.Records += len(done.Stored)
		im.Known += len(done.Known)
		im.Aside += len(done.Quarantined)
		for _, id := range done.Quarantined {
			im.say("Record %s is in the shop with other text; what the archive says was set aside.", id)
		}
		for _, refused := range done.Refused {
			im.say("A line is no record: %s.", refused.Reason)
		}
		batch = batch[:0]
		return nil
	}
	err = a.records(ctx, func(raw string) error {
		found++
		if kept, err := rack.keep(ctx, raw); kept || err != nil {
			return err
		}
		if batch = append(batch, raw); len(batch) < importBatch {
			return nil
		}
		return flush()
	})
	if err != nil {
		return err
	}
	if rack.isOwn {
		for texts := range slices.Chunk(rack.texts, importBatch) {
			if batch = append(batch, texts...); len(batch) >= importBatch {
				if err := flush(); err != nil {
					return err
				}
			}
		}
	} else {
		im.Others = len(rack.texts)
	}
	if err := flush(); err != nil {
		return err
	}
	if a.head.Version != 0 && found != a.head.Records {
		im.say("The archive says that it has %d records; %d were read.", a.head.Records, found)
	}
	return nil
}

func (s *Store) importPhotos(ctx context.Context, a *archive, im *Imported) error {
	for i := 0; i < len(a.photos) || len(a.photos) < a.head.Photos && a.salvage(); i++ {
		if i == len(a.photos) {
			break // nothing more was found
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		b, sha, err := a.readPhoto(a.photos[i].name)
		if err != nil {
			im.say("Photo %s: %v.", sha, err)
			continue
		}
		isNew, err := s.takePhoto(ctx, sha, b)
		var r *Refusal
		switch {
		case errors.As(err, &r):
			im.say("Photo %s was not taken in: %s.", sha, r.Text)
		case err != nil:
			return err
		case isNew:
			im.Photos++
		default:
			im.Here++
		}
	}
	if a.head.Version != 0 && len(a.photos) != a.head.Photos {
		im.say("The archive says that it has %d photos; %d were found.", a.head.Photos, len(a.photos))
	}
	return nil
}

// takePhoto takes in a photo of which all bytes are at hand.
func (s *Store) takePhoto(ctx context.Context, sha string, b []byte) (isNew bool, err error) {
	p, err := s.look(b)
	if err != nil {
		return false, err
	}
	s.blobs.Lock()
	defer s.blobs.Unlock()
	st, _, err := s.state(ctx, sha)
	if err != nil || st.Done || st.Denied {
		return false, err
	}
	if err := s.room(ctx, int64(len(b))); err != nil {
		return false, err
	}
	return true, s.settle(ctx, manifestOf(b, p), b)
}
