package server

import "net/http"

// routes are all the addresses of the server. /sync must stay outside whatever
// would wrap the ResponseWriter, since the websocket takes the connection over.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /sync", s.sync)
	mux.HandleFunc("POST /sync/open", s.openLink)
	mux.HandleFunc("POST /sync/up", s.linked(s.linkUp))
	mux.HandleFunc("POST /sync/down", s.linked(s.linkDown))
	mux.HandleFunc("POST /sync/close", s.linked(s.closeLink))
	mux.HandleFunc("PUT /blob/{sha}/manifest", s.blob(s.putManifest))
	mux.HandleFunc("GET /blob/{sha}/have", s.blob(s.getHave))
	mux.HandleFunc("PUT /blob/{sha}/{i}", s.blob(s.putChunk))
	mux.HandleFunc("GET /blob/{sha}", s.blob(s.getBlob))
	mux.HandleFunc("GET /blob/{sha}/{i}", s.blob(s.getChunk))
	mux.HandleFunc("/blob/", s.blob(func(_ http.ResponseWriter, r *http.Request) error {
		return noBlob("nothing answers %s %s", r.Method, r.URL.Path)
	}))
	mux.HandleFunc("GET /api/health", s.api(s.health))
	mux.HandleFunc("GET /api/jobs", s.api(s.listJobs))
	mux.HandleFunc("GET /api/jobs/{id}/plan", s.api(s.plan))
	mux.HandleFunc("/api/", s.api(func(_ http.ResponseWriter, r *http.Request) error {
		return notFound("nothing answers %s %s", r.Method, r.URL.Path)
	}))
	mux.HandleFunc("/", s.file)
	return mux
}
