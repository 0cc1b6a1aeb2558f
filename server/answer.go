package server

import (
	"encoding/json"
	"net/http"
)

// writeWhy answers with why something was not done: a word for the program and a
// sentence for the person.
func writeWhy(w http.ResponseWriter, status int, why, text string) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(struct {
		Why  string `json:"why"`
		Text string `json:"text"`
	}{why, text})
}

// writeAnswer answers with v as JSON.
func writeAnswer(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.Write(append(encode(v), '\n'))
}
