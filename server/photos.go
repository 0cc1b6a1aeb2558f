package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"runtime/debug"
	"strconv"
	"time"

	"tubewright/calc/ledger"
)

// statuses are the answers to the reasons of a BlobRefusal.
var statuses = map[string]int{
	"type": http.StatusUnsupportedMediaType, "place": http.StatusUnprocessableEntity, "hash": http.StatusUnprocessableEntity,
	"manifest": http.StatusUnprocessableEntity, "size": http.StatusRequestEntityTooLarge, "denied": http.StatusGone,
	"full": http.StatusInsufficientStorage, "unknown": http.StatusNotFound, "fault": http.StatusInternalServerError,
}

// suffixes are the types that are served as what they are.
var suffixes = map[string]string{"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp"}

// blob wraps what answers under /blob/: what is served there can do nothing in a
// browser but be looked at, and every error is a why and a sentence.
func (e entry) blob(what access, h func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	s := e.Server
	return e.only(what, func(w http.ResponseWriter, r *http.Request) {
		header := w.Header()
		header.Set("Content-Security-Policy", "default-src 'none'; sandbox")
		header.Set("Cache-Control", "no-store")
		defer func() {
			if p := recover(); p != nil {
				s.log.Error("request ended by a fault in the program", "path", r.URL.Path, "fault", p, "stack", string(debug.Stack()))
				writeWhy(w, http.StatusInternalServerError, "fault", "the program has a fault; its log says where")
			}
		}()
		if s.cfg.Blobs == nil {
			writeWhy(w, http.StatusServiceUnavailable, "off", "this shop machine keeps no photos")
			return
		}
		err := h(w, r)
		var no *BlobRefusal
		switch {
		case err == nil:
		case errors.Is(err, errBusy):
			header.Set("Retry-After", "5")
			writeWhy(w, http.StatusServiceUnavailable, "busy", "other photos are being taken in; this one is tried again")
		case errors.As(err, &no) && statuses[no.Why] != 0:
			writeWhy(w, statuses[no.Why], no.Why, no.Text)
		case r.Context().Err() != nil: // gone in the middle: there is nobody to answer
		default:
			s.log.Error("photo", "path", r.URL.Path, "error", err)
			writeWhy(w, http.StatusInternalServerError, "fault", "the shop machine cannot keep or read this photo now")
		}
	}, writeWhy)
}

var errBusy = errors.New("no place for another upload")

func noBlob(format string, a ...any) error {
	return &BlobRefusal{Why: "unknown", Text: fmt.Sprintf(format, a...)}
}

// blobState is BlobState on the wire.
type blobState struct {
	Known  bool   `json:"known"`
	Done   bool   `json:"done"`
	Backed bool   `json:"backed"`
	Denied bool   `json:"denied"`
	Have   string `json:"have"` // a digit a chunk, 1 for those that are here
}

func writeState(w http.ResponseWriter, st BlobState) {
	have := make([]byte, len(st.Have))
	for i, h := range st.Have {
		have[i] = '0'
		if h {
			have[i] = '1'
		}
	}
	writeAnswer(w, blobState{Known: st.Known, Done: st.Done, Backed: st.Backed, Denied: st.Denied, Have: string(have)})
}

// putManifest notes what a picture will be made of.
func (s *Server) putManifest(w http.ResponseWriter, r *http.Request) error {
	body, err := readBody(http.MaxBytesReader(w, r.Body, manifestBytes))
	if err != nil {
		return err
	}
	var m Manifest
	if err := json.Unmarshal(body, &m); err != nil {
		return &BlobRefusal{Why: "manifest", Text: "the manifest cannot be read: " + err.Error()}
	}
	if sha := r.PathValue("sha"); m.SHA != sha || !ledger.IsSHA(sha) {
		return &BlobRefusal{Why: "manifest", Text: "the manifest is for another photo than the address, or that is no sha256"}
	}
	before, err := s.cfg.Blobs.Blob(r.Context(), m.SHA)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(s.ctx, s.lim.keep)
	defer cancel()
	st, err := s.cfg.Blobs.BeginBlob(ctx, m)
	var no *BlobRefusal
	if errors.As(err, &no) && no.Why == "manifest" && before.Known {
		writeWhy(w, http.StatusConflict, no.Why, no.Text)
		return nil
	}
	if err != nil {
		return err
	}
	if st.Done && !before.Done { // its last chunk had come just before the server died
		s.whole(m.SHA)
	}
	writeState(w, st)
	return nil
}

// whole tells whoever may see pictures that one is in place.
func (s *Server) whole(sha string) {
	s.log.Info("photo whole", "sha", sha)
	for _, one := range s.hub.all() {
		if one.role != ledger.Board && !one.isRevoked {
			one.out.done(sha)
		}
	}
}

