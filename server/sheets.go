package server

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// sheetTypes are the forms in which a sheet is sent.
var sheetTypes = map[string]string{sheet.PDF: "application/pdf", sheet.SVG: "image/svg+xml", sheet.DXF: "image/vnd.dxf"}

// listSheets answers with what sheets a job has.
func (s *Server) listSheets(w http.ResponseWriter, r *http.Request) error {
	recs, shop, err := s.records(r)
	if err != nil {
		return err
	}
	return writeJSON(w, r, sheet.Of(job.Work(recs, shop...)))
}

// isWaited goes on with what takes its time until nobody waits for it.
func isWaited(r *http.Request) func(float64) bool {
	return func(float64) bool { return r.Context().Err() == nil }
}

// sheet answers with one sheet as a file to save, KEY.pdf, KEY.svg or KEY.dxf, made from
// the records as they are now. In a browser it can do nothing.
func (s *Server) sheet(w http.ResponseWriter, r *http.Request) error {
	asked, err := askedFor(r)
	if err != nil {
		return err
	}
	recs, shop, err := s.records(r)
	if err != nil {
		return err
	}
	worked := job.Work(recs, shop...)
	made, err := sheet.Make(worked, asked.key, sheet.Options{Unit: asked.unit, Date: time.Now().Format(time.DateOnly), Link: pieceLink(r, r.PathValue("id")), Code: labelCode, Photo: s.reportPhoto(r.Context())}.Waiting(worked, isWaited(r)))
	if err != nil {
		return unmade(err)
	}
	b, err := asked.file(made)
	if err != nil {
		return unmade(err)
	}
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Type", sheetTypes[asked.form])
	h.Set("Content-Disposition", `attachment; filename="`+made.FileName(asked.form)+`"`)
	h.Set("Content-Length", strconv.Itoa(len(b)))
	_, err = w.Write(b)
	return err
}

// unmade answers where there is no such sheet, or where it cannot be made yet.
func unmade(err error) error {
	var no *sheet.Unmade
	switch {
	case errors.Is(err, sheet.ErrUnknown):
		return notFound("%v", err)
	case errors.As(err, &no):
		return &answered{http.StatusConflict, no.Why}
	}
	return fmt.Errorf("make a sheet: %w", err)
}

// sheetAsked is what a request for a sheet says.
type sheetAsked struct {
	key, form string
	unit      units.Unit
	paper     pdf.Paper
}

func askedFor(r *http.Request) (a sheetAsked, err error) {
	name := r.PathValue("file")
	dot := strings.LastIndexByte(name, '.')
	if dot < 0 || sheetTypes[name[dot+1:]] == "" {
		return a, notFound("a sheet is asked for as KEY.pdf, KEY.svg or KEY.dxf, not as %.80q", name)
	}
	a.key, a.form = name[:dot], name[dot+1:]
	a.unit, a.paper, err = writtenHow(r)
	return a, err
}

func (a sheetAsked) file(made sheet.Made) ([]byte, error) {
	if a.form != sheet.PDF {
		return made.File(a.form)
	}
	sheets, err := pdf.WithLists(made.Sheets, made.Lists, a.paper)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = pdf.Write(&b, a.paper, sheets...)
	return b.Bytes(), err
}
