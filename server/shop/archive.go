package shop

import (
	"errors"
	"io"
	"net/http"
	"time"
)

// archiveTime is how long an archive may take to come in and to be taken in: it comes from
// this machine itself, and some thousand photos take minutes.
const archiveTime = time.Hour

// takeArchive takes in an archive. It goes to the disk as it comes.
func (p *page) takeArchive(w http.ResponseWriter, r *http.Request) {
	c := http.NewResponseController(w)
	until := time.Now().Add(archiveTime)
	if err := errors.Join(c.SetReadDeadline(until), c.SetWriteDeadline(until)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		p.sorry(w, http.StatusInternalServerError, "That did not work: "+err.Error()+".")
		return
	}
	parts, err := r.MultipartReader()
	if err != nil {
		p.sorry(w, http.StatusBadRequest, "What was sent cannot be read: "+err.Error()+".")
		return
	}
	for {
		part, err := parts.NextPart()
		if err == io.EOF || err == nil && part.FormName() == "archive" && part.FileName() == "" {
			p.sorry(w, http.StatusUnprocessableEntity, "Choose a file first.")
			return
		}
		if err != nil {
			p.sorry(w, http.StatusBadRequest, "The file did not come whole: "+err.Error()+". Nothing of it was taken in.")
			return
		}
		if part.FormName() != "archive" {
			continue
		}
		said, err := p.desk.Import(r.Context(), part)
		if err != nil {
			p.sorry(w, http.StatusUnprocessableEntity, "The file was not taken in: "+err.Error()+".")
			return
		}
		show(w, http.StatusOK, shopPage, "imported.html", struct {
			Name string
			Said []string
		}{part.FileName(), said}, "'none'")
		return
	}
}
