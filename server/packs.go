package server

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"time"

	"tubewright/calc/draw/pdf"
	"tubewright/calc/units"
)

// Packs makes record packs.
type Packs interface {
	// Pack makes the record pack of a job and opens it from its beginning. Closing it
	// throws it away.
	Pack(ctx context.Context, job string, unit units.Unit, paper pdf.Paper) (Packed, error)
}

// Packed is a record pack.
type Packed struct {
	io.ReadCloser
	Name string // of the file
	Size int64
}

// packJob answers with the record pack of a job as a file to save. It is made whole before
// the first byte leaves, so that what arrives with its length is a whole one; one at a time,
// since each keeps a processor busy for seconds.
func (s *Server) packJob(w http.ResponseWriter, r *http.Request) error {
	if s.cfg.Packs == nil {
		return notFound("this shop machine makes no record packs")
	}
	unit, paper, err := writtenHow(r)
	if err != nil {
		return err
	}
	if _, _, err := s.records(r); err != nil { // there is such a job
		return err
	}
	select {
	case s.packing <- struct{}{}:
	case <-r.Context().Done():
		return nil // there is nobody to answer
	}
	ctx, cancel := context.WithTimeout(r.Context(), s.lim.carry)
	defer cancel()
	if err := s.writeUntil(w, s.lim.carry); err != nil {
		<-s.packing
		return err
	}
	p, err := s.cfg.Packs.Pack(ctx, r.PathValue("id"), unit, paper)
	<-s.packing
	if err != nil {
		if r.Context().Err() != nil {
			return nil
		}
		return fmt.Errorf("make a record pack: %w", err)
	}
	defer p.Close()
	if err := s.writeUntil(w, s.lim.carry); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Type", "application/zip")
	h.Set("Content-Disposition", `attachment; filename="`+p.Name+`"`)
	h.Set("Content-Length", strconv.FormatInt(p.Size, 10))
	if r.Method == http.MethodHead {
		return nil
	}
	if n, err := io.Copy(w, p); n > 0 && err != nil {
		s.log.Info("a record pack did not leave whole", "job", r.PathValue("id"), "bytes", n, "error", err)
	}
	return nil // with fewer bytes than were promised the client knows that it is not whole
}

// writeUntil gives an answer more time than others have.
func (s *Server) writeUntil(w http.ResponseWriter, d time.Duration) error {
	err := http.NewResponseController(w).SetWriteDeadline(time.Now().Add(d))
	if errors.Is(err, http.ErrNotSupported) {
		return nil
	}
	return err
}

// writtenHow reads in which unit sheets are asked for, and on which paper.
func writtenHow(r *http.Request) (unit units.Unit, paper pdf.Paper, err error) {
	query := r.URL.Query()
	unit = units.Unit(cmp.Or(query.Get("unit"), "mm"))
	if unit != "mm" && unit != "in" {
		return unit, paper, &answered{http.StatusBadRequest, fmt.Sprintf("unit %.20q: want mm or in", unit)}
	}
	if paper, err = pdf.PaperOf(cmp.Or(query.Get("paper"), "a4")); err != nil {
		return unit, paper, &answered{http.StatusBadRequest, err.Error()}
	}
	return unit, paper, nil
}
