package server

import "net/http"

// routes are all the addresses behind a door. /sync must stay outside whatever
// would wrap the ResponseWriter, since the websocket takes the connection over.
func (e entry) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /sync", e.sync)
	mux.HandleFunc("POST /sync/open", e.openLink)
	mux.HandleFunc("POST /sync/up", e.linked(e.linkUp))
	mux.HandleFunc("POST /sync/down", e.linked(e.linkDown))
	mux.HandleFunc("POST /sync/close", e.linked(e.closeLink))
	mux.HandleFunc("PUT /blob/{sha}/manifest", e.blob(sends, e.putManifest))
	mux.HandleFunc("GET /blob/{sha}/have", e.blob(sends, e.getHave))
	mux.HandleFunc("PUT /blob/{sha}/{i}", e.blob(sends, e.putChunk))
	mux.HandleFunc("GET /blob/{sha}", e.blob(reads, e.getBlob))
	mux.HandleFunc("GET /blob/{sha}/{i}", e.blob(reads, e.getChunk))
	mux.HandleFunc("/blob/", e.blob(reads, func(_ http.ResponseWriter, r *http.Request) error {
		return noBlob("nothing answers %s %s", r.Method, r.URL.Path)
	}))
	mux.HandleFunc("GET /api/health", e.api(e.health))
	mux.HandleFunc("GET /api/jobs", e.api(e.listJobs))
	mux.HandleFunc("GET /api/jobs/{id}/plan", e.api(e.plan))
	mux.HandleFunc("GET /api/jobs/{id}/sheets", e.api(e.listSheets))
	mux.HandleFunc("GET /api/jobs/{id}/sheets/{file}", e.api(e.sheet))
	mux.HandleFunc("GET /api/jobs/{id}/pack", e.apiFor(packs, e.packJob))
	mux.HandleFunc("/api/", e.api(func(_ http.ResponseWriter, r *http.Request) error {
		return notFound("nothing answers %s %s", r.Method, r.URL.Path)
	}))
	mux.HandleFunc("POST /pair/claim", e.claimCode)
	mux.HandleFunc("GET /pair/probe", e.probe)
	if e.door.Pages != nil {
		mux.Handle("/shop", e.door.Pages)
		mux.Handle("/shop/", e.door.Pages)
	}
	mux.HandleFunc("/", e.file)
	return mux
}
