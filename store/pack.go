package store

import (
	"context"
	"fmt"
	"io"
	"strings"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// Packed is what a record pack holds, for whoever makes its papers.
type Packed struct {
	Job, Shop []ledger.Record // of the job, and of the shop's own job, which its plan rests on
	Photos    []PackedPhoto   // and previews of both, as they lie in the pack
	Missing   []string        // sha256 of photos that belong there and whose bytes are not here or not right
}

// PackedPhoto is a photo or preview in a record pack.
type PackedPhoto struct {
	SHA, Name string // sha256 of its bytes; its place in the pack
	Size      int64  // bytes
}

// Paper makes a document of a record pack, for people: no import reads it. It is called
// README.txt, job.job.json, plan.json, or by a name of its own that ends in .pdf or .dxf,
// behind sheets/. It is made when its turn has come, so that only one has to be in memory;
// without a name and an error there is none.
type Paper func() (name string, b []byte, err error)

const (
	indexName  = "README.txt"
	fileName   = "job.job.json"
	planName   = "plan.json"
	sheetsName = "sheets/"
)

// isPaper tells whether an entry of that name is a paper of a record pack.
func isPaper(name string) bool {
	switch name {
	case indexName, fileName, planName:
		return true
	}
	rest, found := strings.CutPrefix(name, sheetsName)
	rest, isPDF := strings.CutSuffix(rest, ".pdf")
	rest, isDXF := strings.CutSuffix(rest, ".dxf")
	isOther := func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_+=", r))
	}
	return found && isPDF != isDXF && rest != "" && !strings.ContainsFunc(rest, isOther)
}

// Pack writes the record pack of a job: an archive (ARCHIVE.md) of its records and of
// those of the shop's own job, with their photos, and behind them the papers that are
// made of the very same records. What is appended meanwhile is not in it.
func (s *Store) Pack(ctx context.Context, w io.Writer, id string, papers func(Packed) []Paper) (Archived, error) {
	a, err := s.pack(ctx, w, id, papers)
	if err != nil {
		return a, fmt.Errorf("pack job %s: %w", id, err)
	}
	return a, nil
}

func (s *Store) pack(ctx context.Context, w io.Writer, id string, papers func(Packed) []Paper) (Archived, error) {
	high, err := s.High(ctx)
	if err != nil {
		return Archived{}, err
	}
	e, err := s.exported(ctx, high, []string{id, job.ShopJob})
	if err != nil {
		return Archived{}, err
	}
	p := Packed{Missing: e.Missing}
	err = e.each(func(raw string) error {
		r, err := ledger.Decode(raw)
		if r.Job == job.ShopJob {
			p.Shop = append(p.Shop, r)
		} else {
			p.Job = append(p.Job, r)
		}
		return err
	})
	if err != nil {
		return Archived{}, err
	}
	for _, row := range e.photos {
		p.Photos = append(p.Photos, PackedPhoto{row.SHA, photoEntry(row), row.Size})
	}
	return e.Archived, s.writeArchive(ctx, w, e, archiveHead{Pack: id}, papers(p))
}

// papers writes papers one after the other.
func (z zipWriter) papers(ctx context.Context, papers []Paper) error {
	for _, paper := range papers {
		if err := ctx.Err(); err != nil {
			return err
		}
		name, b, err := paper()
		switch {
		case err != nil:
			return err
		case name == "":
			continue
		case !isPaper(name):
			panic("store: bug: a paper is called " + name)
		}
		if err := z.bytes(name, b); err != nil {
			return err
		}
	}
	return nil
}
