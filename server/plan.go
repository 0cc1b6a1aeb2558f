package server

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"runtime/debug"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// answered is an error that the client is told as it is.
type answered struct {
	status int
	text   string
}

func (a *answered) Error() string { return a.text }

func notFound(format string, a ...any) error {
	return &answered{http.StatusNotFound, fmt.Sprintf(format, a...)}
}

// api turns an error of a handler into a status and one sentence as JSON:
//
//	{"error":"no job called j-k3f9q2"}
func (e entry) api(h func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return e.apiFor(reads, h)
}

// apiFor is api for what is not let through for reading alone.
func (e entry) apiFor(what access, h func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	s := e.Server
	return e.only(what, func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-cache")
		defer func() {
			if p := recover(); p != nil {
				s.log.Error("request ended by a fault in the program", "path", r.URL.Path, "fault", p, "stack", string(debug.Stack()))
				writeError(w, http.StatusInternalServerError, "the program has a fault; its log says where")
			}
		}()
		err := h(w, r)
		var no *answered
		switch {
		case err == nil:
		case errors.As(err, &no):
			writeError(w, no.status, no.text)
		default:
			s.log.Error("request", "path", r.URL.Path, "error", err)
			writeError(w, http.StatusInternalServerError, "the shop machine cannot use its records file")
		}
	}, func(w http.ResponseWriter, status int, _, text string) { writeError(w, status, text) })
}

func writeError(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(map[string]string{"error": text})
}

// writeJSON answers with v, or with 304 when the client has exactly that.
func writeJSON(w http.ResponseWriter, r *http.Request, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("write %T as JSON: %w", v, err)
	}
	sum := sha256.Sum256(b)
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("ETag", `"`+hex.EncodeToString(sum[:16])+`"`)
	writeBody(w, r, append(b, '\n'))
	return nil
}

// health answers when the records can be read.
func (s *Server) health(w http.ResponseWriter, r *http.Request) error {
	high, err := s.cfg.Log.High(r.Context())
	if err != nil {
		return fmt.Errorf("read the newest position: %w", err)
	}
	return writeJSON(w, r, map[string]any{"ok": true, "build": s.cfg.Build, "records": high})
}

// listJobs answers with the summaries that lists and the wall are made from.
func (s *Server) listJobs(w http.ResponseWriter, r *http.Request) error {
	lines, err := s.Jobs(r.Context())
	if err != nil {
		return err
	}
	return writeJSON(w, r, lines)
}

// Jobs returns a summary of every job, that of the newest change first.
func (s *Server) Jobs(ctx context.Context) ([]job.Summary, error) { return s.jobs.all(ctx) }

// plan answers with the plan of one job, calculated from its records now, with what takes
// long.
func (s *Server) plan(w http.ResponseWriter, r *http.Request) error {
	recs, shop, err := s.records(r)
	if err != nil {
		return err
	}
	return writeJSON(w, r, job.Whole(recs, shop...))
}

// records are those of the job that the path names, and those of the shop's own job,
// which is none to be asked for.
func (s *Server) records(r *http.Request) (recs, shop []ledger.Record, err error) {
	id := r.PathValue("id")
	if recs, err = s.cfg.Log.Job(r.Context(), id); err != nil {
		return nil, nil, fmt.Errorf("read job %s: %w", id, err)
	}
	if len(recs) == 0 || id == job.ShopJob {
		return nil, nil, notFound("no job called %s", id)
	}
	if shop, err = s.cfg.Log.Job(r.Context(), job.ShopJob); err != nil {
		return nil, nil, fmt.Errorf("read the shop's stock: %w", err)
	}
	return recs, shop, nil
}
