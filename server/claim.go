package server

import (
	"encoding/json"
	"io"
	"net/http"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/ledger"
)

const claimBytes = 4 << 10

// Where a code is typed, as a claim says it.
const (
	forApp  = "app"
	forWall = "wall"
)

// claim is what a device sends to be let in.
type claim struct {
	Code   string `json:"code"`
	Dev    string `json:"dev"`
	For    string `json:"for,omitempty"` // where it was typed: app or wall; older apps do not say
	Checks checks `json:"checks"`
}

// checks are what a device found out about itself. Without the first three it does
// not work offline.
type checks struct {
	Worker    bool  `json:"worker"` // a service worker can be had
	Socket    bool  `json:"socket"` // the probe opened
	Secure    bool  `json:"secure"` // the browser takes the page for safe
	Strict    bool  `json:"strict"` // storage is on the disk before it says so
	Persisted bool  `json:"persisted"`
	ClockMS   int64 `json:"clock_ms"`
}

// claimed answers it.
type claimed struct {
	Token string      `json:"token"`
	Role  ledger.Role `json:"role"`
	Name  string      `json:"name"`
}

// noClaim is the status and the sentence of each reason why a code is not taken.
var noClaim = map[string]struct {
	status int
	text   string
}{
	"code":    {http.StatusForbidden, "the shop machine knows no such code; compare it sign by sign with the shop's screen"},
	"expired": {http.StatusGone, "this code is no longer good; make a new one on the shop machine"},
	"used":    {http.StatusGone, "this code was used already; make a new one on the shop machine"},
	"many":    {http.StatusTooManyRequests, "too many wrong codes; wait a minute and try again"},
	"checks":  {http.StatusUnprocessableEntity, "this tablet would not work without the network yet: see the red lines of its self-test"},
	"wall":    {http.StatusUnprocessableEntity, "this code is for a wall board; type it there. For this one make a code to measure or for the bench"},
	"app":     {http.StatusUnprocessableEntity, "this code is for a tablet; type it in the app there. For this wall board make a code of its own"},
	"request": {http.StatusBadRequest, "the shop machine cannot read what this tablet sent; reload the app"},
	"fault":   {http.StatusInternalServerError, "the shop machine cannot note the pairing now; try the same code again"},
}

// claimCode lets a device in that has a code. A device that did not pass its own
// test keeps the code for another time; on the shop machine itself there is nothing
// to pass.
func (e entry) claimCode(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Cache-Control", "no-store")
	no := func(why string) {
		if why == "many" {
			w.Header().Set("Retry-After", "60")
		}
		writeWhy(w, noClaim[why].status, why, noClaim[why].text)
	}
	var c claim
	b, err := io.ReadAll(http.MaxBytesReader(w, r.Body, claimBytes))
	switch {
	case err != nil, json.Unmarshal(b, &c) != nil, !isDevice(c.Dev), c.For != "" && c.For != forApp && c.For != forWall:
		no("request")
		return
	case !e.door.Open && !(c.Checks.Worker && c.Checks.Socket && c.Checks.Secure):
		no("checks")
		return
	}
	code, why := e.codes.claim(c.Code, c.For)
	if why != "" {
		e.log.Warn("code not taken", "dev", c.Dev, "why", why)
		no(why)
		return
	}
	token, sum := newToken()
	ctx, cancel := e.limited()
	defer cancel()
	if err := e.cfg.Pairs.Pair(ctx, Paired{Dev: c.Dev, Name: code.Name, Role: code.Role, At: e.cfg.Now()}, sum); err != nil {
		e.codes.giveBack(code)
		e.log.Error("pair", "dev", c.Dev, "error", err)
		no("fault")
		return
	}
	e.log.Info("paired", "dev", c.Dev, "role", code.Role)
	e.hub.sendOff(c.Dev, bye("token", unknownText)) // whoever is connected has the old token
	e.people.hide(c.Dev, code.Role == ledger.Board)
	e.people.forget(c.Dev)
	e.people.rename(c.Dev, code.Name)
	writeAnswer(w, claimed{Token: token, Role: code.Role, Name: code.Name})
}

// probe shows a device that a websocket opens, before it has anything to say on one.
func (e entry) probe(w http.ResponseWriter, r *http.Request) {
	_, leave, ok := e.seat(r)
	if !ok {
		w.Header().Set("Retry-After", "20")
		http.Error(w, "all connections are taken; try again", http.StatusServiceUnavailable)
		return
	}
	defer leave()
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return // the upgrader has answered
	}
	defer conn.Close()
	conn.SetReadLimit(helloFrame)
	end := time.Now().Add(e.lim.drain)
	conn.SetReadDeadline(end)
	conn.SetWriteDeadline(end)
	if conn.WriteMessage(websocket.TextMessage, []byte(`{"t":"probe"}`)) != nil {
		return
	}
	conn.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(websocket.CloseNormalClosure, ""), end)
	conn.ReadMessage() // until the other side has closed, or its time is up
}