// getHave tells how far a picture has come.
func (s *Server) getHave(w http.ResponseWriter, r *http.Request) error {
	sha := r.PathValue("sha")
	if !ledger.IsSHA(sha) {
		return noBlob("%.80q is not a sha256 in 64 digits of 0-9 and a-f", sha)
	}
	st, err := s.cfg.Blobs.Blob(r.Context(), sha)
	if err != nil {
		return err
	}
	writeState(w, st)
	return nil
}

// putChunk takes one chunk of a picture. At most lim.uploads are in memory and
// under way to the disk at a time; the others wait, and readings pass them by on
// the socket. Once the bytes are here they are kept, whether the tablet waits or not.
func (s *Server) putChunk(w http.ResponseWriter, r *http.Request) error {
	sha := r.PathValue("sha")
	i, err := chunkNumber(r)
	if err != nil {
		return err
	}
	st, err := s.cfg.Blobs.Blob(r.Context(), sha)
	switch {
	case err != nil:
		return err
	case st.Denied:
		return &BlobRefusal{Why: "denied", Text: "this photo was taken out for good"}
	case st.Done:
		writeState(w, st)
		return nil
	case !st.Known:
		return noBlob("the shop does not know what this photo is made of: the manifest comes first")
	}
	wait := time.NewTimer(s.lim.upload)
	defer wait.Stop()
	select {
	case s.uploads <- struct{}{}:
		defer func() { <-s.uploads }()
	case <-wait.C:
		return errBusy
	case <-r.Context().Done():
		return r.Context().Err()
	}
	// The wait was ours; the tablet gets its whole time from now on.
	if err := http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.lim.upload)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	b, err := readBody(r.Body)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(s.ctx, s.lim.keep)
	defer cancel()
	st, err = s.cfg.Blobs.PutChunk(ctx, sha, i, b)
	if err != nil {
		return err
	}
	if st.Done {
		s.whole(sha)
	}
	writeState(w, st)
	return nil
}

// readBody reads what a tablet sends; a body cut on the way is no fault of ours.
func readBody(body io.Reader) ([]byte, error) {
	b, err := io.ReadAll(body)
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return nil, &BlobRefusal{Why: "size", Text: fmt.Sprintf("more than %d bytes in one request", large.Limit)}
	}
	if err != nil {
		return nil, &BlobRefusal{Why: "hash", Text: "the request was cut off on the way; nothing of it was kept"}
	}
	return b, nil
}

func chunkNumber(r *http.Request) (int, error) {
	sha, text := r.PathValue("sha"), r.PathValue("i")
	i, err := strconv.Atoi(text)
	if !ledger.IsSHA(sha) || err != nil || i < 0 || text != strconv.Itoa(i) {
		return 0, noBlob("a photo's chunk is named by a sha256 and a number from 0, not by %.80q and %.20q", sha, text)
	}
	return i, nil
}

// getBlob answers with a whole picture. Its bytes never change under their name,
// so a browser keeps them; to look at it directly is to save it.
func (s *Server) getBlob(w http.ResponseWriter, r *http.Request) error {
	sha := r.PathValue("sha")
	if !ledger.IsSHA(sha) {
		return noBlob("%.80q is not a sha256 in 64 digits of 0-9 and a-f", sha)
	}
	f, m, err := s.cfg.Blobs.ReadBlob(r.Context(), sha)
	if err != nil {
		return err
	}
	defer f.Close()
	// A large picture over a poor link takes its time; a range goes on where it broke off.
	if err := http.NewResponseController(w).SetWriteDeadline(time.Now().Add(s.lim.show)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	h := w.Header()
	suffix := suffixes[m.Type]
	h.Set("Content-Type", m.Type)
	if suffix == "" {
		h.Set("Content-Type", "application/octet-stream")
	}
	h.Set("Content-Disposition", `attachment; filename="`+sha[:12]+suffix+`"`)
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("ETag", `"`+sha+`"`)
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil
}

// getChunk answers with the bytes of one chunk, by which a tablet sees that the
// shop can really read them before it drops its own.
func (s *Server) getChunk(w http.ResponseWriter, r *http.Request) error {
	i, err := chunkNumber(r)
	if err != nil {
		return err
	}
	b, err := s.cfg.Blobs.ReadChunk(r.Context(), r.PathValue("sha"), i)
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "application/octet-stream")
	h.Set("Content-Disposition", "attachment")
	h.Set("Content-Length", strconv.Itoa(len(b)))
	_, err = w.Write(b)
	return err
}
