package server

import (
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
)

// notBuilt is shown instead of the app by a program that was compiled before
// the app was built.
const notBuilt = `<!doctype html><html lang="en"><meta charset="utf-8"><title>Tubewright</title>
<p>The tablet app has not been built into this program. Build it and start again with
<p><code>go run ./cmd/build demo</code>
`

// file answers with a file of the app. Paths without an extension are places
// inside the app and get its page.
func (s *Server) file(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "files can only be read", http.StatusMethodNotAllowed)
		return
	}
	name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
	if path.Ext(name) == "" && s.assets[name] == nil {
		if name == "wall" {
			name = "wall.html"
		} else {
			name = "index.html"
		}
	}
	a := s.assets[name]
	if a == nil && path.Ext(name) == ".html" {
		w.Header().Set("Content-Type", kinds[".html"])
		w.Header().Set("Cache-Control", "no-cache")
		w.WriteHeader(http.StatusServiceUnavailable)
		w.Write([]byte(notBuilt))
		return
	}
	if a == nil {
		http.Error(w, "no file called "+name, http.StatusNotFound)
		return
	}
	s.serve(w, r, name, a)
}

func (s *Server) serve(w http.ResponseWriter, r *http.Request, name string, a *asset) {
	h := w.Header()
	h.Set("Content-Type", a.kind)
	h.Set("Cache-Control", "no-cache")
	if a.forever {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	if a.gz != nil {
		h.Set("Vary", "Accept-Encoding")
		accept := r.Header.Values("Accept-Encoding")
		switch {
		case a.br != nil && takes(accept, "br"):
			h.Set("Content-Encoding", "br")
			h.Set("ETag", `"`+a.tag+`-br"`)
			writeBody(w, r, a.br)
			return
		case takes(accept, "gzip", "*"):
			h.Set("Content-Encoding", "gzip")
			h.Set("ETag", `"`+a.tag+`-gz"`)
			writeBody(w, r, a.gz)
			return
		}
	}
	b, err := a.contents()
	if err != nil {
		s.log.Error("app file", "name", name, "error", err)
		http.Error(w, "this file of the app is damaged; build it again", http.StatusInternalServerError)
		return
	}
	h.Set("ETag", `"`+a.tag+`"`)
	writeBody(w, r, b)
}

// writeBody sends b, or 304 when the client names the ETag that is set.
func writeBody(w http.ResponseWriter, r *http.Request, b []byte) {
	tag := w.Header().Get("ETag")
	for _, had := range strings.Split(strings.Join(r.Header.Values("If-None-Match"), ","), ",") {
		if had = strings.TrimPrefix(strings.TrimSpace(had), "W/"); had == tag || had == "*" {
			w.Header().Del("Content-Type")
			w.WriteHeader(http.StatusNotModified)
			return
		}
	}
	w.Header().Set("Content-Length", strconv.Itoa(len(b)))
	if r.Method != http.MethodHead {
		w.Write(b)
	}
}

// takes looks in Accept-Encoding for one of names; "gzip;q=0" is a refusal.
func takes(accept []string, names ...string) bool {
	return slices.ContainsFunc(strings.Split(strings.Join(accept, ","), ","), func(one string) bool {
		name, q, _ := strings.Cut(strings.TrimSpace(one), ";")
		if !slices.Contains(names, strings.TrimSpace(name)) {
			return false
		}
		v, err := strconv.ParseFloat(strings.TrimPrefix(strings.TrimSpace(q), "q="), 64)
		return strings.TrimSpace(q) == "" || err != nil || v > 0
	})
}
