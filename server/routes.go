package server

import "net/http"

// routes are all the addresses of the server. /sync must stay outside whatever
// would wrap the ResponseWriter, since the websocket takes the connection over.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /sync", s.sync)
	mux.HandleFunc("GET /api/health", s.api(s.health))
	mux.HandleFunc("GET /api/jobs", s.api(s.listJobs))
	mux.HandleFunc("GET /api/jobs/{id}/plan", s.api(s.plan))
	mux.HandleFunc("/api/", s.api(func(_ http.ResponseWriter, r *http.Request) error {
		return notFound("nothing answers %s %s", r.Method, r.URL.Path)
	}))
	mux.HandleFunc("/", s.file)
	return mux
}
